//! Where the pixels of a raster lie on the earth, and which of them may lie under a picture.

use super::crs::Crs;
use super::extent::Extent;
use super::frame::Frame;
use crate::geodesy::{Position, geodesic};
use crate::units::Length;
use geo::Coord;
use std::ops::Range;

/// From pixels to coordinates: `x = a·column + b·row + c`, `y = d·column + e·row + f`, where the first pixel reaches from 0
/// to 1 in column and row.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Affine(pub [f64; 6]);

impl Affine {
    pub(super) fn forward(&self, pixel: Coord<f64>) -> Coord<f64> {
        let [a, b, c, d, e, f] = self.0;
        Coord {
            x: a * pixel.x + b * pixel.y + c,
            y: d * pixel.x + e * pixel.y + f,
        }
    }

    fn inverse(&self, at: Coord<f64>) -> Coord<f64> {
        let [a, b, c, d, e, f] = self.0;
        let (x, y, area) = (at.x - c, at.y - f, a * e - b * d);
        Coord {
            x: (e * x - b * y) / area,
            y: (a * y - d * x) / area,
        }
    }

    /// Whether pixels have any area in it.
    pub(super) fn is_sound(&self) -> bool {
        let [a, b, _, d, e, _] = self.0;
        let area = a * e - b * d;
        self.0.iter().all(|value| value.is_finite()) && area.is_normal()
    }

    /// The same ground in `columns` by `rows` times fewer pixels.
    pub(super) fn coarser(&self, columns: f64, rows: f64) -> Self {
        let [a, b, c, d, e, f] = self.0;
        Self([a * columns, b * rows, c, d * columns, e * rows, f])
    }
}

/// Where the pixels of a raster lie.
#[derive(Clone, Debug)]
pub struct Placed {
    /// What its coordinates are.
    pub crs: Crs,
    /// From pixels to coordinates.
    pub affine: Affine,
    /// Number of columns.
    pub columns: usize,
    /// Number of rows.
    pub rows: usize,
}

/// A part of a raster.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Window {
    /// Columns.
    pub columns: Range<usize>,
    /// Rows.
    pub rows: Range<usize>,
}

impl Window {
    /// What it has in common with another; `None` for nothing.
    #[must_use]
    pub fn with(&self, other: &Self) -> Option<Self> {
        let common = |a: &Range<usize>, b: &Range<usize>| a.start.max(b.start)..a.end.min(b.end);
        let both = Self {
            columns: common(&self.columns, &other.columns),
            rows: common(&self.rows, &other.rows),
        };
        (!both.columns.is_empty() && !both.rows.is_empty()).then_some(both)
    }
}

impl Placed {
    /// The place at a point of the raster.
    #[must_use]
    pub fn position(&self, pixel: Coord<f64>) -> Option<Position> {
        self.crs.inverse(self.affine.forward(pixel))
    }

    /// The parts of the raster that may lie under a picture: usually one, two where it begins and ends again at the
    /// antimeridian.
    #[must_use]
    pub fn windows(&self, frame: &Frame) -> Vec<Window> {
        let period = self.crs.period();
        let middle = self.crs.forward(frame.middle());
        let near = |x: f64| match (period, middle) {
            (Some(period), Some(middle)) => {
                middle.x + (x - middle.x + period / 2.0).rem_euclid(period) - period / 2.0
            }
            _ => x,
        };
        let points: Vec<Coord<f64>> = frame
            .probes()
            .filter_map(|place| self.crs.forward(place))
            .map(|at| Coord {
                x: near(at.x),
                y: at.y,
            })
            .collect();
        let turns: &[f64] = if period.is_some() {
            &[-1.0, 0.0, 1.0]
        } else {
            &[0.0]
        };
        let mut windows: Vec<Window> = turns
            .iter()
            .filter_map(|turn| {
                let shift = turn * period.unwrap_or(0.0);
                let pixels = points.iter().map(|at| {
                    self.affine.inverse(Coord {
                        x: at.x + shift,
                        y: at.y,
                    })
                });
                self.window_around(pixels)
            })
            .collect();
        windows.dedup();
        windows
    }

    fn window_around(&self, pixels: impl Iterator<Item = Coord<f64>>) -> Option<Window> {
        let mut low = Coord {
            x: f64::INFINITY,
            y: f64::INFINITY,
        };
        let mut high = low * -1.0;
        for at in pixels {
            low = Coord {
                x: low.x.min(at.x),
                y: low.y.min(at.y),
            };
            high = Coord {
                x: high.x.max(at.x),
                y: high.y.max(at.y),
            };
        }
        // Between two probes the edge may reach a little farther out.
        let span = |low: f64, high: f64, size: usize| {
            let more = 2.0 + 0.02 * (high - low);
            let first = (low - more).floor().max(0.0);
            let end = (high + more).ceil().min(size as f64);
            // NaN is no part of it.
            (first < end).then_some(first as usize..end as usize)
        };
        Some(Window {
            columns: span(low.x, high.x, self.columns)?,
            rows: span(low.y, high.y, self.rows)?,
        })
    }

    /// Size of a pixel on the ground in the middle of a picture, or where the raster comes nearest to it.
    #[must_use]
    pub fn pixel_on_ground(&self, frame: &Frame) -> Option<Length> {
        let at = self.affine.inverse(self.crs.forward(frame.middle())?);
        let at = Coord {
            x: at.x.clamp(0.0, self.columns as f64 - 1.0),
            y: at.y.clamp(0.0, self.rows as f64 - 1.0),
        };
        let here = self.position(at)?;
        let beside = [(1.0, 0.0), (0.0, 1.0)].map(|(x, y)| {
            self.position(Coord {
                x: at.x + x,
                y: at.y + y,
            })
        });
        let sides = beside.map(|there| there.map(|there| geodesic::distance(here, there).m()));
        match sides {
            [Some(wide), Some(high)] => Some(Length::from_m((wide * high).sqrt())),
            _ => None,
        }
    }

    /// What of the earth it shows.
    #[must_use]
    pub fn extent(&self) -> Option<Extent> {
        let share = |step: usize, size: usize| step as f64 / 8.0 * size as f64;
        let places = (0..=8).flat_map(|row| (0..=8).map(move |column| (row, column)));
        Extent::of(places.filter_map(|(row, column)| {
            self.position(Coord {
                x: share(column, self.columns),
                y: share(row, self.rows),
            })
        }))
    }
}
