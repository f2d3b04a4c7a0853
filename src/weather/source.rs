//! A weather file as a stream of checked text: inflated when it is gzip, refused when it is not UTF-8,
//! and fingerprinted as it passes.

use std::fs::File;
use std::io::{self, BufRead, BufReader, Read};
use std::path::Path;

use flate2::bufread::MultiGzDecoder;
use sha2::{Digest, Sha256};

use super::error::WeatherError;

/// Bytes looked at to find the layout.
const HEAD_BYTES: usize = 32 * 1024;

/// A gzip file may grow to this many times its size, and by [`INFLATION_FREE_BYTES`]. Hourly rows grow
/// 5 to 30 times; a file made to exhaust memory grows a thousand times.
const INFLATION_FACTOR: u64 = 200;

/// Room for small files that compress well, bytes.
const INFLATION_FREE_BYTES: u64 = 1 << 20;

/// Reader that hashes what passes.
struct Hashed<R> {
    inner: R,
    hasher: Sha256,
    bytes: u64,
}

impl<R: Read> Read for Hashed<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let count = self.inner.read(buffer)?;
        self.hasher.update(&buffer[..count]);
        self.bytes += count as u64;
        Ok(count)
    }
}

enum Stream<R: Read> {
    Plain(BufReader<Hashed<R>>),
    Gzip(Box<MultiGzDecoder<BufReader<Hashed<R>>>>),
}

impl<R: Read> Stream<R> {
    fn hashed(&self) -> &Hashed<R> {
        match self {
            Stream::Plain(reader) => reader.get_ref(),
            Stream::Gzip(decoder) => decoder.get_ref().get_ref(),
        }
    }
}

/// The text of one weather file.
pub(crate) struct Source<R: Read> {
    file: String,
    stream: Stream<R>,
    head: Vec<u8>,
    head_read: usize,
    /// Start of a character whose rest is still to come.
    partial: Vec<u8>,
    text_bytes: u64,
    lines: u64,
    last_byte: u8,
}

impl Source<File> {
    /// Opens a file.
    pub(crate) fn open(path: &Path) -> Result<Self, WeatherError> {
        let file = path.display().to_string();
        let unreadable = |source| WeatherError::Unreadable {
            file: file.clone(),
            source,
        };
        let handle = File::open(path).map_err(unreadable)?;
        if handle.metadata().map_err(unreadable)?.is_dir() {
            return Err(unreadable(io::ErrorKind::IsADirectory.into()));
        }
        Source::new(&file, handle)
    }
}

impl<R: Read> Source<R> {
    /// Starts reading: looks at the first bytes and takes the head.
    pub(crate) fn new(file: &str, inner: R) -> Result<Self, WeatherError> {
        let mut reader = BufReader::with_capacity(
            1 << 16,
            Hashed {
                inner,
                hasher: Sha256::new(),
                bytes: 0,
            },
        );
        let start = reader
            .fill_buf()
            .map_err(|source| WeatherError::Unreadable {
                file: file.to_owned(),
                source,
            })?;
        if start.is_empty() {
            return Err(WeatherError::Empty {
                file: file.to_owned(),
            });
        }
        if start.starts_with(b"PK\x03\x04") {
            return Err(WeatherError::Binary {
                file: file.to_owned(),
                byte: 0,
                kind: "a zip archive",
                advice: "unpack it and name the data file inside",
            });
        }
        let stream = if start.starts_with(&[0x1f, 0x8b]) {
            Stream::Gzip(Box::new(MultiGzDecoder::new(reader)))
        } else {
            Stream::Plain(reader)
        };
        let mut source = Self {
            file: file.to_owned(),
            stream,
            head: Vec::new(),
            head_read: 0,
            partial: Vec::new(),
            text_bytes: 0,
            lines: 0,
            last_byte: b'\n',
        };
        source.take_head()?;
        Ok(source)
    }

