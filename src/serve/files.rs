//! Weather files of the folder that is served: those that lie in it themselves, by name.

use crate::weather::layout_of;
use std::path::Path;

/// Largest file that is offered, bytes: forty years of hours with every column take some 100 MB.
const MOST_BYTES: u64 = 256 << 20;
/// Most entries of a folder that are looked at.
const MOST_ENTRIES: usize = 2_000;
/// Most files that are offered.
const MOST_FILES: usize = 200;

/// A weather file of the folder.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct WeatherFile {
    /// Its name in the folder.
    pub name: String,
    /// Layout in which it is.
    pub layout: &'static str,
}

/// Files of a folder in a layout that is known, by name. Links, folders, hidden and very large files are left out, and what cannot be read.
pub(super) fn weather_files(folder: &Path) -> Vec<WeatherFile> {
    // The folder in which the program runs has no name in the paths of its files.
    let listed = match folder.as_os_str().is_empty() {
        true => Path::new("."),
        false => folder,
    };
    let entries = std::fs::read_dir(listed).into_iter().flatten().flatten();
    let names = entries
        .take(MOST_ENTRIES)
        .filter_map(|entry| entry.file_name().into_string().ok());
    let mut names: Vec<String> = names.filter(|name| plain(name)).collect();
    names.sort();
    let files = names.into_iter().filter_map(|name| file(folder, &name));
    files.take(MOST_FILES).collect()
}

/// The file of that name, if it is one that [`weather_files`] offers.
pub(super) fn file(folder: &Path, name: &str) -> Option<WeatherFile> {
    let path = folder.join(name);
    // Of the entry itself, not of what a link leads to.
    let found = path.symlink_metadata().ok()?;
    if !plain(name) || !found.is_file() || found.len() > MOST_BYTES {
        return None;
    }
    Some(WeatherFile {
        name: name.to_owned(),
        layout: layout_of(&path).ok()?,
    })
}

/// A name of a file and no path: no separator of any system, nothing hidden, nothing that is not seen.
fn plain(name: &str) -> bool {
    !name.is_empty()
        && !name.starts_with('.')
        && !name.contains(['/', '\\', ':'])
        && !name.chars().any(unseen)
}

/// Control characters and marks that turn text round: a name with them is not what it looks like.
fn unseen(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{61c}')
}

#[cfg(test)]
mod tests {
    use super::*;

    const WEATHER: &str = "time,temperature_c\n2019-11-01T00:00,3\n";

    #[test]
    fn only_weather_files_of_the_folder_itself_are_offered() {
        let home = tempfile::tempdir().expect("a folder");
        let folder = home.path().join("served");
        std::fs::create_dir_all(folder.join("inner.csv")).expect("a folder");
        let write =
            |name: &str, text: &str| std::fs::write(folder.join(name), text).expect("a file");
        write("b.csv", WEATHER);
        write("a <script>.csv", WEATHER);
        write(".hidden.csv", WEATHER);
        write("notes.txt", "dear diary");
        write("empty.csv", "");
        std::fs::write(home.path().join("outside.csv"), WEATHER).expect("a file");
        #[cfg(unix)]
        std::os::unix::fs::symlink(home.path().join("outside.csv"), folder.join("link.csv"))
            .expect("a link");
        let files = weather_files(&folder);
        let names: Vec<&str> = files.iter().map(|file| file.name.as_str()).collect();
        assert_eq!(names, ["a <script>.csv", "b.csv"]);
        assert_eq!(files[0].layout, "plain");
        for name in [
            "../outside.csv",
            "link.csv",
            ".hidden.csv",
            "inner.csv",
            "",
            ".",
            "..",
            "inner.csv/../b.csv",
        ] {
            assert_eq!(file(&folder, name), None, "{name}");
        }
        let absolute = folder.join("b.csv");
        assert_eq!(file(&folder, absolute.to_str().expect("UTF-8")), None);
    }

    #[test]
    fn a_file_of_immense_size_is_not_offered() {
        let home = tempfile::tempdir().expect("a folder");
        let path = home.path().join("vast.csv");
        std::fs::write(&path, WEATHER).expect("a file");
        let file_of_holes = std::fs::OpenOptions::new()
            .write(true)
            .open(&path)
            .expect("a file");
        file_of_holes.set_len(MOST_BYTES + 1).expect("holes");
        assert!(weather_files(home.path()).is_empty());
    }
}
