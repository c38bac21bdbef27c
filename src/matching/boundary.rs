//! Flying round the corners of the area before the search.

use crate::plan::Plan;
use crate::track::motion::{FLYING_MPS, Motion};
use crate::units::Length;
use geo::{Distance, Euclidean};

/// A corner counts as visited when passed within this many spacings, and at least this far. Chosen.
const CORNER_SPACINGS: f64 = 1.0;
const CORNER_LEAST: Length = Length::from_nm(0.25);
/// Corners that must be visited before the search for a boundary check: the way in may well pass
/// along one edge, that is two. Chosen.
const CORNERS_VISITED: usize = 3;

/// The fix at which a flight round the corners begins, if there is one before the search begins at
/// fix `search_start`: the first fix near any corner.
#[must_use]
pub fn boundary_check_from(search_start: usize, motion: &Motion, plan: &Plan) -> Option<usize> {
    let reach_m = (CORNER_SPACINGS * plan.spacing.m()).max(CORNER_LEAST.m());
    let first_visits: Vec<usize> = plan
        .area
        .corners()
        .iter()
        .map(|corner| plan.frame.forward(*corner))
        .filter_map(|corner| {
            (0..search_start).find(|i| {
                motion.speed_mps(*i) >= FLYING_MPS
                    && Euclidean.distance(motion.xy[*i], corner) <= reach_m
            })
        })
        .collect();
    (first_visits.len() >= CORNERS_VISITED)
        .then(|| first_visits.into_iter().min())
        .flatten()
}
