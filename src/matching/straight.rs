//! Straight runs inside the area on no planned leg: legs flown in addition.
//!
//! Crews halve the spacing by flying between the planned legs, on the way or afterwards. A straight
//! run counts as an additional leg when it is long enough, lies inside the area, and either runs
//! parallel to the planned legs or crosses the middle of the area.

use crate::geodesy::LegFrame;
use crate::plan::Plan;
use crate::track::motion::Motion;
use crate::units::wrap_180;
use geo::{Coord, Distance, Euclidean, Point};
use std::ops::Range;

/// Courses within this of the run's mean are straight, degrees. Chosen.
const STRAIGHT_WITHIN_DEG: f64 = 15.0;
/// Parallel to a planned leg within this, degrees. Chosen.
const PARALLEL_WITHIN_DEG: f64 = 20.0;
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
/// Fixes closer in time are not all looked at, seconds.
const STEP_S: f64 = 1.0;

/// Additional legs among `fixes`, which are on no planned leg and in one stretch.
#[must_use]
pub fn additional_legs(
    fixes: Range<usize>,
    motion: &Motion,
    plan: &Plan,
    frames: &[LegFrame],
) -> Vec<Range<usize>> {
    let median_m = median_leg_m(plan);
    straight_runs(fixes, motion)
        .into_iter()
        .filter(|run| {
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
            let middle = (run.start + run.end) / 2;
            if nearest_parallel(middle, a, b, motion, plan, frames).is_some() {
                return true;
            }
            let edge = plan.area.polygon().exterior();
            let deep = samples
                .iter()
                .filter(|xy| {
                    plan.area.contains(**xy)
                        && Euclidean.distance(&Point::from(**xy), edge)
                            > DEEP_SPACINGS * plan.spacing.m()
                })
                .count();
            length_m >= SHORTEST_SHARE_ACROSS * median_m && 2 * deep > samples.len()
        })
        .collect()
}

/// The search leg nearest to fix `middle` among those parallel to the line from `a` to `b`, with
/// the fix's distance from it, metres.
#[must_use]
pub fn nearest_parallel(
    middle: usize,
    a: Coord<f64>,
    b: Coord<f64>,
    motion: &Motion,
    plan: &Plan,
    frames: &[LegFrame],
) -> Option<(usize, f64)> {
    let course_deg = (b.x - a.x).atan2(b.y - a.y).to_degrees();
    plan.search_legs()
        .filter(|(_, leg)| {
            let (s, e) = (plan.frame.forward(leg.start), plan.frame.forward(leg.end));
            let leg_deg = (e.x - s.x).atan2(e.y - s.y).to_degrees();
            let off = wrap_180(course_deg - leg_deg).abs();
            off.min(180.0 - off) <= PARALLEL_WITHIN_DEG
        })
        .map(|(index, _)| {
            (
                index,
                frames[index].locate_ecef(motion.ecef[middle]).cross_m.abs(),
            )
        })
        .min_by(|x, y| x.1.total_cmp(&y.1))
}

fn median_leg_m(plan: &Plan) -> f64 {
    let mut lengths: Vec<f64> = plan.search_legs().map(|(_, leg)| leg.length.m()).collect();
    lengths.sort_by(f64::total_cmp);
    lengths.get(lengths.len() / 2).copied().unwrap_or(0.0)
}

/// Points about a second apart.
fn samples(run: &Range<usize>, motion: &Motion) -> Vec<Coord<f64>> {
    let mut last_s = f64::NEG_INFINITY;
    run.clone()
        .filter(|i| {
            let due = motion.time_s[*i] - last_s >= STEP_S;
            if due {
                last_s = motion.time_s[*i];
            }
            due
        })
        .map(|i| motion.xy[i])
        .collect()
}

/// Longest runs whose course stays within [`STRAIGHT_WITHIN_DEG`] of their mean so far.
fn straight_runs(fixes: Range<usize>, motion: &Motion) -> Vec<Range<usize>> {
    let mut runs = Vec::new();
    let mut start = fixes.start;
    let mut sum: Coord<f64> = Coord { x: 0.0, y: 0.0 };
    let mut last_s = f64::NEG_INFINITY;
    for i in fixes.clone() {
        if motion.time_s[i] - last_s < STEP_S {
            continue;
        }
        last_s = motion.time_s[i];
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
