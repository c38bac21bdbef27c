//! What a logbook costs: adding a sortie, and the review of a pilot out of 500 and of 5,000.
//!
//! `cargo bench --bench logbook`. The entries are of one flown sortie of ten legs, each time with another log, day and
//! pilot (12 sorties of each). Adding is one transaction, written through to the disk.

#![allow(clippy::expect_used, reason = "a benchmark fails by panicking")]

use chrono::{DateTime, Days, Utc};
use criterion::{BatchSize, BenchmarkId, Criterion, criterion_group, criterion_main};
use overflown::debrief::{Debrief, debrief};
use overflown::input::{InputFile, sha256_hex};
use overflown::logbook::{Adding, Document, Filter, Logbook, Record};
use overflown::report::json::json;
use overflown::report::{self, File};
use overflown::simulate::{Settings, simulate};
use overflown::track::clean::{CleanSettings, clean};
use overflown::track::{HeightKind, Ledger, Reading};
use overflown::training::flight::VERSION;
use overflown::training::{Flight, Measure, Tolerances, review};
use overflown::{plan, tasking};
use std::hint::black_box;
use std::path::Path;
use tempfile::TempDir;

const TASKING: &str = r#"
sortie = "Heron"
date = 2026-05-20
[pattern]
kind = "parallel sweep"
start = [46.4000, 11.2000]
first_course = "015 M"
turn = "right"
spacing = "0.5 NM"
leg_length = "7 NM"
legs = 10
[flight]
ground_speed = "90 kt"
altitude = "3000 ft"
[detection]
sweep_width = "0.5 NM"
"#;

/// Sorties of each pilot.
const EACH: usize = 12;

fn flown() -> Debrief {
    let path = Path::new("tasking.toml");
    let tasking = tasking::parse(TASKING, path).expect("the tasking above is sound");
    let plan = plan::lay_out(&tasking, path).expect("and can be laid out");
    let flight = simulate(&plan, &Settings::for_tasking(&tasking), 1).expect("it can be flown");
    let reading = Reading::of(
        InputFile::of("track", Path::new("log.gpx"), b"log"),
        None,
        vec![flight.fixes],
        HeightKind::MeanSeaLevel,
        Ledger::default(),
    );
    let track = clean(reading, &CleanSettings::default()).expect("it can be read");
    debrief(&track, path, &tasking, &plan).expect("it can be debriefed")
}

fn document(flown: &Debrief, n: usize) -> Document {
    let mut debrief = flown.clone();
    let later = Days::new(n as u64 % 2000);
    debrief.date = debrief.date + later;
    debrief.area_time.from = debrief.area_time.from + later;
    debrief.area_time.to = debrief.area_time.to + later;
    for input in &mut debrief.inputs {
        input.sha256 = sha256_hex(format!("{} {n}", input.role).as_bytes());
    }
    let text = String::from_utf8(json(&debrief).expect("it is JSON")).expect("and text");
    Document::parse(text, Path::new("debrief.json")).expect("it is a debrief")
}

fn put(logbook: &mut Logbook, document: &Document, n: usize) {
    let flight = Flight::parse(document.text(), document.file()).expect("it is a debrief");
    let tolerances = Tolerances::usual().expect("they are sound");
    let record = Record::of(&flight, &tolerances).expect("it is JSON");
    let pilot = format!("Pilot {}", n / EACH);
    let how = Adding {
        pilot: &pilot,
        replace: false,
        at: DateTime::<Utc>::UNIX_EPOCH,
    };
    logbook.add(document, &record, how).expect("there is room");
}

fn filled(count: usize, flown: &Debrief) -> (TempDir, Logbook) {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = folder.path().join("logbook.gpkg");
    let mut logbook = Logbook::open_to_add(&path).expect("it can be made");
    for n in 0..count {
        put(&mut logbook, &document(flown, n), n);
    }
    (folder, logbook)
}

/// All that `overflown review --pilot` does but writing to the disk.
fn reviewed(path: &Path, pilot: &Filter) -> Vec<File> {
    let logbook = Logbook::open(path).expect("it is there");
    let entries = logbook.records(pilot).expect("read");
    assert_eq!(entries.len(), EACH);
    let flights = entries
        .iter()
        .map(|entry| serde_json::from_str(&entry.record).expect("as it was kept"))
        .collect();
    let values = logbook.values_by_pilot(VERSION, None).expect("read");
    let others: Vec<(String, Measure, f64)> = values
        .into_iter()
        .filter(|(name, _, _)| Some(name) != pilot.pilot.as_ref())
        .filter_map(|(name, id, value)| {
            let measure = Measure::called(&id)?;
            Some((name, measure, measure.shortfall(value)))
        })
        .collect();
    let tolerances = Tolerances::usual().expect("they are sound");
    let review = review("Pilot 7", flights, &others, &tolerances);
    report::review::files(&review).expect("it can be drawn up")
}

fn logbooks(criterion: &mut Criterion) {
    let flown = flown();
    for count in [500, 5000] {
        let (_folder, mut logbook) = filled(count, &flown);
        let mut group = criterion.benchmark_group("logbook");
        group.sample_size(20);
        let id = |what: &str| BenchmarkId::new(what, count);
        let pilot = Filter {
            pilot: Some("Pilot 7".to_owned()),
            ..Filter::default()
        };
        group.bench_function(id("records of a pilot"), |bencher| {
            bencher.iter(|| {
                assert_eq!(
                    black_box(logbook.records(&pilot)).expect("read").len(),
                    EACH
                )
            });
        });
        group.bench_function(id("records of all"), |bencher| {
            let all = Filter::default();
            bencher
                .iter(|| assert_eq!(black_box(logbook.records(&all)).expect("read").len(), count));
        });
        group.bench_function(id("measures of all by pilot"), |bencher| {
            bencher.iter(|| black_box(logbook.values_by_pilot(VERSION, None)).expect("read"));
        });
        let path = logbook.path().to_owned();
        group.bench_function(id("review of a pilot, with its files"), |bencher| {
            bencher.iter(|| black_box(reviewed(&path, &pilot)));
        });
        let mut next = count;
        group.bench_function(id("add one"), |bencher| {
            let fresh = || {
                next += 1;
                (document(&flown, next), next)
            };
            bencher.iter_batched(
                fresh,
                |(document, n)| put(&mut logbook, &document, n),
                BatchSize::PerIteration,
            );
        });
        group.finish();
    }
}

criterion_group!(benches, logbooks);
criterion_main!(benches);
