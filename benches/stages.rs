//! Runs one stage of a debrief some times over: what `benches/instructions.py` counts.
//!
//! `cargo bench --bench stages -- STAGE TIMES LOG TASKING`

#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a benchmark fails by panicking"
)]
#![allow(clippy::print_stdout, reason = "it says how it is called")]

use overflown::coverage::Growth;
use overflown::coverage::look::Look;
use overflown::coverage::looking::{Looking, flown_lines, looking_lines};
use overflown::coverage::pod::{kept_tolerance_m, line_tolerance_m};
use overflown::coverage::raster::Grid;
use overflown::debrief::debrief;
use overflown::matching::match_track;
use overflown::measure::passage::passages;
use overflown::plan::{self, pattern};
use overflown::report;
use overflown::report::drawing::Paper;
use overflown::tasking;
use overflown::track::Track;
use overflown::track::clean::{CleanSettings, clean};
use overflown::track::motion::Motion;
use overflown::track::read::{ReadSettings, read};
use std::hint::black_box;
use std::path::Path;

fn track(log: &Path) -> Track {
    let reading = read(log, ReadSettings::default()).expect("a log");
    clean(reading, &CleanSettings::default()).expect("a sound log")
}

fn main() {
    // Cargo adds arguments of its own, which begin with a dash.
    let given: Vec<String> = std::env::args()
        .skip(1)
        .filter(|argument| !argument.starts_with("--"))
        .collect();
    let [stage, times, log, tasking_file] = given.as_slice() else {
        println!("nothing to do: give STAGE TIMES LOG TASKING");
        return;
    };
    let times: usize = times.parse().expect("a number");
    let (log, tasking_file) = (Path::new(log), Path::new(tasking_file));
    if stage == "read" {
        for _ in 0..times {
            black_box(track(log));
        }
        return;
    }
    let tasking = tasking::read(tasking_file).expect("a sound tasking");
    let plan = plan::lay_out(&tasking, tasking_file).expect("a plan");
    let track = track(log);
    let frames = pattern::frames(&plan);
    if stage == "motion" {
        for _ in 0..times {
            black_box(Motion::of(&track, &plan.frame));
        }
        return;
    }
    let motion = Motion::of(&track, &plan.frame);
    if stage == "match" {
        for _ in 0..times {
            black_box(match_track(&track, &motion, &plan, &frames));
        }
        return;
    }
    let matched = match_track(&track, &motion, &plan, &frames);
    if stage == "passages" {
        for _ in 0..times {
            black_box(passages(&track, &motion, &plan, &frames, &matched));
        }
        return;
    }
    let look = Look::of(&tasking.detection, plan.spacing);
    let looking = Looking {
        track: &track,
        motion: &motion,
        limits: tasking.detection.limits,
    };
    let ranges = looking.ranges(&matched);
    let grid = Grid::over(&plan.area, plan.spacing, tasking.detection.detail()).expect("a grid");
    let tolerance_m = line_tolerance_m(tasking.detection.sweep_width, look.view, &grid);
    if stage == "exposure" {
        for _ in 0..times {
            let lines = looking_lines(&ranges, &motion, tolerance_m);
            black_box(look.exposure(&grid, &lines));
        }
        return;
    }
    let result = debrief(&track, log, &tasking, &plan).expect("flown as planned");
    match stage.as_str() {
        "growth" => {
            let kept_m = kept_tolerance_m(tasking.detection.sweep_width, look.view, &grid);
            let flown = flown_lines(&ranges, &motion, kept_m);
            for _ in 0..times {
                black_box(Growth::of(&result.coverage.raster, &look, &flown, &motion));
            }
        }
        "report" => {
            for _ in 0..times {
                black_box(report::files(&result, Paper::default()).expect("all files"));
            }
        }
        _ => panic!("no stage is called {stage}"),
    }
}
