//! A run that is interrupted ends at once, and leaves no list that is half of one and half of another.

#![cfg(unix)]
#![expect(clippy::unwrap_used, reason = "a test's own helpers fail the test by panicking")]

use std::fmt::Write as _;
use std::os::unix::process::ExitStatusExt;
use std::path::Path;
use std::process::{Child, Command, ExitStatus, Stdio};
use std::time::{Duration, Instant};

use rustix::process::{Pid, Signal, kill_process};
use sha2::{Digest, Sha256};

/// Long enough for a busy machine, and far less than the runs would take.
const AT_ONCE: Duration = Duration::from_secs(5);

fn wheels(rows: usize) -> String {
    let mut text = String::from("SKU,Size,Bolt Pattern,Offset (mm),Center Bore (mm),Load Rating (lb),Seat\n");
    for row in 0..rows {
        let offset = 38 + row % 25;
        writeln!(text, "K7-{row:06},17x8.5,6x130,{offset},84.1,{},60 cone", 3000 + row % 900).unwrap();
    }
    text
}

fn rimsieve(arguments: &[&str], folder: &Path) -> Command {
    let van = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/vans/orlbeck-l4.toml");
    let mut command = Command::new(env!("CARGO_BIN_EXE_rimsieve"));
    command.args(arguments).args(["--no-shop", "--van"]).arg(van).current_dir(folder);
    command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
    command
}

/// What Ctrl-C does.
fn interrupt(child: &mut Child) -> ExitStatus {
    let pid = Pid::from_raw(i32::try_from(child.id()).unwrap()).unwrap();
    // It may have ended meanwhile.
    let _ = kill_process(pid, Signal::INT);
    let since = Instant::now();
    let status = child.wait().unwrap();
    assert!(since.elapsed() < AT_ONCE, "it went on for {:?}", since.elapsed());
    status
}

/// The files of a published folder, each found to be what the manifest says; how many parts its list has.
fn published(folder: &Path) -> usize {
    let manifest: serde_json::Value =
        serde_json::from_str(&std::fs::read_to_string(folder.join("manifest.json")).unwrap()).unwrap();
    let files = manifest["files"].as_object().unwrap();
    assert!(files.len() >= 5, "{manifest}");
    for (name, file) in files {
        let bytes = std::fs::read(folder.join(name)).unwrap();
        let sum: String = Sha256::digest(&bytes).iter().map(|byte| format!("{byte:02x}")).collect();
        assert_eq!(file["sha256"], sum.as_str(), "{name}");
    }
    let list = std::fs::read_to_string(folder.join("orlbeck-l4.csv")).unwrap();
    list.lines().count() - 1
}

#[test]
fn a_list_that_is_replaced_is_the_old_one_or_the_new_one() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    std::fs::write(folder.join("old.csv"), wheels(3)).unwrap();
    std::fs::write(folder.join("new.csv"), wheels(2_000)).unwrap();
    assert!(rimsieve(&["publish", "old.csv", "--out", "list"], folder).status().unwrap().success());
    let old = published(&folder.join("list"));
    let mut interrupted = 0;
    let mut delay = Duration::ZERO;
    loop {
        let mut child = rimsieve(&["publish", "new.csv", "--out", "list"], folder).spawn().unwrap();
        std::thread::sleep(delay);
        let status = interrupt(&mut child);
        let parts = published(&folder.join("list"));
        if status.signal() == Some(Signal::INT.as_raw()) {
            interrupted += 1;
        } else {
            assert!(status.success(), "{status}");
        }
        // Once the new list stands no later moment can put it in danger.
        if parts != old {
            assert!(parts > 3, "{parts} parts");
            break;
        }
        assert!(!status.success(), "it ended well, and the old list stands");
        delay = delay * 5 / 4 + Duration::from_millis(10);
    }
    assert!(interrupted > 2, "interrupted {interrupted} times only: no moment was put to the test");
}

#[test]
fn a_long_list_that_nobody_takes_ends_when_interrupted() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    std::fs::write(folder.join("wheels.csv"), wheels(60_000)).unwrap();
    let mut command = rimsieve(&["vet", "wheels.csv", "--format", "csv"], folder);
    // A pipe that is not read from fills up, and every thread waits.
    let mut child = command.stdout(Stdio::piped()).spawn().unwrap();
    std::thread::sleep(Duration::from_millis(300));
    let status = interrupt(&mut child);
    assert_eq!(status.signal(), Some(Signal::INT.as_raw()), "{status}");
}
