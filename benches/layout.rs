//! What laying out a pattern costs, leg by leg.
//!
//! `cargo bench --bench layout`; the figure criterion gives per element is that per leg.

#![allow(clippy::expect_used, reason = "a benchmark fails by panicking")]

use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use overflown::plan;
use overflown::tasking;
use std::hint::black_box;
use std::path::Path;

/// A name, and the sections [area] and [pattern].
fn patterns() -> Vec<(&'static str, String)> {
    let line: String = (0..40)
        .map(|i| {
            format!(
                "[{}, {}], ",
                47.0 + 0.05 * f64::from(i % 2),
                12.0 + 0.1 * f64::from(i)
            )
        })
        .collect();
    let bands: String = (0..10)
        .map(|i| {
            format!(
                "[[pattern.bands]]\naltitude = \"{} ft\"\nline = [{line}]\n",
                9000 - 500 * i
            )
        })
        .collect();
    let points: String = (0..100)
        .map(|i| {
            format!(
                "[{}, {}], ",
                47.0 + 0.1 * f64::from((i + 1) / 2 % 2),
                12.0 + 0.01 * f64::from(i / 2)
            )
        })
        .collect();
    let about = "datum = [47.1, 12.5]\nfirst_course = \"020 T\"\nturn = \"right\"\n";
    let sweep = "start = [47.1, 12.5]\nfirst_course = \"020 T\"\nturn = \"right\"\nspacing = \"0.5 NM\"\n\
                 leg_length = \"20 NM\"\nlegs = 50\n";
    vec![
        ("PS as tasked", format!("[pattern]\nkind = \"parallel sweep\"\n{sweep}")),
        ("PS interleaved", format!("[pattern]\nkind = \"parallel sweep\"\n{sweep}interleave = true\n")),
        (
            "CS from an area",
            "[area]\nsouth = 47.0\nnorth = 47.3\nwest = 12.0\neast = 12.8\n[pattern]\n\
             kind = \"creeping line\"\nfirst_course = \"000 T\"\nturn = \"right\"\nspacing = \"0.5 NM\"\n"
                .to_owned(),
        ),
        (
            "SS",
            format!("[pattern]\nkind = \"expanding square\"\n{about}spacing = \"0.5 NM\"\nlegs = 80\n"),
        ),
        (
            "VS",
            format!("[pattern]\nkind = \"sector\"\n{about}radius = \"10 NM\"\nsectors = 18\nsecond_pass = true\n"),
        ),
        (
            "TSR",
            format!("[pattern]\nkind = \"track line return\"\nline = [{line}]\nspacing = \"0.5 NM\"\nturn = \"right\"\n"),
        ),
        (
            "TSN",
            format!("[pattern]\nkind = \"track line non-return\"\nline = [{line}]\nspacing = \"0.5 NM\"\n"),
        ),
        ("OS", format!("[pattern]\nkind = \"contour\"\nspacing = \"0.5 NM\"\n{bands}")),
        (
            "route",
            format!("[pattern]\nkind = \"route\"\npoints = [{points}]\nspacing = \"0.5 NM\"\n"),
        ),
    ]
}

fn layout(c: &mut Criterion) {
    let path = Path::new("tasking.toml");
    let mut group = c.benchmark_group("layout");
    group.sample_size(20);
    for (name, pattern) in patterns() {
        let text = format!(
            "sortie = \"Bench\"\ndate = 2026-06-14\n{pattern}[flight]\nground_speed = \"90 kt\"\n\
             [detection]\nsweep_width = \"0.5 NM\"\n"
        );
        let tasking = tasking::parse(&text, path).expect("the tasking above is sound");
        let plan = plan::lay_out(&tasking, path).expect("and can be laid out");
        group.throughput(Throughput::Elements(plan.legs.len() as u64));
        group.bench_function(name, |b| {
            b.iter(|| black_box(plan::lay_out(&tasking, path).expect("as above")));
        });
    }
    group.finish();
}

criterion_group!(benches, layout);
criterion_main!(benches);
