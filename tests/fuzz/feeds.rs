//! What is done with hostile bytes, one feed for each reader: used by the fuzz targets, and by
//! `tests/hostile/` on the corpus.

use flate2::Compression;
use flate2::write::GzEncoder;
use overflown::debrief::seal;
use overflown::detection::sweep_width::{FactorTable, FactorTables, WidthTable};
use overflown::geodesy::gars::GarsCell;
use overflown::plan::{Area, area_file, lay_out, line_file};
use overflown::search::{Sortie, Wants, search};
use overflown::tasking::{coordinates, parse, parse_search, quantity};
use overflown::track::clean::{CleanSettings, clean};
use overflown::track::read::{Columns, ReadSettings, read_bytes};
use std::io::Write;
use std::path::Path;

/// What is fed: a name, and what is done.
type Feed = (&'static str, fn(&[u8]));

/// All of them. The formats of logs share a feed, since the reader is chosen by the content; they are apart
/// for their corpora.
pub const FEEDS: [Feed; 17] = [
    ("gpx", log),
    ("igc", log),
    ("nmea", log),
    ("kml", log),
    ("kmz", log),
    ("geojson", log),
    ("any", log),
    ("gzip", packed),
    ("table", table),
    ("tasking", tasking),
    ("words", words),
    ("area", area),
    ("line", line),
    ("debrief", debrief),
    ("search", sub_areas),
    ("widths", widths),
    ("factors", factors),
];

/// Feeds the reader of this name.
///
/// # Panics
/// If there is none of that name; and if the reader does.
pub fn feed(name: &str, bytes: &[u8]) {
    let (_, feed) = FEEDS.iter().find(|(own, _)| *own == name).unwrap();
    feed(bytes);
}

/// Memory that a feed may take for so many bytes: docs/robustness.md says why so much.
#[must_use]
pub fn most_memory(name: &str, bytes: usize) -> usize {
    match name {
        // What is laid out or searched goes by the ground, not by the text.
        "tasking" | "debrief" => (1 << 30) + 64 * bytes,
        _ => (2 << 20) + 64 * bytes,
    }
}

/// Whether an error says enough: what is wrong, and what would do, without control characters.
fn said(error: &overflown::input::InputError) {
    assert!(!error.problem.is_empty() && !error.hint.is_empty());
    let text = format!("{error} {}", error.hint);
    assert!(
        !cfg!(test) || !text.chars().any(char::is_control),
        "{text:?}"
    );
}

fn read_and_clean(bytes: &[u8], columns: Option<Columns>) {
    for salvage in [false, true] {
        let settings = ReadSettings {
            salvage,
            ..ReadSettings::default()
        };
        match read_bytes(Path::new("log"), bytes, settings, columns) {
            Err(error) => said(&error),
            Ok(reading) => match clean(reading, &CleanSettings::default()) {
                Err(error) => said(&error),
                Ok(track) => {
                    assert!(track.fixes.is_sorted_by(|a, b| a.time < b.time));
                }
            },
        }
    }
}

fn log(bytes: &[u8]) {
    read_and_clean(bytes, None);
}

/// As a gzip file, and packed into one.
fn packed(bytes: &[u8]) {
    log(bytes);
    let mut packed = GzEncoder::new(Vec::new(), Compression::fast());
    packed.write_all(bytes).unwrap();
    log(&packed.finish().unwrap());
}

/// As a table; and with the columns that the first line gives.
fn table(bytes: &[u8]) {
    log(bytes);
    let mut parts = bytes.splitn(2, |byte| *byte == b'\n');
    let given = parts.next().and_then(|line| std::str::from_utf8(line).ok());
    if let Some(Ok(columns)) = given.map(str::parse) {
        read_and_clean(parts.next().unwrap_or_default(), Some(columns));
    }
}

fn text(bytes: &[u8], feed: impl Fn(&str)) {
    if let Ok(text) = std::str::from_utf8(bytes) {
        feed(text);
    }
}

/// Nothing stands there, so that no file a text names is found by chance.
const NOWHERE: &str = "/nonexistent/folder/file";

fn tasking(bytes: &[u8]) {
    text(bytes, |text| {
        let path = Path::new(NOWHERE);
        match parse(text, path) {
            Err(error) => said(&error),
            Ok(tasking) => {
                if let Err(error) = lay_out(&tasking, path) {
                    said(&error);
                }
            }
        }
    });
}

fn words(bytes: &[u8]) {
    text(bytes, |text| {
        let _ = coordinates::place(text);
        let _ = quantity::length(text);
        let _ = quantity::speed(text);
        let _ = quantity::duration_s(text);
        let _ = quantity::percent(text);
        let _ = quantity::course(text);
        if let Ok(cell) = text.parse::<GarsCell>() {
            let (south, west, north, east) = cell.bounds();
            assert!(south < north && west != east);
        }
        let _ = text.parse::<Columns>();
    });
}

fn area(bytes: &[u8]) {
    match area_file::read_bytes(Path::new("area"), bytes) {
        Err(error) => said(&error),
        Ok(corners) => drop(Area::new(&corners)),
    }
}

fn line(bytes: &[u8]) {
    for name in [None, Some("North")] {
        if let Err(error) = line_file::read_bytes(Path::new("line"), bytes, name) {
            said(&error);
        }
    }
}

/// As it is, and sealed as an honest one is.
fn debrief(bytes: &[u8]) {
    text(bytes, |text| {
        let path = Path::new("debrief.json");
        let _ = Sortie::parse(text, path);
        match Sortie::parse(&seal::sealed(text), path) {
            Err(error) => said(&error),
            Ok(sortie) => drop(search(vec![sortie], &Wants::default())),
        }
    });
}

fn sub_areas(bytes: &[u8]) {
    text(bytes, |text| {
        if let Err(error) = parse_search(text, Path::new(NOWHERE)) {
            said(&error);
        }
    });
}

fn widths(bytes: &[u8]) {
    text(bytes, |text| {
        let factors = FactorTables::built_in().unwrap();
        if let Err(error) = WidthTable::parse(text, Path::new("widths.toml"), &factors) {
            said(&error);
        }
    });
}

fn factors(bytes: &[u8]) {
    text(bytes, |text| {
        for which in [
            FactorTable::Weather,
            FactorTable::Speed,
            FactorTable::Terrain,
            FactorTable::Single,
        ] {
            let mut factors = FactorTables::built_in().unwrap();
            if let Err(error) = factors.replace(which, text, Path::new("factors.toml")) {
                said(&error);
            }
        }
    });
}
