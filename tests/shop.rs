//! A shop folder: its file found from anywhere in it, what is typed in place of what it says, every problem
//! under its very words, and the commands of the sample's workflow and hooks as their files state them.

#![expect(clippy::unwrap_used, reason = "a test's own helpers fail the test by panicking")]

#[macro_use]
mod marked;

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use rimsieve::document::{Fault, FileProblem, Source};
use rimsieve::plan::SheetSource;
use rimsieve::shop::{FILE_NAME, Fill, Shop, find, read_shop};
use tempfile::TempDir;

use marked::{Wanted, is, told};

/// A copy of the sample shop that a test may change.
fn sample() -> TempDir {
    fn copy(from: &Path, to: &Path) {
        std::fs::create_dir_all(to).unwrap();
        for entry in std::fs::read_dir(from).unwrap() {
            let path = entry.unwrap().path();
            let place = to.join(path.file_name().unwrap());
            if path.is_dir() {
                copy(&path, &place);
            } else {
                std::fs::copy(&path, place).unwrap();
            }
        }
    }
    let folder = tempfile::tempdir().unwrap();
    copy(&project().join("samples/shop"), folder.path());
    folder
}

fn project() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn run_in(folder: &Path, arguments: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_rimsieve"));
    command.args(arguments).current_dir(folder).output().unwrap()
}

fn out(output: &Output) -> &str {
    std::str::from_utf8(&output.stdout).unwrap()
}

fn aside(output: &Output) -> &str {
    std::str::from_utf8(&output.stderr).unwrap()
}

/// What a command prints that ends with 0.
fn done(folder: &Path, arguments: &[&str]) -> String {
    let output = run_in(folder, arguments);
    assert_eq!(output.status.code(), Some(0), "{arguments:?}\n{}", aside(&output));
    out(&output).to_owned()
}

/// The words of a command that could not be done.
fn cannot(folder: &Path, arguments: &[&str]) -> String {
    let output = run_in(folder, arguments);
    assert_eq!(output.status.code(), Some(2), "{arguments:?}\n{}{}", out(&output), aside(&output));
    assert_eq!(out(&output), "", "{arguments:?}");
    aside(&output).to_owned()
}

/// The lines of a report in JSON that are about one van.
fn of_van<'t>(lines: &'t str, van: &str) -> BTreeSet<&'t str> {
    lines.lines().filter(|line| line.contains(&format!("\"van\":\"{van}\""))).collect()
}

const ALL: [&str; 12] = [
    "vet",
    "sheets/pellowick.csv",
    "sheets/skarnwell.csv",
    "sheets/tires.csv",
    "--van",
    "vans",
    "--profile",
    "profiles/skarnwell.toml",
    "--rules",
    "rules",
    "--pack",
    "winter",
];

#[test]
fn a_shop_file_stands_for_the_arguments_it_states_from_anywhere_in_its_folder() {
    let shop = sample();
    let typed = [&ALL[..], &["--no-shop", "--format", "jsonl"]].concat();
    let wanted = done(shop.path(), &typed);
    assert_eq!(wanted.lines().count(), 100);
    let deep = shop.path().join("sheets/2026/march");
    std::fs::create_dir_all(&deep).unwrap();
    let file = shop.path().join(FILE_NAME);
    let named = ["vet", "--format", "jsonl", "--shop", file.to_str().unwrap()];
    let by_folder = ["vet", "--format", "jsonl", "--shop", shop.path().to_str().unwrap()];
    for (folder, arguments) in [
        (shop.path(), &["vet", "--format", "jsonl"][..]),
        (&shop.path().join("vans"), &["vet", "--format", "jsonl"]),
        (&deep, &["vet", "--format", "jsonl"]),
        (project(), &named),
        (project(), &by_folder),
    ] {
        assert_eq!(done(folder, arguments), wanted, "{}", folder.display());
    }
}

