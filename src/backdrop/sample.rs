//! Resampling into the plane of the map by area average.
//!
//! Every pixel of the raster is brought to where it lies on the map, and what it covers there of each pixel of the picture is
//! its weight in it. So each pixel of the raster counts, by its area and once, however much finer than the picture it is,
//! and it does not matter in which order strips, tiles or rows come: nothing but the picture is held in memory. Where the
//! raster is coarser, its pixels show as squares at their true places, and nothing is made up between them. Values are averaged
//! as they are stored, as other programs do (common practice, no source).

use super::crs::Crs;
use super::extent::Extent;
use crate::geodesy::{LocalFrame, Position, geodesic};
use crate::units::Length;
use geo::{Coord, Rect};
use std::ops::Range;

/// Side of the squares of raster pixels that are brought onto the map by their corners, where that is straight enough.
const PATCH: usize = 64;
/// How far a pixel may come to lie from its place by that, pixels of the picture. Chosen: a tenth of what is promised.
const STRAIGHT_WITHIN_PX: f64 = 0.05;
/// A pixel of the raster is taken for upright where its sides lean by no more than this, pixels of the picture.
const UPRIGHT_WITHIN_PX: f64 = 0.1;
/// Else it is cut into parts of this side, pixels of the picture, and each of them taken for upright.
const PART_PX: f64 = 0.5;
/// Most parts along a side.
const MOST_PARTS: f64 = 64.0;
/// Share of a pixel of the picture that the raster must cover for it to show.
const COVERED: f64 = 0.5;
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
        let pixels = |length_m: f64| ((length_m / pixel_m).ceil() as usize).max(1);
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

    /// A place in the picture, pixels from its north-west corner to the right and down.
    #[must_use]
    pub fn place(&self, position: Position) -> Coord<f64> {
        let at = self.plane.forward(position);
        Coord {
            x: (at.x - self.corner.x) / self.pixel_m,
            y: (self.corner.y - at.y) / self.pixel_m,
        }
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
    fn probes(&self) -> impl Iterator<Item = Position> + '_ {
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
            (first < end).then(|| first as usize..end as usize)
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

/// Pixels of a raster: red, green, blue and opacity of each, row after row.
#[derive(Clone, Copy, Debug)]
pub struct Block<'a> {
    /// Column of the raster in which it begins.
    pub left: usize,
    /// Row of the raster in which it begins.
    pub top: usize,
    /// Its columns.
    pub columns: usize,
    /// Its pixels.
    pub rgba: &'a [[u8; 4]],
}

impl Block<'_> {
    fn window(&self) -> Window {
        let rows = self.rgba.len().checked_div(self.columns).unwrap_or(0);
        Window {
            columns: self.left..self.left + self.columns,
            rows: self.top..self.top + rows,
        }
    }
}

/// The picture while it comes about.
#[derive(Debug)]
pub struct Canvas<'a> {
    frame: &'a Frame,
    /// Red, green and blue by their weight, and the weight: the share of the pixel that is covered.
    sums: Vec<[f64; 4]>,
}

impl<'a> Canvas<'a> {
    /// An empty one.
    #[must_use]
    pub fn new(frame: &'a Frame) -> Self {
        Self {
            frame,
            sums: vec![[0.0; 4]; frame.columns * frame.rows],
        }
    }

    /// Adds pixels of a raster, those in `window`.
    pub fn add(&mut self, placed: &Placed, block: Block<'_>, window: &Window) {
        let Some(all) = block.window().with(window) else {
            return;
        };
        for top in all.rows.clone().step_by(PATCH) {
            for left in all.columns.clone().step_by(PATCH) {
                let patch = Window {
                    columns: left..(left + PATCH).min(all.columns.end),
                    rows: top..(top + PATCH).min(all.rows.end),
                };
                self.patch(placed, block, &patch);
            }
        }
    }

