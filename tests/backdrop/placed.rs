//! A known cell of a raster lies where the map draws its place, to half a pixel of the picture: in degrees, UTM and web
//! Mercator, finer and coarser than the picture, turned, near a pole, and across the antimeridian.
//!
//! Places of cells come from outside the code under test: in degrees they are the numbers of the file, in UTM they come from
//! `geodesy::MapPlane` (held against PROJ by `tests/reference/map_planes.rs`), in web Mercator from the closed form.

use crate::made::{Folder, Tiff, drawn, lies_at, one_white, plane};
use geo::Coord;
use overflown::geodesy::{MapPlane, Position};
use std::f64::consts::{FRAC_PI_2, PI};

const REACH_M: f64 = 6_000.0;

fn position(lat: f64, lon: f64) -> Position {
    Position::new(lat, lon).unwrap()
}

/// EPSG Guidance Note 7-2, method 1024: to longitude and latitude.
pub fn from_web_mercator(x: f64, y: f64) -> Position {
    let lat = FRAC_PI_2 - 2.0 * (-y / 6_378_137.0).exp().atan();
    position(lat.to_degrees(), (x / 6_378_137.0).to_degrees())
}

/// The same, to easting and northing.
fn to_web_mercator(lat: f64, lon: f64) -> Coord<f64> {
    Coord {
        x: 6_378_137.0 * lon.to_radians(),
        y: 6_378_137.0 * (PI / 4.0 + lat.to_radians() / 2.0).tan().ln(),
    }
}

/// Cells so many metres wide, of which one is white, about the middle of a map.
const CELLS: [(f64, u32); 3] = [(4.0, 3_000), (25.0, 600), (400.0, 40)];

#[test]
fn in_degrees() {
    let folder = Folder::new();
    for (lat, lon) in [(47.3, 12.1), (-33.2, -70.9), (79.5, 20.0), (0.01, -0.02)] {
        for (cell_m, cells) in CELLS {
            for is_point in [false, true] {
                let step = cell_m / 111_200.0;
                let west = lon - step * f64::from(cells) / 2.0;
                let north = lat + step * f64::from(cells) / 2.0;
                let (column, row) = (cells * 3 / 5, cells * 2 / 5);
                let mut tiff = Tiff::of(cells, cells, 1, 1, one_white(cells, cells, column, row));
                tiff.in_crs(4326, is_point).at(west, north, step);
                let file = folder.file("degrees.tif", &tiff.in_strips(7).deflated().bytes());
                let plane = plane(lat, lon);
                let picture = drawn(&file, None, &plane, REACH_M).unwrap();
                let half = if is_point { 0.0 } else { 0.5 };
                let cell = position(
                    north - (f64::from(row) + half) * step,
                    west + (f64::from(column) + half) * step,
                );
                lies_at(&picture, &plane, cell, &format!("{lat} {lon} {cell_m} m"));
            }
        }
    }
}

#[test]
fn in_utm() {
    let folder = Folder::new();
    for (lat, lon) in [(47.3, 9.1), (47.3, 11.9), (-33.2, -70.9), (83.0, 20.0)] {
        let utm = MapPlane::about(position(lat, lon)).unwrap();
        let middle = utm.forward(position(lat, lon)).unwrap();
        for (cell_m, cells) in CELLS {
            let reach = cell_m * f64::from(cells) / 2.0;
            let (west, north) = (middle.x - reach, middle.y + reach);
            let (column, row) = (cells * 3 / 5, cells * 2 / 5);
            let mut tiff = Tiff::of(cells, cells, 1, 1, one_white(cells, cells, column, row));
            tiff.in_crs(utm.epsg(), false).at(west, north, cell_m);
            let file = folder.file("utm.tif", &tiff.in_tiles(64).deflated().bytes());
            let plane = plane(lat, lon);
            let picture = drawn(&file, None, &plane, REACH_M).unwrap();
            let cell = utm
                .inverse(Coord {
                    x: west + (f64::from(column) + 0.5) * cell_m,
                    y: north - (f64::from(row) + 0.5) * cell_m,
                })
                .unwrap();
            lies_at(
                &picture,
                &plane,
                cell,
                &format!("{} {cell_m} m", utm.name()),
            );
        }
    }
}

