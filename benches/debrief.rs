//! What each stage of a debrief costs, and the whole of it with all outputs but the disk.
//!
//! `cargo bench --bench debrief`; with `-- "24 h"`, say, one size only, with `-- kinds` the kinds of pattern beside each
//! other. The first, second and last of the sizes are 1, 10 and 100 times the fixes.

#![allow(clippy::expect_used, reason = "a benchmark fails by panicking")]

use criterion::{BatchSize, Criterion, Throughput, criterion_group, criterion_main};
use overflown::coverage::look::Look;
use overflown::coverage::looking::{Looking, flown_lines, looking_lines};
use overflown::coverage::pod::{kept_tolerance_m, line_tolerance_m};
use overflown::coverage::raster::Grid;
use overflown::coverage::strips::strips;
use overflown::coverage::{Growth, exposure, strip_lines};
use overflown::debrief::debrief;
use overflown::matching::match_track;
use overflown::measure::handling::Limits;
use overflown::measure::passage::passages;
use overflown::measure::shift::recognise;
use overflown::measure::{Flight, pass};
use overflown::plan::{self, Plan, pattern};
use overflown::refly::{self, Refly};
use overflown::report;
use overflown::report::also::{self, Also};
use overflown::report::drawing::Paper;
use overflown::simulate::{Fault, Settings, gpx_out, simulate};
use overflown::tasking::{self, Tasking};
use overflown::track::Track;
use overflown::track::clean::{CleanSettings, clean};
use overflown::track::motion::Motion;
use overflown::track::read::{ReadSettings, read};
use overflown::units::Length;
use std::hint::black_box;
use std::path::{Path, PathBuf};

/// A sortie of about this many hours, recorded at this rate.
struct Sortie {
    name: &'static str,
    hours: f64,
    rate_hz: f64,
}

const SORTIES: [Sortie; 4] = [
    Sortie {
        name: "4 h at 1 Hz",
        hours: 4.0,
        rate_hz: 1.0,
    },
    Sortie {
        name: "4 h at 10 Hz",
        hours: 4.0,
        rate_hz: 10.0,
    },
    Sortie {
        name: "24 h at 10 Hz",
        hours: 24.0,
        rate_hz: 10.0,
    },
    Sortie {
        name: "40 h at 10 Hz",
        hours: 40.0,
        rate_hz: 10.0,
    },
];

/// The sorties asked for: those whose name begins with an argument, else all. Laying out and flying the others takes longer
/// than what is timed.
fn asked_for() -> impl Iterator<Item = &'static Sortie> {
    let asked = |sortie: &Sortie| std::env::args().any(|text| sortie.name.starts_with(&text));
    let some = SORTIES.iter().any(asked);
    let kinds = std::env::args().any(|text| text == "kinds");
    SORTIES
        .iter()
        .filter(move |sortie| !kinds && (asked(sortie) || !some))
}

/// Legs of 20 NM at half a mile, as many as fill the time at 90 kt with a minute for each turn.
fn lay_out(hours: f64) -> (Tasking, Plan) {
    let legs = (hours * 60.0 / (20.0 / 1.5 + 1.0)).floor();
    let text = format!(
        "sortie = \"Bench\"\ndate = 2026-06-14\n[pattern]\nkind = \"parallel sweep\"\n\
         start = [47.0, 12.0]\nfirst_course = \"000 T\"\nturn = \"right\"\nspacing = \"0.5 NM\"\n\
         leg_length = \"20 NM\"\nlegs = {legs}\n[flight]\nground_speed = \"90 kt\"\n\
         [detection]\nsweep_width = \"0.5 NM\"\n"
    );
    let path = Path::new("tasking.toml");
    let tasking = tasking::parse(&text, path).expect("the tasking above is sound");
    let plan = plan::lay_out(&tasking, path).expect("and can be laid out");
    (tasking, plan)
}

fn log(sortie: &Sortie, tasking: &Tasking, plan: &Plan, folder: &Path) -> PathBuf {
    let settings = Settings {
        rate_hz: sortie.rate_hz,
        // So that there is something to fly again.
        faults: vec![Fault::SkipLeg(3), Fault::SkipLeg(10)],
        ..Settings::for_tasking(tasking)
    };
    let flight = simulate(plan, &settings, 1).expect("the flight can be flown");
    let path = folder.join(format!("{}.gpx", sortie.name));
    let file = std::io::BufWriter::new(std::fs::File::create(&path).expect("a temporary file"));
    gpx_out::write(file, sortie.name, &flight.fixes).expect("disk space");
    path
}

