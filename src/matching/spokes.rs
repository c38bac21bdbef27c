//! The way to and from a pattern that ends where it begins: a sector search.
//!
//! It begins and ends in the middle of the area, and its spokes point in all directions: half of all
//! ways in and out lie along one. Such a way is no passage, if the spoke is flown in the pattern as well.

use super::LegPassage;
use crate::geodesy::LegInPlane;
use crate::geodesy::geodesic;
use crate::plan::{PatternKind, Plan};

/// A way in or out is at most a radius long, and this much for the turn at the datum, in spacings.
/// Chosen.
const TURN_SPACINGS: f64 = 0.5;

/// A pattern ends where it begins within this, in spacings. Chosen: a route file rounds its places.
const SAME_PLACE_SPACINGS: f64 = 0.1;

/// Whether the pattern ends where it begins, in the middle of its area. (A closed contour does so at its
/// rim; separate legs have no middle, and may be one line flown twice.)
pub(super) fn ends_where_it_begins(plan: &Plan) -> bool {
    if matches!(plan.pattern, PatternKind::Contour | PatternKind::Legs) {
        return false;
    }
    let first = plan.search_legs().next();
    first
        .zip(plan.search_legs().last())
        .is_some_and(|((_, first), (_, last))| {
            geodesic::distance(first.start, last.end).m() <= SAME_PLACE_SPACINGS * plan.spacing.m()
        })
}

/// Drops the passage directly before the first leg and the one after the last if it covers no more
/// than a radius and its leg is flown in between.
pub(super) fn without_ways_in_and_out(
    mut passages: Vec<LegPassage>,
    plan: &Plan,
    frames: &[LegInPlane],
) -> Vec<LegPassage> {
    let legs = || plan.search_legs().map(|(leg, _)| leg);
    let (Some(first), Some(last), true) =
        (legs().next(), legs().last(), ends_where_it_begins(plan))
    else {
        return passages;
    };
    let most_m = frames[first].length().m() + TURN_SPACINGS * plan.spacing.m();
    let as_planned = |leg: usize| {
        move |passage: &LegPassage| passage.runs[0].leg == leg && !passage.runs[0].reversed
    };
    let Some(begin) = passages.iter().position(as_planned(first)) else {
        return passages;
    };
    let end = passages.iter().rposition(as_planned(last));
    let pattern = begin..end.map_or(passages.len(), |end| end + 1);
    let is_way = |i: usize| {
        let way = &passages[i];
        let again = passages
            .get(pattern.clone())
            .is_some_and(|flown| flown.iter().any(|p| p.runs[0].leg == way.runs[0].leg));
        again && way.flown_m <= most_m
    };
    let way_out = Some(pattern.end).filter(|i| *i + 1 == passages.len() && is_way(*i));
    let way_in = begin.checked_sub(1).filter(|i| is_way(*i));
    // The later one first, so that the earlier keeps its place.
    for way in [way_out, way_in].into_iter().flatten() {
        passages.remove(way);
    }
    passages
}
