//! What went wrong with a logbook, in the words of an input error.

use crate::input::InputError;
use rusqlite::{Error, ErrorCode};
use std::path::Path;

/// What is said of every file that is to be a logbook and is none.
pub(super) const NAME_ANOTHER: &str =
    "name the logbook with --logbook; `overflown logbook add` makes one where there is none";
/// What is said where the content cannot be relied on.
pub(super) const RESTORE: &str = "take a copy of the logbook from before, or add the debriefs to a new one; this file was left as it is";

pub(super) fn refused(path: &Path, problem: impl Into<String>, hint: &str) -> InputError {
    InputError::new(path, None, problem, hint)
}

/// That the file holds what no version writes.
pub(super) fn damaged(path: &Path, problem: &str) -> InputError {
    refused(
        path,
        format!("holds what no logbook does: {problem}"),
        "undo what another program changed there, or remove the entry and add its debrief again",
    )
}

/// An error of SQLite.
pub(super) fn failed(path: &Path, error: &Error) -> InputError {
    let words = match error {
        // What reading found in a column, in words of ours.
        Error::FromSqlConversionFailure(_, _, problem) => {
            return damaged(path, &problem.to_string());
        }
        Error::SqliteFailure(_, Some(words)) | Error::SqlInputError { msg: words, .. } => {
            words.clone()
        }
        other => other.to_string(),
    };
    let (problem, hint) = match error.sqlite_error_code() {
        Some(ErrorCode::NotADatabase) => (
            "is no logbook: it is not an SQLite database".to_owned(),
            NAME_ANOTHER,
        ),
        Some(ErrorCode::DatabaseCorrupt) => (format!("is damaged: {words}"), RESTORE),
        Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => (
            "is in use by another program, which does not let go of it".to_owned(),
            "close it there, or try again when the other is done; nothing was changed",
        ),
        Some(ErrorCode::ReadOnly | ErrorCode::PermissionDenied | ErrorCode::CannotOpen) => (
            format!("cannot be opened or written: {words}"),
            "name a file that can be written, in a folder that can be written, with --logbook",
        ),
        Some(ErrorCode::DiskFull) => (
            "cannot be written: there is no room left".to_owned(),
            "make room and run again; nothing was changed",
        ),
        Some(ErrorCode::SystemIoFailure) => (
            format!("cannot be read or written: {words}"),
            "check the disk; nothing was changed",
        ),
        _ => (format!("cannot be used as a logbook: {words}"), RESTORE),
    };
    refused(path, problem, hint)
}
