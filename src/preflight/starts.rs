//! Where a search may begin: at the start of the plan, or inside any sharp corner of the area.
//!
//! The commence search point (CSP) of a parallel pattern lies half a spacing inside the area from the
//! two sides that form a corner (IAMSAR Manual Vol II ch. 5; JP 3-50 Vol I, 1991, p. 180).

use super::figures::{Axis, magnetic};
use crate::geodesy::{Position, geodesic};
use crate::plan::axes::{Axes, crossings, extent};
use crate::plan::{PatternKind, Plan};
use crate::tasking::{PatternTask, Side, Tasking};
use crate::units::{Bearing, Length};
use geo::{Coord, Distance, Euclidean, Point};
use serde::Serialize;

/// By this share of half a spacing a CSP may lie nearer to another edge. Chosen: what the corners put
/// in along a parallel bend an edge by is far less.
const NEARER_SHARE: f64 = 0.01;

/// Where the search may begin.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StartPoints {
    /// Start of the first leg of the plan.
    pub planned: Option<Position>,
    /// Distance of a CSP from both edges of its corner: half a spacing.
    #[serde(rename = "inset_m")]
    pub inset: Length,
    /// How far outside the area the run to the first leg begins, as asked.
    #[serde(rename = "corner_offset_m")]
    pub corner_offset: Option<Length>,
    /// The sharp corners of the area, in its order.
    pub corners: Vec<CornerStart>,
    /// Why there are no corners.
    pub note: Option<String>,
}

/// A sharp corner of the area.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CornerStart {
    /// The corner.
    pub corner: Position,
    /// Direction in which it lies, seen from the middle of the area.
    #[serde(rename = "bearing_from_middle_deg")]
    pub bearing_from_middle: Bearing,
    /// Angle between its edges inside the area, degrees; over 180 where it points inwards.
    pub inside_angle_deg: f64,
    /// How a search begins there; `None` if it cannot.
    pub start: Option<Start>,
    /// Why it cannot.
    pub problem: Option<NoStart>,
}

/// How a search begins at a corner.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Start {
    /// The commence search point.
    pub csp: Position,
    /// True course of the first leg there.
    #[serde(rename = "course_true_deg")]
    pub course: Bearing,
    /// The same from magnetic north, degrees; `None` without a declination.
    pub course_magnetic_deg: Option<f64>,
    /// Length of the first leg.
    #[serde(rename = "first_leg_m")]
    pub first_leg: Length,
    /// Side of the first turn: that on which more of the area lies.
    pub turn: Side,
    /// Width of the area on the other side that the first strip leaves, across the legs: 0 where
    /// the corner lies at the edge of the area as seen along the legs.
    #[serde(rename = "left_over_m")]
    pub left_over: Length,
    /// The run to the first leg; `None` unless an offset is asked for.
    pub run_in: Option<RunIn>,
}

/// The run to a first leg from outside the area, along the leg's own line run backwards, so that the
/// corner can be looked at and the aircraft is steady on its course when the search begins.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct RunIn {
    /// Where it begins: the offset outside both the area's edge on that line and the corner, measured
    /// along the leg.
    pub from: Position,
    /// Its length as far as the commence search point.
    #[serde(rename = "length_m")]
    pub length: Length,
}

/// Why no search begins at a corner.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum NoStart {
    /// It points into the area.
    InwardCorner,
    /// There is no place half a spacing from all edges, or no room for a leg of one spacing.
    TooNarrow,
}

/// The start points of a plan.
pub(super) fn start_points(
    tasking: &Tasking,
    plan: &Plan,
    axis: &Axis,
    corner_offset: Option<Length>,
) -> StartPoints {
    let sharp = plan.area.sharp_corner_indices();
    let note = why_no_corners(plan.pattern, axis, &sharp);
    let corners = match note {
        Some(_) => Vec::new(),
        None => {
            let ground = Ground::new(tasking, plan, axis, corner_offset);
            sharp.into_iter().map(|i| ground.corner(i)).collect()
        }
    };
    StartPoints {
        planned: plan.legs.first().map(|leg| leg.start),
        inset: Length::from_m(plan.spacing.m() / 2.0),
        corner_offset,
        corners,
        note: note.map(str::to_owned),
    }
}

fn why_no_corners(pattern: PatternKind, axis: &Axis, sharp: &[usize]) -> Option<&'static str> {
    use PatternKind::{CreepingLine, ExpandingSquare, ParallelSweep, Route, Sector};
    if matches!(pattern, ExpandingSquare | Sector) {
        Some("the commence search point of this pattern is its datum")
    } else if !matches!(pattern, ParallelSweep | CreepingLine | Route) || !axis.parallel {
        Some("the legs are not laid along the area: the search begins at the first one")
    } else if sharp.is_empty() {
        Some("the area has no sharp corner")
    } else {
        None
    }
}

/// The area as seen along the legs.
struct Ground<'a> {
    plan: &'a Plan,
    axes: Axes,
    /// Exterior in the plane, the first point not repeated.
    ring: Vec<Coord<f64>>,
    /// The same along and across the legs, closed.
    ring_uv: Vec<(f64, f64)>,
    /// How far before the edge legs end.
    end_inset_m: f64,
    corner_offset: Option<Length>,
}

