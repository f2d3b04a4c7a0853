//! A batch that is killed at random moments, twenty times, and resumed.

use crate::studies::{Kept, cells, study};
use std::collections::BTreeMap;
use std::hash::{BuildHasher as _, RandomState};
use std::process::{Child, Stdio};
use std::time::Instant;
use support::program::{Yard, overwinter};

const KILLS: u32 = 20;
/// Of them, those that must fall between a batch's first finished cell and its last.
const BETWEEN: u32 = 3;
const STATIONS: usize = 6;

fn start(yard: &Yard) -> Child {
    overwinter()
        .args(["batch", "study.toml", "--out", "killed", "--threads", "2"])
        .current_dir(yard.path("."))
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .expect("started")
}

/// A number from 0 to 1 that no two runs of the test share: moments are to be random.
fn random() -> f64 {
    RandomState::new().hash_one(0) as f64 / u64::MAX as f64
}

#[test]
fn a_batch_killed_twenty_times_ends_with_the_bytes_of_one_that_was_not() {
    let yard = study(STATIONS);
    let begun = Instant::now();
    yard.succeed(&["batch", "study.toml", "--out", "whole", "--threads", "2"]);
    let took = begun.elapsed();
    let whole = cells(&yard, "whole");
    assert_eq!(whole.len(), 2 * STATIONS);

    let mut between = 0;
    let mut rounds = 0;
    let mut before: BTreeMap<String, Kept> = BTreeMap::new();
    for kill in 1..=KILLS {
        // At any moment of a third of the whole: most kills find work behind them and before them.
        let delay = took.mul_f64(random() / 3.0);
        let mut child = start(&yard);
        std::thread::sleep(delay);
        // SIGKILL on Unix: nothing in the program can catch it.
        child.kill().expect("killed");
        child.wait().expect("ended");

        let now = cells(&yard, "killed");
        for (name, cell) in &now {
            assert!(
                cell.bytes == whole[name].bytes,
                "kill {kill} after {delay:?}: {name} is not whole"
            );
        }
        lost_or_again(&before, &now, &format!("kill {kill} after {delay:?}"));
        if (1..whole.len()).contains(&now.len()) {
            between += 1;
        }
        before = now;
        if before.len() == whole.len() {
            resume(&yard, &before);
            std::fs::remove_dir_all(yard.path("killed")).expect("removed");
            before.clear();
            rounds += 1;
        }
    }
    assert!(
        between >= BETWEEN,
        "{between} kills fell between cells, {rounds} batches were finished"
    );
    resume(&yard, &before);
}

/// Runs to the end what was killed, and compares it with what was not: the same files, nothing half written among them, and the same bytes.
fn resume(yard: &Yard, before: &BTreeMap<String, Kept>) {
    yard.succeed(&["batch", "study.toml", "--out", "killed", "--threads", "2"]);
    lost_or_again(before, &cells(yard, "killed"), "resumed");
    let files = |folder: &str| -> BTreeMap<String, Vec<u8>> {
        let home = yard.path(folder);
        let names = yard.names().into_iter();
        names
            .filter(|path| path.starts_with(&home) && path.is_file())
            .map(|path| {
                let name = path.strip_prefix(&home).expect("in it");
                (
                    name.display().to_string(),
                    std::fs::read(&path).expect("a file"),
                )
            })
            .collect()
    };
    let (one, other) = (files("whole"), files("killed"));
    assert!(
        one.keys().eq(other.keys()),
        "{:?} {:?}",
        one.keys(),
        other.keys()
    );
    for (name, bytes) in &one {
        assert!(*bytes == other[name], "{name}");
    }
}

/// Every cell that was finished must be there still, and be the same file.
fn lost_or_again(before: &BTreeMap<String, Kept>, now: &BTreeMap<String, Kept>, when: &str) {
    for (name, cell) in before {
        let kept = now
            .get(name)
            .is_some_and(|now| now.modified == cell.modified);
        assert!(kept, "{when}: {name} was lost or made again");
    }
}
