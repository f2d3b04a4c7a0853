//! Where results go: folders that appear whole or not at all, interrupts, pipes that close.

#[cfg(unix)]
use std::process::{Child, Command, Stdio};
use support::program::{Yard, overwinter};

#[test]
fn a_folder_that_is_there_is_kept_unless_forced() {
    let yard = Yard::new();
    let run = ["run", "--members", "2", "--out", "results"];
    yard.succeed(&run);
    let before = yard.read("results/summary.json");
    yard.write("results/notes.txt", "mine");
    yard.refuse(
        &["run", "--members", "3", "--out", "results"],
        &["results: is there already", "--force"],
    );
    assert_eq!(yard.read("results/summary.json"), before);
    yard.succeed(&["run", "--members", "3", "--out", "results", "--force"]);
    assert_ne!(yard.read("results/summary.json"), before);
    assert_eq!(yard.text("results/notes.txt"), "mine");
}

#[test]
fn a_folder_that_cannot_be_made_is_refused_before_the_work() {
    let yard = Yard::new();
    yard.write("file", "mine");
    // So many members that the run would take hours.
    let run = |out: &str, says: &[&str]| {
        yard.refuse(&["run", "--members", "1000000", "--out", out], says);
    };
    run("file", &["file: is a file; name a folder"]);
    run(
        "missing/results",
        &["missing: there is no such folder; make it first"],
    );
    run("file/results", &["file: is a file; name a folder"]);
    run(".", &[".: is there already"]);
    yard.refuse(&["run", "--force"], &["--out <DIR>"]);
    yard.refuse(
        &["trace", "--out", "missing/results"],
        &["missing: there is no such folder"],
    );
}

#[test]
fn a_winter_traced_goes_to_a_folder_too() {
    let yard = Yard::new();
    yard.succeed(&["trace", "--out", "winter"]);
    assert!(yard.text("winter/trace.csv").starts_with("# overwinter "));
    assert!(yard.text("winter/trace.json").starts_with('{'));
    let made = std::fs::read_dir(yard.path("winter")).expect("a folder");
    let mut made: Vec<_> = made
        .map(|entry| entry.expect("an entry").file_name())
        .collect();
    made.sort();
    let files = [
        "cut.png",
        "cut.svg",
        "report.html",
        "report.json",
        "trace.csv",
        "trace.json",
        "winter-hours.png",
        "winter-hours.svg",
    ];
    assert_eq!(made, files);
    yard.refuse(&["trace", "--out", "winter"], &["winter: is there already"]);
}

#[cfg(unix)]
fn begin(yard: &Yard, arguments: &[&str]) -> Child {
    overwinter()
        .args(arguments)
        .current_dir(yard.path("."))
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("started")
}

/// As Ctrl-C does, by the system's own `kill`.
#[cfg(unix)]
fn interrupts_leave_nothing(signal: &str) {
    let yard = Yard::new();
    let child = begin(&yard, &["run", "--members", "200000", "--out", "results"]);
    // Weather is read and members run by then; if they are not, the test holds all the same.
    std::thread::sleep(std::time::Duration::from_millis(1500));
    let sent = Command::new("kill")
        .args([signal, &child.id().to_string()])
        .status();
    assert!(sent.expect("kill").success());
    let ended = child.wait_with_output().expect("an end");
    assert_eq!(ended.status.code(), Some(1));
    assert_eq!(
        String::from_utf8_lossy(&ended.stderr),
        "error: interrupted\n"
    );
    assert!(ended.stdout.is_empty());
    assert!(yard.names().is_empty(), "{:?}", yard.names());
}

#[cfg(unix)]
#[test]
fn an_interrupt_ends_a_run_with_nothing_written() {
    interrupts_leave_nothing("-INT");
}

#[cfg(unix)]
#[test]
fn a_request_to_end_is_an_interrupt() {
    interrupts_leave_nothing("-TERM");
}

#[cfg(unix)]
#[test]
fn a_reader_that_goes_away_is_no_error() {
    use std::io::{BufRead as _, BufReader};
    let mut child = begin(&Yard::new(), &["trace", "--csv"]);
    let mut first = String::new();
    // More than a pipe holds is still to come when its end is closed.
    BufReader::with_capacity(64, child.stdout.take().expect("a pipe"))
        .read_line(&mut first)
        .expect("a line");
    assert!(first.starts_with("# overwinter "), "{first}");
    let ended = child.wait_with_output().expect("an end");
    assert_eq!(ended.status.code(), Some(0));
    assert!(ended.stderr.is_empty());
}

#[cfg(unix)]
#[test]
fn members_too_many_for_the_memory_are_refused_at_once_where_no_temporary_file_can_be_made() {
    let yard = Yard::new();
    let missing = yard.path("no-such-folder");
    let run = |members: &str| {
        overwinter()
            .args(["run", "--members", members])
            .env("TMPDIR", &missing)
            .output()
            .expect("started")
    };
    let ended = run("1000000");
    assert_eq!(ended.status.code(), Some(1));
    assert!(ended.stdout.is_empty());
    let words = String::from_utf8_lossy(&ended.stderr);
    let named = format!("error: {}: ", missing.display());
    assert!(
        words.starts_with(&named) && words.contains("TMPDIR"),
        "{words}"
    );
    assert_eq!(run("3").status.code(), Some(0));
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_is_an_error_of_the_work() {
    let full = std::fs::OpenOptions::new()
        .write(true)
        .open("/dev/full")
        .expect("a device");
    let ended = overwinter()
        .args(["run", "--members", "2"])
        .stdout(full)
        .output()
        .expect("started");
    assert_eq!(ended.status.code(), Some(1));
    assert!(
        String::from_utf8_lossy(&ended.stderr).starts_with("error: cannot write the results: ")
    );
}
