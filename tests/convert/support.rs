//! Logs made up of numbers, written and read back.

use chrono::{DateTime, TimeDelta, Utc};
use overflown::geodesy::Position;
use overflown::input::InputFile;
use overflown::track::read::{ReadSettings, read};
use overflown::track::write::{LogFormat, WriteSettings, Written, write};
use overflown::track::{Fix, HeightKind, Ledger, LogTrack, Reading};
use overflown::units::Length;
use std::path::Path;

pub const FORMATS: [LogFormat; 8] = [
    LogFormat::Gpx,
    LogFormat::Igc,
    LogFormat::Nmea,
    LogFormat::Kml,
    LogFormat::Kmz,
    LogFormat::GeoJson,
    LogFormat::Csv,
    LogFormat::Tsv,
];

pub fn fix(time_ms: i64, lat: f64, lon: f64, height_m: Option<f64>) -> Fix {
    let start: DateTime<Utc> = "2026-05-01T15:00:00Z".parse().unwrap();
    Fix {
        time: start + TimeDelta::milliseconds(time_ms),
        position: Position::new(lat, lon).unwrap(),
        height: height_m.map(Length::from_m).into(),
        line: 1,
        file: 0,
    }
}

/// A reading of tracks: name and segments.
pub fn reading(tracks: &[(Option<String>, Vec<Vec<Fix>>)], kind: HeightKind) -> Reading {
    let mut segments = Vec::new();
    let tracks = tracks
        .iter()
        .map(|(name, own)| {
            let from = segments.len();
            segments.extend(own.iter().cloned());
            LogTrack::new(name.clone(), 1, from..segments.len(), 0..0)
        })
        .collect();
    let source = InputFile::of("track", Path::new("made up"), b"");
    Reading::of_tracks(source, tracks, segments, kind, Ledger::default())
}

pub fn written(reading: &Reading, format: LogFormat) -> Written {
    write(reading, format, WriteSettings::default()).unwrap()
}

/// What our own reader makes of a file.
pub fn read_back(bytes: &[u8]) -> Reading {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("log");
    std::fs::write(&path, bytes).unwrap();
    read(&path, ReadSettings::default()).unwrap()
}