#[test]
fn each_command_takes_from_the_shop_file_what_it_needs_and_says_so() {
    let shop = sample();
    let all = "sheets, vans, profiles, rules, packs";
    for (arguments, taken) in [
        (&["vet"][..], all),
        (&["gate"], "sheets, vans, profiles, rules, packs, ledger"),
        (&["why", "SK-T05"], all),
        (&["survey"], "sheets, profiles"),
        (&["rules"], "rules"),
        (&["rules", "check"], "vans, rules"),
        (&["pair", "--van", "vans/orlbeck-l4.toml"], "sheets, profiles, rules, packs"),
        (&["vet", "sheets/tires.csv", "--pack", "us-road"], "vans, profiles, rules"),
    ] {
        let output = run_in(shop.path(), arguments);
        assert_eq!(output.status.code(), Some(0), "{arguments:?}\n{}", aside(&output));
        assert_eq!(aside(&output), format!("from rimsieve.toml: {taken}\n"), "{arguments:?}");
        assert!(!out(&output).is_empty());
        let quiet = run_in(shop.path(), &[arguments, &["--quiet"]].concat());
        assert_eq!((out(&quiet), aside(&quiet)), (out(&output), ""), "{arguments:?}");
    }
    let rules = done(shop.path(), &["rules"]);
    assert!(rules.contains("step-height"), "{rules}");
    let checked = done(shop.path(), &["rules", "check"]);
    assert!(checked.contains("2 vans") && checked.contains("1 rule "), "{checked}");
}

#[test]
fn what_is_typed_stands_in_place_of_the_same_setting_and_of_no_other() {
    let shop = sample();
    let all = done(shop.path(), &["vet", "--format", "jsonl"]);
    let one = done(shop.path(), &["vet", "--format", "jsonl", "--van", "vans/orlbeck-l4.toml"]);
    assert_eq!(one.lines().collect::<BTreeSet<_>>(), of_van(&all, "orlbeck-l4"));
    // The profile still tells what Skarnwell's loads are in.
    let sheet = done(shop.path(), &["vet", "sheets/skarnwell.csv", "--format", "jsonl"]);
    let wanted: Vec<&str> = all.lines().filter(|line| line.contains("skarnwell.csv")).collect();
    assert_eq!(sheet.lines().collect::<Vec<_>>(), wanted);
    // Another pack: winter's only rule rests.
    let winter = "\"rule\":\"snow-mark\"";
    let other = done(shop.path(), &["vet", "--format", "jsonl", "--pack", "us-road"]);
    assert!(all.contains(winter) && !other.contains(winter));
}

#[test]
fn a_set_of_the_shop_file_counts_unless_one_is_typed() {
    let shop = sample();
    let file = shop.path().join(FILE_NAME);
    let text = std::fs::read_to_string(&file).unwrap();
    std::fs::write(&file, format!("{text}set = 4\n")).unwrap();
    let count = |arguments: &[&str]| {
        let told =
            done(shop.path(), &[&["why", "SK-T05", "--van", "vans/orlbeck-l4.toml"], arguments].concat());
        let at = told.find(" x lug bolt").unwrap();
        told[..at].rsplit(' ').next().unwrap().to_owned()
    };
    assert_eq!((count(&[]), count(&["--set", "5"])), ("24".to_owned(), "30".to_owned()));
}

#[test]
fn lists_are_published_where_the_shop_file_says_unless_a_folder_is_typed() {
    let shop = sample();
    let names = |folder: &str| -> BTreeSet<String> {
        let files = std::fs::read_dir(shop.path().join(folder)).unwrap();
        files.map(|file| file.unwrap().file_name().to_string_lossy().into_owned()).collect()
    };
    let output = run_in(&shop.path().join("vans"), &["publish"]);
    let taken = "from ../rimsieve.toml: sheets, vans, profiles, rules, packs, outputs\n";
    assert!(aside(&output).starts_with(taken), "{}", aside(&output));
    let told = out(&output);
    assert!(told.starts_with("Published in ../published\n"), "{told}");
    let published = names("published");
    assert!(published.contains("wexholm-d46.xlsx") && published.contains("manifest.json"), "{published:?}");
    done(shop.path(), &["publish", "--out", "lists"]);
    assert_eq!(names("lists"), published);
}

