//! A batch that is killed at random moments, twenty times, and resumed.

mod program;
mod studies;

use program::Yard;
use std::collections::BTreeMap;
use std::hash::{BuildHasher as _, RandomState};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};
use studies::{Kept, cells, study};

const KILLS: u32 = 20;
/// Of them, those that must have met the program at work.
const MET: u32 = 10;
const STATIONS: usize = 6;

fn start(yard: &Yard) -> Child {
    Command::new(assert_cmd::cargo::cargo_bin!("overwinter"))
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

    let mut met = 0;
    let mut between = 0;
    let mut before: BTreeMap<String, Kept> = BTreeMap::new();
    for kill in 1..=KILLS {
        let mut child = start(&yard);
        // A run gets a ninth of the whole at most, so that most kills find work left.
        let delay = took.mul_f64(random() / 9.0).max(Duration::from_millis(1));
        std::thread::sleep(delay);
        if child.try_wait().expect("a state").is_none() {
            met += 1;
        }
        // SIGKILL on Unix: nothing in the program can catch it.
        child.kill().expect("killed");
        child.wait().expect("ended");

        let now = cells(&yard, "killed");
        for (name, cell) in &now {
            assert!(cell.bytes == whole[name].bytes, "kill {kill} after {delay:?}: {name} is not whole");
        }
        for (name, cell) in &before {
            let kept = now.get(name).is_some_and(|now| now.modified == cell.modified);
            assert!(kept, "kill {kill} after {delay:?}: {name} was lost or made again");
        }
        if (1..whole.len()).contains(&now.len()) {
            between += 1;
        }
        before = now;
    }
    assert!(met >= MET, "only {met} kills met the program at work");
    assert!(between > 0, "no kill fell between the first cell and the last");

    yard.succeed(&["batch", "study.toml", "--out", "killed", "--threads", "2"]);
    let resumed = cells(&yard, "killed");
    for (name, cell) in &before {
        assert_eq!(resumed[name].modified, cell.modified, "{name} was made again");
    }
    let files = |folder: &str| -> BTreeMap<String, Vec<u8>> {
        let home = yard.path(folder);
        let names = yard.names().into_iter().filter(|path| path.starts_with(&home) && path.is_file());
        names
            .map(|path| {
                let name = path.strip_prefix(&home).expect("in it");
                (name.display().to_string(), std::fs::read(&path).expect("a file"))
            })
            .collect()
    };
    // The same files, nothing half written among them, and the same bytes.
    let (one, other) = (files("whole"), files("killed"));
    assert!(one.keys().eq(other.keys()), "{:?} {:?}", one.keys(), other.keys());
    for (name, bytes) in &one {
        assert!(*bytes == other[name], "{name}");
    }
}
