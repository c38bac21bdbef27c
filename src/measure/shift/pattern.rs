//! The planned pattern as lines in a plane, and the ways it can be moved as a whole.

use crate::plan::Plan;
use crate::units::wrap_180;
use geo::Coord;

/// Courses of legs within this are one direction, degrees. Chosen.
const ONE_DIRECTION_DEG: f64 = 5.0;

/// A planned search leg, in the local plane about the start of the pattern.
#[derive(Clone, Copy, Debug)]
pub(super) struct PlannedLeg {
    /// Index in the plan's legs.
    pub(super) index: usize,
    pub(super) start: Coord<f64>,
    /// Unit vector along it.
    pub(super) along: Coord<f64>,
    pub(super) length_m: f64,
}

impl PlannedLeg {
    /// Along and right of the leg, metres.
    pub(super) fn locate(&self, at: Coord<f64>) -> (f64, f64) {
        let v = at - self.start;
        (
            v.x * self.along.x + v.y * self.along.y,
            v.x * self.along.y - v.y * self.along.x,
        )
    }

    /// The place so far along it and so far right of it.
    pub(super) fn place(&self, along_m: f64, right_m: f64) -> Coord<f64> {
        self.start + self.along * along_m + self.right() * right_m
    }

    /// Unit vector to its right.
    pub(super) fn right(&self) -> Coord<f64> {
        Coord {
            x: self.along.y,
            y: -self.along.x,
        }
    }

    pub(super) fn course_deg(&self) -> f64 {
        self.along.x.atan2(self.along.y).to_degrees()
    }
}

/// The search legs as a pattern.
#[derive(Clone, Debug)]
pub(super) struct Pattern {
    pub(super) legs: Vec<PlannedLeg>,
    /// Turned to the other side than planned.
    pub(super) mirrored: bool,
    /// Directions in which a shift shows: both axes, or only the one across legs that are all parallel.
    pub(super) shows: Vec<Coord<f64>>,
    /// Farthest end of a leg from the start of the pattern.
    pub(super) reach_m: f64,
    pub(super) length_m: f64,
}

impl Pattern {
    /// The pattern of a plan from the place `about`; `None` if it has no search leg with a length.
    pub(super) fn of(plan: &Plan, about: Coord<f64>, mirrored: bool) -> Option<Self> {
        let (_, first) = plan.search_legs().next()?;
        let axis = unit(plan.frame.forward(first.end) - plan.frame.forward(first.start))?;
        let place = |at| {
            let v = plan.frame.forward(at) - about;
            if mirrored {
                let along = 2.0 * (v.x * axis.x + v.y * axis.y);
                axis * along - v
            } else {
                v
            }
        };
        let legs: Vec<PlannedLeg> = plan
            .search_legs()
            .filter_map(|(index, leg)| {
                let (start, end) = (place(leg.start), place(leg.end));
                Some(PlannedLeg {
                    index,
                    start,
                    along: unit(end - start)?,
                    length_m: (end - start).x.hypot((end - start).y),
                })
            })
            .collect();
        let first = legs.first()?;
        let parallel = legs.iter().all(|leg| {
            let off = wrap_180(leg.course_deg() - first.course_deg()).abs();
            off.min(180.0 - off) <= ONE_DIRECTION_DEG
        });
        let shows = if parallel {
            vec![first.right()]
        } else {
            vec![Coord { x: 1.0, y: 0.0 }, Coord { x: 0.0, y: 1.0 }]
        };
        let reach_m = legs
            .iter()
            .map(|leg| {
                let end = leg.place(leg.length_m, 0.0);
                leg.start.x.hypot(leg.start.y).max(end.x.hypot(end.y))
            })
            .fold(0.0, f64::max);
        Some(Self {
            mirrored,
            shows,
            reach_m,
            length_m: legs.iter().map(|leg| leg.length_m).sum(),
            legs,
        })
    }
}

/// A pattern moved as a whole: turned about its start, shifted, and carried along.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Move {
    /// Clockwise positive, radians.
    pub(super) turned_rad: f64,
    /// East and north, metres, at the time `since_s`.
    pub(super) shifted: Coord<f64>,
    /// East and north, metres per second.
    pub(super) carried: Coord<f64>,
    pub(super) since_s: f64,
}

impl Move {
    pub(super) const fn none(since_s: f64) -> Self {
        Self {
            turned_rad: 0.0,
            shifted: Coord { x: 0.0, y: 0.0 },
            carried: Coord { x: 0.0, y: 0.0 },
            since_s,
        }
    }

    /// Where on the plan a place flown over lies.
    pub(super) fn to_plan(self, at: Coord<f64>, time_s: f64) -> Coord<f64> {
        let v = at - self.shifted - self.carried * (time_s - self.since_s);
        turned(v, -self.turned_rad)
    }

    /// The same with its shift told for another time.
    pub(super) fn from(&self, since_s: f64) -> Self {
        Self {
            shifted: self.shifted + self.carried * (since_s - self.since_s),
            since_s,
            ..*self
        }
    }

    /// By how much it displaces a place that far from the start, metres, at most.
    pub(super) fn displaces_m(&self, reach_m: f64) -> f64 {
        self.shifted.x.hypot(self.shifted.y) + self.turned_rad.abs() * reach_m
    }
}

/// A vector turned clockwise.
pub(super) fn turned(v: Coord<f64>, rad: f64) -> Coord<f64> {
    let (sin, cos) = rad.sin_cos();
    Coord {
        x: v.x * cos + v.y * sin,
        y: v.y * cos - v.x * sin,
    }
}

pub(super) fn unit(v: Coord<f64>) -> Option<Coord<f64>> {
    let length = v.x.hypot(v.y);
    (length > 0.0).then(|| v / length)
}
