//! File → [`Reading`]: every point a log holds, in the order of the file, and what could not be read.
//!
//! The reader is chosen by content, never by the name of the file. One bad point costs that point
//! alone: it goes into the ledger with its line, and reading goes on. The `gpx` crate is not used for
//! logs because it gives up the whole file at the first bad value and cannot say where that stands.
//!
//! ```text
//! file → source (hash, decode) → counting (lines) → xml (events) → gpx (elements) → point (values)
//! ```

mod counting;
mod gpx;
mod point;
mod sniff;
mod source;
mod values;
mod xml;

use crate::input::InputError;
use crate::track::Reading;
use source::{HEAD_BYTES, Source, UnknownEncoding};
use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

/// What a log is used as, in [`InputFile::role`](crate::input::InputFile::role).
const ROLE: &str = "track";

/// What can be read as a log, for hints.
const ACCEPTED: &str = "a recorded track as GPX 1.0 or 1.1 is accepted";

/// How a log is read.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct ReadSettings {
    /// Read a file that breaks off or is ill-formed up to that place, instead of refusing it. The
    /// ledger then holds one [`Finding::Truncated`](crate::track::Finding::Truncated).
    pub salvage: bool,
}

/// Reads a track log.
///
/// # Errors
/// If the file cannot be opened, is not GPX, is not well-formed XML (unless
/// [salvaged](ReadSettings::salvage)), declares entities, or holds no track point at all. Bad points
/// are no error: they are in the ledger of the reading.
pub fn read(path: &Path, settings: ReadSettings) -> Result<Reading, InputError> {
    let mut file = open(path)?;
    let mut head = Vec::with_capacity(HEAD_BYTES);
    file.by_ref()
        .take(HEAD_BYTES as u64)
        .read_to_end(&mut head)
        .map_err(|cause| unreadable(path, &cause))?;
    if let Some(looks_like) = sniff::not_xml(&head) {
        return Err(InputError::new(path, None, looks_like, ACCEPTED));
    }
    let source = Source::new(head, file).map_err(|UnknownEncoding(name)| {
        let name = values::bounded(&name);
        InputError::new(
            path,
            Some(1),
            format!("the file declares the unknown encoding \"{name}\""),
            "save it as UTF-8",
        )
    })?;
    gpx::read(path, source, settings)
}

fn open(path: &Path) -> Result<File, InputError> {
    let file = File::open(path).map_err(|cause| unreadable(path, &cause))?;
    if file.metadata().is_ok_and(|metadata| metadata.is_dir()) {
        return Err(InputError::new(
            path,
            None,
            "this is a folder, not a file",
            ACCEPTED,
        ));
    }
    Ok(file)
}

fn unreadable(path: &Path, cause: &io::Error) -> InputError {
    let (problem, hint) = match cause.kind() {
        io::ErrorKind::NotFound => ("there is no such file".to_owned(), "check the path"),
        io::ErrorKind::PermissionDenied => (
            "the file may not be read".to_owned(),
            "check its permissions",
        ),
        _ => (
            format!("the file cannot be read ({cause})"),
            "check the medium it is on",
        ),
    };
    InputError::new(path, None, problem, hint)
}

/// The file's name without folders.
fn file_name(path: &Path) -> String {
    path.file_name()
        .unwrap_or(path.as_os_str())
        .to_string_lossy()
        .into_owned()
}