#[test]
fn packages_are_for_one_van_and_the_message_names_those_there_are() {
    let shop = sample();
    let said = cannot(&shop.path().join("sheets"), &["pair", "--quiet"]);
    for part in ["here are 2", "orlbeck-l4: ../vans/orlbeck-l4.toml", "wexholm-d46: ../vans/wexholm-d46.toml"]
    {
        assert!(said.contains(part), "{said}");
    }
}

#[test]
fn without_a_shop_file_what_is_not_typed_is_asked_for() {
    let shop = sample();
    std::fs::remove_file(shop.path().join(FILE_NAME)).unwrap();
    for (arguments, part) in [
        (&["vet"][..], "no SHEET was named"),
        (&["survey"], "no SHEET was named"),
        (&["vet", "sheets"], "no van was named"),
        (&["gate"], "no ledger was named"),
        (&["gate", "sheets", "--ledger", "ledger.txt"], "no van was named"),
        (&["pair", "sheets"], "no van was named"),
        (&["publish", "sheets"], "no folder was named to publish in"),
        (&["publish", "sheets", "--out", "lists"], "no van was named"),
    ] {
        let said = cannot(shop.path(), arguments);
        assert!(said.contains(part) && said.contains(FILE_NAME), "{said}");
    }
}

#[test]
fn a_shop_file_may_state_as_little_as_it_likes() {
    let shop = sample();
    std::fs::write(shop.path().join(FILE_NAME), "vans = \"vans\"\n").unwrap();
    let lines = done(shop.path(), &["vet", "sheets/tires.csv", "--format", "jsonl"]);
    assert_eq!(lines.lines().count(), 50);
    std::fs::write(shop.path().join(FILE_NAME), "").unwrap();
    let output = run_in(shop.path(), &["vet", "sheets/tires.csv", "--van", "vans"]);
    assert_eq!((output.status.code(), aside(&output)), (Some(0), ""));
}

#[test]
fn only_what_a_command_needs_has_to_be_there() {
    let shop = sample();
    let file = shop.path().join(FILE_NAME);
    std::fs::write(&file, "sheets = [\"sheets/tires.csv\"]\nvans = [\"gone\", \"lost/*.toml\"]\n").unwrap();
    done(shop.path(), &["survey"]);
    done(shop.path(), &["vet", "--van", "vans"]);
    let said = cannot(shop.path(), &["vet"]);
    // Both, each under its own line of the file.
    for part in
        ["nothing is found at `gone`", "nothing is found at `lost/*.toml`", "rimsieve.toml:2:", "\"gone\""]
    {
        assert!(said.contains(part), "{said}");
    }
}

#[test]
fn a_broken_shop_file_stops_every_command_that_reads_it_and_no_other() {
    let shop = sample();
    let file = shop.path().join(FILE_NAME);
    std::fs::write(&file, "sheet = \"sheets\"\nset = 0\n").unwrap();
    for arguments in [&["vet"][..], &ALL, &["survey", "sheets"], &["why", "SK-T05"], &["rules"], &["pair"]] {
        let said = cannot(shop.path(), arguments);
        for part in
            ["no setting called `sheet`", "is `sheets` meant?", "settings here are:", "1 to 100 wheels"]
        {
            assert!(said.contains(part), "{arguments:?}\n{said}");
        }
    }
    for arguments in [&["schema", "shop"][..], &["completions", "bash"], &["manual"], &["vet", "--help"]] {
        done(shop.path(), arguments);
    }
    done(shop.path(), &[&ALL[..], &["--no-shop"]].concat());
    done(shop.path(), &["rules", "check", "vans"]);
    let said = cannot(shop.path(), &["vet", "--shop", "elsewhere.toml"]);
    assert!(said.contains("elsewhere.toml") && said.contains("cannot be read"), "{said}");
}

