//! Pictures with a world file: six numbers A, D, B, E, C, F with x = A·column + B·row + C and y = D·column + E·row + F, (C, F)
//! being the middle of the first pixel (documentation of GDAL, raster driver "wld").

use crate::made::{Folder, drawn, grey_jpeg, grey_png, lies_at, one_white, plane};
use geo::Coord;
use overflown::geodesy::{MapPlane, Position};

const REACH_M: f64 = 6_000.0;

fn world_file(values: [f64; 6]) -> Vec<u8> {
    values
        .map(|value| format!("{value:.12}\r\n"))
        .concat()
        .into_bytes()
}

/// Degrees are guessed; a white pixel lies at its place.
#[test]
fn in_degrees() {
    let folder = Folder::new();
    let (lat, lon) = (47.3, 12.1);
    let (columns, rows, step) = (700, 500, 0.0003);
    let (column, row) = (400, 220);
    let west = lon - step * f64::from(columns) / 2.0;
    let north = lat + step * f64::from(rows) / 2.0;
    let file = folder.file(
        "map.png",
        &grey_png(columns, rows, &one_white(columns, rows, column, row)),
    );
    folder.file("map.PGW", &world_file([step, 0.0, 0.0, -step, west, north]));
    let plane = plane(lat, lon);
    let picture = drawn(&file, None, &plane, REACH_M).unwrap();
    let cell = Position::new(
        north - f64::from(row) * step,
        west + f64::from(column) * step,
    )
    .unwrap();
    lies_at(&picture, &plane, cell, "degrees");
    let names: Vec<&str> = picture
        .inputs
        .iter()
        .map(|input| input.name.as_str())
        .collect();
    assert_eq!(names, ["map.png", "map.PGW"]);
    assert_eq!(picture.inputs[0].role, "backdrop");
}

/// Turned by 20° and stretched, in UTM, as JPEG; in every quarter of the circle.
#[test]
fn turned_in_utm() {
    let (lat, lon) = (-33.2, -70.9);
    let utm = MapPlane::about(Position::new(lat, lon).unwrap()).unwrap();
    let middle = utm.forward(Position::new(lat, lon).unwrap()).unwrap();
    for turn_deg in [20.0_f64, 110.0, 200.0, 290.0] {
        let folder = Folder::new();
        let (columns, rows) = (320_u32, 240_u32);
        let (wide, high) = (30.0, 45.0);
        let (sin, cos) = turn_deg.to_radians().sin_cos();
        let [a, d, b, e] = [wide * cos, wide * sin, high * sin, -high * cos];
        let (half_x, half_y) = (f64::from(columns) / 2.0, f64::from(rows) / 2.0);
        let c = middle.x - a * half_x - b * half_y;
        let f = middle.y - d * half_x - e * half_y;
        // A white block, for JPEG blurs a pixel.
        let (column, row) = (200, 96);
        let mut bytes = vec![0; (columns * rows) as usize];
        for y in row..row + 8 {
            let from = (y * columns + column) as usize;
            bytes[from..from + 8].fill(255);
        }
        let file = folder.file("turned.jpg", &grey_jpeg(320, 240, &bytes));
        folder.file("turned.jgw", &world_file([a, d, b, e, c, f]));
        let plane = plane(lat, lon);
        let picture = drawn(&file, Some(u32::from(utm.epsg())), &plane, REACH_M).unwrap();
        let (i, j) = (f64::from(column) + 3.5, f64::from(row) + 3.5);
        let at = utm
            .inverse(Coord {
                x: a * i + b * j + c,
                y: d * i + e * j + f,
            })
            .unwrap();
        lies_at(&picture, &plane, at, &format!("turned by {turn_deg}°"));
    }
}

/// Rows that are interlaced are unpacked whole, others one by one: with the same result.
#[test]
fn interlaced_rows() {
    // The encoder writes no interlaced pictures: seven passes of one pixel are the first pass alone (W3C PNG
    // Specification, Third Edition, 8.1), so a picture of one pixel is the same either way but for its header.
    let folder = Folder::new();
    let mut bytes = grey_png(1, 1, &[200]);
    bytes[28] = 1;
    let crc = crc32(&bytes[12..29]);
    bytes[29..33].copy_from_slice(&crc.to_be_bytes());
    let file = folder.file("one.png", &bytes);
    folder.file("one.pgw", &world_file([1.0, 0.0, 0.0, -1.0, 12.0, 47.0]));
    let picture = drawn(&file, None, &plane(47.0, 12.0), REACH_M).unwrap();
    assert!(picture.rgb.iter().all(|value| *value == 200));
}

/// W3C PNG Specification, Third Edition, annex D.
pub fn crc32(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(!0_u32, |crc, byte| {
        (0..8).fold(crc ^ u32::from(*byte), |crc, _| {
            if crc & 1 == 1 {
                0xedb8_8320 ^ crc >> 1
            } else {
                crc >> 1
            }
        })
    })
}

/// 16 bits a sample are reduced, opacity is kept.
#[test]
fn pictures_of_16_bits_with_opacity() {
    let folder = Folder::new();
    let mut file = Vec::new();
    let mut encoder = png::Encoder::new(&mut file, 2, 1);
    encoder.set_color(png::ColorType::GrayscaleAlpha);
    encoder.set_depth(png::BitDepth::Sixteen);
    let mut writer = encoder.write_header().unwrap();
    writer
        .write_image_data(&[0x80, 0x12, 0xff, 0xff, 0x40, 0, 0, 0])
        .unwrap();
    writer.finish().unwrap();
    let file = folder.file("two.png", &file);
    folder.file("two.wld", &world_file([1.0, 0.0, 0.0, -1.0, 11.5, 47.0]));
    let picture = drawn(&file, None, &plane(47.0, 12.0), REACH_M).unwrap();
    assert!((picture.about.share - 0.5).abs() < 0.01);
    let shown = picture
        .rgb
        .chunks_exact(3)
        .zip(&picture.covered)
        .filter(|(_, covered)| **covered);
    assert!(shown.clone().count() > 1_000);
    shown.for_each(|(pixel, _)| assert_eq!(pixel, [0x80; 3]));
}
