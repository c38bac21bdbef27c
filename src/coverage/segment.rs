//! A straight piece of a line in the plane.

use geo::Coord;

/// A straight piece of a looking line.
#[derive(Clone, Copy, Debug)]
pub(super) struct Segment {
    pub start: Coord<f64>,
    /// Unit vector along it.
    pub along: Coord<f64>,
    pub length_m: f64,
}

impl Segment {
    /// `None` where both ends are the same place.
    pub fn between(a: Coord<f64>, b: Coord<f64>) -> Option<Self> {
        let (dx, dy) = (b.x - a.x, b.y - a.y);
        let length_m = (dx * dx + dy * dy).sqrt();
        (length_m > 0.0).then(|| Self {
            start: a,
            along: Coord {
                x: dx / length_m,
                y: dy / length_m,
            },
            length_m,
        })
    }

    /// Distance along the segment's line to the foot of the perpendicular, and distance from the
    /// line, right positive.
    pub fn locate(&self, p: Coord<f64>) -> (f64, f64) {
        let (dx, dy) = (p.x - self.start.x, p.y - self.start.y);
        (
            dx * self.along.x + dy * self.along.y,
            dx * self.along.y - dy * self.along.x,
        )
    }

    /// The inverse of [`locate`](Self::locate).
    pub fn place(&self, along_m: f64, cross_m: f64) -> Coord<f64> {
        Coord {
            x: self.start.x + along_m * self.along.x + cross_m * self.along.y,
            y: self.start.y + along_m * self.along.y - cross_m * self.along.x,
        }
    }

    /// Square of the distance from the segment, of a place located.
    pub fn distance2_m2(&self, (along_m, cross_m): (f64, f64)) -> f64 {
        let past = (-along_m).max(along_m - self.length_m).max(0.0);
        cross_m * cross_m + past * past
    }
}
