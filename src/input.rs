//! What is remembered of an input file, and the error that refuses one.

use crate::characters::{harmless, visible};
use ring::digest::{Context, SHA256, digest};
use serde::{Deserialize, Serialize};
use std::fs::File;
use std::io::{self, Read};
use std::path::{Path, PathBuf};

/// A file that went into a result: enough to tell later whether it is still the same.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct InputFile {
    /// What it was used as: `track`, `tasking`, `route`, `area`.
    pub role: String,
    /// Its file name, without folders.
    pub name: String,
    /// Its size in bytes.
    pub bytes: u64,
    /// SHA-256 of its content, hexadecimal.
    pub sha256: String,
}

impl InputFile {
    /// The file at `path`, whose content is `bytes`.
    #[must_use]
    pub fn of(role: &str, path: &Path, bytes: &[u8]) -> Self {
        Self {
            role: role.to_owned(),
            name: file_name(path),
            bytes: bytes.len() as u64,
            sha256: sha256_hex(bytes),
        }
    }

    /// The file at `path`, read as a stream.
    ///
    /// # Errors
    /// When it cannot be read.
    pub fn read(role: &str, path: &Path) -> io::Result<Self> {
        let mut content = File::open(path)?;
        let mut hash = Context::new(&SHA256);
        let (mut buffer, mut bytes) = (vec![0; 1 << 16], 0);
        loop {
            match content.read(&mut buffer)? {
                0 => break,
                count => {
                    hash.update(&buffer[..count]);
                    bytes += count as u64;
                }
            }
        }
        Ok(Self {
            role: role.to_owned(),
            name: file_name(path),
            bytes,
            sha256: hex(hash.finish().as_ref()),
        })
    }
}

/// The last part of a path, for people: without characters that do harm.
#[must_use]
pub fn file_name(path: &Path) -> String {
    harmless(
        &path
            .file_name()
            .unwrap_or(path.as_os_str())
            .to_string_lossy(),
    )
}

/// The whole of a file that is held in memory.
///
/// # Errors
/// When it cannot be read, or is larger than `most` bytes.
pub fn whole(path: &Path, most: u64) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    File::open(path)?.take(most + 1).read_to_end(&mut bytes)?;
    if bytes.len() as u64 > most {
        let problem = format!("it is larger than {} MiB", most >> 20);
        return Err(io::Error::other(problem));
    }
    Ok(bytes)
}

/// The error of a file or folder that the system does not let be read.
#[must_use]
pub fn unreadable(path: &Path, cause: &io::Error) -> InputError {
    let (problem, hint) = match cause.kind() {
        io::ErrorKind::NotFound => (
            "there is no such file or folder".to_owned(),
            "check the path",
        ),
        io::ErrorKind::PermissionDenied => {
            ("it may not be read".to_owned(), "check its permissions")
        }
        _ => (
            format!("it cannot be read ({cause})"),
            "check the medium it is on",
        ),
    };
    InputError::new(path, None, problem, hint)
}

/// As [`whole`], of a file that another file names: it must be a plain file, so that no text makes a device
/// or a pipe be read.
///
/// # Errors
/// As [`whole`] has them, and when it is no plain file.
pub fn whole_named(path: &Path, most: u64) -> io::Result<Vec<u8>> {
    if !std::fs::metadata(path)?.is_file() {
        return Err(io::Error::other("it is no plain file"));
    }
    whole(path, most)
}

/// An input that cannot be used: which file, where in it, what is wrong, what would do.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{}: {problem}", place(.file, *.line))]
pub struct InputError {
    /// The file.
    pub file: PathBuf,
    /// Line in it, from 1, where the problem has a place.
    pub line: Option<u32>,
    /// What is wrong, in one sentence without a full stop.
    pub problem: String,
    /// What would be accepted, or what to try.
    pub hint: String,
}

impl InputError {
    /// An error about `file`, at `line` if it has a place. What is harmful in the texts, which may quote the file,
    /// is written out, and what is longer than a message is left out.
    pub fn new(
        file: &Path,
        line: Option<u32>,
        problem: impl Into<String>,
        hint: impl Into<String>,
    ) -> Self {
        Self {
            file: file.to_owned(),
            line,
            problem: fit(&problem.into()),
            hint: fit(&hint.into()),
        }
    }
}

/// Characters of a message. Chosen: several times the longest of ours.
const MOST_CHARS: usize = 1000;

fn fit(message: &str) -> String {
    let mut text = visible(message);
    if let Some((end, _)) = text.char_indices().nth(MOST_CHARS) {
        text.truncate(end);
        text.push('…');
    }
    text
}

/// A path, for people: without characters that do harm.
#[must_use]
pub fn shown_path(path: &Path) -> String {
    visible(&path.to_string_lossy())
}

fn place(file: &Path, line: Option<u32>) -> String {
    match line {
        Some(line) => format!("{}, line {line}", shown_path(file)),
        None => shown_path(file),
    }
}

/// SHA-256 of `bytes` in hexadecimal.
#[must_use]
pub fn sha256_hex(bytes: &[u8]) -> String {
    hex(digest(&SHA256, bytes).as_ref())
}

/// Bytes in lower-case hexadecimal.
#[must_use]
pub fn hex(bytes: &[u8]) -> String {
    use std::fmt::Write;
    bytes.iter().fold(String::new(), |mut text, byte| {
        // Writing to a String cannot fail.
        let _ = write!(text, "{byte:02x}");
        text
    })
}