fn read_track(path: &Path) -> Track {
    let reading = read(path, ReadSettings::default()).expect("our own log");
    clean(reading, &CleanSettings::default()).expect("a sound log")
}

fn stages(c: &mut Criterion) {
    let folder = tempfile::tempdir().expect("a temporary folder");
    for sortie in asked_for() {
        let (tasking, plan) = lay_out(sortie.hours);
        let path = log(sortie, &tasking, &plan, folder.path());
        let track = read_track(&path);
        let frames = pattern::frames(&plan);
        let motion = Motion::of(&track, &plan.frame);
        let matched = match_track(&track, &motion, &plan, &frames);
        let grid = Grid::over(&plan.area, plan.spacing, tasking.detection.sweep_width)
            .expect("an area of ordinary size");
        let looking = Looking {
            track: &track,
            motion: &motion,
            limits: tasking.detection.limits,
        };
        let ranges = looking.ranges(&matched);
        let look = Look::of(&tasking.detection, plan.spacing);
        let tolerance_m = line_tolerance_m(tasking.detection.sweep_width, look.view, &grid);
        let lines = looking_lines(&ranges, &motion, tolerance_m);
        let kept_m = kept_tolerance_m(tasking.detection.sweep_width, look.view, &grid);
        let flown = flown_lines(&ranges, &motion, kept_m);
        let result = debrief(&track, &path, &tasking, &plan).expect("flown as planned");

        let mut group = c.benchmark_group(format!("{}, {} fixes", sortie.name, track.fixes.len()));
        group.sample_size(10);
        group.throughput(Throughput::Elements(track.fixes.len() as u64));
        let reading = || read(&path, ReadSettings::default()).expect("our own log");
        group.bench_function("read", |b| b.iter(|| black_box(reading())));
        group.bench_function("clean", |b| {
            let read = reading();
            let clean = |reading| clean(reading, &CleanSettings::default());
            b.iter_batched(
                || read.clone(),
                |reading| black_box(clean(reading)),
                BatchSize::PerIteration,
            );
        });
        group.bench_function("motion", |b| {
            b.iter(|| black_box(Motion::of(&track, &plan.frame)));
        });
        group.bench_function("match", |b| {
            b.iter(|| black_box(match_track(&track, &motion, &plan, &frames)));
        });
        group.bench_function("passages in leg coordinates", |b| {
            b.iter(|| black_box(passages(&track, &motion, &plan, &frames, &matched)));
        });
        group.bench_function("match, and passages in leg coordinates", |b| {
            b.iter(|| {
                let matched = match_track(&track, &motion, &plan, &frames);
                black_box(passages(&track, &motion, &plan, &frames, &matched))
            });
        });
        group.bench_function("measure the passages", |b| {
            let flight = Flight {
                track: &track,
                motion: &motion,
                plan: &plan,
                frames: &frames,
            };
            let tolerances = &result.tolerances;
            let limits = Limits::new(
                &tasking.flight,
                tolerances.ground_speed,
                tolerances.altitude,
            );
            b.iter_batched(
                || passages(&track, &motion, &plan, &frames, &matched),
                |passages| {
                    black_box(pass::passes(
                        flight,
                        passages,
                        tolerances.cross_track,
                        &limits,
                        None,
                    ))
                },
                BatchSize::PerIteration,
            );
        });
        group.bench_function("lines flown while looking", |b| {
            b.iter(|| black_box(looking_lines(&ranges, &motion, tolerance_m)));
        });
        group.bench_function("inverse-cube exposure", |b| {
            let (law, view) = (tasking.detection.inverse_cube(), tasking.detection.view);
            b.iter(|| black_box(exposure::inverse_cube(&grid, &lines, &law, view)));
        });
        group.bench_function("growth of the coverage", |b| {
            b.iter(|| black_box(Growth::of(&result.coverage.raster, &look, &flown, &motion)));
        });
        let raster = &result.coverage.raster;
        let along_legs = strip_lines(&plan, &result.legs, result.coverage.target_pod);
        group.bench_function("strips", |b| {
            b.iter(|| black_box(strips(&along_legs, raster)));
        });
        group.bench_function("re-fly", |b| {
            let inside = raster.values.iter().filter(|pod| !pod.is_nan()).count();
            let share = |pod: &f32| {
                if pod.is_nan() {
                    0.0
                } else {
                    1.0 / inside as f32
                }
            };
            let prior: Vec<f32> = raster.values.iter().map(share).collect();
            let state = refly::State {
                raster,
                prior: &prior,
                lines: &along_legs,
                strips: &result.strips,
            };
            let wanted = refly::Wanted {
                look,
                ground_speed: tasking.flight.ground_speed,
                base: None,
                goal: refly::Goal::Stretches,
                budget_s: None,
            };
            assert!(!Refly::over(&state, &wanted).legs.is_empty());
            b.iter(|| black_box(Refly::over(&state, &wanted)));
        });
        group.bench_function("debrief, from the clean track", |b| {
            b.iter(|| black_box(debrief(&track, &path, &tasking, &plan).expect("as above")));
        });
        group.bench_function("all reports", |b| {
            b.iter(|| black_box(report::files(&result, Paper::default()).expect("as above")));
        });
        group.bench_function("files of --also all", |b| {
            b.iter(|| {
                black_box(also::files(&result, &Also::ALL, Paper::default()).expect("as above"))
            });
        });
        group.bench_function("whole, from the file to all reports", |b| {
            b.iter(|| {
                let track = read_track(&path);
                let result = debrief(&track, &path, &tasking, &plan).expect("as above");
                black_box(report::files(&result, Paper::default()).expect("as above"))
            });
        });
        group.finish();
    }
}

