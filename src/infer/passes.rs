//! Passes along a track line: the order in which they are flown tells them from a sweep, and two alone are
//! told from chance by how they are flown.

use super::runs::{Run, dot};
use super::sweep::{Sweep, sweep_of};
use crate::plan::pattern::track_line_offsets;
use crate::tasking::Side;

/// Of two passes: they agree in length within this share, lie beside each other along this one, are this many
/// spacings long at least, and go apart by this many at most. Chosen.
const ALIKE: f64 = 0.8;
const BESIDE: f64 = 0.85;
const LONG_SPACINGS: f64 = 4.0;
const PARTING_SPACINGS: f64 = 0.3;
/// The flight comes to the first of two passes, and goes on after the second, by a turn of at least this,
/// degrees. Chosen: a way out and home again has none.
const TURNED_DEG: f64 = 25.0;
/// Way between the two, in spacings and as a share of their length, at most. Chosen: a turn, no detour.
const TURN_SPACINGS: f64 = 8.0;
const TURN_SHARE: f64 = 0.4;

/// The side of the first turn, if lines are flown in this order as the passes of a track line are. Fewer than
/// three are no order.
pub(super) fn side_of_order(order: &[usize]) -> Option<Side> {
    let passes = u32::try_from(order.len()).ok().filter(|n| *n >= 3)?;
    let offsets = track_line_offsets(passes);
    let least = offsets.iter().copied().fold(f64::INFINITY, f64::min);
    let right: Vec<usize> = offsets
        .iter()
        .map(|at| (at - least).round() as usize)
        .collect();
    let left: Vec<usize> = right.iter().map(|k| order.len() - 1 - k).collect();
    // To and fro beginning along the axis: a higher line lies to the right.
    if right == order {
        Some(Side::Right)
    } else if left == order {
        Some(Side::Left)
    } else {
        None
    }
}

/// Two runs flown one after the other, out and back beside it, entered and left by turns, and nothing else
/// along them.
pub(super) fn out_and_back(runs: &[Run], apart_m: f64) -> Vec<Sweep> {
    (1..runs.len().saturating_sub(2))
        .filter_map(|i| {
            let (a, b) = (&runs[i], &runs[i + 1]);
            let turned =
                |one: &Run, two: &Run| dot(one.along, two.along) <= TURNED_DEG.to_radians().cos();
            let (longer, shorter) = (
                a.length_m().max(b.length_m()),
                a.length_m().min(b.length_m()),
            );
            if shorter < ALIKE * longer || !turned(&runs[i - 1], a) || !turned(b, &runs[i + 2]) {
                return None;
            }
            let sweep = sweep_of(&[a, b], [i, i + 1])?;
            let [one, two] = [sweep.on[0], sweep.on[1]];
            let spacing_m = sweep.spacing_m;
            let shared = one.high_m.min(two.high_m) - one.low_m.max(two.low_m);
            let parting = (one.slope - two.slope).abs() * shorter;
            let between_m = super::runs::size(b.start() - a.end());
            let alone = runs.iter().enumerate().all(|(k, run)| {
                k == i
                    || k == i + 1
                    || dot(run.along, a.along).abs() < 0.9
                    || run.length_m() < 0.5 * shorter
                    || {
                        let (_, right) = sweep.frame.locate(run.middle);
                        (right - one.right_m).abs().min((right - two.right_m).abs())
                            > 3.0 * spacing_m
                    }
            });
            (one.reversed != two.reversed
                && spacing_m >= apart_m
                && shared >= BESIDE * longer
                && shorter >= LONG_SPACINGS * spacing_m
                && parting <= PARTING_SPACINGS * spacing_m
                && between_m <= TURN_SPACINGS * spacing_m
                && between_m <= TURN_SHARE * shorter
                && alone)
                .then_some(sweep)
        })
        .collect()
}
