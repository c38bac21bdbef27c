//! The picture that is made: which ground it shows, and how finely.

use super::extent::Extent;
use crate::geodesy::{LocalFrame, Position};
use geo::{Coord, Rect};

/// Cosine of the angle at the middle of the earth beyond which nothing is brought into a plane. Chosen: 60°, far more than any
/// map shows.
const NEAREST_COS: f64 = 0.5;
/// Places along each side of the picture at which it is asked which part of the raster lies below.
const PROBES: usize = 32;

/// The picture that is made: part of the local plane of a map, north up.
#[derive(Clone, Debug)]
pub struct Frame {
    /// The plane.
    pub plane: LocalFrame,
    /// North-west corner, metres in the plane.
    pub corner: Coord<f64>,
    /// Side of a pixel, metres.
    pub pixel_m: f64,
    /// Number of columns.
    pub columns: usize,
    /// Number of rows.
    pub rows: usize,
}

impl Frame {
    /// The frame over `ground`, a rectangle of the plane, in pixels of `pixel_m`; it reaches up to a pixel beyond.
    #[must_use]
    pub fn over(plane: &LocalFrame, ground: Rect<f64>, pixel_m: f64) -> Self {
        // What rounding adds makes no pixel.
        let pixels = |length_m: f64| ((length_m / pixel_m - 1e-6).ceil() as usize).max(1);
        Self {
            plane: plane.clone(),
            corner: Coord {
                x: ground.min().x,
                y: ground.max().y,
            },
            pixel_m,
            columns: pixels(ground.width()),
            rows: pixels(ground.height()),
        }
    }

    /// A place in the picture, pixels from its north-west corner to the right and down; `None` where it is too far away for the
    /// plane to tell: the other side of the earth falls onto this one.
    #[must_use]
    pub fn place(&self, position: Position) -> Option<Coord<f64>> {
        let middle = self.plane.origin();
        let radians = |place: Position| (place.lat().to_radians(), place.lon().to_radians());
        let ((lat, lon), (lat0, lon0)) = (radians(position), radians(middle));
        let cos = lat.sin() * lat0.sin() + lat.cos() * lat0.cos() * (lon - lon0).cos();
        if cos < NEAREST_COS {
            return None;
        }
        let at = self.plane.forward(position);
        Some(Coord {
            x: (at.x - self.corner.x) / self.pixel_m,
            y: (self.corner.y - at.y) / self.pixel_m,
        })
    }

    /// The place at a point of the picture.
    #[must_use]
    pub fn position(&self, pixel: Coord<f64>) -> Position {
        self.plane.inverse(Coord {
            x: self.corner.x + pixel.x * self.pixel_m,
            y: self.corner.y - pixel.y * self.pixel_m,
        })
    }

    /// Places all over it, its edges among them.
    pub(super) fn probes(&self) -> impl Iterator<Item = Position> + '_ {
        let share = |step: usize, size: usize| step as f64 / PROBES as f64 * size as f64;
        (0..=PROBES).flat_map(move |row| {
            (0..=PROBES).map(move |column| {
                self.position(Coord {
                    x: share(column, self.columns),
                    y: share(row, self.rows),
                })
            })
        })
    }

    /// The place in its middle.
    #[must_use]
    pub fn middle(&self) -> Position {
        self.position(Coord {
            x: self.columns as f64 / 2.0,
            y: self.rows as f64 / 2.0,
        })
    }

    /// What of the earth it shows.
    #[must_use]
    pub fn extent(&self) -> Option<Extent> {
        Extent::of(self.probes())
    }
}
