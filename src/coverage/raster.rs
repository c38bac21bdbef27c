//! A regular grid of square cells over the area, in the local plane.

use crate::geodesy::LocalFrame;
use geo::Coord;

/// Values on a grid of square cells; row 0 is the southernmost, column 0 the westernmost.
#[derive(Clone, Debug)]
pub struct Raster {
    /// The plane it lies in.
    pub frame: LocalFrame,
    /// South-west corner of the grid, metres in the plane.
    pub origin: Coord<f64>,
    /// Side of a cell, metres.
    pub cell_m: f64,
    /// Number of columns.
    pub columns: usize,
    /// Number of rows.
    pub rows: usize,
    /// One value per cell, row after row; NaN for cells whose centre is outside the area.
    pub values: Vec<f32>,
}

impl Raster {
    /// Centre of a cell, metres in the plane.
    #[must_use]
    pub fn centre(&self, column: usize, row: usize) -> Coord<f64> {
        Coord {
            x: self.origin.x + (column as f64 + 0.5) * self.cell_m,
            y: self.origin.y + (row as f64 + 0.5) * self.cell_m,
        }
    }

    /// Value of a cell.
    #[must_use]
    pub fn value(&self, column: usize, row: usize) -> f32 {
        self.values[row * self.columns + column]
    }
}
