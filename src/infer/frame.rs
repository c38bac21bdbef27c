//! Axes of parallel lines.

use super::runs::dot;
use geo::Coord;

/// Axes of a family: along its lines, and to the right of them, from a place.
#[derive(Clone, Copy, Debug)]
pub(super) struct Frame {
    pub(super) origin: Coord<f64>,
    pub(super) along: Coord<f64>,
}

impl Frame {
    /// Along and right, metres.
    pub(super) fn locate(&self, at: Coord<f64>) -> (f64, f64) {
        let v = at - self.origin;
        (dot(v, self.along), v.x * self.along.y - v.y * self.along.x)
    }

    pub(super) fn place(&self, along_m: f64, right_m: f64) -> Coord<f64> {
        let right = Coord {
            x: self.along.y,
            y: -self.along.x,
        };
        self.origin + self.along * along_m + right * right_m
    }
}
