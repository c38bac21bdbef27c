//! Tile sets: MBTiles 1.3 and the closed form of web Mercator.

use crate::made::{Folder, drawn, expected, grey_jpeg, grey_png, plane};
use crate::placed::from_web_mercator;
use overflown::geodesy::Position;
use rusqlite::Connection;
use std::f64::consts::PI;
use std::path::{Path, PathBuf};

/// Half the side of the square of web Mercator, metres.
const HALF_M: f64 = PI * 6_378_137.0;

/// An empty tile set.
pub fn tile_set(folder: &Folder, format: &str) -> (PathBuf, Connection) {
    let path = folder.path("tiles.mbtiles");
    let set = Connection::open(&path).unwrap();
    set.execute_batch(
        "CREATE TABLE metadata (name text, value text);
         CREATE TABLE tiles (zoom_level integer, tile_column integer, tile_row integer, tile_data blob);",
    )
    .unwrap();
    metadata(&set, "format", format);
    (path, set)
}

pub fn metadata(set: &Connection, name: &str, value: &str) {
    set.execute("INSERT INTO metadata VALUES (?1, ?2)", [name, value])
        .unwrap();
}

/// Puts a tile at the row that counts from the south.
pub fn put(set: &Connection, level: u32, column: u32, tms_row: u32, bytes: &[u8]) {
    set.execute(
        "INSERT INTO tiles VALUES (?1, ?2, ?3, ?4)",
        rusqlite::params![level, column, tms_row, bytes],
    )
    .unwrap();
}

/// Column and row from the north of the tile at a place.
fn tile_at(level: u32, at: Position) -> (u32, u32) {
    let tiles = 2_f64.powi(level as i32);
    let north = (PI / 4.0 + at.lat().to_radians() / 2.0).tan().ln();
    let column = (at.lon() + 180.0) / 360.0 * tiles;
    let row = (1.0 - north / PI) / 2.0 * tiles;
    (column as u32, row as u32)
}

/// Fills a zoom level about a place with tiles of one grey, but for those that `missing` names.
fn fill(set: &Connection, level: u32, at: Position, grey: u8, missing: impl Fn(u32, u32) -> bool) {
    let (column, row) = tile_at(level, at);
    let tile = grey_png(256, 256, &vec![grey; 256 * 256]);
    let last = 2_u32.pow(level) - 1;
    let reach = 3;
    for x in column.saturating_sub(reach)..=(column + reach).min(last) {
        for y in row.saturating_sub(reach)..=(row + reach).min(last) {
            if !missing(x, y) {
                put(set, level, x, last - y, &tile);
            }
        }
    }
}

/// Longitude and latitude of the north-west corner of a tile.
fn corner(level: u32, column: f64, row: f64) -> Position {
    let side = 2.0 * HALF_M / 2_f64.powi(level as i32);
    from_web_mercator(column * side - HALF_M, HALF_M - row * side)
}

fn grey_at(file: &Path, at: Position, reach_m: f64) -> u8 {
    let plane = plane(at.lat(), at.lon());
    let picture = drawn(file, None, &plane, reach_m).unwrap();
    let middle = picture.rows / 2 * picture.columns + picture.columns / 2;
    picture.rgb[3 * middle]
}

