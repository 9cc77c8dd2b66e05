//! The folder of lists: it changes as a whole, and holds what others put there.

use std::process::{Command, Stdio};

use crate::site::{Site, WHEELS, files_of, left_over};

/// A site whose lists were published, then a sheet changed.
fn changed() -> Site {
    let site = Site::new();
    site.published(&[]);
    site.write("sheets/wheels.csv", &WHEELS.replace("84.1,1300,Ball R14,189", "84.1,1260,Ball R14,199"));
    site
}

#[test]
fn publishing_again_without_a_change_writes_nothing() {
    let site = Site::new();
    let first = site.published(&[]);
    assert!(first.contains("10 files, all new."), "{first}");
    let written = || std::fs::metadata(site.path("site")).unwrap().modified().unwrap();
    let before = written();
    let again = site.published(&[]);
    assert!(again.contains("The lists are as they were last published."), "{again}");
    assert_eq!(written(), before);
}

#[test]
fn what_changed_is_told_and_the_files_hold_it() {
    let site = changed();
    let before = site.files();
    let told = site.published(&[]);
    assert!(told.contains("orlbeck-l4   as many parts as before, other words or figures"), "{told}");
    assert!(told.contains("wexholm-d46  as before"), "{told}");
    assert!(told.contains("4 files new or changed."), "{told}");
    let after = site.files();
    let same: Vec<&String> =
        after.iter().filter(|(name, bytes)| before[*name] == **bytes).map(|(name, _)| name).collect();
    // The index tells how many parts there are, and those are as many.
    assert_eq!(same.len(), 5, "{same:?}");
    site.checked("manifest");
    site.write("sheets/wheels.csv", WHEELS.split_inclusive('\n').next().unwrap());
    site.write(
        "sheets/wheels.csv",
        &WHEELS.lines().take(2).fold(String::new(), |all, line| all + line + "\n"),
    );
    let told = site.published(&[]);
    assert!(told.contains("was 2 wheels and 1 tire, 1 of them with work"), "{told}");
}

#[test]
fn a_van_that_is_no_longer_published_takes_its_files_along() {
    let site = Site::new();
    site.published(&[]);
    std::fs::remove_file(site.path("vans/wexholm-d46.toml")).unwrap();
    let told = site.published(&[]);
    assert!(told.contains("wexholm-d46  no longer published; its files are gone"), "{told}");
    assert!(told.contains("4 files gone"), "{told}");
    let names: Vec<String> = site.files().into_keys().collect();
    assert_eq!(
        names,
        [
            "index.html",
            "manifest.json",
            "orlbeck-l4.csv",
            "orlbeck-l4.html",
            "orlbeck-l4.json",
            "orlbeck-l4.xlsx"
        ]
    );
    assert!(!site.read("site/index.html").contains("wexholm"));
}

#[test]
fn what_others_put_there_stays_and_is_never_overwritten() {
    let site = changed();
    site.write("site/robots.txt", "all are welcome");
    site.write("site/pictures/van.svg", "<svg/>");
    site.published(&[]);
    assert_eq!(site.read("site/robots.txt"), "all are welcome");
    assert_eq!(site.read("site/pictures/van.svg"), "<svg/>");
    for name in ["index.html", "orlbeck-l4.csv", "manifest.json"] {
        let site = Site::new();
        site.write(&format!("site/{name}"), "mine");
        let said = site.refused(&[]);
        assert!(
            said.contains(name) && said.contains("move it away, or publish in a folder of its own"),
            "{said}"
        );
        assert_eq!(
            files_of(&site.path("site")).into_iter().collect::<Vec<_>>(),
            [(name.to_owned(), b"mine".to_vec())]
        );
        assert_eq!(left_over(&site), Vec::<String>::new());
    }
    // A van that comes later must not take the place of what stood there before it.
    let site = Site::new();
    std::fs::remove_file(site.path("vans/wexholm-d46.toml")).unwrap();
    site.published(&[]);
    site.write("site/orlbeck-l5.html", "mine");
    site.write(
        "vans/orlbeck-l5.toml",
        &site.read("vans/orlbeck-l4.toml").replace("\"orlbeck-l4\"", "\"orlbeck-l5\""),
    );
    let before = site.files();
    let said = site.refused(&[]);
    assert!(said.contains("`site/orlbeck-l5.html` was there before and is none of ours"), "{said}");
    assert_eq!(site.files(), before);
}

#[test]
fn a_file_that_somebody_changed_is_made_anew_and_told_of() {
    let site = Site::new();
    site.published(&[]);
    let before = site.files();
    site.write("site/orlbeck-l4.csv", "retouched");
    std::fs::remove_file(site.path("site/index.html")).unwrap();
    let told = site.published(&[]);
    let words = told.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("made anew: index.html, orlbeck-l4.csv."), "{told}");
    assert_eq!(site.files(), before);
}

