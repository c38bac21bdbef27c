//! Opening what a log is read from, and the errors of the medium.

use super::ACCEPTED;
use super::unpacked::PackedFault;
use crate::characters::harmless;
use crate::input::InputError;
use std::fs::File;
use std::io::{self, IsTerminal, Read};
use std::path::Path;

/// The path that stands for standard input.
const STANDARD_INPUT: &str = "-";

/// What a log is called in messages: its path, or "standard input" for `-`.
#[must_use]
pub fn called(path: &Path) -> &Path {
    if path == Path::new(STANDARD_INPUT) {
        Path::new("standard input")
    } else {
        path
    }
}

/// Opens the file, or standard input.
pub(super) fn open(path: &Path) -> Result<Box<dyn Read>, InputError> {
    if path == Path::new(STANDARD_INPUT) {
        let input = io::stdin();
        return if input.is_terminal() {
            Err(InputError::new(
                called(path),
                None,
                "a log is to be read from here, but it is a terminal",
                "send a log in, as in `… < track.gpx`, or name a file",
            ))
        } else {
            Ok(Box::new(input.lock()))
        };
    }
    let file = File::open(path).map_err(|cause| unreadable(path, &cause))?;
    if file.metadata().is_ok_and(|metadata| metadata.is_dir()) {
        return Err(InputError::new(
            path,
            None,
            "this is a folder, not a file",
            ACCEPTED,
        ));
    }
    Ok(Box::new(file))
}

/// An error of the medium, or of what is compressed on it.
pub(super) fn unreadable(path: &Path, cause: &io::Error) -> InputError {
    let (problem, hint) = match (PackedFault::behind(cause), cause.kind()) {
        (Some(fault @ (PackedFault::Ratio | PackedFault::Size(_))), _) => (
            fault.to_string(),
            "unpack it yourself if you trust it, and cut it to the flight",
        ),
        (Some(fault), _) => (fault.to_string(), "compress the log again"),
        (None, io::ErrorKind::NotFound) => ("there is no such file".to_owned(), "check the path"),
        (None, io::ErrorKind::PermissionDenied) => (
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
pub(super) fn file_name(path: &Path) -> String {
    harmless(
        &path
            .file_name()
            .unwrap_or(path.as_os_str())
            .to_string_lossy(),
    )
}