/// MBTiles 1.3, section "Tiles", "Content": the tile 11/327/791 of others stands at row 1256, since 1256 is
/// 2^11 - 1 - 791.
#[test]
fn rows_count_from_the_south() {
    let folder = Folder::new();
    let (path, set) = tile_set(&folder, "png");
    put(
        &set,
        11,
        327,
        1_256,
        &grey_png(256, 256, &vec![90; 256 * 256]),
    );
    drop(set);
    let (north_west, south_east) = (corner(11, 327.0, 791.0), corner(11, 328.0, 792.0));
    let middle = corner(11, 327.5, 791.5);
    let plane = plane(middle.lat(), middle.lon());
    let picture = drawn(&path, None, &plane, 12_000.0).unwrap();
    // The first and the last column and row that the tile covers, across its middle.
    let (columns, rows) = (picture.columns, picture.rows);
    let across: Vec<usize> = (0..columns)
        .filter(|x| picture.covered[rows / 2 * columns + x])
        .collect();
    let down: Vec<usize> = (0..rows)
        .filter(|y| picture.covered[y * columns + columns / 2])
        .collect();
    let west = expected(
        &picture,
        &plane,
        Position::new(middle.lat(), north_west.lon()).unwrap(),
    );
    let east = expected(
        &picture,
        &plane,
        Position::new(middle.lat(), south_east.lon()).unwrap(),
    );
    let north = expected(
        &picture,
        &plane,
        Position::new(north_west.lat(), middle.lon()).unwrap(),
    );
    let south = expected(
        &picture,
        &plane,
        Position::new(south_east.lat(), middle.lon()).unwrap(),
    );
    for (found, place) in [
        (across[0] as f64, west.x),
        (across[across.len() - 1] as f64 + 1.0, east.x),
        (down[0] as f64, north.y),
        (down[down.len() - 1] as f64 + 1.0, south.y),
    ] {
        assert!((found - place).abs() <= 0.51, "{found} {place}");
    }
    assert_eq!(picture.about.format, "MBTiles");
}

/// A white pixel of a tile lies at its place, with tiles of 256 and of 512 pixels a side.
#[test]
fn a_pixel_of_a_tile_lies_at_its_place() {
    let folder = Folder::new();
    for (side, level) in [(256_u32, 14), (512, 13)] {
        let at = Position::new(47.3, 12.1).unwrap();
        let (path, set) = tile_set(&folder, "png");
        let (column, row) = tile_at(level, at);
        let last = 2_u32.pow(level) - 1;
        for x in column - 4..=column + 4 {
            for y in row - 4..=row + 4 {
                let mut bytes = vec![0; (side * side) as usize];
                if (x, y) == (column, row) {
                    bytes[(side / 4 * side + side / 3) as usize] = 255;
                }
                put(&set, level, x, last - y, &grey_png(side, side, &bytes));
            }
        }
        drop(set);
        let plane = plane(at.lat(), at.lon());
        let picture = drawn(&path, None, &plane, 5_000.0).unwrap();
        let inside = |pixel: u32| (f64::from(pixel) + 0.5) / f64::from(side);
        let cell = corner(
            level,
            f64::from(column) + inside(side / 3),
            f64::from(row) + inside(side / 4),
        );
        crate::made::lies_at(&picture, &plane, cell, &format!("{side} pixels"));
        assert!((picture.about.share - 1.0).abs() < 1e-9);
        let pixel_m =
            2.0 * HALF_M * at.lat().to_radians().cos() / f64::from(side) / 2_f64.powi(level as i32);
        // On the ellipsoid a pixel is a little higher or lower than wide.
        assert!((picture.about.pixel.m() / pixel_m - 1.0).abs() < 0.005);
        std::fs::remove_file(path).unwrap();
    }
}

/// The coarsest level whose pixels are as fine as those of the picture: of a pixel of web Mercator at a latitude,
/// 2πa cos φ / (256 · 2^z) lies on the ground.
#[test]
fn the_zoom_level_suits_the_picture() {
    let folder = Folder::new();
    let at = Position::new(47.3, 12.1).unwrap();
    let (path, set) = tile_set(&folder, "png");
    for level in [6, 9, 10, 11, 12, 13, 14, 15, 16] {
        fill(&set, level, at, 10 * level as u8, |_, _| false);
    }
    drop(set);
    for reach_m in [300.0, 1_000.0, 4_000.0, 10_000.0, 60_000.0, 300_000.0] {
        let pixel_m: f64 = 2.0 * reach_m / 1_500.0;
        let ground = |level: u32| {
            2.0 * HALF_M * at.lat().to_radians().cos() / 256.0 / 2_f64.powi(level as i32)
        };
        let suits = [6, 9, 10, 11, 12, 13, 14, 15, 16]
            .into_iter()
            .find(|level| ground(*level) <= pixel_m.max(ground(16) / 2.0))
            .unwrap_or(16);
        assert_eq!(
            u32::from(grey_at(&path, at, reach_m)),
            10 * suits,
            "{reach_m} m"
        );
    }
}

