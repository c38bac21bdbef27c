//! Patterns about a datum, drawn on a plane and put on the ground by distance and bearing.

use crate::geodesy::{Position, geodesic};
use crate::tasking::Side;
use crate::units::{Bearing, Length};

/// The plane of a pattern: its origin on the datum, `y` along the first course and `x` square to it
/// on the side of the turns, both in metres.
#[derive(Clone, Copy, Debug)]
pub(super) struct PolarPlane {
    pub(super) datum: Position,
    pub(super) first_course: Bearing,
    pub(super) turn: Side,
}

impl PolarPlane {
    /// The place whose geodesic from the datum has the length and the direction that (x, y) has in
    /// the plane. Places are set out one by one from the datum, so that lines that meet in the plane
    /// meet on the ground; lengths across that direction are off by d²/(6R²) at most at a distance d,
    /// 1 part in 10,000 at 80 NM.
    pub(super) fn place(&self, (x, y): (f64, f64)) -> Position {
        let turned_deg = self.turn.sign() * x.atan2(y).to_degrees();
        geodesic::destination(
            self.datum,
            self.first_course.turned(turned_deg),
            Length::from_m(x.hypot(y)),
        )
    }
}
