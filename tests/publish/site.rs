//! A folder with sheets and vans, and the lists published from it.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use serde_json::Value;
use tempfile::TempDir;

/// A wheel that fits, one that fits with work, one that leaves its load open, one that cannot fit; a tire.
pub(crate) const WHEELS: &str = "\
Supplier,Part Number,Style,Wheel Size,Bolt Pattern,Offset (mm),Center Bore (mm),Load Rating (kg),Lug Seat,Price EUR,Link,Image
Quarnley Wheel,QW-1,Fellmoor,16x6.5,6x130,50,84.1,1300,Ball R14,189.00,https://quarnley.example/qw-1,https://quarnley.example/qw-1.jpg
Quarnley Wheel,QW-2,Fellmoor,17x7.5,6x130,52,84.1,1250,Cone 60,210.50,http://quarnley.example/qw-2,http://quarnley.example/qw-2.jpg
Quarnley Wheel,QW-3,Fellmoor,17x7.5,6x130,52,84.1,,Ball R14,205.00,,
Quarnley Wheel,QW-4,Fellmoor,16x6.5,5x112,50,66.6,1300,Ball R14,150.00,,
";

pub(crate) const TIRES: &str = "\
Supplier,Part Number,Tread,Tire Size,Service Description,3PMSF,Price EUR
Ombrick Rubber,OB-1,Mimwick,235/65R16C,121/119R,Yes,179.00
Ombrick Rubber,OB-2,Mimwick,205/55R16,91V,No,80.00
";

pub(crate) struct Site {
    folder: TempDir,
}

fn project() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

impl Site {
    pub(crate) fn new() -> Self {
        let site = Self { folder: tempfile::tempdir().unwrap() };
        site.write("sheets/wheels.csv", WHEELS);
        site.write("sheets/tires.csv", TIRES);
        for van in ["orlbeck-l4", "wexholm-d46"] {
            let file = format!("vans/{van}.toml");
            site.write(&file, &std::fs::read_to_string(project().join("samples").join(&file)).unwrap());
        }
        site
    }

    /// The samples, published from copies of them.
    pub(crate) fn of_samples() -> Self {
        let site = Self::new();
        for sheet in ["wheels.csv", "tires.csv"] {
            std::fs::remove_file(site.path("sheets").join(sheet)).unwrap();
        }
        for sheet in ["wheels.xlsx", "tires.csv"] {
            let from = project().join("samples/sheets").join(sheet);
            std::fs::copy(from, site.path("sheets").join(sheet)).unwrap();
        }
        site
    }

    pub(crate) fn path(&self, file: &str) -> PathBuf {
        self.folder.path().join(file)
    }

    pub(crate) fn read(&self, file: &str) -> String {
        std::fs::read_to_string(self.path(file)).unwrap()
    }

    pub(crate) fn write(&self, file: &str, text: &str) {
        let path = self.path(file);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, text).unwrap();
    }

    pub(crate) fn command(&self, command: &str, options: &[&str]) -> Command {
        let mut program = Command::new(env!("CARGO_BIN_EXE_rimsieve"));
        program.args([command, "sheets", "--no-shop", "--quiet"]).args(options);
        if !options.contains(&"--van") {
            program.args(["--van", "vans"]);
        }
        program.current_dir(self.folder.path()).stdin(Stdio::null());
        program
    }

    pub(crate) fn publish(&self, options: &[&str]) -> Output {
        self.command("publish", &[options, &["--out", "site"]].concat()).output().unwrap()
    }

    /// Publishes, which must work; what was said of it.
    pub(crate) fn published(&self, options: &[&str]) -> String {
        let output = self.publish(options);
        assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
        String::from_utf8(output.stdout).unwrap()
    }

    /// Publishes, which must not work; what was said of it.
    pub(crate) fn refused(&self, options: &[&str]) -> String {
        let output = self.publish(options);
        assert_eq!(output.status.code(), Some(2), "{}", String::from_utf8_lossy(&output.stdout));
        assert!(output.stdout.is_empty());
        String::from_utf8(output.stderr).unwrap()
    }

    /// Every file of the folder of lists with its bytes.
    pub(crate) fn files(&self) -> BTreeMap<String, Vec<u8>> {
        files_of(&self.path("site"))
    }

    pub(crate) fn json(&self, file: &str) -> Value {
        serde_json::from_str(&self.read(&format!("site/{file}"))).unwrap()
    }

    /// The parts of a van's list.
    pub(crate) fn parts(&self, van: &str) -> Vec<Value> {
        self.json(&format!("{van}.json"))["parts"].as_array().unwrap().clone()
    }

    /// What a check by other programs prints, which must find nothing wrong.
    pub(crate) fn checked(&self, check: &str) -> String {
        let output = Command::new("python3")
            .arg(project().join("tests/interop/published.py"))
            .arg(check)
            .arg(self.path("site"))
            .output()
            .expect("set-up step: `pip install openpyxl` and `apt-get install libreoffice-calc`");
        assert!(output.status.success(), "{check}\n{}", String::from_utf8_lossy(&output.stderr));
        String::from_utf8(output.stdout).unwrap()
    }

    /// What a reader of HTML finds in the pages, by their names.
    pub(crate) fn pages(&self) -> Value {
        serde_json::from_str(&self.checked("pages")).unwrap()
    }
}

pub(crate) fn files_of(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let entries = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    entries
        .map(|path| {
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            (name, if path.is_dir() { Vec::new() } else { std::fs::read(path).unwrap() })
        })
        .collect()
}

/// What is left beside the folders of a site that a run did not clear away.
pub(crate) fn left_over(site: &Site) -> Vec<String> {
    let names = std::fs::read_dir(site.path("")).unwrap();
    let names = names.map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned());
    names.filter(|name| name.starts_with('.')).collect()
}
