//! What a logbook costs: adding a sortie, and what a review asks of 500 and of 5,000.
//!
//! `cargo bench --bench logbook`. The entries are made up: one flown sortie of ten legs, each time with another log, day and
//! pilot (12 sorties of each), and sixty values. Adding is one transaction, written through to the disk.

#![allow(clippy::expect_used, reason = "a benchmark fails by panicking")]

use chrono::{DateTime, Days, Utc};
use criterion::{BatchSize, BenchmarkId, Criterion, criterion_group, criterion_main};
use overflown::debrief::{Debrief, debrief};
use overflown::input::{InputFile, sha256_hex};
use overflown::logbook::{Adding, Document, Filter, Logbook, Record};
use overflown::report::json::json;
use overflown::simulate::{Settings, simulate};
use overflown::track::clean::{CleanSettings, clean};
use overflown::track::{HeightKind, Ledger, Reading};
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

/// Names of made-up measures.
const MEASURES: [&str; 60] = {
    const LETTERS: &str = "abcdefghijklmnopqrstuvwxyzabcdefghijklmnopqrstuvwxyzabcdefghijklmnop";
    let mut names = [""; 60];
    let mut i = 0;
    while i < 60 {
        // Eight letters from the ith on, and as many as tell the three rounds of the alphabet apart.
        names[i] = LETTERS.split_at(i).1.split_at(8 - i / 26).0;
        i += 1;
    }
    names
};

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
    let record = Record {
        json: format!("{{\"made_up\": \"{}\"}}", "x".repeat(4000)),
        version: 1,
        values: MEASURES
            .iter()
            .map(|name| (*name, Some(n as f64)))
            .collect(),
    };
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
        group.bench_function(id("one measure of all"), |bencher| {
            bencher.iter(|| {
                assert_eq!(
                    black_box(logbook.values(MEASURES[30])).expect("read").len(),
                    count
                )
            });
        });
        group.bench_function(id("all measures of all"), |bencher| {
            bencher.iter(|| assert_eq!(black_box(logbook.all_values()).expect("read").len(), 60));
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
