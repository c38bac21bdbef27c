//! Probability of detection over the area.

use super::band::{BandParts, Doubt, OverArea};
use super::growth::Growth;
use super::look::Look;
use super::looking::{FlownLine, Looking, LookingLine, flown_lines, not_counted};
use super::raster::{Grid, Raster};
use super::rings::{ByDistance, PlannedPods};
use super::strips::{Strip, StripLine, strips_and_cells};
use super::{Coverage, PodByLaw};
use crate::detection::law::{pod, sweep_pod_seen_from};
use crate::detection::{Law, View};
use crate::matching::Matched;
use crate::measure::LegReport;
use crate::measure::intervals::sum;
use crate::plan::{PatternKind, Plan};
use crate::tasking::DetectionTask;
use crate::track::Track;
use crate::track::motion::Motion;
use crate::units::Length;
use geo::{Coord, Distance, Euclidean};

/// Share of what a perfect sweep would give that is wanted where the tasking names no target.
/// Chosen: the outermost strips and legs flown with ordinary care stay above it, a strip that was
/// not flown falls far below.
const TARGET_SHARE: f64 = 0.8;
/// For the raster the flown lines are thinned to within this share of the sweep width. Chosen: it moves the POD of no cell by
/// more than 0.0021 and what the noise adds to the length, and that of the area by far less; docs/method.md has the
/// bounds.
pub const LINE_TOLERANCE_SHARE: f64 = 0.0007;
/// And to within this for those that are kept. Chosen: they are a fraction of the points, and move the POD of no cell by more than
/// 0.006 and the noise.
pub const KEPT_TOLERANCE_SHARE: f64 = 0.002;
/// The same where only part of the ground is in view: every piece of a line judges by its own direction what lies on which
/// side of it, so that shorter pieces follow the noise of the receiver rather than the flight. Chosen.
pub const LINE_TOLERANCE_SHARE_IN_PART: f64 = 0.005;

/// How far the thinned lines may be from those flown, metres.
#[must_use]
pub fn line_tolerance_m(sweep_width: Length, view: View, grid: &Grid) -> f64 {
    tolerance_m(LINE_TOLERANCE_SHARE, sweep_width, view, grid)
}

/// The same of the lines that are kept.
#[must_use]
pub fn kept_tolerance_m(sweep_width: Length, view: View, grid: &Grid) -> f64 {
    tolerance_m(KEPT_TOLERANCE_SHARE, sweep_width, view, grid)
}

fn tolerance_m(share: f64, sweep_width: Length, view: View, grid: &Grid) -> f64 {
    let share = if view.is_whole() {
        share
    } else {
        LINE_TOLERANCE_SHARE_IN_PART
    };
    // Lines of narrow swaths must not stray into other cells.
    (share * sweep_width.m()).min(grid.cell_m / 4.0)
}

/// What a flight did to the area.
#[derive(Debug)]
pub struct Covered {
    /// Over all of it.
    pub coverage: Coverage,
    /// Strip by strip.
    pub strips: Vec<Strip>,
    /// The lines flown while looking, to be kept: those of every run on a planned leg, then of every additional leg.
    pub lines: Vec<LookingLine>,
    /// How it came about.
    pub growth: Growth,
}

