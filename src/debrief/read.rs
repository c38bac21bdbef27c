//! `debrief.json` read back: only what a debrief of this form wrote, and as it wrote it.

use super::{SCHEMA, seal};
use crate::input::{InputError, whole};
use crate::tasking::quantity::shown;
use serde::Deserialize;
use serde::de::DeserializeOwned;
use std::path::Path;

/// Largest `debrief.json`, bytes: it is held in memory. Chosen: that of an hour has about a megabyte.
pub const MOST_BYTES: u64 = 1 << 26;

#[derive(Deserialize)]
struct OfSchema {
    schema: String,
}

/// The text of a `debrief.json`.
///
/// # Errors
/// When the file cannot be read, is too large, or is no text.
pub fn text(path: &Path) -> Result<String, InputError> {
    whole(path, MOST_BYTES)
        .map_err(|error| format!("cannot be read: {error}"))
        .and_then(|bytes| {
            String::from_utf8(bytes).map_err(|_| "cannot be read: it is no UTF-8 text".into())
        })
        .map_err(|problem| {
            let hint = "name a folder that `overflown debrief` wrote, or the debrief.json in it";
            InputError::new(path, None, problem, hint)
        })
}

/// What is wanted of the text of a `debrief.json`; `path` is what messages call it.
///
/// # Errors
/// When it is not a debrief, is one of another form, was changed since it was written, or lacks what is wanted.
pub fn parse<T: DeserializeOwned>(text: &str, path: &Path) -> Result<T, InputError> {
    let refuse = |problem: String, hint: &str| InputError::new(path, None, problem, hint);
    let line = |error: &serde_json::Error| u32::try_from(error.line()).ok().filter(|n| *n > 0);
    let schema = serde_json::from_str::<OfSchema>(text)
        .map_err(|error| {
            InputError::new(
                path,
                line(&error),
                format!("not a debrief: {}", without_place(&error)),
                "name the debrief.json that `overflown debrief` wrote",
            )
        })?
        .schema;
    if schema != SCHEMA {
        return Err(refuse(
            format!(
                "has the form {}; this version reads \"{SCHEMA}\"",
                shown(&schema)
            ),
            "debrief the log again with this version",
        ));
    }
    if seal::holds(text) != Some(true) {
        return Err(refuse(
            "was changed after it was written: its `sha256` does not fit".to_owned(),
            "debrief the log again; nothing in this file can be relied on",
        ));
    }
    serde_json::from_str(text).map_err(|error| {
        InputError::new(
            path,
            line(&error),
            format!("not a whole debrief: {}", without_place(&error)),
            "debrief the log again with this version",
        )
    })
}

/// What is wrong, without the line, which stands before it.
fn without_place(error: &serde_json::Error) -> String {
    let text = error.to_string();
    let place = format!(" at line {} column {}", error.line(), error.column());
    text.strip_suffix(&place).unwrap_or(&text).to_owned()
}
