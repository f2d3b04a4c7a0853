//! Where commands write.

use super::error::CliError;
use std::io::{ErrorKind, Write};

/// Standard output and standard error, or what stands for them.
pub struct Console<'a> {
    /// Results.
    pub out: &'a mut dyn Write,
    /// Notes and warnings beside the results.
    pub notes: &'a mut dyn Write,
}

impl Console<'_> {
    /// Writes `text` to the results, ended by one line break.
    ///
    /// # Errors
    /// [`CliError::Print`] when it cannot be written; a reader that has gone away, as `head` does, is no error.
    pub fn print(&mut self, text: &str) -> Result<(), CliError> {
        print(self.out, text)
    }

    /// Writes a line beside the results.
    ///
    /// # Errors
    /// As [`Console::print`].
    pub fn note(&mut self, text: &str) -> Result<(), CliError> {
        print(self.notes, text)
    }
}

fn print(to: &mut dyn Write, text: &str) -> Result<(), CliError> {
    let written = writeln!(to, "{}", text.trim_end_matches('\n')).and_then(|()| to.flush());
    match written {
        Err(error) if error.kind() == ErrorKind::BrokenPipe => Ok(()),
        other => other.map_err(CliError::Print),
    }
}