#[test]
fn a_run_that_cannot_be_done_writes_nothing() {
    let site = changed();
    let before = site.files();
    for (options, said) in [
        (&["--pack", "wintr"][..], "no rule belongs to a pack called `wintr`"),
        (&["--profile", "absent.toml"], "absent.toml"),
        (&["--van", "sheets"], "sheets"),
    ] {
        let told = site.refused(options);
        assert!(told.contains(said), "{told}");
        assert_eq!(site.files(), before);
    }
    let site = Site::new();
    site.refused(&["--pack", "wintr"]);
    assert!(!site.path("site").exists());
}

#[test]
fn the_folder_is_one_that_can_change_as_a_whole() {
    let site = Site::new();
    let run = |out: &[&str]| {
        let output = site.command("publish", out).output().unwrap();
        assert_eq!(output.status.code(), Some(2), "{out:?}");
        assert!(output.stdout.is_empty());
        String::from_utf8(output.stderr).unwrap()
    };
    let all = || (files_of(&site.path("")), files_of(&site.path("sheets")));
    let before = all();
    for (out, said) in [
        (&[][..], "no folder was named to publish in"),
        (&["--out", "."], "publish in a folder of its own"),
        (&["--out", ".."], "publish in a folder of its own"),
        (&["--out", "sheets"], "`sheets` holds `sheets/tires.csv`"),
        (&["--out", "vans"], "`vans` holds `vans`"),
        (&["--out", "sheets/tires.csv"], "`sheets/tires.csv` is no folder"),
    ] {
        let told = run(out);
        assert!(told.contains(said), "{out:?}: {told}");
        assert_eq!(all(), before);
    }
    for (id, said) in [("index", "would have the files of all vans"), ("ORLBECK-L4", "files of one name")] {
        let van = site.read("vans/orlbeck-l4.toml").replace("\"orlbeck-l4\"", &format!("\"{id}\""));
        site.write("vans/other.toml", &van);
        let told = run(&["--out", "site"]);
        assert!(told.contains(said) && told.contains("give the van another id"), "{told}");
    }
}

#[test]
fn runs_at_the_same_time_come_one_after_the_other() {
    let site = Site::new();
    let start =
        |set: &str| site.command("publish", &["--out", "site", "--set", set]).stdout(Stdio::null()).spawn();
    let runs: Vec<_> = ["4", "5", "6", "7"].iter().map(|set| start(set).unwrap()).collect();
    for mut run in runs {
        assert_eq!(run.wait().unwrap().code(), Some(0));
    }
    site.checked("manifest");
    assert_eq!(site.json("orlbeck-l4.json")["set"], site.json("wexholm-d46.json")["set"]);
    assert_eq!(left_over(&site), Vec::<String>::new());
}

/// A process that is killed at any moment of publishing leaves the old lists or the new ones.
#[cfg(unix)]
#[test]
fn a_killed_process_leaves_the_old_lists_or_the_new_ones() {
    let site = changed();
    site.write("site/note.txt", "mine");
    let old = site.files();
    let new = {
        let twin = changed();
        twin.write("site/note.txt", "mine");
        twin.published(&[]);
        twin.files()
    };
    assert_ne!(old, new);
    let changed = site.read("sheets/wheels.csv");
    let mut seen = [0, 0];
    for wait in 0..40 {
        site.write("sheets/wheels.csv", WHEELS);
        site.published(&[]);
        assert_eq!(site.files(), old);
        assert_eq!(left_over(&site), Vec::<String>::new(), "what a killed run left is cleared away");
        site.write("sheets/wheels.csv", &changed);
        let mut child = site
            .command("publish", &["--out", "site"])
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        std::thread::sleep(std::time::Duration::from_millis(wait * 4));
        // It may have ended by itself.
        let _ = child.kill();
        child.wait().unwrap();
        let left = site.files();
        assert!(left == old || left == new, "after {} ms: {:?}", wait * 4, left.keys());
        seen[usize::from(left == new)] += 1;
    }
    assert!(seen[0] > 0, "no run was killed early enough to tell anything: {seen:?}");
}

/// A disk that takes no more: here by the limit that the system sets on the size of a file.
#[cfg(unix)]
#[test]
fn a_full_disk_leaves_the_old_lists_whole() {
    let site = changed();
    let before = site.files();
    let command = site.command("publish", &["--out", "site"]);
    let words: Vec<String> = std::iter::once(command.get_program())
        .chain(command.get_args())
        .map(|word| format!("'{}'", word.to_string_lossy()))
        .collect();
    // Blocks of 512 or 1024 bytes: either way less than a page. The signal must not kill the run.
    let script = format!("trap '' XFSZ; ulimit -f 4; exec {}", words.join(" "));
    let output = Command::new("sh").args(["-c", &script]).current_dir(site.path("")).output().unwrap();
    let said = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2), "{said}");
    assert!(said.contains("cannot be written"), "{said}");
    assert!(output.stdout.is_empty());
    assert_eq!(site.files(), before);
    assert_eq!(left_over(&site), Vec::<String>::new(), "nothing is left lying about");
}
