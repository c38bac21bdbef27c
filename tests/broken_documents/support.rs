//! Files, readings of them, and what is said about them.

use overflown::input::InputError;
use overflown::track::clean::{CleanSettings, clean};
use overflown::track::read::{Columns, ReadSettings, read, read_table};
use overflown::track::{Finding, Reading, Track};
use std::path::PathBuf;
use tempfile::TempDir;

pub struct Log {
    _folder: TempDir,
    pub path: PathBuf,
}

pub fn file(content: impl AsRef<[u8]>) -> Log {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("log");
    std::fs::write(&path, content).unwrap();
    Log {
        _folder: folder,
        path,
    }
}

pub fn settings(salvage: bool) -> ReadSettings {
    ReadSettings {
        salvage,
        ..ReadSettings::default()
    }
}

pub fn reading(content: impl AsRef<[u8]>) -> Result<Reading, InputError> {
    read(&file(content).path, settings(false))
}

pub fn track(content: impl AsRef<[u8]>) -> Result<Track, InputError> {
    clean(reading(content)?, &CleanSettings::default())
}

pub fn with_columns(content: &str, columns: &str) -> Result<Reading, InputError> {
    let columns: Columns = columns.parse().unwrap();
    read_table(&file(content).path, settings(false), columns)
}

/// Every fix: line, time, latitude, longitude, height in metres.
pub fn fixes(reading: &Reading) -> Vec<(u32, String, f64, f64, Option<f64>)> {
    let fixes = reading.segments.iter().flatten();
    fixes
        .map(|fix| {
            let time = fix.time.format("%Y-%m-%dT%H:%M:%S%.fZ").to_string();
            let height = fix.height.get().map(|height| height.m());
            (
                fix.line,
                time,
                fix.position.lat(),
                fix.position.lon(),
                height,
            )
        })
        .collect()
}

pub fn entries(reading: &Reading) -> Vec<(u32, Finding, &str)> {
    let entries = reading.ledger.entries.iter();
    entries
        .map(|e| (e.line, e.finding, e.raw.as_str()))
        .collect()
}

/// The error as printed but for the folder.
pub fn said(error: &InputError) -> String {
    let folder = error.file.parent().unwrap().join("");
    let text = error.to_string();
    text.strip_prefix(&*folder.to_string_lossy())
        .unwrap_or(&text)
        .to_owned()
}

pub fn refused(content: impl AsRef<[u8]>, problem: &str, hint: &str) {
    let content = content.as_ref();
    let shown = String::from_utf8_lossy(&content[..content.len().min(300)]);
    let error = track(content).expect_err(&shown);
    assert_eq!(said(&error), problem, "for {shown}");
    assert!(error.hint.contains(hint), "for {shown}: {}", error.hint);
}