#[test]
fn every_problem_of_a_shop_file_is_found_under_its_very_words() {
    let cases: [(&str, &[Wanted]); 9] = [
        ("sheet = \"a\"", &[at!("sheet", Fault::UnknownKey { nearest, .. } if is(nearest, "sheets"))]),
        ("sheets = 7", &[at!("7", Fault::WrongType { wanted: "a list", .. })]),
        (
            "vans = [\"vans\", 7, \" \"]",
            &[at!("7", Fault::WrongType { wanted: "text in quotes", .. }), at!(" ", Fault::Empty)],
        ),
        ("sheets = [\"a\", \"s/[a.csv\"]", &[at!("s/[a.csv", Fault::Pattern { .. })]),
        ("rules = \"a***b\"", &[at!("a***b", Fault::Pattern { .. })]),
        ("ledger = [\"l.txt\"]", &[at!("[\"l.txt\"]", Fault::WrongType { wanted: "text in quotes", .. })]),
        ("outputs = \"\"", &[at!("", Fault::Empty)]),
        ("set = 101", &[at!("101", Fault::SetSize { most: 100 })]),
        ("sheets = [\"a\"", &[at!("", Fault::Syntax(_))]),
    ];
    for (text, wanted) in cases {
        let (shop, found) = read_shop(&Source::new(FILE_NAME, text), Path::new(""));
        assert!(shop.is_none(), "{text}");
        assert_eq!(found.len(), wanted.len(), "{text}\n{}", told(&found));
        for (problem, Wanted(marked, pattern, matches)) in found.iter().zip(wanted) {
            let right = matches(problem.fault()) && (problem.marked() == *marked || marked.is_empty());
            assert!(right, "{text}: wanted {pattern} at `{marked}`, found\n{}", told(&found));
        }
    }
}

#[test]
fn a_pack_that_no_rule_belongs_to_is_shown_where_the_shop_file_names_it() {
    let shop = sample();
    let file = shop.path().join(FILE_NAME);
    std::fs::write(&file, "packs = [\"us-road\", \"wintr\"]\n").unwrap();
    let open = Shop::open(&file).unwrap();
    let mut fill = Fill::new(Some(&open));
    assert_eq!(fill.packs(Vec::new(), &[]), ["us-road", "wintr"]);
    let problems = fill.finish().unwrap_err().0;
    let marked: Vec<&str> = problems.iter().map(FileProblem::marked).collect();
    assert_eq!(marked, ["wintr"]);
    assert!(matches!(problems[0].fault(), Fault::WordNotAllowed { nearest, .. } if is(nearest, "winter")));
}

#[test]
fn ledger_and_outputs_start_from_the_shop_files_folder_and_need_not_be_there_yet() {
    let shop = sample();
    let open = Shop::open(&shop.path().join(FILE_NAME)).unwrap();
    let mut fill = Fill::new(Some(&open));
    assert_eq!(fill.ledger(None), Some(shop.path().join("ledger.txt")));
    assert_eq!(fill.outputs(None), Some(shop.path().join("published")));
    assert_eq!(fill.finish().unwrap().unwrap().settings, ["ledger", "outputs"]);
    let mut fill = Fill::new(Some(&open));
    let typed = Some(PathBuf::from("mine"));
    assert_eq!((fill.ledger(typed.clone()), fill.outputs(typed.clone())), (typed.clone(), typed));
    assert_eq!(fill.finish().unwrap(), None);
    let mut fill = Fill::new(None);
    assert_eq!((fill.ledger(None), fill.outputs(None)), (None, None));
    let typed = vec![SheetSource::StandardInput];
    assert_eq!(fill.sheets(typed.clone()), typed);
}

#[test]
fn the_nearest_shop_file_above_counts_and_a_folder_of_that_name_does_not() {
    let outer = tempfile::tempdir().unwrap();
    let inner = outer.path().join("a/b");
    std::fs::create_dir_all(inner.join(FILE_NAME)).unwrap();
    std::fs::write(outer.path().join(FILE_NAME), "").unwrap();
    assert_eq!(find(&inner), Some(Path::new("../..").join(FILE_NAME)));
    std::fs::write(outer.path().join("a").join(FILE_NAME), "").unwrap();
    assert_eq!(find(&inner), Some(Path::new("..").join(FILE_NAME)));
    assert_eq!(find(outer.path()), Some(PathBuf::from(FILE_NAME)));
}

