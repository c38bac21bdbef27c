//! Whatever a file holds, reading it ends with a track, a ledger entry or an error that names the
//! file, the place, the problem and what would do; never with a panic.
//!
//! Facts about GPX are those of the GPX 1.1 schema documentation,
//! <http://www.topografix.com/GPX/1/1>; inputs were made by hand.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    reason = "a test fails by panicking"
)]

mod line_logs;
mod mutated;
mod packed;
mod point;
mod same_flight;
#[path = "../support/mod.rs"]
mod support;
mod whole;

use overflown::input::InputError;
use overflown::track::clean::{CleanSettings, clean};
use overflown::track::read::{ReadSettings, read};
use overflown::track::{Finding, Reading, Track};
use std::path::PathBuf;
use tempfile::TempDir;

const STRICTLY: ReadSettings = ReadSettings {
    salvage: false,
    local: None,
    spread_times: false,
};

const SALVAGING: ReadSettings = ReadSettings {
    salvage: true,
    local: None,
    spread_times: false,
};

/// A file in a folder of its own, which goes when this goes.
struct Log {
    _folder: TempDir,
    path: PathBuf,
}

fn file(content: impl AsRef<[u8]>) -> Log {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("log.gpx");
    std::fs::write(&path, content).unwrap();
    Log {
        _folder: folder,
        path,
    }
}

fn reading(content: impl AsRef<[u8]>) -> Result<Reading, InputError> {
    read(&file(content).path, STRICTLY)
}

fn track(content: impl AsRef<[u8]>) -> Result<Track, InputError> {
    clean(reading(content)?, &CleanSettings::default())
}

/// A GPX file with one segment; the points begin on line 3.
fn gpx(points: &str) -> String {
    format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<gpx version=\"1.1\" \
         xmlns=\"http://www.topografix.com/GPX/1/1\"><trk><trkseg>\n{points}\n</trkseg></trk></gpx>\n"
    )
}

fn point(position: &str, second: u32) -> String {
    let (m, s) = (second / 60, second % 60);
    format!("<trkpt {position}><ele>300</ele><time>2026-05-01T15:{m:02}:{s:02}Z</time></trkpt>\n")
}

/// Points flown eastwards at 50 m/s, one a line.
fn points(seconds: std::ops::Range<u32>) -> String {
    let place = |s| format!("lat=\"47.5\" lon=\"{}\"", 12.0 + f64::from(s) * 6.6e-4);
    seconds.map(|s| point(&place(s), s)).collect()
}

fn entries(reading: &Reading) -> Vec<(u32, Finding, &str)> {
    reading
        .ledger
        .entries
        .iter()
        .map(|e| (e.line, e.finding, e.raw.as_str()))
        .collect()
}

/// The log must be refused with this problem, as printed but for the folder, and such a hint.
fn refused(content: impl AsRef<[u8]>, problem: &str, hint: &str) {
    let content = content.as_ref();
    let shown = String::from_utf8_lossy(&content[..content.len().min(300)]);
    let error = track(content).expect_err(&shown);
    let folder = error
        .file
        .parent()
        .map(|folder| folder.join(""))
        .unwrap_or_default();
    let text = error.to_string();
    let text = text
        .strip_prefix(&*folder.to_string_lossy())
        .unwrap_or(&text);
    assert_eq!(text, problem, "for {shown}");
    assert!(error.hint.contains(hint), "for {shown}: {}", error.hint);
}