    /// Brings a patch onto the picture by its corners, or cuts it in two where that would be too crooked.
    fn patch(&mut self, placed: &Placed, block: Block<'_>, patch: &Window) {
        let Some(quad) = Quad::of(placed, self.frame, patch) else {
            let (wide, high) = (patch.columns.len(), patch.rows.len());
            // A single pixel that has no place on the map is not on it.
            if wide * high > 1 {
                for half in halves(patch) {
                    self.patch(placed, block, &half);
                }
            }
            return;
        };
        if quad.misses(self.frame) {
            return;
        }
        let (right, down) = (quad.right(), quad.down());
        let parts = parts(right, down);
        let (right, down) = (right * (1.0 / parts), down * (1.0 / parts));
        let stamp = Stamp {
            half: Coord {
                x: f64::midpoint(right.x.abs(), down.x.abs()),
                y: f64::midpoint(right.y.abs(), down.y.abs()),
            },
            area: (right.x * down.y - right.y * down.x).abs(),
        };
        let parts = parts as usize;
        for row in patch.rows.clone() {
            let line = (row - block.top) * block.columns;
            for column in patch.columns.clone() {
                let Some(colour) = block.rgba.get(line + column - block.left) else {
                    continue;
                };
                if colour[3] == 0 {
                    continue;
                }
                for part in 0..parts * parts {
                    let inside = |part: usize| (part as f64 + 0.5) / parts as f64;
                    let at = quad.at(
                        (column - patch.columns.start) as f64 + inside(part % parts),
                        (row - patch.rows.start) as f64 + inside(part / parts),
                    );
                    self.stamp(at, &stamp, *colour);
                }
            }
        }
    }

    /// Adds an upright rectangle of one colour.
    fn stamp(&mut self, at: Coord<f64>, stamp: &Stamp, colour: [u8; 4]) {
        let span = |at: f64, half: f64, size: usize| {
            let (low, high) = ((at - half).max(0.0), (at + half).min(size as f64));
            (low < high).then_some((low, high))
        };
        let half = stamp.half;
        let (Some((left, right)), Some((top, bottom))) = (
            span(at.x, half.x, self.frame.columns),
            span(at.y, half.y, self.frame.rows),
        ) else {
            return;
        };
        let [red, green, blue, opacity] = colour.map(f64::from);
        // What leans covers less than the upright rectangle about it.
        let density = stamp.area / (4.0 * half.x * half.y) * opacity / 255.0;
        for row in top as usize..bottom.ceil() as usize {
            let high = bottom.min(row as f64 + 1.0) - top.max(row as f64);
            for column in left as usize..right.ceil() as usize {
                let wide = right.min(column as f64 + 1.0) - left.max(column as f64);
                let weight = density * wide * high;
                let sum = &mut self.sums[row * self.frame.columns + column];
                sum[0] += weight * red;
                sum[1] += weight * green;
                sum[2] += weight * blue;
                sum[3] += weight;
            }
        }
    }

    /// Whether nothing is left to be covered.
    #[must_use]
    pub fn is_full(&self) -> bool {
        self.sums.iter().all(|sum| sum[3] >= COVERED)
    }

    /// Takes from another picture of the same ground what this one lacks.
    pub fn fill_gaps(&mut self, other: &Canvas<'_>) {
        for (own, theirs) in self.sums.iter_mut().zip(&other.sums) {
            if own[3] < COVERED {
                *own = *theirs;
            }
        }
    }

    /// Its colours, three bytes a pixel, and which pixels are covered.
    #[must_use]
    pub fn pixels(&self) -> (Vec<u8>, Vec<bool>) {
        let covered = self.sums.iter().map(|sum| sum[3] >= COVERED).collect();
        let rgb = self.sums.iter().flat_map(|[red, green, blue, weight]| {
            let shown = *weight >= COVERED;
            [red, green, blue].map(|sum| {
                if shown {
                    (sum / weight).round() as u8
                } else {
                    0
                }
            })
        });
        (rgb.collect(), covered)
    }
}

