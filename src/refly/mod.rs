//! The holes as legs to fly again.

use crate::coverage::{Hole, HoleCause, Strip};
use crate::geodesy::{Position, geodesic};
use crate::measure::intervals::sum;
use crate::plan::route_file::RoutePoint;
use crate::units::{Bearing, Length};
use serde::Serialize;

/// One leg over a hole.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ReflyLeg {
    /// `R1`, `R2`, … in the order to fly.
    pub label: String,
    /// Label of the planned leg whose strip it mends.
    pub strip: String,
    /// Why the strip has a hole there.
    pub cause: HoleCause,
    /// Where to begin.
    pub start: Position,
    /// Where to end.
    pub end: Position,
    /// True course at the start.
    #[serde(rename = "course_true_deg")]
    pub course: Bearing,
    /// Its length.
    #[serde(rename = "length_m")]
    pub length: Length,
}

/// All of them, in the order to fly.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Refly {
    /// The legs.
    pub legs: Vec<ReflyLeg>,
    /// Length of the legs alone.
    #[serde(rename = "search_length_m")]
    pub search_length: Length,
    /// Length with the straight lines from one leg to the next.
    #[serde(rename = "total_length_m")]
    pub total_length: Length,
}

impl Refly {
    /// The legs over all holes, ordered so that each begins at the end nearest to where the one
    /// before it ended, beginning at the hole nearest to `from`.
    #[must_use]
    pub fn over(strips: &[Strip], from: Position) -> Self {
        let mut holes: Vec<&Hole> = strips.iter().flat_map(|strip| &strip.holes).collect();
        let mut legs: Vec<ReflyLeg> = Vec::with_capacity(holes.len());
        let mut transit_m = 0.0;
        let mut at = from;
        while let Some((index, reversed, way_m)) = nearest(&holes, at) {
            let hole = holes.remove(index);
            let (start, end) = if reversed {
                (hole.span.to_position, hole.span.from_position)
            } else {
                (hole.span.from_position, hole.span.to_position)
            };
            let line = geodesic::between(start, end);
            if !legs.is_empty() {
                transit_m += way_m;
            }
            legs.push(ReflyLeg {
                label: format!("R{}", legs.len() + 1),
                strip: hole.leg.clone(),
                cause: hole.cause,
                start,
                end,
                course: line.course_at_start,
                length: line.distance,
            });
            at = end;
        }
        let search_m = sum(legs.iter().map(|leg| leg.length.m()));
        Self {
            legs,
            search_length: Length::from_m(search_m),
            total_length: Length::from_m(search_m + transit_m),
        }
    }

    /// The legs as points of a route, named `R1 start`, `R1 end`, …
    #[must_use]
    pub fn route_points(&self) -> Vec<RoutePoint> {
        self.legs
            .iter()
            .flat_map(|leg| {
                [(leg.start, "start"), (leg.end, "end")].map(|(position, which)| RoutePoint {
                    position,
                    name: Some(format!("{} {which} (strip {})", leg.label, leg.strip)),
                    altitude: None,
                })
            })
            .collect()
    }
}

/// The hole with an end nearest to `at`, whether that is its far end, and how far it is, metres.
fn nearest(holes: &[&Hole], at: Position) -> Option<(usize, bool, f64)> {
    holes
        .iter()
        .enumerate()
        .flat_map(|(i, hole)| {
            let to = |end: Position| geodesic::distance(at, end).m();
            [
                (i, false, to(hole.span.from_position)),
                (i, true, to(hole.span.to_position)),
            ]
        })
        .min_by(|a, b| a.2.total_cmp(&b.2))
}
