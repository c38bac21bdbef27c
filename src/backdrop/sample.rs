//! Resampling into the plane of the map by area average.
//!
//! Every pixel of the raster is brought to where it lies on the map, and what it covers there of each pixel of the picture is
//! its weight in it. So each pixel of the raster counts, by its area and once, however much finer than the picture it is,
//! and it does not matter in which order strips, tiles or rows come: nothing but the picture is held in memory. Where the
//! raster is coarser, its pixels show as squares at their true places, and nothing is made up between them. Values are averaged
//! as they are stored, as other programs do (common practice, no source).

use super::frame::Frame;
use super::placed::{Placed, Window};
use geo::Coord;

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
            frame.place(placed.position(at)?)
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
