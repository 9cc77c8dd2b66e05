//! A folder with sheets, a van and a ledger that was accepted, to edit and to ask the gate about.

use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use serde_json::Value;
use tempfile::TempDir;

pub(crate) struct Shop {
    folder: TempDir,
    /// What is given beside sheets, vans and ledger.
    options: Vec<String>,
}

fn source(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(path)
}

impl Shop {
    /// A shop whose ledger was accepted.
    pub(crate) fn accepted() -> Self {
        Self::accepted_with(&[], |_| {})
    }

    /// A shop with options, made ready before its ledger was accepted.
    pub(crate) fn accepted_with(options: &[&str], ready: impl Fn(&Self)) -> Self {
        let options = options.iter().map(|option| (*option).to_owned()).collect();
        let shop = Self { folder: tempfile::tempdir().unwrap(), options };
        for (from, to) in [
            ("tests/gate/sheets/wheels.csv", "sheets/wheels.csv"),
            ("tests/gate/sheets/tires.csv", "sheets/tires.csv"),
            ("samples/vans/orlbeck-l4.toml", "vans/orlbeck-l4.toml"),
        ] {
            shop.write(to, &std::fs::read_to_string(source(from)).unwrap());
        }
        ready(&shop);
        let output = shop.gate(&["--accept"]);
        assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
        shop
    }

    pub(crate) fn options(&mut self, options: &[&str]) {
        self.options = options.iter().map(|option| (*option).to_owned()).collect();
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

    /// Puts one text in the place of another, which must be there once.
    pub(crate) fn edit(&self, file: &str, from: &str, to: &str) {
        let text = self.read(file);
        assert_eq!(text.matches(from).count(), 1, "`{from}` once in {file}");
        self.write(file, &text.replacen(from, to, 1));
    }

    pub(crate) fn command(&self, options: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_rimsieve"));
        command.args(["gate", "sheets", "--no-shop", "--quiet", "--van", "vans", "--ledger", "ledger.txt"]);
        command.args(&self.options).args(options).current_dir(self.folder.path()).stdin(Stdio::null());
        command
    }

    pub(crate) fn gate(&self, options: &[&str]) -> Output {
        self.command(options).output().unwrap()
    }

    /// What the gate says in JSON, and its exit value.
    pub(crate) fn result(&self, options: &[&str]) -> (Value, i32) {
        let output = self.gate(&[options, &["--format", "json"]].concat());
        let value = output.status.code().unwrap();
        assert!(value < 2, "{}", String::from_utf8_lossy(&output.stderr));
        (serde_json::from_slice(&output.stdout).unwrap(), value)
    }
}