/// Patterns of about the same length over about the same ground, 330 NM over 1050 square NM.
const KINDS: [(&str, &str); 3] = [
    (
        "parallel sweep",
        "kind = \"parallel sweep\"\nstart = [47.0, 12.0]\nspacing = \"3.2 NM\"\n\
         leg_length = \"30 NM\"\nlegs = 10",
    ),
    (
        "expanding square",
        "kind = \"expanding square\"\ndatum = [47.0, 12.0]\nspacing = \"3.0 NM\"\nlegs = 20",
    ),
    (
        "sector search",
        "kind = \"sector\"\ndatum = [47.0, 12.0]\nradius = \"18.3 NM\"\nsecond_pass = true",
    ),
];

/// A debrief of each kind of pattern, at ten fixes a second.
fn kinds(c: &mut Criterion) {
    let mut group = c.benchmark_group("kinds of pattern");
    group.sample_size(20);
    for (name, pattern) in KINDS {
        let text = format!(
            "sortie = \"Bench\"\ndate = 2026-06-14\n[pattern]\n{pattern}\n\
             first_course = \"000 T\"\nturn = \"right\"\n[flight]\nground_speed = \"90 kt\"\n\
             [detection]\nsweep_width = \"0.5 NM\"\n"
        );
        let path = Path::new("tasking.toml");
        let tasking = tasking::parse(&text, path).expect("the tasking above is sound");
        let plan = plan::lay_out(&tasking, path).expect("and can be laid out");
        let folder = tempfile::tempdir().expect("a temporary folder");
        let sortie = Sortie {
            name,
            hours: 4.0,
            rate_hz: 10.0,
        };
        let log = log(&sortie, &tasking, &plan, folder.path());
        let track = read_track(&log);
        let motion = Motion::of(&track, &plan.frame);
        let frames = pattern::frames(&plan);
        let flight = Flight {
            track: &track,
            motion: &motion,
            plan: &plan,
            frames: &frames,
        };
        let tolerance = Length::from_nm(0.25);
        let size = format!(
            "{name}, {:.0} NM, {} fixes, {:.0} square NM",
            plan.total_length().nm(),
            track.fixes.len(),
            plan.area.square_metres() / 1852.0f64.powi(2)
        );
        group.bench_function(format!("from the log, {name}"), |b| {
            b.iter(|| {
                let track = read_track(&log);
                black_box(debrief(&track, path, &tasking, &plan).expect("flown as planned"))
            });
        });
        group.bench_function(format!("debrief, {size}"), |b| {
            b.iter(|| black_box(debrief(&track, path, &tasking, &plan).expect("flown as planned")));
        });
        group.bench_function(format!("match, {name}"), |b| {
            b.iter(|| black_box(match_track(&track, &motion, &plan, &frames)));
        });
        group.bench_function(format!("pattern as a whole, {name}"), |b| {
            b.iter(|| black_box(recognise(flight, tolerance)));
        });
    }
    group.finish();
}

criterion_group!(benches, stages, kinds);
criterion_main!(benches);
