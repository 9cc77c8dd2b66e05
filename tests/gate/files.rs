//! The ledger as a file: what a diff and a merge make of it, and what a run that breaks off leaves.

use std::process::{Command, Stdio};

use crate::shop::Shop;

const WHEELS: &str = "sheets/wheels.csv";

/// The lines in which two texts differ, by git itself: removed, added.
fn lines_changed(shop: &Shop, before: &str) -> (usize, usize) {
    shop.write("before.txt", before);
    let output = Command::new("git")
        .args(["diff", "--no-index", "--numstat", "before.txt", "ledger.txt"])
        .current_dir(shop.path(""))
        .output()
        .unwrap();
    let text = String::from_utf8(output.stdout).unwrap();
    let mut counts = text.split_whitespace().map(|count| count.parse().unwrap_or(usize::MAX));
    let (added, removed) = (counts.next().unwrap_or(0), counts.next().unwrap_or(0));
    (removed, added)
}

#[test]
fn one_changed_cell_is_one_changed_line() {
    for (from, to) in [
        ("84.1,1300", "84.1,1100"),
        ("84.1,1300", "84.1,1250"),
        ("50,84.1,1300", "50,106.1,1300"),
        ("84.1,1100", "84.1,1300"),
        ("84.1,,", "84.1,1400,"),
    ] {
        let shop = Shop::accepted();
        let before = shop.read("ledger.txt");
        shop.edit(WHEELS, from, to);
        shop.result(&["--accept"]);
        assert_eq!(lines_changed(&shop, &before), (1, 1), "{from} to {to}");
    }
}

/// The ledger of a shop with one edit made and accepted.
fn accepted_after(edits: &[(&str, &str)]) -> String {
    let shop = Shop::accepted();
    for (from, to) in edits {
        shop.edit(WHEELS, from, to);
    }
    shop.result(&["--accept"]);
    shop.read("ledger.txt")
}

/// What git makes of two ledgers that come from one: the text, and how many conflicts.
fn merged(ours: &str, theirs: &str) -> (String, i32) {
    let shop = Shop::accepted();
    shop.write("ours", ours);
    shop.write("base", &shop.read("ledger.txt"));
    shop.write("theirs", theirs);
    let output = Command::new("git")
        .args(["merge-file", "-p", "ours", "base", "theirs"])
        .current_dir(shop.path(""))
        .output()
        .unwrap();
    (String::from_utf8(output.stdout).unwrap(), output.status.code().unwrap())
}

#[test]
fn ledgers_merge_unless_the_same_part_changed() {
    let edits: [&[(&str, &str)]; 6] = [
        // QW-1 and QW-2, QW-2 and QW-3 stand next to one another.
        &[("84.1,1300", "84.1,1100")],
        &[("84.1,1250", "84.1,1260")],
        &[("52,106.1", "54,106.1")],
        // QW-4 goes; QW-6 moves.
        &[("Quarnley Wheel,QW-4,Fellmoor,17x8,6x130,50,84.1,1100,ball R14,160\n", "")],
        &[("6x130,60,", "6x130,58,")],
        // A part comes at the end.
        &[(
            "1220,ball R14,150\n",
            "1220,ball R14,150\nQuarnley Wheel,QW-7,Fellmoor,15x6,6x130,60,84.1,1220,ball R14,150\n",
        )],
    ];
    for (at, ours) in edits.iter().enumerate() {
        for theirs in &edits[at + 1..] {
            let (text, conflicts) = merged(&accepted_after(ours), &accepted_after(theirs));
            assert_eq!(conflicts, 0, "{ours:?} with {theirs:?}");
            assert_eq!(text, accepted_after(&[*ours, *theirs].concat()), "{ours:?} with {theirs:?}");
        }
    }
    let (text, conflicts) = merged(
        &accepted_after(&[("84.1,1300", "84.1,1100")]),
        &accepted_after(&[("84.1,1300", "84.1,1250")]),
    );
    assert_eq!(conflicts, 1);
    // What is left in conflict is not taken for a ledger.
    let shop = Shop::accepted();
    shop.write("ledger.txt", &text);
    for options in [&[][..], &["--accept"]] {
        let output = shop.gate(options);
        assert_eq!(output.status.code(), Some(2));
        assert!(output.stdout.is_empty());
        assert!(String::from_utf8(output.stderr).unwrap().contains("was not settled here"));
        assert_eq!(shop.read("ledger.txt"), text);
    }
}

