//! Files that appear whole or not at all.

use crate::ensemble::RowsError;
use std::fs::File;
use std::io::{self, BufWriter, Write};
use std::path::{Path, PathBuf};
use tempfile::{NamedTempFile, TempDir};
use thiserror::Error;

/// Why results were not written.
#[derive(Debug, Error)]
pub enum OutputError {
    /// Something is there already.
    #[error("{0}: is there already and nothing is overwritten; name another or add --force")]
    Exists(PathBuf),
    /// A file stands where a folder is asked for, or the other way round.
    #[error("{path}: is {found}; name {asked}")]
    Kind {
        /// The path.
        path: PathBuf,
        /// What stands there.
        found: &'static str,
        /// What is needed.
        asked: &'static str,
    },
    /// The folder in which to write is not there.
    #[error("{0}: there is no such folder; make it first")]
    NoParent(PathBuf),
    /// The system refused.
    #[error("{path}: cannot be written: {source}")]
    Write {
        /// The path.
        path: PathBuf,
        /// Why.
        source: io::Error,
    },
    /// A value could not be put into words of the format.
    #[error("cannot write {what}: {problem}")]
    Format {
        /// JSON or CSV.
        what: &'static str,
        /// Why.
        problem: String,
    },
    /// What is to be written cannot be read back.
    #[error(transparent)]
    Rows(#[from] RowsError),
}

/// Why a file was not written to its end.
#[derive(Debug, Error)]
pub enum WriteError {
    /// The file takes no more.
    #[error(transparent)]
    File(#[from] io::Error),
    /// What is to be written cannot be read back.
    #[error(transparent)]
    Rows(#[from] RowsError),
}

impl OutputError {
    /// Whether the user's choice of path is at fault, not the writing.
    #[must_use]
    pub fn is_input(&self) -> bool {
        matches!(
            self,
            Self::Exists(_) | Self::Kind { .. } | Self::NoParent(_)
        )
    }

    pub(super) fn format(what: &'static str) -> impl FnOnce(Box<dyn std::error::Error>) -> Self {
        move |error| Self::Format {
            what,
            problem: error.to_string(),
        }
    }
}

/// A folder of results, gathered beside its place and moved there whole.
///
/// Nothing is written before the first file is added, so that work that is broken off before leaves nothing.
#[derive(Debug)]
pub struct OutputFolder {
    path: PathBuf,
    force: bool,
    gathered: Option<TempDir>,
    names: Vec<String>,
}

impl OutputFolder {
    /// A folder to be made at `path`. With `force` it may be there: files of the same names are replaced, others are left.
    ///
    /// # Errors
    /// [`OutputError`] when `path` is there and may not be, or no folder can be made beside it.
    pub fn new(path: &Path, force: bool) -> Result<Self, OutputError> {
        // A link that leads nowhere is something too.
        if path.symlink_metadata().is_ok() {
            if !path.is_dir() {
                return Err(not_a_folder(path));
            }
            if !force {
                return Err(OutputError::Exists(path.to_owned()));
            }
        }
        // Tried now, though nothing is left there: a long run should not find at its end that it cannot write.
        drop(gathering(path)?);
        Ok(Self {
            path: path.to_owned(),
            force,
            gathered: None,
            names: Vec::new(),
        })
    }

    /// Adds a file.
    ///
    /// # Errors
    /// [`OutputError::Write`], and [`OutputError::NoParent`] when the folder to write in has gone.
    pub fn add(&mut self, name: &str, bytes: &[u8]) -> Result<(), OutputError> {
        self.add_written(name, |file| {
            file.write_all(bytes)?;
            Ok(())
        })
    }

    /// Adds a file that `write` writes, which need never be in memory as a whole.
    ///
    /// # Errors
    /// As [`OutputFolder::add`], and what `write` fails of.
    pub fn add_written(
        &mut self,
        name: &str,
        write: impl FnOnce(&mut dyn Write) -> Result<(), WriteError>,
    ) -> Result<(), OutputError> {
        let gathered = match self.gathered.take() {
            Some(gathered) => gathered,
            None => gathering(&self.path)?,
        };
        let path = self.gathered.insert(gathered).path().join(name);
        let written = File::create(&path)
            .map_err(WriteError::from)
            .and_then(|file| {
                let mut file = BufWriter::new(file);
                write(&mut file)?;
                Ok(file.flush()?)
            });
        written.map_err(|error| match error {
            WriteError::File(source) => OutputError::Write { path, source },
            WriteError::Rows(error) => OutputError::Rows(error),
        })?;
        self.names.push(name.to_owned());
        Ok(())
    }

    /// Moves everything to its place.
    ///
    /// # Errors
    /// [`OutputError::Write`]; a folder that was not there is then not made.
    pub fn finish(self) -> Result<(), OutputError> {
        let failed = |path: &Path| {
            let path = path.to_owned();
            move |source| OutputError::Write { path, source }
        };
        let gathered = match self.gathered {
            Some(gathered) => gathered,
            None => gathering(&self.path)?,
        };
        readable(gathered.path()).map_err(failed(&self.path))?;
        if !self.path.exists() {
            // The folder's own name: what is moved must not be removed when the guard is dropped.
            let gathered = gathered.keep();
            return std::fs::rename(&gathered, &self.path).map_err(|source| {
                // Best effort: the error that is told is the one of the move.
                let _ = std::fs::remove_dir_all(&gathered);
                OutputError::Write {
                    path: self.path,
                    source,
                }
            });
        }
        if !self.force {
            return Err(OutputError::Exists(self.path));
        }
        for name in &self.names {
            let to = self.path.join(name);
            std::fs::rename(gathered.path().join(name), &to).map_err(failed(&to))?;
        }
        Ok(())
    }
}

/// A hidden folder beside `path`, removed when dropped.
fn gathering(path: &Path) -> Result<TempDir, OutputError> {
    tempfile::Builder::new()
        .prefix(".overwinter-")
        .tempdir_in(parent(path)?)
        .map_err(|error| refused(path, error))
}

fn not_a_folder(path: &Path) -> OutputError {
    OutputError::Kind {
        path: path.to_owned(),
        found: "a file",
        asked: "a folder",
    }
}

/// The system's refusal, told of the path that the user named: the temporary one means nothing to them.
fn refused(path: &Path, error: io::Error) -> OutputError {
    let source = error.raw_os_error().map_or_else(
        || io::Error::from(error.kind()),
        io::Error::from_raw_os_error,
    );
    OutputError::Write {
        path: path.to_owned(),
        source,
    }
}

/// Writes a file whole or not at all; with `force` one that is there is replaced.
///
/// # Errors
/// [`OutputError`] as for [`OutputFolder`].
pub fn write_file(path: &Path, bytes: &[u8], force: bool) -> Result<(), OutputError> {
    if path.is_dir() {
        return Err(OutputError::Kind {
            path: path.to_owned(),
            found: "a folder",
            asked: "a file",
        });
    }
    let failed = |error: io::Error| refused(path, error);
    let mut file = NamedTempFile::new_in(parent(path)?).map_err(failed)?;
    file.write_all(bytes).map_err(failed)?;
    readable(file.path()).map_err(failed)?;
    let kept = if force {
        file.persist(path)
    } else {
        file.persist_noclobber(path)
    };
    match kept {
        Ok(_) => Ok(()),
        Err(error) if error.error.kind() == io::ErrorKind::AlreadyExists => {
            Err(OutputError::Exists(path.to_owned()))
        }
        Err(error) => Err(failed(error.error)),
    }
}

/// Gives a temporary file or folder, made for its owner alone, the permissions that new ones usually have.
#[cfg(unix)]
fn readable(path: &Path) -> io::Result<()> {
    use std::os::unix::fs::PermissionsExt as _;
    let mode = if path.is_dir() { 0o755 } else { 0o644 };
    std::fs::set_permissions(path, std::fs::Permissions::from_mode(mode))
}

#[cfg(not(unix))]
fn readable(_: &Path) -> io::Result<()> {
    Ok(())
}

fn parent(path: &Path) -> Result<&Path, OutputError> {
    let parent = match path.parent() {
        Some(parent) if parent.as_os_str().is_empty() => Path::new("."),
        Some(parent) => parent,
        None => Path::new("."),
    };
    if parent.is_dir() {
        Ok(parent)
    } else if parent.exists() {
        Err(not_a_folder(parent))
    } else {
        Err(OutputError::NoParent(parent.to_owned()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_folder_appears_with_all_its_files_and_nothing_beside_it() {
        let home = tempfile::tempdir().expect("a folder");
        let path = home.path().join("results");
        let mut folder = OutputFolder::new(&path, false).expect("a new folder");
        folder.add("a.csv", b"1\n").expect("a file");
        assert!(!path.exists());
        folder.finish().expect("moved");
        assert_eq!(std::fs::read(path.join("a.csv")).expect("a file"), b"1\n");
        assert_eq!(std::fs::read_dir(home.path()).expect("a folder").count(), 1);
    }

    #[test]
    fn an_unfinished_folder_leaves_nothing() {
        let home = tempfile::tempdir().expect("a folder");
        let mut folder = OutputFolder::new(&home.path().join("x"), false).expect("a new folder");
        assert_eq!(std::fs::read_dir(home.path()).expect("a folder").count(), 0);
        folder.add("a.csv", b"1\n").expect("a file");
        drop(folder);
        assert_eq!(std::fs::read_dir(home.path()).expect("a folder").count(), 0);
    }

    #[test]
    fn what_is_there_is_kept_unless_forced() {
        let home = tempfile::tempdir().expect("a folder");
        let path = home.path().join("results");
        std::fs::create_dir(&path).expect("a folder");
        std::fs::write(path.join("own.txt"), "mine").expect("a file");
        assert!(matches!(
            OutputFolder::new(&path, false),
            Err(OutputError::Exists(_))
        ));
        let mut folder = OutputFolder::new(&path, true).expect("forced");
        folder.add("a.csv", b"2\n").expect("a file");
        folder.finish().expect("moved");
        assert_eq!(
            std::fs::read_to_string(path.join("own.txt")).expect("kept"),
            "mine"
        );
        assert!(path.join("a.csv").exists());
    }

    #[test]
    fn a_file_is_replaced_only_when_forced() {
        let home = tempfile::tempdir().expect("a folder");
        let path = home.path().join("s.toml");
        write_file(&path, b"one", false).expect("written");
        assert!(matches!(
            write_file(&path, b"two", false),
            Err(OutputError::Exists(_))
        ));
        assert_eq!(std::fs::read(&path).expect("kept"), b"one");
        write_file(&path, b"two", true).expect("forced");
        assert_eq!(std::fs::read(&path).expect("replaced"), b"two");
    }

    #[test]
    fn a_missing_parent_is_named() {
        let home = tempfile::tempdir().expect("a folder");
        let error = OutputFolder::new(&home.path().join("no/results"), false).expect_err("none");
        assert!(error.is_input() && error.to_string().contains("no such folder"));
    }
}
