//! Probability of detection over the area.

use super::exposure::{inverse_cube, passes_within};
use super::looking::{LookingLine, looking_lines, looking_ranges, not_counted};
use super::raster::{Grid, Raster};
use super::rings::ByDistance;
use super::strips::{Strip, StripRules, strips};
use super::{Coverage, PodByLaw};
use crate::detection::law::{pod, sweep_pod_seen_from};
use crate::detection::{Law, Scanners};
use crate::matching::Matched;
use crate::measure::LegReport;
use crate::measure::intervals::sum;
use crate::plan::Plan;
use crate::tasking::DetectionTask;
use crate::track::motion::Motion;
use crate::units::Length;
use geo::{Coord, Distance, Euclidean};

/// Share of what a perfect sweep would give that is wanted where the tasking names no target.
/// Chosen: the outermost strips and legs flown with ordinary care stay above it, a strip that was
/// not flown falls far below.
const TARGET_SHARE: f64 = 0.8;
/// The flown lines are thinned to within this share of the sweep width. Chosen: it moves the POD of
/// no cell by more than about 0.01, and that of a strip by far less.
const LINE_TOLERANCE_SHARE: f64 = 0.005;

/// What the flight did to the area, and to each strip.
#[must_use]
pub fn cover(
    grid: Grid,
    plan: &Plan,
    task: &DetectionTask,
    matched: &Matched,
    motion: &Motion,
    legs: &[LegReport],
    not_recorded_s: f64,
) -> (Coverage, Vec<Strip>) {
    let (spacing_m, width_m) = (plan.spacing.m(), task.sweep_width.m());
    let tolerance_m = (LINE_TOLERANCE_SHARE * width_m).min(grid.cell_m / 4.0);
    let looking = looking_ranges(matched, motion);
    let lines = looking_lines(&looking, motion, tolerance_m);
    let inside = grid.inside(&plan.area);
    let fields = Fields::new(&grid, &lines, spacing_m, task);
    let planned_coverage_factor = width_m / spacing_m;
    let inverse_cube = task.inverse_cube();
    let planned = |law| sweep_pod_seen_from(law, &inverse_cube, plan.spacing, task.scanners);
    let target_pod = task.target_pod.unwrap_or(TARGET_SHARE * planned(task.law));
    let raster = Raster {
        frame: plan.frame.clone(),
        values: (0..inside.len())
            .map(|i| {
                if inside[i] {
                    fields.pod(task.law, i) as f32
                } else {
                    f32::NAN
                }
            })
            .collect(),
        grid,
    };
    let rules = StripRules {
        target_pod,
        spacing: plan.spacing,
    };
    let (strips, at_target) = strips(plan, &raster, legs, &rules);
    let cells = inside.iter().filter(|i| **i).count().max(1) as f64;
    let mean = |law: Law| {
        (0..inside.len())
            .filter(|i| inside[*i])
            .map(|i| fields.pod(law, i))
            .sum::<f64>()
            / cells
    };
    let by_distance = ByDistance::of(plan, &raster, &at_target, || {
        planned_pods(&grid, plan, task)
    });
    let area_m2 = plan.area.square_metres();
    let searching_m = length_inside(&lines, plan);
    let flown_coverage_factor = sides(task.scanners) * width_m * searching_m / area_m2;
    let coverage = Coverage {
        sweep_width: task.sweep_width,
        sweep_width_basis: task.sweep_width_basis.clone(),
        search_height: task.search_height,
        law: task.law,
        scanners: task.scanners,
        planned_coverage_factor,
        flown_coverage_factor,
        searching_track: Length::from_m(searching_m),
        area_m2,
        planned_pod: PodByLaw {
            inverse_cube: planned(Law::InverseCube),
            exponential: planned(Law::Exponential),
            definite_range: planned(Law::DefiniteRange),
        },
        pod: PodByLaw {
            inverse_cube: mean(Law::InverseCube),
            // Random search knows no lateral range: W L / A over the area as a whole.
            exponential: pod(flown_coverage_factor),
            definite_range: mean(Law::DefiniteRange),
        },
        target_pod,
        target_given: task.target_pod.is_some(),
        share_at_target: at_target.iter().filter(|at| **at).count() as f64 / cells,
        by_distance,
        not_counted: not_counted(&looking, matched, motion, not_recorded_s),
        cell: Length::from_m(grid.cell_m),
        raster,
    };
    (coverage, strips)
}

