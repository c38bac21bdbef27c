//! What is done with hostile bytes, one feed for each reader: used by the fuzz targets, and by
//! `tests/hostile/` on the corpus.

use chrono::TimeDelta;
use flate2::Compression;
use flate2::write::GzEncoder;
use geo::{Coord, Rect};
use overflown::backdrop::Backdrop;
use overflown::debrief::seal;
use overflown::detection::sweep_width::{FactorTable, FactorTables, WidthTable};
use overflown::geodesy::gars::GarsCell;
use overflown::geodesy::{LocalFrame, Position};
use overflown::infer::{Given, Tasked};
use overflown::plan::{Area, area_file, lay_out, line_file};
use overflown::search::{Sortie, Wants, search};
use overflown::tasking::{coordinates, parse, parse_search, quantity};
use overflown::terrain;
use overflown::track::clean::{CleanSettings, clean};
use overflown::track::gather::{Wanted, gather, select};
use overflown::track::read::{Columns, ReadSettings, read_bytes};
use overflown::track::write::{LogFormat, WriteError, WriteSettings, write};
use overflown::track::{Fix, LocalTime, Reading};
use std::io::Write;
use std::path::Path;

/// What is fed: a name, and what is done.
type Feed = (&'static str, fn(&[u8]));

/// All of them. The formats of logs share a feed, since the reader is chosen by the content; they are apart
/// for their corpora.
pub const FEEDS: [Feed; 22] = [
    ("gpx", log),
    ("igc", log),
    ("nmea", log),
    ("kml", log),
    ("kmz", log),
    ("geojson", log),
    ("any", log),
    ("gzip", packed),
    ("table", table),
    ("gather", gathered),
    ("convert", converted),
    ("infer", inferred),
    ("terrain", ground),
    ("backdrop", backdrop),
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
        "tasking" | "debrief" | "infer" | "terrain" | "backdrop" => (1 << 30) + 64 * bytes,
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
            spread_times: salvage,
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

fn fixes(reading: &Reading) -> Vec<Fix> {
    reading.segments.concat()
}

/// A line that says what is wanted, `tracks|milliseconds of correction|since|until|seconds of the
/// zone|…` (a sixth word: the zone is wrong, a seventh: times are spread); then a log, or
/// two with a line `====` between them.
fn gathered(bytes: &[u8]) {
    let mut parts = bytes.splitn(2, |byte| *byte == b'\n');
    let wants = String::from_utf8_lossy(parts.next().unwrap_or_default()).into_owned();
    let words: Vec<&str> = wants.split('|').collect();
    let word = |at: usize| words.get(at).copied().unwrap_or_default();
    let tracks = word(0).split(',').filter_map(|track| track.parse().ok());
    let correction = word(1).parse().ok().and_then(TimeDelta::try_milliseconds);
    let wanted = Wanted {
        tracks: tracks.collect(),
        clock_correction: correction.unwrap_or_default(),
        from: word(2).parse().ok(),
        to: word(3).parse().ok(),
    };
    let settings = ReadSettings {
        salvage: true,
        local: word(4).parse().ok().map(|offset_s| LocalTime {
            offset_s,
            despite_utc: words.len() > 5,
        }),
        spread_times: words.len() > 6,
    };
    let logs = parts.next().unwrap_or_default();
    let cut = logs.windows(6).position(|at| at == b"\n====\n");
    let cut = cut.map_or((logs, None), |at| (&logs[..at], Some(&logs[at + 6..])));
    let read = |log: &[u8]| read_bytes(Path::new("log"), log, settings, None).ok();
    let readings: Vec<Reading> = [Some(cut.0), cut.1]
        .into_iter()
        .flatten()
        .filter_map(read)
        .collect();
    let before: usize = readings.iter().map(|reading| fixes(reading).len()).sum();
    for take in [select, gather] {
        match take(readings.clone(), &wanted) {
            Err(error) => said(&error),
            Ok(reading) => {
                let others = reading.tracks.iter().filter(|track| !track.taken);
                let left: usize = others.map(|track| track.fixes).sum();
                let taken = &reading.taken;
                let out = taken.points_before + taken.points_after + taken.points_repeated;
                assert_eq!(fixes(&reading).len() + out + left, before, "{taken:?}");
                if let Err(error) = clean(reading, &CleanSettings::default()) {
                    said(&error);
                }
            }
        }
    }
}

/// A log in every format, each read back.
fn converted(bytes: &[u8]) {
    let settings = ReadSettings {
        salvage: true,
        spread_times: true,
        ..ReadSettings::default()
    };
    let Ok(reading) = read_bytes(Path::new("log"), bytes, settings, None) else {
        return;
    };
    for name in LogFormat::NAMES
        .split([',', ' '])
        .filter_map(|name| name.parse().ok())
    {
        let how = WriteSettings {
            heights_as_they_are: bytes.len() % 2 == 1,
        };
        match write(&reading, name, how) {
            Err(WriteError::Io(error)) => panic!("{name:?}: {error}"),
            Err(WriteError::Empty) => assert!(fixes(&reading).is_empty(), "{name:?}"),
            Err(WriteError::Year { .. }) => {
                assert!(matches!(name, LogFormat::Igc | LogFormat::Nmea));
            }
            Ok(written) => {
                let back = read_bytes(
                    Path::new("out"),
                    &written.bytes,
                    ReadSettings::default(),
                    None,
                );
                let back = fixes(&back.unwrap());
                came_back(&fixes(&reading), &back, name, &written.lost);
            }
        }
    }
}

/// Whether fixes came back as finely as a format has them.
fn came_back(before: &[Fix], after: &[Fix], format: LogFormat, lost: &[String]) {
    // Degrees, metres, nanoseconds: as the table in src/track/write/mod.rs has them.
    let (degrees, metres, nanos) = match format {
        LogFormat::Igc => (0.51e-6 / 60.0, 0.501, 500_000),
        LogFormat::Nmea => (0.51e-7 / 60.0, 0.501e-3, 0),
        _ => (1e-12, 1e-9, 0),
    };
    let fewer = ["read as that", "read as one fix"];
    if before.len() != after.len() {
        let told = lost
            .iter()
            .any(|lost| fewer.iter().any(|fewer| lost.contains(fewer)));
        assert!(
            told,
            "{format:?}: {} fixes, {} came back",
            before.len(),
            after.len()
        );
        return;
    }
    let lost_heights = lost.iter().any(|lost| lost.contains("height"));
    for (a, b) in before.iter().zip(after) {
        let off = (a.time - b.time).num_nanoseconds();
        assert!(
            off.is_some_and(|off| off.abs() <= nanos),
            "{format:?}: {a:?} {b:?}"
        );
        for (a, b) in [
            (a.position.lat(), b.position.lat()),
            (a.position.lon(), b.position.lon()),
        ] {
            assert!((a - b).abs() <= degrees, "{format:?}: {a} {b}");
        }
        match (a.height.get(), b.height.get()) {
            (None, None) => {}
            (Some(a), Some(b)) => {
                assert!((a.m() - b.m()).abs() <= metres, "{format:?}: {a:?} {b:?}")
            }
            (Some(_), None) => assert!(lost_heights, "{format:?}: {a:?} {lost:?}"),
            (None, Some(_)) => panic!("{format:?}: {b:?}"),
        }
    }
}

/// A log whose plan is inferred, as a tasking that is read back and laid out.
fn inferred(bytes: &[u8]) {
    let path = Path::new("log");
    let reading = read_bytes(path, bytes, ReadSettings::default(), None);
    if let Ok(track) = reading.and_then(|reading| clean(reading, &CleanSettings::default()))
        && let Err(error) = Tasked::of(&track, path, Given::default())
    {
        said(&error);
    }
}

/// A tile, of the kind that its first bytes tell. What is none is repeated until it fills one of three arc-seconds.
fn ground(bytes: &[u8]) {
    const TILE: usize = 1201 * 1201 * 2;
    let filled: Vec<u8>;
    let (name, bytes) = match bytes {
        [0x1F, 0x8B, ..] => ("N47E012.hgt.gz", bytes),
        [b'P', b'K', ..] => ("N47E012.hgt.zip", bytes),
        [b'I', b'I', ..] | [b'M', b'M', ..] => ("ground.tif", bytes),
        _ => {
            filled = bytes.iter().copied().cycle().take(TILE).collect();
            ("N47E012.hgt", filled.as_slice())
        }
    };
    let place = |lat, lon| Position::new(lat, lon).unwrap();
    let places = [
        place(47.0, 12.0),
        place(47.003, 12.004),
        place(47.01, 11.999),
        place(47.5, 12.25),
        place(46.99, 12.0),
        place(-12.0, -180.0),
    ];
    match terrain::below_bytes(Path::new(name), bytes, &places) {
        Err(error) => said(&error),
        Ok(ground) => {
            let heights: Vec<f64> = ground.heights.iter().flatten().map(|h| h.m()).collect();
            // Beyond the outermost samples a line is drawn on by half a step.
            assert!(
                heights.iter().all(|m| (-20_000.0..=30_000.0).contains(m)),
                "{heights:?}"
            );
            assert_eq!(ground.heights.len(), places.len());
            let without = ground.without_tile + ground.in_void;
            assert_eq!(heights.len() + without, places.len());
        }
    }
}

/// A raster map under a map about 47 N 12 E, with a world file beside it for those that need one.
fn backdrop(bytes: &[u8]) {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("raster");
    std::fs::write(&file, bytes).unwrap();
    for ending in ["pgw", "jgw"] {
        let world = "0.0005\n0.0001\n0.0001\n-0.0005\n11.99\n47.01\n";
        std::fs::write(file.with_extension(ending), world).unwrap();
    }
    let plane = LocalFrame::new(Position::new(47.0, 12.0).unwrap());
    let reach = Coord { x: 800.0, y: 600.0 };
    let opened = Backdrop::open(&file, None);
    match opened.and_then(|opened| opened.under(&plane, Rect::new(reach * -1.0, reach))) {
        Err(error) => said(&error),
        Ok(picture) => {
            let pixels = picture.columns * picture.rows;
            assert_eq!(
                (picture.rgb.len(), picture.covered.len()),
                (3 * pixels, pixels)
            );
            assert!(picture.about.share > 0.0 && picture.about.share <= 1.0);
            assert!(picture.columns.max(picture.rows) <= 1_500);
        }
    }
    // Nothing is left beside it.
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 3);
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
