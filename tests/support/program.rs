//! The program as a user starts it, in a folder of its own.

use serde_json::Value;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::Arc;
use std::sync::LazyLock;
use std::sync::atomic::AtomicBool;
use tempfile::TempDir;

/// The program, to be started with the signals of a terminal's foreground job.
///
/// A shell has a background job ignore interrupts, and its children would. A signal that is caught is set back where a program starts, so it is caught here.
pub fn overwinter() -> Command {
    static CAUGHT: LazyLock<()> = LazyLock::new(|| {
        #[cfg(unix)]
        for signal in [
            signal_hook::consts::SIGINT,
            signal_hook::consts::SIGTERM,
            signal_hook::consts::SIGHUP,
        ] {
            let always = Arc::new(AtomicBool::new(true));
            signal_hook::flag::register_conditional_shutdown(signal, 128 + signal, always)
                .expect("a handler");
        }
    });
    LazyLock::force(&CAUGHT);
    Command::new(assert_cmd::cargo::cargo_bin("overwinter"))
}

/// What a start gave.
#[derive(Debug)]
pub struct Ended {
    /// The exit code.
    pub code: i32,
    /// What it printed.
    pub out: String,
    /// What it said on standard error.
    pub err: String,
}

/// A folder that programs are started in.
pub struct Yard {
    folder: TempDir,
}

impl Default for Yard {
    fn default() -> Self {
        Self {
            folder: tempfile::tempdir().expect("a folder"),
        }
    }
}

impl Yard {
    /// An empty one.
    pub fn new() -> Self {
        Self::default()
    }

    /// Path of a file in it.
    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// Writes a file, with the folders above it.
    pub fn write(&self, name: &str, bytes: impl AsRef<[u8]>) {
        let path = self.path(name);
        std::fs::create_dir_all(path.parent().expect("a parent")).expect("a folder");
        std::fs::write(path, bytes).expect("a file");
    }

    /// Bytes of a file.
    pub fn read(&self, name: &str) -> Vec<u8> {
        std::fs::read(self.path(name)).expect("a file")
    }

    /// Text of a file.
    pub fn text(&self, name: &str) -> String {
        String::from_utf8(self.read(name)).expect("UTF-8")
    }

    /// The program with these arguments, to be started here.
    pub fn command(&self, arguments: &[&str]) -> assert_cmd::Command {
        let mut command = assert_cmd::Command::from_std(overwinter());
        command.current_dir(self.folder.path()).args(arguments);
        command
    }

    /// Starts the program and waits for its end.
    pub fn start(&self, arguments: &[&str]) -> Ended {
        let output = self.command(arguments).output().expect("started");
        let text = |bytes| String::from_utf8(bytes).expect("UTF-8");
        Ended {
            code: output.status.code().expect("an exit code"),
            out: text(output.stdout),
            err: text(output.stderr),
        }
    }

    /// Starts the program, which must succeed and say nothing on standard error.
    #[track_caller]
    pub fn succeed(&self, arguments: &[&str]) -> String {
        let ended = self.start(arguments);
        assert_eq!((ended.code, ended.err.as_str()), (0, ""), "{arguments:?}");
        ended.out
    }

    /// Starts the program, which must refuse with code 2, say one error that has all of `says`, print and write nothing.
    #[track_caller]
    pub fn refuse(&self, arguments: &[&str], says: &[&str]) {
        let before = self.names();
        let ended = self.start(arguments);
        assert_eq!(ended.code, 2, "{arguments:?}: {ended:?}");
        assert_eq!(ended.out, "", "{arguments:?}");
        let errors = ended.err.lines().filter(|line| line.contains("error"));
        assert_eq!(errors.count(), 1, "{arguments:?}: {}", ended.err);
        assert!(ended.err.starts_with("error: "), "{}", ended.err);
        for words in says {
            assert!(
                ended.err.contains(words),
                "{arguments:?}: '{words}' is not in: {}",
                ended.err
            );
        }
        assert_eq!(self.names(), before, "{arguments:?} left something");
    }

    /// All files and folders, hidden ones too.
    pub fn names(&self) -> BTreeSet<PathBuf> {
        let mut names = BTreeSet::new();
        let mut folders = vec![self.folder.path().to_owned()];
        while let Some(folder) = folders.pop() {
            for entry in std::fs::read_dir(folder).expect("a folder") {
                let path = entry.expect("an entry").path();
                if path.is_dir() {
                    folders.push(path.clone());
                }
                names.insert(path);
            }
        }
        names
    }
}

/// A file of the repository.
pub fn shipped(name: &str) -> Vec<u8> {
    std::fs::read(
        Path::new(env!("CARGO_MANIFEST_DIR"))
            .join("../..")
            .join(name),
    )
    .expect("a shipped file")
}

/// The sample's first winter with its head, as text.
pub fn one_winter() -> String {
    let text = String::from_utf8(shipped("weather/kettlewend.csv")).expect("UTF-8");
    let lines = text.lines().filter(|line| {
        !line.starts_with('2') || line.starts_with("2011-") || line.starts_with("2012-0")
    });
    // The sample's winters end in May, the next begins in September.
    lines
        .take_while(|line| !line.starts_with("2012-09"))
        .map(|line| format!("{line}\n"))
        .collect()
}

/// The starter scenario, with its weather from `file`.
pub fn scenario_with_weather(file: &str) -> String {
    let yard = Yard::new();
    yard.succeed(&["new", "starter.toml"]);
    let starter = yard.text("starter.toml");
    let (before, after) = starter
        .split_once("sample = true ")
        .expect("the starter runs the sample");
    format!("{before}files = [{file:?}] {after}")
}

/// A commented CSV table: its head and its rows.
pub fn table(text: &str) -> (Vec<String>, Vec<Vec<String>>) {
    let mut reader = csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .from_reader(text.as_bytes());
    let cells = |record: &csv::StringRecord| record.iter().map(str::to_owned).collect();
    let head = cells(reader.headers().expect("a head"));
    let rows = reader.records().map(|row| cells(&row.expect("a row")));
    let rows = rows.collect();
    (head, rows)
}

/// The column of that name, as numbers.
#[track_caller]
pub fn column((head, rows): &(Vec<String>, Vec<Vec<String>>), name: &str) -> Vec<f64> {
    let place = head.iter().position(|head| head == name);
    let place = place.unwrap_or_else(|| panic!("no column {name} in {head:?}"));
    let number = |row: &Vec<String>| row[place].parse().expect("a number");
    rows.iter().map(number).collect()
}

/// The number that a JSON pointer leads to.
#[track_caller]
pub fn number(value: &Value, pointer: &str) -> f64 {
    let found = value.pointer(pointer).and_then(Value::as_f64);
    found.unwrap_or_else(|| panic!("no number at {pointer} in {value:#}"))
}
