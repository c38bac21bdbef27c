//! The raster on the grid of a map plane, as other programs want it.
//!
//! Every pixel takes the value of the cell in which its centre lies (the nearest neighbour): no value arises that no
//! cell has, the share of the ground at target stays what it is, and what is seen for sure or not at all stays so.
//! A pixel is as large as a cell, so that a value stands within half a pixel of where it belongs.

use super::raster::{Grid, Raster};
use crate::geodesy::{MapPlane, MapPlaneError};
use geo::Coord;

/// Most pixels; beyond, they are made larger than the cells. Chosen: as many as a raster may have cells. More there
/// can be only where the plane is turned against the raster, near the poles.
const MOST_PIXELS: f64 = 2e7;
/// Steps along each edge of the raster at which it is brought into the plane. Chosen: between two of them the edge of
/// a raster of 150 km departs from the straight line by a centimetre.
const EDGE_STEPS: usize = 64;
/// Pixels between places that are brought out of the plane one by one; between them it is interpolated. Chosen: the
/// error grows with the square of the distance between the places, and is a thousandth of a pixel at most
/// (test `the_mesh_is_as_good_as_every_pixel_by_itself`).
const MESH: usize = 16;
/// Stands for a pixel outside the area.
const NO_CELL: u32 = u32::MAX;

/// A grid in the plane of a map, north up; row 0 is the northernmost.
#[derive(Clone, Debug)]
pub struct MapGrid {
    /// The plane.
    pub plane: MapPlane,
    /// Its north-west corner, metres in the plane; a whole number of pixels from its origin, so that grids of the same
    /// pixel fit onto each other.
    pub corner: Coord<f64>,
    /// Side of a pixel, metres.
    pub pixel_m: f64,
    /// Number of columns.
    pub columns: usize,
    /// Number of rows.
    pub rows: usize,
}

/// A raster seen from the grid of a map.
#[derive(Clone, Debug)]
pub struct OnMap {
    /// The grid.
    pub grid: MapGrid,
    /// Index of the cell that each pixel shows, row after row from the north.
    cells: Vec<u32>,
}

impl OnMap {
    /// Lays a grid over a raster.
    ///
    /// # Errors
    /// When the raster cannot be brought into the plane, which only a fault of the program does.
    pub fn of(raster: &Raster) -> Result<Self, MapPlaneError> {
        let grid = MapGrid::over(raster)?;
        let mesh = Mesh::of(&grid, raster)?;
        let shown = |(row, column)| {
            let cell = raster.grid.cell_at(mesh.at(row, column))?;
            // Beyond the area no cell has a number.
            (!raster.values[cell].is_nan()).then_some(cell as u32)
        };
        let cells = (0..grid.rows)
            .flat_map(|row| (0..grid.columns).map(move |column| (row, column)))
            .map(|at| shown(at).unwrap_or(NO_CELL))
            .collect();
        Ok(Self { grid, cells })
    }

    /// Values of the cells, row after row from the south, as those of the pixels, row after row from the north; NaN
    /// outside the area.
    #[must_use]
    pub fn values(&self, of_cells: &[f32]) -> Vec<f32> {
        let value = |cell: &u32| of_cells.get(*cell as usize).copied().unwrap_or(f32::NAN);
        self.cells.iter().map(value).collect()
    }
}

impl MapGrid {
    /// The grid over all of a raster.
    fn over(raster: &Raster) -> Result<Self, MapPlaneError> {
        let plane = MapPlane::about(raster.frame.origin())?;
        let Grid {
            origin,
            cell_m,
            columns,
            rows,
        } = raster.grid;
        let size = Coord {
            x: columns as f64 * cell_m,
            y: rows as f64 * cell_m,
        };
        let mut low = Coord {
            x: f64::INFINITY,
            y: f64::INFINITY,
        };
        let mut high = low * -1.0;
        for step in 0..=EDGE_STEPS {
            let share = step as f64 / EDGE_STEPS as f64;
            for (x, y) in [(share, 0.0), (share, 1.0), (0.0, share), (1.0, share)] {
                let on_edge = Coord {
                    x: origin.x + x * size.x,
                    y: origin.y + y * size.y,
                };
                let at = plane.forward(raster.frame.inverse(on_edge))?;
                low = Coord {
                    x: low.x.min(at.x),
                    y: low.y.min(at.y),
                };
                high = Coord {
                    x: high.x.max(at.x),
                    y: high.y.max(at.y),
                };
            }
        }
        let wanted = (high.x - low.x) * (high.y - low.y) / (cell_m * cell_m);
        let pixel_m = cell_m * (wanted / MOST_PIXELS).sqrt().max(1.0);
        let (west, east) = ((low.x / pixel_m).floor(), (high.x / pixel_m).ceil());
        let (south, north) = ((low.y / pixel_m).floor(), (high.y / pixel_m).ceil());
        Ok(Self {
            plane,
            corner: Coord {
                x: west * pixel_m,
                y: north * pixel_m,
            },
            pixel_m,
            columns: (east - west) as usize,
            rows: (north - south) as usize,
        })
    }

    /// Centre of a pixel, metres in the plane of the map.
    #[must_use]
    pub fn centre(&self, row: usize, column: usize) -> Coord<f64> {
        Coord {
            x: self.corner.x + (column as f64 + 0.5) * self.pixel_m,
            y: self.corner.y - (row as f64 + 0.5) * self.pixel_m,
        }
    }
}