impl<'a> Ground<'a> {
    fn new(tasking: &Tasking, plan: &'a Plan, axis: &Axis, corner_offset: Option<Length>) -> Self {
        let axes = axis.axes();
        let closed: Vec<Coord<f64>> = plan.area.polygon().exterior().coords().copied().collect();
        let end_inset = match &tasking.pattern {
            PatternTask::ParallelSweep(task) | PatternTask::CreepingLine(task)
                if plan.area_given =>
            {
                task.end_inset
            }
            _ => None,
        };
        Self {
            plan,
            axes,
            ring: closed[..closed.len() - 1].to_vec(),
            ring_uv: closed.iter().map(|xy| axes.to_uv(*xy)).collect(),
            end_inset_m: end_inset.map_or(plan.spacing.m() / 2.0, Length::m),
            corner_offset,
        }
    }

    fn corner(&self, i: usize) -> CornerStart {
        let n = self.ring.len();
        let (before, here, after) = (
            self.ring[(i + n - 1) % n],
            self.ring[i],
            self.ring[(i + 1) % n],
        );
        let (a, b) = (unit(here - before), unit(after - here));
        // `geo` does not say which way round a ring runs.
        let round = signed_area(&self.ring).signum();
        let turn_deg = round * cross(a, b).atan2(dot(a, b)).to_degrees();
        let start = if turn_deg < 0.0 {
            Err(NoStart::InwardCorner)
        } else {
            let inward = |edge: Coord<f64>| Coord {
                x: -round * edge.y,
                y: round * edge.x,
            };
            // Half a spacing from both edges: on both lines parallel to them at that distance.
            let (p, q) = (inward(a), inward(b));
            let reach = self.plan.spacing.m() / 2.0 / (1.0 + dot(p, q));
            self.start(here, here + (p + q) * reach)
        };
        CornerStart {
            corner: self.plan.area.corners()[i],
            bearing_from_middle: Bearing::from_deg(here.x.atan2(here.y).to_degrees()),
            inside_angle_deg: 180.0 - turn_deg,
            problem: start.as_ref().err().copied(),
            start: start.ok(),
        }
    }

    /// The search that begins at `csp`, inside `corner`.
    fn start(&self, corner: Coord<f64>, csp: Coord<f64>) -> Result<Start, NoStart> {
        let spacing_m = self.plan.spacing.m();
        let edge = self.plan.area.polygon().exterior();
        let clear_m = Euclidean.distance(&Point::from(csp), edge);
        let least_m = (1.0 - NEARER_SHARE) * spacing_m / 2.0;
        if !self.plan.area.contains(csp) || clear_m < least_m {
            return Err(NoStart::TooNarrow);
        }
        let (u, v) = self.axes.to_uv(csp);
        let (low, high) = extent(crossings(&self.ring_uv, v).into_iter());
        // Ahead is where more of the line lies inside the area.
        let ahead = if high - u >= u - low { 1.0 } else { -1.0 };
        let (behind_u, end_u) = if ahead > 0.0 {
            (low, high - self.end_inset_m)
        } else {
            (high, low + self.end_inset_m)
        };
        if ahead * (end_u - u) < spacing_m {
            return Err(NoStart::TooNarrow);
        }
        let place = |u: f64| self.plan.frame.inverse(self.axes.to_xy(u, v));
        let leg = geodesic::between(place(u), place(end_u));
        let (left, right) = extent(self.ring_uv.iter().map(|uv| uv.1));
        let more_right = right - v >= v - left;
        let run_in = self.corner_offset.map(|offset| {
            let corner_u = self.axes.to_uv(corner).0;
            let out = (ahead * behind_u).min(ahead * corner_u) - offset.m();
            let from = place(ahead * out);
            RunIn {
                from,
                length: geodesic::distance(from, place(u)),
            }
        });
        Ok(Start {
            csp: place(u),
            course: leg.course_at_start,
            course_magnetic_deg: magnetic(self.plan, leg.course_at_start),
            first_leg: leg.distance,
            turn: if more_right == (ahead > 0.0) {
                Side::Right
            } else {
                Side::Left
            },
            left_over: Length::from_m(((right - v).min(v - left) - spacing_m / 2.0).max(0.0)),
            run_in,
        })
    }
}

fn dot(a: Coord<f64>, b: Coord<f64>) -> f64 {
    a.x * b.x + a.y * b.y
}

fn cross(a: Coord<f64>, b: Coord<f64>) -> f64 {
    a.x * b.y - a.y * b.x
}

fn unit(a: Coord<f64>) -> Coord<f64> {
    a / a.x.hypot(a.y)
}

/// Positive where the ring runs counter-clockwise.
fn signed_area(ring: &[Coord<f64>]) -> f64 {
    let n = ring.len();
    (0..n).map(|i| cross(ring[i], ring[(i + 1) % n])).sum()
}