    fn take_head(&mut self) -> Result<(), WeatherError> {
        let mut head = vec![0; HEAD_BYTES];
        let mut filled = 0;
        while filled < HEAD_BYTES {
            let count = self
                .next_text(&mut head[filled..])
                .map_err(|error| self.error(error))?;
            if count == 0 {
                break;
            }
            filled += count;
        }
        head.truncate(filled);
        if head.iter().all(u8::is_ascii_whitespace) {
            return Err(WeatherError::Empty {
                file: self.file.clone(),
            });
        }
        if head.starts_with(b"\xef\xbb\xbf") {
            self.head_read = 3;
        }
        self.head = head;
        Ok(())
    }

    /// The first part of the text, without a byte order mark; it may end inside a line.
    pub(crate) fn head(&self) -> String {
        String::from_utf8_lossy(&self.head[self.head_read..]).into_owned()
    }

    /// The file's name in messages.
    pub(crate) fn file(&self) -> &str {
        &self.file
    }

    /// Whether the text read so far ends with a line end.
    pub(crate) fn ends_with_newline(&self) -> bool {
        self.last_byte == b'\n'
    }

    /// Reads the rest, and gives the SHA-256 of the file as it lies on the disk, in hexadecimal digits.
    pub(crate) fn fingerprint(mut self) -> Result<String, WeatherError> {
        let mut rest = [0; 8192];
        while self.read(&mut rest).map_err(|error| self.error(error))? > 0 {}
        let digest = self.stream.hashed().hasher.clone().finalize();
        Ok(digest.iter().map(|byte| format!("{byte:02x}")).collect())
    }

    /// An error of this stream as a weather error.
    pub(crate) fn error(&self, error: io::Error) -> WeatherError {
        as_weather_error(&self.file, self.lines, error)
    }

    fn next_text(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let count = match &mut self.stream {
            Stream::Plain(reader) => reader.read(buffer)?,
            Stream::Gzip(decoder) => {
                let count = decoder.read(buffer)?;
                let limit = INFLATION_FREE_BYTES
                    + INFLATION_FACTOR.saturating_mul(decoder.get_ref().get_ref().bytes);
                if self.text_bytes + count as u64 > limit {
                    return Err(io::Error::other(WeatherError::Inflates {
                        file: self.file.clone(),
                        limit,
                    }));
                }
                count
            }
        };
        let text = &buffer[..count];
        self.check(text)?;
        self.text_bytes += count as u64;
        self.lines += text.iter().filter(|&&byte| byte == b'\n').count() as u64;
        self.last_byte = text.last().copied().unwrap_or(self.last_byte);
        Ok(count)
    }

    /// Checks that a piece of the stream is text in UTF-8, carrying a character cut at its end over to
    /// the next piece.
    fn check(&mut self, text: &[u8]) -> io::Result<()> {
        if let Some(at) = text.iter().position(|&byte| byte == 0) {
            return Err(io::Error::other(WeatherError::Binary {
                file: self.file.clone(),
                byte: self.text_bytes + at as u64,
                kind: "a binary file or UTF-16",
                advice: "save it as plain text in UTF-8",
            }));
        }
        if text.is_empty() {
            return match self.partial.is_empty() {
                true => Ok(()),
                false => Err(self.not_utf8(self.text_bytes - self.partial.len() as u64, &[])),
            };
        }
        let carried = self.partial.len();
        let joined;
        let piece = if carried == 0 {
            text
        } else {
            joined = [self.partial.as_slice(), text].concat();
            joined.as_slice()
        };
        match std::str::from_utf8(piece) {
            Ok(_) => self.partial.clear(),
            Err(error) if error.error_len().is_none() => {
                self.partial = piece[error.valid_up_to()..].to_vec();
            }
            Err(error) => {
                let at = self.text_bytes - carried as u64 + error.valid_up_to() as u64;
                return Err(self.not_utf8(at, &piece[..error.valid_up_to()]));
            }
        }
        Ok(())
    }

    fn not_utf8(&self, byte: u64, text_before: &[u8]) -> io::Error {
        let newlines = text_before.iter().filter(|&&b| b == b'\n').count() as u64;
        io::Error::other(WeatherError::NotUtf8 {
            file: self.file.clone(),
            line: self.lines + newlines + 1,
            byte,
        })
    }
}

impl<R: Read> Read for Source<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let rest = &self.head[self.head_read..];
        if rest.is_empty() {
            return self.next_text(buffer);
        }
        let count = rest.len().min(buffer.len());
        buffer[..count].copy_from_slice(&rest[..count]);
        self.head_read += count;
        Ok(count)
    }
}