/// What the flight did to the area, and to each strip.
#[must_use]
pub fn cover(
    grid: Grid,
    plan: &Plan,
    task: &DetectionTask,
    matched: &Matched,
    (track, motion): (&Track, &Motion),
    legs: &[LegReport],
    not_recorded_s: f64,
) -> Covered {
    let (spacing_m, width_m) = (plan.spacing.m(), task.sweep_width.m());
    let tolerance_m = line_tolerance_m(task.sweep_width, task.view, &grid);
    let looking = Looking {
        track,
        motion,
        limits: task.limits,
    };
    let ranges = looking.ranges(matched);
    let fine = flown_lines(&ranges, motion, tolerance_m);
    let lines: Vec<LookingLine> = fine.iter().map(|line| line.looking(motion)).collect();
    let hidden = hidden_lines(plan, legs, ranges.len());
    let inside = grid.inside(&plan.area);
    let look = Look::of(task, plan.spacing);
    let exposure = look.exposure(&grid, &lines);
    let planned_coverage_factor = width_m / spacing_m;
    let inverse_cube = task.inverse_cube();
    let planned = |law| sweep_pod_seen_from(law, &inverse_cube, plan.spacing, task.view);
    let target_pod = task.target_pod.unwrap_or_else(|| {
        TARGET_SHARE
            * match plan.pattern {
                PatternKind::Legs => look.alone(),
                _ => planned(task.law),
            }
    });
    let raster = Raster {
        frame: plan.frame.clone(),
        values: (0..inside.len())
            .map(|i| {
                if inside[i] {
                    pod(f64::from(exposure[i])) as f32
                } else {
                    f32::NAN
                }
            })
            .collect(),
        grid,
    };
    let (strips, at_target) = strips_and_cells(&strip_lines(plan, legs, target_pod), &raster);
    // Ground between the strips is judged by itself; outside the area the raster has no number.
    let judge = |(at, pod): (Option<bool>, &f32)| at.unwrap_or(f64::from(*pod) >= target_pod);
    let at_target: Vec<bool> = at_target
        .into_iter()
        .zip(&raster.values)
        .map(judge)
        .collect();
    let good_cells = at_target.iter().filter(|at| **at).count();
    let cells = inside.iter().filter(|i| **i).count().max(1) as f64;
    let by_distance = ByDistance::of(plan, &raster, &at_target, || {
        PlannedPods::over(&grid, plan, &look)
    });
    let area_m2 = plan.area.square_metres();
    let searching_m = length_inside(&lines, plan);
    let flown_coverage_factor = look.share() * width_m * searching_m / area_m2;
    let over_area = OverArea {
        grid: &grid,
        inside: &inside,
        area_m2,
        lines: &lines,
        lines_m: searching_m,
        hidden: &hidden,
        hidden_m: length_inside(&hidden, plan),
    };
    let (pod_band, parts) = over_area.band(&Doubt::of(task, plan.spacing), &exposure);
    // The band is about the deciding law.
    let mean = |law| {
        if law == task.law {
            return pod_band.pod;
        }
        let look = Look { law, ..look };
        over_area.pod(&look, &look.exposure(&grid, &lines), searching_m)
    };
    let coverage = Coverage {
        sweep_width: task.sweep_width,
        sweep_width_basis: task.sweep_width_basis.clone(),
        search_height: task.search_height,
        law: task.law,
        scanners: task.view.scanners,
        blind_strip: Length::from_m(task.view.blind_m),
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
        pod_band,
        pod_band_parts: BandParts {
            position_error_given: task.position_error_given,
            ..parts
        },
        without_height: looking.without_height(matched),
        target_pod,
        target_given: task.target_pod.is_some(),
        share_at_target: good_cells as f64 / cells,
        by_distance,
        not_counted: not_counted(&ranges, matched, looking, not_recorded_s),
        cell: Length::from_m(grid.cell_m),
        raster,
        exposure,
    };
    let rest_m = kept_tolerance_m(task.sweep_width, task.view, &grid) - tolerance_m;
    let kept: Vec<FlownLine> = fine
        .iter()
        .map(|line| line.thinner(motion, rest_m))
        .collect();
    let growth = Growth::of(&coverage.raster, &look, &kept, motion);
    Covered {
        coverage,
        strips,
        lines: kept.iter().map(|line| line.looking(motion)).collect(),
        growth,
    }
}

/// The strips of a plan, all judged by one target.
#[must_use]
pub fn strip_lines<'a>(
    plan: &'a Plan,
    legs: &'a [LegReport],
    target_pod: f64,
) -> Vec<StripLine<'a>> {
    plan.search_legs()
        .zip(legs)
        .map(|((_, leg), report)| StripLine {
            leg,
            unrecorded: &report.unrecorded,
            spacing: plan.spacing,
            target_pod,
        })
        .collect()
}

/// The stretches of planned legs that a hole in the log may hide, as passages after `first`.
fn hidden_lines(plan: &Plan, legs: &[LegReport], first: usize) -> Vec<LookingLine> {
    legs.iter()
        .flat_map(|leg| &leg.unrecorded)
        .enumerate()
        .map(|(i, span)| LookingLine {
            passage: first + i,
            line: [span.from_position, span.to_position]
                .map(|at| plan.frame.forward(at))
                .to_vec(),
        })
        .collect()
}

/// Length of the looking lines inside the area, metres.
fn length_inside(lines: &[LookingLine], plan: &Plan) -> f64 {
    // Short steps, each counted by its middle: the error is at most a step per crossing of the edge.
    let step_m = plan.spacing.m() / 50.0;
    let convex = plan.area.is_convex();
    let pairs = lines.iter().flat_map(|looking| looking.line.windows(2));
    sum(pairs.map(|pair| {
        let (a, b) = (pair[0], pair[1]);
        let length_m = Euclidean.distance(a, b);
        let wholly_inside = convex && plan.area.contains(a) && plan.area.contains(b);
        if wholly_inside {
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
