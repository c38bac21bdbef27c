//! The spacing really achieved between neighbouring legs.

use super::flight::{Flight, LegFlown};
use crate::geodesy::geodesic;
use crate::units::{Bearing, Length, wrap_180};

/// Legs are parallel within this. Chosen: those of a sweep are by construction.
const PARALLEL_DEG: f64 = 5.0;
/// Neighbours lie no farther apart than this, spacings. Chosen.
const NEIGHBOURS: f64 = 1.5;

/// Two neighbouring legs.
#[derive(Clone, Debug, PartialEq)]
pub struct Pair<'a> {
    /// The legs, in the order of the plan.
    pub legs: [&'a LegFlown; 2],
    /// The second one lies so far right of the first, metres.
    pub right_m: f64,
    /// Planned distance between them, metres.
    pub planned_m: f64,
    /// The distance at which they were flown on the mean.
    pub achieved_m: f64,
}

/// All neighbours that were both flown, the first pass of each.
pub fn pairs(flight: &Flight) -> Vec<Pair<'_>> {
    let legs: Vec<Option<&LegFlown>> = flight.first_passes().collect();
    let two = legs.windows(2).filter_map(|two| {
        let (a, b) = (two[0]?, two[1]?);
        let Right {
            metres: right_m,
            same_way,
        } = right_of(a, b)?;
        let is_near = right_m.abs() <= NEIGHBOURS * flight.spacing_m && right_m != 0.0;
        let b_right_m = if same_way { b.mean_m } else { -b.mean_m };
        is_near.then(|| Pair {
            legs: [a, b],
            right_m,
            planned_m: right_m.abs(),
            achieved_m: (right_m + b_right_m - a.mean_m) * right_m.signum(),
        })
    });
    two.collect()
}

/// How one leg lies beside another one.
pub struct Right {
    /// Right of it, metres.
    pub metres: f64,
    /// Flown the same way, not back.
    pub same_way: bool,
}

/// How `b` lies beside `a`; `None` if they are not parallel.
pub fn right_of(a: &LegFlown, b: &LegFlown) -> Option<Right> {
    let apart = wrap_180(b.course_deg - a.course_deg).abs();
    let same_way = apart <= PARALLEL_DEG;
    if !same_way && 180.0 - apart > PARALLEL_DEG {
        return None;
    }
    // From the line of the one to the middle of the other.
    let middle = |leg: &LegFlown| {
        let line = geodesic::between(leg.start, leg.end);
        let half = Length::from_m(line.distance.m() / 2.0);
        geodesic::destination(leg.start, line.course_at_start, half)
    };
    let between = geodesic::between(middle(a), middle(b));
    let off = Bearing::from_deg(a.course_deg).turn_to(between.course_at_start);
    Some(Right {
        metres: between.distance.m() * off.to_radians().sin(),
        same_way,
    })
}
