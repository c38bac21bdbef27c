//! Finding the legs near a fix: the R-tree against a look at every leg, for plans of 10 to 1000
//! legs.
//!
//! `cargo bench --bench matching`
#![allow(clippy::expect_used, reason = "a benchmark fails by panicking")]

use criterion::{BenchmarkId, Criterion, criterion_group, criterion_main};
use geo::{Coord, Distance, Euclidean, Line, Point};
use overflown::matching::leg_index::LegIndex;
use overflown::plan::{self, Plan};
use overflown::tasking;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use std::hint::black_box;
use std::path::Path;

const GATE_M: f64 = 0.8 * 926.0;

fn lay_out(legs: u32) -> Plan {
    let text = format!(
        "sortie = \"Bench\"\ndate = 2026-06-14\n[pattern]\nkind = \"parallel sweep\"\n\
         start = [47.0, 12.0]\nfirst_course = \"033 T\"\nturn = \"right\"\nspacing = \"0.5 NM\"\n\
         leg_length = \"7 NM\"\nlegs = {legs}\n[flight]\nground_speed = \"90 kt\"\n\
         [detection]\nsweep_width = \"0.5 NM\"\n[area]\nsouth = 46.9\nnorth = 47.1\nwest = 12.0\neast = 12.3\n"
    );
    let path = Path::new("tasking.toml");
    let tasking = tasking::parse(&text, path).expect("the tasking above is sound");
    plan::lay_out(&tasking, path).expect("and can be laid out")
}

/// Legs within the gate by a look at each of them.
fn scan(lines: &[(usize, Line<f64>)], xy: Coord<f64>) -> Vec<usize> {
    lines
        .iter()
        .filter(|(_, line)| Euclidean.distance(&Point::from(xy), line) <= GATE_M)
        .map(|(leg, _)| *leg)
        .collect()
}

fn near(c: &mut Criterion) {
    let mut group = c.benchmark_group("legs near a fix, 1000 fixes");
    for count in [10, 100, 1000] {
        let plan = lay_out(count);
        let lines: Vec<(usize, Line<f64>)> = plan
            .search_legs()
            .map(|(i, leg)| {
                (
                    i,
                    Line::new(plan.frame.forward(leg.start), plan.frame.forward(leg.end)),
                )
            })
            .collect();
        let mut random = ChaCha8Rng::seed_from_u64(1);
        let fixes: Vec<Coord<f64>> = (0..1000)
            .map(|_| {
                let line = lines[random.random_range(0..lines.len())].1;
                let t = random.random_range(-0.1..1.1);
                let aside = random.random_range(-800.0..800.0);
                Coord {
                    x: line.start.x + t * line.dx() + aside,
                    y: line.start.y + t * line.dy(),
                }
            })
            .collect();
        let index = LegIndex::new(&plan);
        group.bench_function(BenchmarkId::new("R-tree", count), |b| {
            b.iter(|| {
                let mut near = index.within(GATE_M);
                for xy in &fixes {
                    black_box(near.at(*xy));
                }
            });
        });
        group.bench_function(BenchmarkId::new("look at every leg", count), |b| {
            b.iter(|| {
                for xy in &fixes {
                    black_box(scan(&lines, *xy));
                }
            });
        });
    }
    group.finish();
}

criterion_group!(benches, near);
criterion_main!(benches);