/// Where the centres of every [`MESH`]th pixel lie in the plane of the raster.
struct Mesh {
    nodes: Vec<Coord<f64>>,
    /// Nodes in a row.
    across: usize,
}

impl Mesh {
    fn of(grid: &MapGrid, raster: &Raster) -> Result<Self, MapPlaneError> {
        // One more than fits, so that every pixel has a node on either side.
        let (down, across) = (grid.rows / MESH + 2, grid.columns / MESH + 2);
        let node = |i: usize| {
            let centre = grid.centre(i / across * MESH, i % across * MESH);
            Ok(raster.frame.forward(grid.plane.inverse(centre)?))
        };
        let nodes = (0..down * across)
            .map(node)
            .collect::<Result<_, MapPlaneError>>()?;
        Ok(Self { nodes, across })
    }

    /// The centre of a pixel in the plane of the raster.
    fn at(&self, row: usize, column: usize) -> Coord<f64> {
        let share = |i: usize| (i % MESH) as f64 / MESH as f64;
        let first = row / MESH * self.across + column / MESH;
        let between = |at: usize| {
            let (west, east) = (self.nodes[at], self.nodes[at + 1]);
            west + (east - west) * share(column)
        };
        let (north, south) = (between(first), between(first + self.across));
        north + (south - north) * share(row)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geodesy::{LocalFrame, Position};

    /// A raster about a place whose cells are numbered; the outermost ones lie outside the area.
    fn raster(lat: f64, lon: f64, cell_m: f64, columns: usize, rows: usize) -> Raster {
        let edge = |i: usize| {
            let (row, column) = (i / columns, i % columns);
            row == 0 || column == 0 || row == rows - 1 || column == columns - 1
        };
        Raster {
            frame: LocalFrame::new(Position::new(lat, lon).unwrap()),
            grid: Grid {
                origin: Coord {
                    x: -(columns as f64) * cell_m / 2.0 + 17.0,
                    y: -(rows as f64) * cell_m / 2.0 - 31.0,
                },
                cell_m,
                columns,
                rows,
            },
            values: (0..columns * rows)
                .map(|i| if edge(i) { f32::NAN } else { i as f32 })
                .collect(),
        }
    }

    const PLACES: [(f64, f64); 8] = [
        (47.0, 9.0),
        (47.0, 12.0),
        (-16.9, 179.99),
        (0.0, 30.0),
        (78.0, 9.0),
        (83.99, 42.0),
        (89.99, 10.0),
        (-85.0, -120.0),
    ];

    #[test]
    fn a_cell_lands_within_half_a_pixel() {
        for (lat, lon) in PLACES {
            let raster = raster(lat, lon, 115.75, 130, 90);
            let on_map = OnMap::of(&raster).unwrap();
            let values = on_map.values(&raster.values);
            let grid = &on_map.grid;
            assert_eq!(values.len(), grid.columns * grid.rows);
            let mut shown = vec![false; raster.values.len()];
            for (i, value) in values.iter().enumerate() {
                if value.is_nan() {
                    continue;
                }
                let cell = *value as usize;
                shown[cell] = true;
                let pixel = grid.centre(i / grid.columns, i % grid.columns);
                let there = raster.frame.forward(grid.plane.inverse(pixel).unwrap());
                let centre = raster.grid.centre(cell % 130, cell / 130);
                let off = (there.x - centre.x).abs().max((there.y - centre.y).abs());
                assert!(off <= 0.501 * 115.75, "{off} m at {lat}, {lon}");
            }
            // Where the plane is turned by 45° some cells have no centre of a pixel in them, others two.
            let inside = 128 * 88;
            let shown = shown.iter().filter(|s| **s).count();
            assert!(
                shown * 100 > inside * 80,
                "{shown} of {inside} at {lat}, {lon}"
            );
            let pixels = values.iter().filter(|v| !v.is_nan()).count() as f64;
            assert!(
                (pixels / inside as f64 - 1.0).abs() < 0.02,
                "{pixels} of {inside} at {lat}, {lon}"
            );
        }
    }

    /// Also for the largest raster there can be, and with pixels of half a kilometre.
    #[test]
    fn the_mesh_is_as_good_as_every_pixel_by_itself() {
        for (lat, lon) in PLACES {
            for (cell_m, columns, rows) in [(115.75, 700, 300), (500.0, 600, 600)] {
                let raster = raster(lat, lon, cell_m, columns, rows);
                let grid = MapGrid::over(&raster).unwrap();
                let mesh = Mesh::of(&grid, &raster).unwrap();
                for i in (0..grid.columns * grid.rows).step_by(1_237) {
                    let (row, column) = (i / grid.columns, i % grid.columns);
                    let centre = grid.plane.inverse(grid.centre(row, column)).unwrap();
                    let off = mesh.at(row, column) - raster.frame.forward(centre);
                    let off = off.x.hypot(off.y) / grid.pixel_m;
                    assert!(off < 1e-3, "{off} pixels at {lat}, {lon}");
                }
            }
        }
    }

    #[test]
    fn pixels_grow_where_there_would_be_too_many() {
        // Turned by 45° the grid about a square is twice as large.
        let raster = raster(-85.0, 45.0, 30.0, 4_000, 4_000);
        let grid = MapGrid::over(&raster).unwrap();
        let pixels = (grid.columns * grid.rows) as f64;
        assert!(grid.pixel_m > 36.0 && grid.pixel_m < 39.0, "{grid:?}");
        assert!(pixels < 1.01 * MOST_PIXELS, "{pixels}");
    }
}
