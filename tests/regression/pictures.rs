//! Every chart of the built-in sample as it is drawn: the pictures of README and guide, and what a change does to them.
//!
//! They stand in `tests/pictures`. After a change that is meant, look at them and write them anew with one command:
//! `OVERWINTER_PICTURES=write cargo test --release --test regression pictures`.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use support::program::Yard;

/// Set to "write", pictures are written instead of compared.
const WRITE: &str = "OVERWINTER_PICTURES";

/// A folder of pictures and the command that makes them.
const COMMANDS: [(&str, &[&str]); 6] = [
    ("run", &["run", "--members", "300", "--quiet"]),
    (
        "compare",
        &[
            "compare",
            "sample",
            "--hive",
            "foam-two-boxes",
            "--members",
            "150",
            "--quiet",
        ],
    ),
    ("sensitivity", &["sensitivity", "--rows", "64", "--quiet"]),
    (
        "sweep",
        &[
            "sweep",
            "--set",
            "colony.bees=9000,12000,15500,19000",
            "--members",
            "60",
            "--quiet",
        ],
    ),
    (
        "sweep-two",
        &[
            "sweep",
            "--set",
            "colony.stores=12 kg,15 kg,18 kg",
            "--set",
            "colony.bees=9000,15500",
            "--members",
            "40",
            "--quiet",
        ],
    ),
    ("trace", &["trace"]),
];

fn folder(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/pictures")
        .join(name)
}

fn pictures(folder: &Path) -> BTreeSet<String> {
    let Ok(entries) = std::fs::read_dir(folder) else {
        return BTreeSet::new();
    };
    let names = entries.map(|entry| entry.expect("an entry").file_name());
    names
        .map(|name| name.into_string().expect("UTF-8"))
        .filter(|name| name.ends_with(".svg"))
        .collect()
}

#[test]
fn charts_of_the_sample_are_drawn_as_they_stand_in_the_readme() {
    let yard = Yard::new();
    let mut changed = Vec::new();
    for (name, command) in COMMANDS {
        yard.succeed(&[command, &["--out", name]].concat());
        let (made, kept) = (yard.path(name), folder(name));
        let names = pictures(&made);
        assert!(!names.is_empty(), "{name} draws nothing");
        if std::env::var(WRITE).is_ok_and(|how| how == "write") {
            // What is no longer drawn goes.
            let _ = std::fs::remove_dir_all(&kept);
            std::fs::create_dir_all(&kept).expect("a folder");
            for picture in &names {
                std::fs::copy(made.join(picture), kept.join(picture)).expect("copied");
            }
            continue;
        }
        changed.extend(
            names
                .symmetric_difference(&pictures(&kept))
                .map(|one| format!("{name}/{one}")),
        );
        let differs = |picture: &&String| {
            let kept = std::fs::read(kept.join(picture));
            kept.is_ok_and(|kept| kept != std::fs::read(made.join(picture)).expect("drawn"))
        };
        changed.extend(
            names
                .iter()
                .filter(differs)
                .map(|one| format!("{name}/{one}")),
        );
    }
    assert!(
        changed.is_empty(),
        "not as in tests/pictures: {}; look, and if it is meant: {WRITE}=write cargo test --release --test regression pictures",
        changed.join(", ")
    );
}

/// Pages of the guide.
fn pages() -> impl Iterator<Item = PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/guide");
    let files = std::fs::read_dir(folder).expect("the guide");
    files
        .map(|file| file.expect("a file").path())
        .filter(|path| path.extension().is_some_and(|end| end == "md"))
}

#[test]
fn every_picture_of_the_readme_and_guide_is_one_that_is_compared() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut shown = 0;
    for page in pages().chain([root.join("README.md")]) {
        let text = std::fs::read_to_string(&page).expect("a page");
        let pictures = text.split("tests/pictures/").skip(1);
        for picture in pictures.filter_map(|rest| rest.split(')').next()) {
            assert!(folder(picture).is_file(), "{picture} in {}", page.display());
            shown += 1;
        }
    }
    assert!(shown >= 6, "{shown}");
}

/// Links of the README and the guide lead to files that there are, and no page is longer than is read in one go.
#[test]
fn pages_are_short_and_their_links_lead_somewhere() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    for page in pages().chain([root.join("README.md"), root.join("DEVELOPERS.md")]) {
        let text = std::fs::read_to_string(&page).expect("a page");
        let most = if page.ends_with("README.md") {
            200
        } else {
            250
        };
        let lines = text.lines().count();
        assert!(lines <= most, "{}: {lines} lines", page.display());
        let links = text.split("](").skip(1);
        for link in links.filter_map(|rest| rest.split([')', '#']).next()) {
            let elsewhere = link.is_empty() || link.contains("://");
            let there = page.parent().is_some_and(|from| from.join(link).exists());
            assert!(elsewhere || there, "{link} in {}", page.display());
        }
    }
}
