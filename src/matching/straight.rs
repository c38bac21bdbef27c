//! Straight runs inside the area on no planned leg: legs flown in addition.
//!
//! Crews halve the spacing by flying between the planned legs, on the way or afterwards. A straight
//! run counts as an additional leg, as far as it lies inside the area, when it is long enough and
//! either runs parallel to the planned legs or crosses the middle of the area between them.

use crate::geodesy::LegInPlane;
use crate::plan::Plan;
use crate::track::motion::Motion;
use crate::units::wrap_180;
use geo::{Coord, Distance, Euclidean, Point};
use std::ops::Range;

/// Courses within this of the run's mean are straight, degrees. Chosen.
const STRAIGHT_WITHIN_DEG: f64 = 15.0;
/// Parallel to a planned leg within this, degrees. Chosen.
const PARALLEL_WITHIN_DEG: f64 = 20.0;
/// After the last planned leg a run may as well be the way home: one that goes over by more than
/// this, in spacings, as seen from the leg beside it, slants and is no leg. Chosen.
const SLANT_SPACINGS: f64 = 0.5;
/// Shortest additional leg, in spacings; and as a share of the median planned leg. Chosen: longer
/// than the straight part of a cross-leg.
const SHORTEST_SPACINGS: f64 = 1.5;
const SHORTEST_SHARE: f64 = 0.15;
/// Shortest run across the planned direction, as a share of the median planned leg. Chosen.
const SHORTEST_SHARE_ACROSS: f64 = 0.5;
/// Share of a run that must lie inside the area. Chosen.
const INSIDE_SHARE: f64 = 0.7;
/// A run across the planned direction must lie farther inside the edge than this over most of its
/// length, in spacings: way flown along the leg ends is a turn. Chosen.
const DEEP_SPACINGS: f64 = 0.75;

/// Additional legs among `fixes`, which are on no planned leg and in one stretch; `within_search`
/// says whether a planned leg was flown after them.
#[must_use]
pub fn additional_legs(
    fixes: Range<usize>,
    within_search: bool,
    motion: &Motion,
    plan: &Plan,
    frames: &[LegInPlane],
) -> Vec<Range<usize>> {
    straight_runs(fixes, motion)
        .into_iter()
        .filter_map(|run| inside(run, motion, plan))
        .filter(|run| is_leg(run, within_search, motion, plan, frames))
        .collect()
}

/// The part of a run from its first fix inside the area to its last.
pub(super) fn inside(run: Range<usize>, motion: &Motion, plan: &Plan) -> Option<Range<usize>> {
    let inside = |fix: &usize| plan.area.contains(motion.xy[*fix]);
    let first = run.clone().find(inside)?;
    let last = run.rev().find(inside)?;
    Some(first..last + 1)
}

fn is_leg(
    run: &Range<usize>,
    within_search: bool,
    motion: &Motion,
    plan: &Plan,
    frames: &[LegInPlane],
) -> bool {
    let median_m = median_leg_m(plan);
    let (a, b) = (motion.xy[run.start], motion.xy[run.end - 1]);
    let length_m = Euclidean.distance(a, b);
    if length_m < (SHORTEST_SPACINGS * plan.spacing.m()).max(SHORTEST_SHARE * median_m) {
        return false;
    }
    let samples = samples(run, motion);
    let inside = samples.iter().filter(|xy| plan.area.contains(**xy)).count();
    if (inside as f64) < INSIDE_SHARE * samples.len() as f64 {
        return false;
    }
    if let Some((leg, _)) = nearest_leg(run, motion, plan, frames) {
        let cross_m = |fix: usize| frames[leg].locate(motion.xy[fix]).cross_m;
        let slant_m = (cross_m(run.end - 1) - cross_m(run.start)).abs();
        return within_search || slant_m <= SLANT_SPACINGS * plan.spacing.m();
    }
    let edge = plan.area.polygon().exterior();
    let deep = samples
        .iter()
        .filter(|xy| {
            plan.area.contains(**xy)
                && Euclidean.distance(&Point::from(**xy), edge) > DEEP_SPACINGS * plan.spacing.m()
        })
        .count();
    within_search && length_m >= SHORTEST_SHARE_ACROSS * median_m && 2 * deep > samples.len()
}

/// The search leg nearest to the middle of a run, among those it is parallel to, with its distance
/// in metres.
#[must_use]
pub fn nearest_leg(
    run: &Range<usize>,
    motion: &Motion,
    plan: &Plan,
    frames: &[LegInPlane],
) -> Option<(usize, f64)> {
    let course_deg = |a: Coord<f64>, b: Coord<f64>| (b.x - a.x).atan2(b.y - a.y).to_degrees();
    let run_deg = course_deg(motion.xy[run.start], motion.xy[run.end - 1]);
    let middle = motion.xy[(run.start + run.end) / 2];
    plan.search_legs()
        .filter(|(_, leg)| {
            let leg_deg = course_deg(plan.frame.forward(leg.start), plan.frame.forward(leg.end));
            let off_deg = wrap_180(run_deg - leg_deg).abs();
            off_deg.min(180.0 - off_deg) <= PARALLEL_WITHIN_DEG
        })
        .map(|(index, _)| (index, frames[index].locate(middle).cross_m.abs()))
        .min_by(|x, y| x.1.total_cmp(&y.1))
}

fn median_leg_m(plan: &Plan) -> f64 {
    let mut lengths: Vec<f64> = plan.search_legs().map(|(_, leg)| leg.length.m()).collect();
    lengths.sort_by(f64::total_cmp);
    lengths.get(lengths.len() / 2).copied().unwrap_or(0.0)
}

/// Points about a second apart.
fn samples(run: &Range<usize>, motion: &Motion) -> Vec<Coord<f64>> {
    let fixes = motion.a_second_apart(run.clone());
    fixes.map(|fix| motion.xy[fix]).collect()
}

/// Longest runs whose course stays within [`STRAIGHT_WITHIN_DEG`] of their mean so far.
fn straight_runs(fixes: Range<usize>, motion: &Motion) -> Vec<Range<usize>> {
    let mut runs = Vec::new();
    let mut start = fixes.start;
    let mut sum: Coord<f64> = Coord { x: 0.0, y: 0.0 };
    for i in motion.a_second_apart(fixes.clone()) {
        let (sin, cos) = motion.course_deg[i].to_radians().sin_cos();
        let mean_deg = sum.x.atan2(sum.y).to_degrees();
        let straight =
            i == start || wrap_180(motion.course_deg[i] - mean_deg).abs() <= STRAIGHT_WITHIN_DEG;
        if !straight {
            runs.push(start..i);
            start = i;
            sum = Coord { x: 0.0, y: 0.0 };
        }
        sum = Coord {
            x: sum.x + sin,
            y: sum.y + cos,
        };
    }
    if start < fixes.end {
        runs.push(start..fixes.end);
    }
    runs
}
