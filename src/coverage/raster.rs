//! A regular grid of square cells over the area, in the local plane.

use crate::geodesy::LocalFrame;
use crate::plan::Area;
use crate::units::Length;
use geo::{BoundingRect, Coord, LineString, Rect};

/// Cells beyond which they are made no finer than they must be. Chosen: more adds nothing a person
/// could see or fly.
const ENOUGH_CELLS: f64 = 6e6;
/// Most cells a grid may have. Chosen: they take some 350 MB.
const MOST_CELLS: f64 = 2e7;

/// An area that its spacing would cut into too many cells.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[error(
    "a spacing of {:.3} NM would cut the area into {:.0} million cells; at most {:.0} million can be worked",
    .spacing.nm(), .cells / 1e6, MOST_CELLS / 1e6
)]
pub struct TooManyCells {
    spacing: Length,
    cells: f64,
}

/// A grid of square cells; row 0 is the southernmost, column 0 the westernmost.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Grid {
    /// South-west corner, metres in the plane.
    pub origin: Coord<f64>,
    /// Side of a cell, metres.
    pub cell_m: f64,
    /// Number of columns.
    pub columns: usize,
    /// Number of rows.
    pub rows: usize,
}

/// Values on a grid.
#[derive(Clone, Debug)]
pub struct Raster {
    /// The plane it lies in.
    pub frame: LocalFrame,
    /// Its cells.
    pub grid: Grid,
    /// One value per cell, row after row; NaN for cells whose centre is outside the area.
    pub values: Vec<f32>,
}

impl Grid {
    /// The grid over an area with cells of at most a tenth of the spacing and an eighth of the
    /// sweep width, so that the peak of detection along each track is resolved. Where that would
    /// make too many cells they grow, but never beyond a tenth of the spacing.
    ///
    /// # Errors
    /// When even cells of a tenth of the spacing are more than can be worked.
    pub fn over(area: &Area, spacing: Length, sweep_width: Length) -> Result<Self, TooManyCells> {
        let nowhere = Rect::new(Coord { x: 0.0, y: 0.0 }, Coord { x: 0.0, y: 0.0 });
        let bounds = area.polygon().bounding_rect().unwrap_or(nowhere);
        Self::spanning(bounds, spacing, sweep_width)
    }

    /// As [`over`](Self::over), over a rectangle.
    ///
    /// # Errors
    /// As there.
    pub fn spanning(
        bounds: Rect<f64>,
        spacing: Length,
        sweep_width: Length,
    ) -> Result<Self, TooManyCells> {
        let low = bounds.min();
        let size = Coord {
            x: bounds.width(),
            y: bounds.height(),
        };
        let coarsest = spacing.m() / 10.0;
        let affordable = (size.x * size.y / ENOUGH_CELLS).sqrt();
        let cell_m = (sweep_width.m() / 8.0).max(affordable).min(coarsest);
        let count = |length: f64| (length / cell_m).ceil().max(1.0);
        let (columns, rows) = (count(size.x), count(size.y));
        if columns * rows > MOST_CELLS {
            return Err(TooManyCells {
                spacing,
                cells: columns * rows,
            });
        }
        // Centred, so that the cells left over are shared between both edges.
        let origin = Coord {
            x: low.x - (columns * cell_m - size.x) / 2.0,
            y: low.y - (rows * cell_m - size.y) / 2.0,
        };
        Ok(Self {
            origin,
            cell_m,
            columns: columns as usize,
            rows: rows as usize,
        })
    }

    /// Centre of a cell, metres in the plane.
    #[must_use]
    pub fn centre(&self, column: usize, row: usize) -> Coord<f64> {
        Coord {
            x: self.origin.x + (column as f64 + 0.5) * self.cell_m,
            y: self.origin.y + (row as f64 + 0.5) * self.cell_m,
        }
    }

    /// Index, row after row, of the cell in which a point of the plane lies.
    #[must_use]
    pub fn cell_at(&self, xy: Coord<f64>) -> Option<usize> {
        let column = ((xy.x - self.origin.x) / self.cell_m).floor();
        let row = ((xy.y - self.origin.y) / self.cell_m).floor();
        let within =
            (0.0..self.columns as f64).contains(&column) && (0.0..self.rows as f64).contains(&row);
        within.then(|| row as usize * self.columns + column as usize)
    }

    /// For each cell, row after row, whether its centre lies in the area.
    #[must_use]
    pub fn inside(&self, area: &Area) -> Vec<bool> {
        self.inside_ring(area.polygon().exterior())
    }

    /// As [`inside`](Self::inside), of a closed ring.
    #[must_use]
    pub fn inside_ring(&self, ring: &LineString<f64>) -> Vec<bool> {
        let mut inside = vec![false; self.columns * self.rows];
        for row in 0..self.rows {
            let y = self.centre(0, row).y;
            let mut crossings: Vec<f64> = ring
                .lines()
                .filter(|edge| (edge.start.y <= y) != (edge.end.y <= y))
                .map(|edge| edge.start.x + (y - edge.start.y) * edge.dx() / edge.dy())
                .collect();
            crossings.sort_by(f64::total_cmp);
            for pair in crossings.chunks_exact(2) {
                for column in self.columns_between(pair[0], pair[1]) {
                    inside[row * self.columns + column] = true;
                }
            }
        }
        inside
    }

    /// Columns whose centres lie from `low` to `high`, metres.
    #[must_use]
    pub fn columns_between(&self, low: f64, high: f64) -> std::ops::Range<usize> {
        between(low, high, self.origin.x, self.cell_m, self.columns)
    }

    /// Rows whose centres lie from `low` to `high`, metres.
    #[must_use]
    pub fn rows_between(&self, low: f64, high: f64) -> std::ops::Range<usize> {
        between(low, high, self.origin.y, self.cell_m, self.rows)
    }
}

fn between(low: f64, high: f64, origin: f64, cell_m: f64, count: usize) -> std::ops::Range<usize> {
    // Centres stand at origin + (i + 1/2) cell. Casts clamp below zero.
    let first = ((low - origin) / cell_m - 0.5).ceil().max(0.0) as usize;
    let end = ((high - origin) / cell_m + 0.5).floor().max(0.0) as usize;
    first.min(count)..end.min(count).max(first.min(count))
}

impl Raster {
    /// Value of a cell.
    #[must_use]
    pub fn value(&self, column: usize, row: usize) -> f32 {
        self.values[row * self.grid.columns + column]
    }
}
