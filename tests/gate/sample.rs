//! The sample shop under version control: what a supplier's edit makes of it, from the changed cell to
//! the line that is accepted.

use std::path::Path;
use std::process::{Command, Output};

use tempfile::TempDir;

fn copy(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).unwrap();
    for entry in std::fs::read_dir(from).unwrap() {
        let entry = entry.unwrap();
        let place = to.join(entry.file_name());
        if entry.path().is_dir() {
            copy(&entry.path(), &place);
        } else {
            std::fs::copy(entry.path(), place).unwrap();
        }
    }
}

/// A repository that holds the sample shop, committed.
struct Repository(TempDir);

impl Repository {
    fn of_the_sample() -> Self {
        let folder = tempfile::tempdir().unwrap();
        copy(&Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/shop"), folder.path());
        let repository = Self(folder);
        repository.git(&["init", "--quiet"]);
        repository.commit();
        repository
    }

    fn git(&self, arguments: &[&str]) -> String {
        let who = ["-c", "user.name=buyer", "-c", "user.email=buyer@shop.example"];
        let output =
            Command::new("git").args(who).args(arguments).current_dir(self.0.path()).output().unwrap();
        assert!(output.status.success(), "{arguments:?}: {}", String::from_utf8_lossy(&output.stderr));
        String::from_utf8(output.stdout).unwrap()
    }

    fn commit(&self) {
        self.git(&["add", "--all"]);
        self.git(&["commit", "--quiet", "--message", "sheets as they came"]);
    }

    fn edit(&self, file: &str, from: &str, to: &str) {
        let path = self.0.path().join(file);
        let text = std::fs::read_to_string(&path).unwrap();
        assert_eq!(text.matches(from).count(), 1, "`{from}` once in {file}");
        std::fs::write(path, text.replacen(from, to, 1)).unwrap();
    }

    /// The gate as in the shop's folder: with no argument but these.
    fn gate(&self, options: &[&str]) -> Output {
        let mut command = Command::new(env!("CARGO_BIN_EXE_rimsieve"));
        command.arg("gate").args(options).current_dir(self.0.path()).output().unwrap()
    }
}

fn text(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

#[test]
fn the_samples_ledger_is_what_the_sample_comes_to() {
    let repository = Repository::of_the_sample();
    let output = repository.gate(&[]);
    assert_eq!(output.status.code(), Some(0));
    assert!(text(&output).contains("All is as accepted."), "{}", text(&output));
    repository.gate(&["--accept"]);
    assert_eq!(repository.git(&["status", "--porcelain"]), "");
}

/// Where, from, to, and what a buyer reads of it.
type Edit = (&'static str, &'static str, &'static str, &'static [&'static str]);

const SKARNWELL: &str = "sheets/skarnwell.csv";

#[rustfmt::skip]
const SUPPLIERS_EDITS: &[Edit] = &[
    // A load rating lowered.
    (SKARNWELL, "84,1 mm;1250;K14;179,00", "84,1 mm;1100;K14;179,00", &[
        "1 part lost: it was on the list and cannot stay", "SK-T01, Skarnwell Forge", "was: fits",
        "rated 1100 kg, the heaviest corner needs 1215 kg",
        "load rating was 1250 kg and is 1100 kg, in skarnwell.csv, cell G2", "why: the sheet changed"]),
    // An offset retyped.
    (SKARNWELL, "8,5Jx17;6x130;ET45", "8,5Jx17;6x130;ET54", &[
        "1 part moved: it stays on the list", "SK-T02", "offset was 45 mm and is 54 mm, in skarnwell.csv, cell E3"]),
    // A row dropped.
    (SKARNWELL, "SK-T03;Yarrowmoot;7,5Jx17;6x130;ET50;84,1 mm;1300;K14;185,00\n", "", &[
        "1 part vanished: it was on the list and no sheet has it", "SK-T03",
        "why: the sheet has no such number any more"]),
    // A number reused for another wheel.
    (SKARNWELL, "SK-T04;Yarrowmoot;8,5Jx18;6x130;ET40;84,1 mm;1500;K14", "SK-T04;Linnet;6,5Jx16;5x112;ET40;66,6 mm;900;K14", &[
        "1 part lost", "SK-T04", "bolt pattern was 6x130 and is 5x112"]),
];

#[test]
fn what_suppliers_do_makes_the_build_red_with_words_for_a_buyer() {
    for (file, from, to, said) in SUPPLIERS_EDITS {
        let repository = Repository::of_the_sample();
        repository.edit(file, from, to);
        let output = repository.gate(&[]);
        let report = text(&output).split_whitespace().collect::<Vec<_>>().join(" ");
        let moved = said[0].contains("moved");
        assert_eq!(output.status.code(), Some(if moved { 0 } else { 1 }), "{report}");
        for said in *said {
            assert!(report.contains(said), "{said}\n{}", text(&output));
        }
    }
}

#[test]
fn a_unit_changed_in_a_heading_is_every_load_on_the_sheet() {
    let repository = Repository::of_the_sample();
    // The profile says kilograms of a heading that states nothing; now the heading speaks for itself.
    repository.edit(SKARNWELL, "Traglast;", "Traglast (lb);");
    let output = repository.gate(&[]);
    assert_eq!(output.status.code(), Some(1));
    let report = text(&output);
    assert!(report.contains("8 parts lost: they were on the list and cannot stay"), "{report}");
    assert!(report.contains("load rating was 1250 kg and is 567 kg, in skarnwell.csv, cell G2"), "{report}");
}

#[test]
fn a_changed_cell_is_accepted_by_one_line() {
    let repository = Repository::of_the_sample();
    repository.edit(SKARNWELL, "84,1 mm;1250;K14;179,00", "84,1 mm;1100;K14;179,00");
    assert_eq!(repository.gate(&["--quiet"]).status.code(), Some(1));
    repository.commit();
    assert_eq!(repository.gate(&["--accept", "--quiet"]).status.code(), Some(0));
    assert_eq!(repository.git(&["diff", "--numstat"]), "1\t1\tledger.txt\n");
    let diff = repository.git(&["diff", "--unified=1"]);
    assert!(diff.contains(" part orlbeck-l4 | Skarnwell Forge | SK-T01 | wheel\n-  fits | "), "{diff}");
    assert!(diff.contains("\n+  rejected | against corner-load | load_rating 1100 kg\n"), "{diff}");
    assert_eq!(repository.gate(&["--quiet"]).status.code(), Some(0));
}

#[test]
fn two_buyers_merge_what_they_accepted() {
    let repository = Repository::of_the_sample();
    let first = repository.git(&["branch", "--show-current"]).trim().to_owned();
    repository.git(&["checkout", "--quiet", "-b", "other"]);
    repository.edit(SKARNWELL, "84,1 mm;1250;K14;179,00", "84,1 mm;1100;K14;179,00");
    repository.gate(&["--accept"]);
    repository.commit();
    repository.git(&["checkout", "--quiet", &first]);
    repository.edit("sheets/tires.csv", "OB-T02", "OB-T02B");
    repository.gate(&["--accept"]);
    repository.commit();
    repository.git(&["merge", "--quiet", "--no-edit", "other"]);
    let output = repository.gate(&[]);
    assert!(text(&output).contains("All is as accepted."), "{}", text(&output));
}
