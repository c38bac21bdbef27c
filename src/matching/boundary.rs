//! Flying round the corners of the area before the search.

use crate::plan::Plan;
use crate::track::motion::Motion;
use crate::units::Length;
use geo::{Distance, Euclidean};
use std::ops::Range;

/// A corner counts as visited when passed within this many spacings, and at least this far. Chosen.
const CORNER_SPACINGS: f64 = 1.0;
const CORNER_LEAST: Length = Length::from_nm(0.25);
/// Corners that must be visited before the search for a boundary check, and besides more than half
/// of all: the way in may well pass along one edge, that is two, or over a stretch of a round area's
/// many corners. Chosen.
const CORNERS_VISITED: usize = 3;

/// Fixes of a flight round the corners, if there is one before the search begins at fix
/// `search_start`: from the first fix near any corner to the first one near the last new corner.
#[must_use]
pub fn boundary_check(search_start: usize, motion: &Motion, plan: &Plan) -> Option<Range<usize>> {
    let reach_m = (CORNER_SPACINGS * plan.spacing.m()).max(CORNER_LEAST.m());
    let corners = plan.area.sharp_corners();
    let enough = CORNERS_VISITED.max(corners.len() / 2 + 1);
    let first_visits: Vec<usize> = corners
        .into_iter()
        .map(|corner| plan.frame.forward(corner))
        .filter_map(|corner| {
            (0..search_start).find(|i| {
                motion.is_flying(*i) && Euclidean.distance(motion.xy[*i], corner) <= reach_m
            })
        })
        .collect();
    let (first, last) = (first_visits.iter().min()?, first_visits.iter().max()?);
    (first_visits.len() >= enough).then_some(*first..*last + 1)
}