/// A pixel of the raster, or part of one, as an upright rectangle of the picture.
struct Stamp {
    half: Coord<f64>,
    /// What it truly covers, pixels of the picture.
    area: f64,
}

/// How many parts along each side a pixel with these sides is cut into.
fn parts(right: Coord<f64>, down: Coord<f64>) -> f64 {
    if right.y.abs() <= UPRIGHT_WITHIN_PX && down.x.abs() <= UPRIGHT_WITHIN_PX {
        return 1.0;
    }
    let side = right.x.hypot(right.y).max(down.x.hypot(down.y));
    (side / PART_PX).ceil().clamp(1.0, MOST_PARTS)
}

fn halves(patch: &Window) -> [Window; 2] {
    let Window { columns, rows } = patch.clone();
    if columns.len() >= rows.len() {
        let middle = usize::midpoint(columns.start, columns.end);
        [columns.start..middle, middle..columns.end].map(|columns| Window {
            columns,
            rows: rows.clone(),
        })
    } else {
        let middle = usize::midpoint(rows.start, rows.end);
        [rows.start..middle, middle..rows.end].map(|rows| Window {
            columns: columns.clone(),
            rows,
        })
    }
}

/// The corners of a patch on the picture: the first row from left to right, then the last.
struct Quad {
    corners: [Coord<f64>; 4],
    columns: f64,
    rows: f64,
}

impl Quad {
    /// `None` where it is too crooked for its corners to tell, or has no place.
    fn of(placed: &Placed, frame: &Frame, patch: &Window) -> Option<Self> {
        let (columns, rows) = (patch.columns.len() as f64, patch.rows.len() as f64);
        let there = |x: f64, y: f64| {
            let at = Coord {
                x: patch.columns.start as f64 + x,
                y: patch.rows.start as f64 + y,
            };
            placed.position(at).map(|position| frame.place(position))
        };
        let quad = Self {
            corners: [
                there(0.0, 0.0)?,
                there(columns, 0.0)?,
                there(0.0, rows)?,
                there(columns, rows)?,
            ],
            columns,
            rows,
        };
        let single = patch.columns.len() * patch.rows.len() == 1;
        let (half_x, half_y) = (columns / 2.0, rows / 2.0);
        let between = [
            (half_x, half_y),
            (half_x, 0.0),
            (half_x, rows),
            (0.0, half_y),
            (columns, half_y),
        ];
        let straight = || {
            between.iter().all(|(x, y)| {
                let off = there(*x, *y).map(|at| at - quad.at(*x, *y));
                off.is_some_and(|off| off.x.hypot(off.y) <= STRAIGHT_WITHIN_PX)
            })
        };
        (single || straight()).then_some(quad)
    }

    fn at(&self, x: f64, y: f64) -> Coord<f64> {
        let (x, y) = (x / self.columns, y / self.rows);
        let [a, b, c, d] = self.corners;
        let (top, bottom) = (a + (b - a) * x, c + (d - c) * x);
        top + (bottom - top) * y
    }

    /// One pixel of the raster to the right.
    fn right(&self) -> Coord<f64> {
        let [a, b, c, d] = self.corners;
        (b - a + d - c) / (2.0 * self.columns)
    }

    /// One pixel of the raster down.
    fn down(&self) -> Coord<f64> {
        let [a, b, c, d] = self.corners;
        (c - a + d - b) / (2.0 * self.rows)
    }

    fn misses(&self, frame: &Frame) -> bool {
        let (right, down) = (self.right(), self.down());
        let more = right.x.abs() + right.y.abs() + down.x.abs() + down.y.abs() + 1.0;
        let beyond = |value: fn(&Coord<f64>) -> f64, size: usize| {
            let mut all = self.corners.iter().map(value);
            let mut again = all.clone();
            all.all(|value| value < -more) || again.all(|value| value > size as f64 + more)
        };
        beyond(|at| at.x, frame.columns) || beyond(|at| at.y, frame.rows)
    }
}