/// An input error as a weather error: one of ours that travelled inside it, or what it says about a
/// compressed file.
pub(crate) fn as_weather_error(file: &str, line: u64, error: io::Error) -> WeatherError {
    let file = file.to_owned();
    match error.kind() {
        io::ErrorKind::UnexpectedEof => WeatherError::Truncated {
            file,
            line,
            what: "its compressed data",
        },
        io::ErrorKind::InvalidInput | io::ErrorKind::InvalidData => WeatherError::DamagedGzip {
            file,
            reason: error.to_string(),
        },
        _ => match error.downcast::<WeatherError>() {
            Ok(ours) => ours,
            Err(source) => WeatherError::Unreadable { file, source },
        },
    }
}

#[cfg(test)]
mod tests {
    use std::io::Write;

    use flate2::{Compression, write::GzEncoder};

    use super::*;

    fn read_all(bytes: &[u8]) -> Result<String, WeatherError> {
        let mut source = Source::new("w.csv", bytes)?;
        let mut text = String::new();
        match source.read_to_string(&mut text) {
            Ok(_) => Ok(text),
            Err(error) => Err(source.error(error)),
        }
    }

    fn gzip(bytes: &[u8]) -> Vec<u8> {
        let mut encoder = GzEncoder::new(Vec::new(), Compression::best());
        encoder.write_all(bytes).unwrap();
        encoder.finish().unwrap()
    }

    #[test]
    fn a_gzip_file_reads_as_its_content() {
        let text = "time,temperature_c\n".repeat(5000);
        assert_eq!(read_all(&gzip(text.as_bytes())).unwrap(), text);
    }

    #[test]
    fn a_byte_order_mark_is_left_out() {
        assert_eq!(read_all(b"\xef\xbb\xbftime\n").unwrap(), "time\n");
    }

    #[test]
    fn a_byte_that_is_not_utf8_is_named_with_its_line_and_offset() {
        let mut bytes = "a,b\n".repeat(20_000).into_bytes();
        let at = bytes.len();
        bytes.extend(b"\xb0C\n");
        match read_all(&bytes) {
            Err(WeatherError::NotUtf8 { line, byte, .. }) => {
                assert_eq!((line, byte), (20_001, at as u64));
            }
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn a_character_cut_by_a_buffer_border_is_whole_again() {
        for shift in 0..4 {
            let text = "x".repeat(shift) + &"°".repeat(60_000);
            assert_eq!(read_all(text.as_bytes()).unwrap(), text);
        }
    }

    #[test]
    fn a_truncated_gzip_file_is_refused() {
        let packed = gzip("1,2,3\n".repeat(1000).as_bytes());
        let error = read_all(&packed[..packed.len() - 12]).unwrap_err();
        assert!(matches!(error, WeatherError::Truncated { .. }), "{error}");
    }

    #[test]
    fn a_gzip_file_that_grows_a_thousand_times_is_refused() {
        let packed = gzip(&vec![b'1'; 8 << 20]);
        assert!(packed.len() < 10_000);
        let error = read_all(&packed).unwrap_err();
        assert!(matches!(error, WeatherError::Inflates { .. }), "{error}");
    }

    #[test]
    fn empty_binary_and_zip_files_are_told_apart() {
        assert!(matches!(read_all(b""), Err(WeatherError::Empty { .. })));
        assert!(matches!(
            read_all(b" \n\n"),
            Err(WeatherError::Empty { .. })
        ));
        assert!(matches!(
            read_all(b"PK\x03\x04rest"),
            Err(WeatherError::Binary { byte: 0, .. })
        ));
        assert!(matches!(
            read_all(b"time,\0\n"),
            Err(WeatherError::Binary { byte: 5, .. })
        ));
    }

    #[test]
    fn the_fingerprint_is_the_sha256_of_the_file() {
        let source = Source::new("w.csv", b"abc".as_slice()).unwrap();
        // FIPS 180-4, the one-block example.
        assert_eq!(
            source.fingerprint().unwrap(),
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        );
    }
}