/// The command lines of a workflow or hooks file: what stands behind its `run:` and `entry:` keys.
fn command_lines(file: &Path) -> Vec<String> {
    let text = std::fs::read_to_string(file).unwrap();
    let said = |line: &str| {
        let line = line.trim_start().trim_start_matches("- ");
        line.strip_prefix("run: ").or_else(|| line.strip_prefix("entry: ")).map(str::to_owned)
    };
    let lines: Vec<String> = text.lines().filter_map(said).collect();
    // A block of several lines, or another key that runs something, would go unseen here.
    assert!(!text.contains("run: |") && !text.contains("run: >") && !text.contains("uses:"), "{text}");
    assert!(!lines.is_empty());
    lines
}

/// What the host does before rimsieve is there: it needs a network and addresses of its own.
fn is_setting_up(line: &str) -> bool {
    line.starts_with("git clone ") || line.starts_with("cargo install ")
}

#[test]
fn the_commands_of_the_workflow_and_the_hooks_do_as_their_files_say() {
    let program = Path::new(env!("CARGO_BIN_EXE_rimsieve")).parent().unwrap();
    let path = std::env::join_paths(
        [program.to_owned()].into_iter().chain(std::env::split_paths(&std::env::var_os("PATH").unwrap())),
    );
    let path = path.unwrap();
    let run = |shop: &Path, line: &str| {
        Command::new("sh").args(["-c", line]).env("PATH", &path).current_dir(shop).output().unwrap()
    };
    for (file, setting_up) in [("ci/workflow.yml", 2), (".pre-commit-config.yaml", 0)] {
        let shop = sample();
        let lines = command_lines(&shop.path().join(file));
        assert_eq!(lines.iter().filter(|line| is_setting_up(line)).count(), setting_up, "{file}");
        let ours: Vec<&String> = lines.iter().filter(|line| !is_setting_up(line)).collect();
        for line in &ours {
            assert!(line.starts_with("rimsieve "), "{file}: {line}");
            let output = run(shop.path(), line);
            assert_eq!(output.status.code(), Some(0), "{file}: {line}\n{}", aside(&output));
        }
        // A van file that does not check and a row that cannot be read: some command must stop each.
        let van = shop.path().join("vans/orlbeck-l4.toml");
        let text = std::fs::read_to_string(&van).unwrap();
        std::fs::write(&van, text.replace("pilot  = \"84.1 mm\"", "pilot  = 84.1")).unwrap();
        assert!(ours.iter().any(|line| run(shop.path(), line).status.code() != Some(0)), "{file}");
        std::fs::write(&van, text).unwrap();
        let sheet = shop.path().join("sheets/pellowick.csv");
        let text = std::fs::read_to_string(&sheet).unwrap();
        std::fs::write(&sheet, text.replace(",1000,", ",1OOO,")).unwrap();
        assert!(ours.iter().any(|line| run(shop.path(), line).status.code() == Some(1)), "{file}");
        // Every row can be read, and yet the list got worse: that is the gate's alone to say.
        std::fs::write(&sheet, text.replace(",1000,", ",800,")).unwrap();
        let red: Vec<&&String> =
            ours.iter().filter(|line| run(shop.path(), line).status.code() == Some(1)).collect();
        assert!(matches!(red.as_slice(), [line] if line.starts_with("rimsieve gate")), "{file}: {red:?}");
    }
}

