//! Times the exposure raster of a log and leaves it, with what it was made from, for `exposure.py` to compare.
//!
//! `cargo bench --bench raster -- LOG TASKING FOLDER REPETITIONS`; `benches/compare/compare.py` runs it.

#![allow(clippy::expect_used, reason = "a benchmark fails by panicking")]
#![allow(clippy::print_stdout, reason = "its result goes to standard output")]

use overflown::coverage::look::Look;
use overflown::coverage::looking::{Looking, looking_lines};
use overflown::coverage::pod::line_tolerance_m;
use overflown::coverage::raster::Grid;
use overflown::matching::match_track;
use overflown::plan::{self, pattern};
use overflown::tasking;
use overflown::track::clean::{CleanSettings, clean};
use overflown::track::motion::Motion;
use overflown::track::read::{ReadSettings, read};
use std::path::Path;
use std::time::Instant;

fn main() {
    // Cargo adds arguments of its own, which begin with a dash.
    let given: Vec<String> = std::env::args()
        .skip(1)
        .filter(|argument| !argument.starts_with("--"))
        .collect();
    let [log, tasking_file, folder, repetitions] = given.as_slice() else {
        println!("nothing to do: give LOG TASKING FOLDER REPETITIONS");
        return;
    };
    let (tasking_file, folder) = (Path::new(tasking_file), Path::new(folder));
    let tasking = tasking::read(tasking_file).expect("a sound tasking");
    let plan = plan::lay_out(&tasking, tasking_file).expect("a plan");
    let reading = read(Path::new(log), ReadSettings::default()).expect("a log");
    let track = clean(reading, &CleanSettings::default()).expect("a sound log");
    let motion = Motion::of(&track, &plan.frame);
    let frames = pattern::frames(&plan);
    let matched = match_track(&track, &motion, &plan, &frames);
    let width = tasking.detection.sweep_width;
    let grid = Grid::over(&plan.area, plan.spacing, tasking.detection.detail()).expect("a grid");
    let looking = Looking {
        track: &track,
        motion: &motion,
        limits: tasking.detection.limits,
    };
    let look = Look::of(&tasking.detection, plan.spacing);
    let ranges = looking.ranges(&matched);
    let mut exposure = Vec::new();
    let seconds: Vec<f64> = (0..repetitions.parse().expect("a number"))
        .map(|_| {
            let began = Instant::now();
            // Thinning is part of it: the other side takes every fix as well.
            let tolerance_m = line_tolerance_m(width, look.view, &grid);
            let lines = looking_lines(&ranges, &motion, tolerance_m);
            exposure = look.exposure(&grid, &lines);
            began.elapsed().as_secs_f64()
        })
        .collect();

    let about = serde_json::json!({
        "origin_m": [grid.origin.x, grid.origin.y],
        "cell_m": grid.cell_m,
        "columns": grid.columns,
        "rows": grid.rows,
        "width_m": width.m(),
        "threads": rayon::current_num_threads(),
    });
    std::fs::create_dir_all(folder).expect("a folder");
    std::fs::write(folder.join("raster.json"), about.to_string()).expect("disk space");
    let cells: Vec<u8> = exposure.iter().flat_map(|f| f.to_le_bytes()).collect();
    std::fs::write(folder.join("exposure.f32"), cells).expect("disk space");
    let segments: Vec<u8> = ranges
        .iter()
        .flatten()
        .flat_map(|range| motion.xy[range.clone()].windows(2))
        .filter(|pair| pair[0] != pair[1])
        .flat_map(|pair| [pair[0].x, pair[0].y, pair[1].x, pair[1].y])
        .flat_map(f64::to_le_bytes)
        .collect();
    std::fs::write(folder.join("segments.f64"), segments).expect("disk space");
    println!("{}", serde_json::json!({ "seconds": seconds }));
}