#[test]
fn in_web_mercator() {
    let folder = Folder::new();
    for (lat, lon) in [(47.3, 12.1), (-54.8, -68.3), (70.0, 179.97)] {
        let middle = to_web_mercator(lat, lon);
        for (cell_m, cells) in CELLS {
            let step = cell_m / lat.to_radians().cos();
            let reach = step * f64::from(cells) / 2.0;
            let (west, north) = (middle.x - reach, middle.y + reach);
            let (column, row) = (cells * 3 / 5, cells * 2 / 5);
            let mut tiff = Tiff::of(cells, cells, 1, 1, one_white(cells, cells, column, row));
            tiff.in_crs(3857, false).at(west, north, step);
            let file = folder.file("mercator.tif", &tiff.bytes());
            let plane = plane(lat, lon);
            let picture = drawn(&file, None, &plane, REACH_M).unwrap();
            let cell = from_web_mercator(
                west + (f64::from(column) + 0.5) * step,
                north - (f64::from(row) + 0.5) * step,
            );
            lies_at(&picture, &plane, cell, &format!("{lat} {lon} {cell_m} m"));
        }
    }
}

/// By `ModelTransformationTag`, turned by 30° in the plane of UTM.
#[test]
fn turned() {
    let folder = Folder::new();
    let (lat, lon) = (47.3, 9.1);
    let utm = MapPlane::about(position(lat, lon)).unwrap();
    let middle = utm.forward(position(lat, lon)).unwrap();
    let (sin, cos) = 30_f64.to_radians().sin_cos();
    for (cell_m, cells) in CELLS {
        // Right: cos, sin. Down: sin, -cos.
        let reach = cell_m * f64::from(cells) / 2.0;
        let x0 = middle.x - reach * (cos + sin);
        let y0 = middle.y - reach * (sin - cos);
        let (column, row) = (cells * 3 / 5, cells * 2 / 5);
        let mut tiff = Tiff::of(cells, cells, 1, 1, one_white(cells, cells, column, row));
        let (c, s) = (cell_m * cos, cell_m * sin);
        tiff.in_crs(utm.epsg(), false).double(
            34_264,
            &[
                c, s, 0.0, x0, s, -c, 0.0, y0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 1.0,
            ],
        );
        let file = folder.file("turned.tif", &tiff.bytes());
        let plane = plane(lat, lon);
        let picture = drawn(&file, None, &plane, REACH_M).unwrap();
        let (i, j) = (f64::from(column) + 0.5, f64::from(row) + 0.5);
        let cell = utm
            .inverse(Coord {
                x: x0 + c * i + s * j,
                y: y0 + s * i - c * j,
            })
            .unwrap();
        lies_at(&picture, &plane, cell, &format!("turned, {cell_m} m"));
    }
}

/// A raster round the earth shows on both sides of its seam, wherever that is; and a map across the antimeridian is covered by a
/// raster that goes on beyond 180°.
#[test]
fn across_the_antimeridian() {
    let folder = Folder::new();
    let (columns, rows, step) = (3_600, 4, 0.1_f64);
    for west in [-180.0, 0.0, 100.0] {
        // White from 179.9 to 180 and black else; and the same on the other side.
        for edge in [179.9, -180.0] {
            let column = (((edge - west) / step).round() as i64).rem_euclid(3_600) as u32;
            let mut bytes = vec![0; (columns * rows) as usize];
            for row in 0..rows {
                bytes[(row * columns + column) as usize] = 255;
            }
            let mut tiff = Tiff::of(columns, rows, 1, 1, bytes);
            tiff.in_crs(4326, false).at(west, 0.2, step);
            let file = folder.file("earth.tif", &tiff.bytes());
            let plane = plane(0.0, 179.999);
            let picture = drawn(&file, None, &plane, 5_000.0).unwrap();
            assert_eq!(picture.about.share, 1.0, "{west} {edge}");
            for pixel in [0.1_f64, 0.3, 0.45, 0.6, 0.9] {
                let column = (pixel * picture.columns as f64) as usize;
                let middle = picture.rows / 2 * picture.columns + column;
                let x = picture.corner.x + (column as f64 + 0.5) * picture.pixel_m;
                let lon = plane.inverse(Coord { x, y: 0.0 }).lon();
                let white = (lon > 0.0) == (edge > 0.0);
                let expected = if white { 255 } else { 0 };
                assert_eq!(picture.rgb[3 * middle], expected, "{west} {edge} {lon}");
            }
        }
    }
}