/// Where a tile is missing the next coarser level that has one stands in.
#[test]
fn coarser_tiles_stand_in_for_missing_ones() {
    let folder = Folder::new();
    let at = Position::new(47.3, 12.1).unwrap();
    let (path, set) = tile_set(&folder, "png");
    let lacks = tile_at(14, at);
    fill(&set, 14, at, 140, |x, y| (x, y) == lacks);
    let coarser = tile_at(13, at);
    fill(&set, 13, at, 130, |x, y| (x, y) == coarser);
    fill(&set, 9, at, 90, |_, _| false);
    drop(set);
    let plane = plane(at.lat(), at.lon());
    let picture = drawn(&path, None, &plane, 5_000.0).unwrap();
    assert!((picture.about.share - 1.0).abs() < 1e-9);
    let found = |grey: u8| picture.rgb.contains(&grey);
    // The tile of level 13 that lacks is that above the one of level 14.
    assert!(found(140) && !found(130) && found(90));
    assert_eq!(grey_at(&path, at, 5_000.0), 90);
}

/// JPEG, PNG with a palette, WebP; and tiles as a view (MBTiles 1.3, section "Database").
#[test]
fn tiles_of_every_kind_and_a_view() {
    let at = Position::new(47.3, 12.1).unwrap();
    let mut webp = Vec::new();
    image_webp::WebPEncoder::new(&mut webp)
        .encode(&vec![99; 256 * 256], 256, 256, image_webp::ColorType::L8)
        .unwrap();
    let mut palette = Vec::new();
    let mut encoder = png::Encoder::new(&mut palette, 256, 256);
    encoder.set_color(png::ColorType::Indexed);
    encoder.set_depth(png::BitDepth::One);
    encoder.set_palette(vec![0, 0, 0, 99, 99, 99]);
    let mut writer = encoder.write_header().unwrap();
    writer.write_image_data(&[0xff; 256 * 32]).unwrap();
    writer.finish().unwrap();
    let jpeg = grey_jpeg(256, 256, &vec![99; 256 * 256]);
    for (what, tile) in [("webp", webp), ("png", palette), ("jpg", jpeg)] {
        let folder = Folder::new();
        let path = folder.path("view.mbtiles");
        let set = Connection::open(&path).unwrap();
        set.execute_batch(
            "CREATE TABLE metadata (name text, value text);
             CREATE TABLE map (z integer, x integer, y integer, id integer);
             CREATE TABLE images (id integer, bytes blob);
             CREATE VIEW tiles AS SELECT z AS zoom_level, x AS tile_column, y AS tile_row, bytes AS tile_data
             FROM map JOIN images USING (id);",
        )
        .unwrap();
        metadata(&set, "format", what);
        set.execute("INSERT INTO images VALUES (1, ?1)", [tile])
            .unwrap();
        let (column, row) = tile_at(13, at);
        for x in column - 3..=column + 3 {
            for y in row - 3..=row + 3 {
                set.execute("INSERT INTO map VALUES (13, ?1, ?2, 1)", [x, 8_191 - y])
                    .unwrap();
            }
        }
        drop(set);
        assert!(grey_at(&path, at, 4_000.0).abs_diff(99) <= 1, "{what}");
        assert_eq!(
            folder.names(),
            ["view.mbtiles"],
            "nothing is left beside it"
        );
    }
}

/// The attribution may be HTML (MBTiles 1.3, section "Metadata").
#[test]
fn attribution_without_its_marks() {
    let folder = Folder::new();
    let at = Position::new(47.3, 12.1).unwrap();
    let (path, set) = tile_set(&folder, "png");
    metadata(
        &set,
        "attribution",
        "&copy; <a href=\"https://x.example\">Invented</a> &amp; others",
    );
    metadata(&set, "name", "Hills");
    fill(&set, 12, at, 120, |_, _| false);
    drop(set);
    let plane = plane(at.lat(), at.lon());
    let about = drawn(&path, None, &plane, 4_000.0).unwrap().about;
    assert_eq!(about.credits, ["© Invented & others", "Hills"]);
    assert_eq!(about.crs, "EPSG:3857");
}
