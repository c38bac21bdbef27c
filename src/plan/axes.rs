//! Axes turned to the legs, and what a polygon measures along them.

use crate::units::Bearing;
use geo::Coord;

/// Axes of the local plane turned to a leg: `u` along its course, `v` square to it, positive to one
/// side.
#[derive(Clone, Copy, Debug)]
pub struct Axes {
    sin: f64,
    cos: f64,
    side: f64,
}

impl Axes {
    /// Axes for a leg on `course`; `v` is positive right of it where `side` is 1, left where it
    /// is -1.
    #[must_use]
    pub fn new(course: Bearing, side: f64) -> Self {
        let (sin, cos) = course.deg().to_radians().sin_cos();
        Self { sin, cos, side }
    }

    /// A point of the plane in these axes, metres.
    #[must_use]
    pub fn to_uv(&self, xy: Coord<f64>) -> (f64, f64) {
        (
            xy.x * self.sin + xy.y * self.cos,
            self.side * (xy.x * self.cos - xy.y * self.sin),
        )
    }

    /// A point in these axes in the plane, metres.
    #[must_use]
    pub fn to_xy(&self, u: f64, v: f64) -> Coord<f64> {
        let right = self.side * v;
        Coord {
            x: u * self.sin + right * self.cos,
            y: u * self.cos - right * self.sin,
        }
    }
}

/// Least and greatest of the values.
pub fn extent(values: impl Iterator<Item = f64>) -> (f64, f64) {
    values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| {
        (low.min(x), high.max(x))
    })
}

/// Where the line at `v` crosses a closed ring of (u, v) points.
#[must_use]
pub fn crossings(ring: &[(f64, f64)], v: f64) -> Vec<f64> {
    ring.windows(2)
        .filter(|edge| (edge[0].1 <= v) != (edge[1].1 <= v))
        .map(|edge| {
            let ((u0, v0), (u1, v1)) = (edge[0], edge[1]);
            u0 + (u1 - u0) * (v - v0) / (v1 - v0)
        })
        .collect()
}