/// POD of every cell under the deciding law, had every search leg been flown just as planned.
fn planned_pods(grid: &Grid, plan: &Plan, task: &DetectionTask) -> Vec<f64> {
    let lines: Vec<LookingLine> = plan
        .search_legs()
        .enumerate()
        .map(|(passage, (_, leg))| LookingLine {
            passage,
            line: vec![plan.frame.forward(leg.start), plan.frame.forward(leg.end)],
        })
        .collect();
    let fields = Fields::under(task.law, grid, &lines, plan.spacing.m(), task);
    (0..grid.columns * grid.rows)
        .map(|cell| fields.pod(task.law, cell))
        .collect()
}

/// Share of the sweep width that is looked over.
const fn sides(scanners: Scanners) -> f64 {
    match scanners {
        Scanners::Both => 1.0,
        Scanners::Left | Scanners::Right => 0.5,
    }
}

/// What each cell got, under each law.
struct Fields {
    exposure: Vec<f32>,
    /// Passages within half a sweep width.
    close_passes: Vec<u16>,
    /// Passages within half a spacing.
    strip_passes: Vec<u16>,
    /// Coverage factor of one passage in the strip about it.
    effort: f64,
}

impl Fields {
    fn new(grid: &Grid, lines: &[LookingLine], spacing_m: f64, task: &DetectionTask) -> Self {
        let width_m = task.sweep_width.m();
        Self {
            exposure: inverse_cube(grid, lines, &task.inverse_cube(), task.scanners),
            close_passes: passes_within(grid, lines, width_m / 2.0, task.scanners),
            // Random search knows no side: looking from one of them is half the effort.
            strip_passes: passes_within(grid, lines, spacing_m / 2.0, Scanners::Both),
            effort: sides(task.scanners) * width_m / spacing_m,
        }
    }

    /// As [`new`](Self::new), with what one law needs alone.
    fn under(
        law: Law,
        grid: &Grid,
        lines: &[LookingLine],
        spacing_m: f64,
        task: &DetectionTask,
    ) -> Self {
        let width_m = task.sweep_width.m();
        let none = Self {
            exposure: Vec::new(),
            close_passes: Vec::new(),
            strip_passes: Vec::new(),
            effort: sides(task.scanners) * width_m / spacing_m,
        };
        match law {
            Law::InverseCube => Self {
                exposure: inverse_cube(grid, lines, &task.inverse_cube(), task.scanners),
                ..none
            },
            Law::Exponential => Self {
                strip_passes: passes_within(grid, lines, spacing_m / 2.0, Scanners::Both),
                ..none
            },
            Law::DefiniteRange => Self {
                close_passes: passes_within(grid, lines, width_m / 2.0, task.scanners),
                ..none
            },
        }
    }

    /// POD of a cell. Under the exponential law each passage spreads its effort evenly over the
    /// strip one spacing wide about it: F = W/S there, half of that from one side.
    fn pod(&self, law: Law, cell: usize) -> f64 {
        match law {
            Law::InverseCube => pod(f64::from(self.exposure[cell])),
            Law::Exponential => pod(self.effort * f64::from(self.strip_passes[cell])),
            Law::DefiniteRange => f64::from(u8::from(self.close_passes[cell] > 0)),
        }
    }
}

/// Length of the looking lines inside the area, metres.
fn length_inside(lines: &[LookingLine], plan: &Plan) -> f64 {
    // Short steps, each counted by its middle: the error is at most a step per crossing of the edge.
    let step_m = plan.spacing.m() / 50.0;
    let pairs = lines.iter().flat_map(|looking| looking.line.windows(2));
    sum(pairs.map(|pair| {
        let (a, b) = (pair[0], pair[1]);
        let length_m = Euclidean.distance(a, b);
        let both_inside = plan.area.contains(a) && plan.area.contains(b);
        if both_inside && plan.area.is_convex() {
            return length_m;
        }
        let steps = (length_m / step_m).ceil().max(1.0);
        let inside = (0..steps as usize)
            .filter(|k| {
                let t = (*k as f64 + 0.5) / steps;
                let at = Coord {
                    x: a.x + t * (b.x - a.x),
                    y: a.y + t * (b.y - a.y),
                };
                plan.area.contains(at)
            })
            .count();
        length_m * inside as f64 / steps
    }))
}