#[test]
fn the_gates_sentences_read_as_sentences() {
    for (from, to, wanted) in [
        // A load left out.
        (
            "84,1 mm;1500;",
            "84,1 mm;;",
            "wheel SK-T04 cannot stay on the list of orlbeck-l4: it is unproven: load rating: the cell is empty",
        ),
        // A bore that would need hub rings, where none was needed.
        (
            "84,1 mm;1500;",
            "93,1 mm;1500;",
            "wheel SK-T04 needs work for orlbeck-l4 that it did not need: it fits with hub rings to 84.1 mm",
        ),
        // A load that cannot be: two rules are open by it, and it is said once.
        (
            "84,1 mm;1500;",
            "84,1 mm;15000;",
            "it is unproven: load rating: load rating 15000 kg cannot be right for a van's wheel; load rating was",
        ),
    ] {
        let shop = sample();
        let sheet = shop.path().join("sheets/skarnwell.csv");
        let text = std::fs::read_to_string(&sheet).unwrap();
        std::fs::write(&sheet, text.replacen(from, to, 1)).unwrap();
        let output = run_in(shop.path(), &["gate", "--format", "json", "--quiet"]);
        assert_eq!(output.status.code(), Some(1), "{to}: {}", aside(&output));
        assert!(out(&output).contains(wanted), "{wanted}\n{}", out(&output));
    }
}

#[test]
fn completions_are_written_for_every_shell_and_complete_in_one() {
    for shell in ["bash", "elvish", "fish", "powershell", "zsh"] {
        let text = done(project(), &["completions", shell]);
        for word in ["survey", "fail-on", "no-shop", "completions"] {
            assert!(text.contains(word), "{shell}: {word}");
        }
    }
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("rimsieve.bash"), done(project(), &["completions", "bash"])).unwrap();
    for (typed, wanted) in [("sur", "survey"), ("comp", "completions")] {
        let script = format!(
            "source rimsieve.bash; COMP_WORDS=(rimsieve {typed}); COMP_CWORD=1; \
             _rimsieve rimsieve {typed} rimsieve; echo ${{COMPREPLY[@]}}"
        );
        let output = Command::new("bash").args(["-c", &script]).current_dir(folder.path()).output().unwrap();
        assert_eq!(out(&output).trim(), wanted, "{}", aside(&output));
    }
}

#[test]
fn the_manual_has_a_page_for_every_command_and_a_word_for_every_option() {
    let folder = tempfile::tempdir().unwrap();
    let pages = folder.path().join("share/man");
    done(project(), &["manual", "--out", pages.to_str().unwrap()]);
    let mut written: Vec<String> = std::fs::read_dir(&pages)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    written.sort();
    let help = done(project(), &["--help"]);
    let commands: Vec<&str> = help
        .lines()
        .skip_while(|line| *line != "Commands:")
        .skip(1)
        .take_while(|line| !line.is_empty())
        .filter_map(|line| line.split_whitespace().next())
        .filter(|word| *word != "help")
        .collect();
    assert!(commands.len() >= 8, "{commands:?}");
    for command in commands {
        let page = std::fs::read_to_string(pages.join(format!("rimsieve-{command}.1"))).unwrap();
        let help = done(project(), &[command, "--help"]);
        let options = help.split_whitespace().filter(|word| word.starts_with("--"));
        let options: BTreeSet<&str> =
            options.map(|word| word.trim_end_matches(|letter: char| !letter.is_alphanumeric())).collect();
        for option in options.iter().filter(|option| option.len() > 2) {
            let escaped = option.replace('-', "\\-");
            assert!(page.contains(&escaped), "{command}: {option}");
        }
    }
    assert!(written.contains(&"rimsieve-rules-check.1".to_owned()), "{written:?}");
    let page = done(project(), &["manual"]);
    assert_eq!(page, std::fs::read_to_string(pages.join("rimsieve.1")).unwrap());
    for part in [".TH rimsieve 1", ".SH NAME", ".SH \"EXIT STATUS\"", ".SH FILES", "rimsieve.toml"] {
        assert!(page.contains(part), "{part}\n{page}");
    }
    // A folder that cannot be made: a file stands in its place.
    let said = cannot(project(), &["manual", "--out", "README.md/man"]);
    assert!(said.contains("README.md/man"), "{said}");
}