#[test]
fn a_ledger_that_is_none_ends_with_2_and_stays() {
    let good = Shop::accepted().read("ledger.txt");
    let part = "part orlbeck-l4 | Quarnley Wheel | QW-1 | wheel\n";
    for (told, text, said) in [
        ("empty", String::new(), "line 1 does not say"),
        ("another file", "a,b\n1,2\n".to_owned(), "line 1 does not say"),
        ("another form", good.replacen("ledger 1", "ledger 2", 1), "form `2`"),
        (
            "a part twice",
            good.replacen(part, &format!("{part}  fits\n\n{part}"), 1),
            "has a record for the van",
        ),
        ("a verdict unknown", good.replacen("  fits | rim", "  fist | rim", 1), "is not understood"),
        (
            "a fact unknown",
            good.replacen("fits | rim_diameter", "fits | rim_diametre", 1),
            "is not understood",
        ),
        ("a heading without a line", good.replacen(part, &format!("{part}\n{part}"), 1), "is not understood"),
        ("a line without a heading", good.replacen(part, "", 1), "is not understood"),
    ] {
        let shop = Shop::accepted();
        assert!(told == "empty" || text != good, "{told}");
        shop.write("ledger.txt", &text);
        let output = shop.gate(&[]);
        let aside = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{told}: {aside}");
        assert!(output.stdout.is_empty(), "{told}");
        assert!(aside.contains(said), "{told}: {aside}");
        assert_eq!(shop.gate(&["--accept"]).status.code(), Some(2), "{told}");
        assert_eq!(shop.read("ledger.txt"), text, "{told}");
    }
}

#[test]
fn a_ledger_with_other_line_ends_is_the_same() {
    let shop = Shop::accepted();
    let text = shop.read("ledger.txt");
    shop.write("ledger.txt", &format!("\u{feff}{}", text.replace('\n', "\r\n")));
    let (result, value) = shop.result(&[]);
    assert_eq!((result["summary"]["same"].as_u64(), value), (Some(9), 0));
}

#[test]
fn without_a_ledger_there_is_nothing_to_compare() {
    let shop = Shop::accepted();
    std::fs::remove_file(shop.path("ledger.txt")).unwrap();
    let output = shop.gate(&[]);
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8(output.stderr).unwrap().contains("accept what there is now"));
    assert!(!shop.path("ledger.txt").exists());
}

#[test]
fn a_ledger_takes_the_place_of_nothing_that_is_read() {
    let shop = Shop::accepted();
    let sheet = shop.read(WHEELS);
    let mut command = Command::new(env!("CARGO_BIN_EXE_rimsieve"));
    command.args(["gate", "sheets", "--no-shop", "--van", "vans", "--accept", "--ledger", WHEELS]);
    let output = command.current_dir(shop.path("")).output().unwrap();
    assert_eq!(output.status.code(), Some(2));
    assert_eq!(shop.read(WHEELS), sheet);
}

#[test]
fn accepting_what_is_accepted_writes_nothing() {
    let shop = Shop::accepted();
    let written = |shop: &Shop| std::fs::metadata(shop.path("ledger.txt")).unwrap().modified().unwrap();
    let before = written(&shop);
    shop.result(&["--accept"]);
    assert_eq!(written(&shop), before);
}

/// A process that is killed at any moment of accepting leaves the old ledger or the new one.
#[cfg(unix)]
#[test]
fn a_killed_process_leaves_one_whole_ledger() {
    let shop = Shop::accepted();
    let old = shop.read("ledger.txt");
    shop.edit(WHEELS, "84.1,1300", "84.1,1100");
    let new = {
        let twin = Shop::accepted();
        twin.edit(WHEELS, "84.1,1300", "84.1,1100");
        twin.result(&["--accept"]);
        twin.read("ledger.txt")
    };
    assert_ne!(old, new);
    for wait in 0..40 {
        shop.write("ledger.txt", &old);
        let mut child =
            shop.command(&["--accept"]).stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap();
        std::thread::sleep(std::time::Duration::from_millis(wait * 3));
        // It may have ended by itself.
        let _ = child.kill();
        child.wait().unwrap();
        let left = shop.read("ledger.txt");
        assert!(left == old || left == new, "after {} ms: {left}", wait * 3);
    }
}

/// A disk that takes no more: here by the limit that the system sets on the size of a file.
#[cfg(unix)]
#[test]
fn a_full_disk_leaves_the_old_ledger_whole() {
    let shop = Shop::accepted();
    let old = shop.read("ledger.txt");
    shop.edit(WHEELS, "84.1,1300", "84.1,1100");
    let command = shop.command(&["--accept"]);
    let words: Vec<String> = std::iter::once(command.get_program())
        .chain(command.get_args())
        .map(|word| format!("'{}'", word.to_string_lossy()))
        .collect();
    // Blocks of 512 or 1024 bytes: either way less than the ledger. The signal must not kill the run.
    let script = format!("trap '' XFSZ; ulimit -f 4; exec {}", words.join(" "));
    let output = Command::new("sh").args(["-c", &script]).current_dir(shop.path("")).output().unwrap();
    let aside = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2), "{aside}");
    assert!(aside.contains("`ledger.txt` cannot be written"), "{aside}");
    assert!(output.stdout.is_empty());
    assert_eq!(shop.read("ledger.txt"), old);
    let left = std::fs::read_dir(shop.path(""))
        .unwrap()
        .filter(|entry| entry.as_ref().unwrap().file_name().to_string_lossy().starts_with(".rimsieve"));
    assert_eq!(left.count(), 0, "nothing is left lying about");
}
