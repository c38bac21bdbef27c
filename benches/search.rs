//! What it costs to take many sorties together.
//!
//! `cargo bench --bench search`: twenty sorties of four hours each over an area of 30 x 30 NM in cells of
//! about 100 m, and half and double as many, to show how the time grows.

#![allow(clippy::expect_used, reason = "a benchmark fails by panicking")]
#![allow(clippy::print_stdout, reason = "says what is measured")]

use criterion::{BenchmarkId, Criterion, criterion_group, criterion_main};
use overflown::debrief::debrief;
use overflown::plan;
use overflown::search::{Sortie, Wants, search};
use overflown::simulate::{Settings, simulate};
use overflown::tasking;
use overflown::track::clean::{CleanSettings, clean};
use overflown::track::read::{ReadSettings, read};
use std::hint::black_box;
use std::path::Path;

/// Sorties over the same area, each with legs of 28 NM beginning a little farther east than the one before.
fn sorties(count: usize) -> Vec<Sortie> {
    let folder = tempfile::tempdir().expect("a temporary folder");
    (0..count)
        .map(|i| {
            let lon = 12.0 + 0.6 * (i as f64) / (count as f64);
            let text = format!(
                "sortie = \"Sortie {i}\"\ndate = 2026-06-14\n[area]\nsouth = 47.0\nnorth = 47.5\n\
                 west = 12.0\neast = 12.736\n[pattern]\nkind = \"parallel sweep\"\n\
                 start = [47.01, {lon}]\nfirst_course = \"000 T\"\nturn = \"right\"\nspacing = \"0.55 NM\"\n\
                 leg_length = \"28 NM\"\nlegs = 12\n[flight]\nground_speed = \"90 kt\"\n\
                 [detection]\nsweep_width = \"0.45 NM\"\n"
            );
            let path = Path::new("tasking.toml");
            let tasking = tasking::parse(&text, path).expect("the tasking above is sound");
            let plan = plan::lay_out(&tasking, path).expect("and can be laid out");
            let settings = Settings::for_tasking(&tasking);
            let flight = simulate(&plan, &settings, i as u64).expect("the flight can be flown");
            let log = folder.path().join(format!("{i}.gpx"));
            let file = std::io::BufWriter::new(std::fs::File::create(&log).expect("a file"));
            overflown::simulate::gpx_out::write(file, "track", &flight.fixes).expect("disk space");
            let reading = read(&log, ReadSettings::default()).expect("our own log");
            let track = clean(reading, &CleanSettings::default()).expect("a sound log");
            let result = debrief(&track, &log, &tasking, &plan).expect("a sound flight");
            Sortie::of(&result).expect("our own debrief")
        })
        .collect()
}

fn together(c: &mut Criterion) {
    let all = sorties(40);
    let mut group = c.benchmark_group("search");
    group.sample_size(10);
    for count in [10, 20, 40] {
        let some: Vec<Sortie> = all.iter().step_by(40 / count).cloned().collect();
        let wants = Wants {
            name: "bench".into(),
            any_days: true,
            ..Wants::default()
        };
        let result = search(some.clone(), &wants).expect("sound sorties");
        println!(
            "{count} sorties: {} x {} cells of {:.0} m, {} strips, re-fly of {} legs",
            result.raster.grid.columns,
            result.raster.grid.rows,
            result.raster.grid.cell_m,
            result.strips.len(),
            result.refly.legs.len()
        );
        group.bench_with_input(BenchmarkId::from_parameter(count), &some, |b, some| {
            b.iter(|| search(black_box(some.clone()), &wants).expect("sound sorties"));
        });
    }
    group.finish();
}

criterion_group!(benches, together);
criterion_main!(benches);
