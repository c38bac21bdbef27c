//! How fast a log is read: ours against a bare pass over the XML events and against the `gpx` crate;
//! and how fast a long one is cleaned.
//!
//! `cargo bench --bench reading`; a log of 14,400 fixes is four hours at one fix a second.
#![allow(clippy::expect_used, reason = "a benchmark fails by panicking")]

use chrono::{DateTime, TimeDelta};
use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use overflown::geodesy::Position;
use overflown::input::InputFile;
use overflown::track::clean::{CleanSettings, clean};
use overflown::track::read::{ReadSettings, read};
use overflown::track::{Fix, HeightKind, Ledger, Reading};
use overflown::units::Length;
use quick_xml::Reader;
use quick_xml::events::Event;
use std::fmt::Write;
use std::fs::File;
use std::hint::black_box;
use std::io::BufReader;
use std::path::Path;

const FIXES: u32 = 14_400;
/// Ten days at one fix a second, for cleaning.
const MANY_FIXES: i64 = 864_000;

/// A log of straight flight eastwards at 46 m/s, one fix a second, as recorders write it.
fn log() -> String {
    let mut text = String::from(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<gpx version=\"1.1\" creator=\"bench\" \
         xmlns=\"http://www.topografix.com/GPX/1/1\">\n  <trk>\n    <name>Bench</name>\n    <trkseg>\n",
    );
    for second in 0..FIXES {
        let lon = 12.0 + f64::from(second) * 6.1e-4;
        let (h, m, s) = (second / 3600, second / 60 % 60, second % 60);
        // Writing to a String cannot fail.
        let _ = write!(
            text,
            "      <trkpt lat=\"47.1234567\" lon=\"{lon:.7}\">\n        <ele>457.2</ele>\n        \
             <time>2026-05-01T{h:02}:{m:02}:{s:02}Z</time>\n      </trkpt>\n",
        );
    }
    text + "    </trkseg>\n  </trk>\n</gpx>\n"
}

fn bare_events(path: &Path) -> usize {
    let Ok(file) = File::open(path) else { return 0 };
    let mut reader = Reader::from_reader(BufReader::new(file));
    let (mut buffer, mut events) = (Vec::new(), 0);
    loop {
        buffer.clear();
        match reader.read_event_into(&mut buffer) {
            Ok(Event::Eof) | Err(_) => return events,
            Ok(event) => {
                black_box(&event);
                events += 1;
            }
        }
    }
}

fn reading(criterion: &mut Criterion) {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = folder.path().join("log.gpx");
    let text = log();
    std::fs::write(&path, &text).expect("the log is written");

    let mut group = criterion.benchmark_group("reading");
    group.throughput(Throughput::Bytes(text.len() as u64));
    group.bench_function("overflown", |bench| {
        bench.iter(|| read(&path, ReadSettings::default()).expect("the log is good"));
    });
    group.bench_function("bare quick-xml events", |bench| {
        bench.iter(|| bare_events(&path))
    });
    group.bench_function("gpx crate", |bench| {
        bench.iter(|| gpx::read(BufReader::new(File::open(&path).expect("the log is there"))));
    });
    group.finish();
}

/// What is wrong with a long log.
#[derive(Clone, Copy, PartialEq)]
enum Faults {
    None,
    /// A fix far away in every hundred.
    Spikes,
    /// In every hundred fixes one 110 m beside the track, three repeats, a nulled coordinate and a wrong
    /// height besides.
    All,
}

/// Ten days of orbits.
fn long_reading(faults: Faults) -> Reading {
    let start = DateTime::UNIX_EPOCH;
    let fixes = (0..MANY_FIXES).map(|second| {
        let place = second % 100;
        let all = faults == Faults::All;
        // A repeat is where the aircraft was before the spell.
        let flown = if all && (81..84).contains(&place) {
            second - place + 80
        } else {
            second
        };
        let (sin, cos) = (flown as f64 * 0.01).sin_cos();
        let off = match place {
            50 if faults != Faults::None => 0.5,
            70 if all => 0.001,
            _ => 0.0,
        };
        let lon = if all && place == 20 {
            0.0
        } else {
            12.0 + 0.05 * cos
        };
        let height_m = if all && place == 30 { 3000.0 } else { 500.0 };
        Fix {
            time: start + TimeDelta::seconds(second),
            position: Position::new(47.0 + 0.05 * sin + off, lon).expect("a place"),
            height: Some(Length::from_m(height_m)).into(),
            line: 1,
            file: 0,
        }
    });
    let source = InputFile {
        role: "track".into(),
        name: "long.gpx".into(),
        bytes: 0,
        sha256: String::new(),
    };
    Reading::of(
        source,
        None,
        vec![fixes.collect()],
        HeightKind::MeanSeaLevel,
        Ledger::default(),
    )
}

fn cleaning(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("cleaning");
    group
        .throughput(Throughput::Elements(MANY_FIXES as u64))
        .sample_size(10);
    for (name, faults) in [
        ("sound", Faults::None),
        ("with spikes", Faults::Spikes),
        ("with all faults", Faults::All),
    ] {
        let reading = long_reading(faults);
        group.bench_function(name, |bench| {
            bench.iter_batched(
                || reading.clone(),
                |reading| clean(reading, &CleanSettings::default()).expect("it can be cleaned"),
                criterion::BatchSize::PerIteration,
            );
        });
    }
    group.finish();
}

criterion_group!(benches, reading, cleaning);
criterion_main!(benches);
