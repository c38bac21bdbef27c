//! Reference systems, places and means against what PROJ and GDAL make of them.
//!
//! `read_back.json` is what `read_back.py` printed; the commands, and the versions of the libraries, stand in that script.

use crate::made::{Tiff, drawn, lies_at, one_white, plane};
use geo::Coord;
use overflown::backdrop::{Affine, Block, Canvas, Crs, Frame, Placed, Window};
use overflown::geodesy::{Position, geodesic};
use serde_json::Value;
use std::path::Path;

const CELLS: u32 = 150;

/// GeoTIFFs with one white cell, in systems that the file itself defines, as a point a pixel, and turned.
fn white() -> Vec<(&'static str, Tiff)> {
    let of = |column, row| Tiff::of(CELLS, CELLS, 1, 1, one_white(CELLS, CELLS, column, row));
    let defined = |method: u16, datum: &[(u16, u16)], numbers: &[(u16, f64)], at: (f64, f64)| {
        let mut tiff = of(90, 60);
        let mut keys = vec![1024, 0, 1, 1, 1025, 0, 1, 1];
        for (key, value) in datum {
            keys.extend([*key, 0, 1, *value]);
        }
        keys.extend([
            3072, 0, 1, 32_767, 3074, 0, 1, 32_767, 3075, 0, 1, method, 3076, 0, 1, 9001,
        ]);
        for (place, (key, _)) in numbers.iter().enumerate() {
            keys.extend([*key, 34_736, 1, place as u16]);
        }
        let count = keys.len() as u16 / 4;
        tiff.short(34_735, &[vec![1, 1, 0, count], keys].concat());
        let numbers: Vec<f64> = numbers.iter().map(|(_, number)| *number).collect();
        tiff.double(34_736, &numbers);
        tiff.at(at.0 - 3_750.0, at.1 + 3_750.0, 50.0);
        tiff
    };
    let wgs84 = [(2048, 4326)];
    let etrs89 = [(2048, 4258)];
    let mut point = of(30, 100);
    point.in_crs(32_633, true).at(278_000.0, 5_243_000.0, 50.0);
    let mut turned = of(100, 30);
    let matrix = [
        48.0,
        14.0,
        0.0,
        276_000.0,
        14.0,
        -48.0,
        0.0,
        5_243_000.0,
        0.0,
        0.0,
        0.0,
        0.0,
        0.0,
        0.0,
        0.0,
        1.0,
    ];
    turned.in_crs(32_633, false).double(34_264, &matrix);
    let mut second = of(70, 70);
    second
        .in_crs(32_633, false)
        .double(33_550, &[50.0, 40.0, 0.0]);
    second.double(33_922, &[20.0, 10.0, 0.0, 281_000.0, 5_243_000.0, 0.0]);
    vec![
        (
            "white-transverse-mercator.tif",
            defined(
                1,
                &wgs84,
                &[
                    (3080, 11.5),
                    (3081, 45.0),
                    (3092, 0.9999),
                    (3082, 100_000.0),
                    (3083, 200_000.0),
                ],
                (145_000.0, 456_000.0),
            ),
        ),
        (
            "white-conformal-cone.tif",
            defined(
                8,
                &etrs89,
                &[
                    (3078, 46.0),
                    (3079, 49.0),
                    (3084, 13.0),
                    (3085, 47.5),
                    (3086, 400_000.0),
                    (3087, 400_000.0),
                ],
                (332_000.0, 378_000.0),
            ),
        ),
        (
            "white-equal-area.tif",
            defined(
                10,
                &etrs89,
                &[
                    (3088, 10.0),
                    (3089, 52.0),
                    (3082, 4_321_000.0),
                    (3083, 3_210_000.0),
                ],
                (4_480_000.0, 2_690_000.0),
            ),
        ),
        (
            "white-equal-area-cone.tif",
            defined(
                11,
                &wgs84,
                &[
                    (3078, 44.0),
                    (3079, 50.0),
                    (3080, 10.0),
                    (3081, 46.0),
                    (3082, 0.0),
                    (3083, 0.0),
                ],
                (158_000.0, 146_000.0),
            ),
        ),
        ("white-points.tif", point),
        ("white-turned.tif", turned),
        ("white-tied-elsewhere.tif", second),
    ]
}

/// Cells that change from place to place, in degrees about 47.3 N 12.1 E: 7 m or, coarser than the picture, 300 m wide.
fn uneven(step_deg: f64, cells: u32) -> Tiff {
    let value = |x: u32, y: u32| {
        (100.0 + 60.0 * (f64::from(x) / 17.0).sin() + 60.0 * (f64::from(y) / 23.0).cos()) as u8
    };
    let speckle = |x: u32, y: u32| ((x * 31 + y * 57) % 19) as u8;
    let bytes =
        (0..cells * cells).map(|i| value(i % cells, i / cells) + speckle(i % cells, i / cells));
    let mut tiff = Tiff::of(cells, cells, 1, 1, bytes.collect());
    let reach = step_deg * f64::from(cells) / 2.0;
    tiff.in_crs(4326, false)
        .at(12.1 - reach, 47.3 + reach, step_deg);
    tiff
}

fn averages() -> Vec<(&'static str, f64, u32)> {
    vec![
        ("average-fine.tif", 0.000_06, 1_200),
        ("average-coarse.tif", 0.003, 60),
    ]
}

/// Writes the files that `read_back.py` reads.
#[test]
#[ignore = "by hand, before reading them with other programs"]
fn files_for_others() {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("backdrop");
    std::fs::create_dir_all(&folder).unwrap();
    for (name, tiff) in white() {
        std::fs::write(folder.join(name), tiff.bytes()).unwrap();
    }
    for (name, step, cells) in averages() {
        std::fs::write(folder.join(name), uneven(step, cells).bytes()).unwrap();
    }
}

fn read() -> Value {
    let committed = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/backdrop/read_back.json");
    serde_json::from_slice(&std::fs::read(committed).unwrap()).unwrap()
}

fn numbers(list: &Value) -> Vec<f64> {
    list.as_array()
        .unwrap()
        .iter()
        .map(|number| number.as_f64().unwrap())
        .collect()
}

/// Within a centimetre where the datum is WGS 84 or taken for it, within 8 m where it is shifted: PROJ may choose a shift other
/// than that of the definition, or none of ETRS89 and NAD83.
#[test]
fn reference_systems_as_in_proj() {
    let read = read();
    let places = read["places"].as_object().unwrap();
    assert_eq!(places.len(), 23);
    for (code, places) in places {
        let crs = Crs::epsg(code.parse().unwrap()).unwrap();
        let shifted = ["2056", "21781", "28992", "27700", "31468", "31258", "5514"];
        let within_m = if shifted.contains(&code.as_str()) {
            8.0
        } else {
            0.01
        };
        for place in places.as_array().unwrap() {
            let [x, y, lat, lon] = numbers(place)[..] else {
                panic!("{place}")
            };
            let there = Position::new(lat, lon).unwrap();
            let found = crs.inverse(Coord { x, y }).unwrap();
            let off = geodesic::distance(found, there).m();
            assert!(off <= within_m, "EPSG:{code} {lat} {lon}: {off} m");
            // And back, to a centimetre.
            let again = crs.inverse(crs.forward(there).unwrap()).unwrap();
            let off = geodesic::distance(again, there).m();
            assert!(off <= 0.01, "EPSG:{code} {lat} {lon}: {off} m to and fro");
        }
    }
}

#[test]
fn cells_lie_where_gdal_sees_them() {
    let folder = crate::made::Folder::new();
    let read = read();
    assert_eq!(read["white"].as_object().unwrap().len(), white().len());
    for (name, tiff) in white() {
        let [lat, lon] = numbers(&read["white"][name])[..] else {
            panic!("{name}")
        };
        let file = folder.file(name, &tiff.bytes());
        let plane = plane(lat + 0.01, lon - 0.01);
        let picture = drawn(&file, None, &plane, 3_000.0).unwrap();
        lies_at(&picture, &plane, Position::new(lat, lon).unwrap(), name);
    }
}

/// The plane of the map is the azimuthal equidistant one of PROJ, and the means are those of GDAL's resampling by average.
#[test]
fn means_are_those_of_gdal() {
    let read = read();
    let frame = Frame {
        plane: plane(47.3, 12.1),
        corner: Coord {
            x: -2_000.0,
            y: 1_500.0,
        },
        pixel_m: 100.0,
        columns: 40,
        rows: 30,
    };
    for (name, step, cells) in averages() {
        let tiff = uneven(step, cells);
        let pixels: Vec<[u8; 4]> = tiff.chunks[0]
            .iter()
            .map(|grey| [*grey, *grey, *grey, 255])
            .collect();
        let reach = step * f64::from(cells) / 2.0;
        let placed = Placed {
            crs: Crs::epsg(4326).unwrap(),
            affine: Affine([step, 0.0, 12.1 - reach, 0.0, -step, 47.3 + reach]),
            columns: cells as usize,
            rows: cells as usize,
        };
        let mut canvas = Canvas::new(&frame);
        let block = Block {
            left: 0,
            top: 0,
            columns: cells as usize,
            rgba: &pixels,
        };
        let all = Window {
            columns: 0..cells as usize,
            rows: 0..cells as usize,
        };
        canvas.add(&placed, block, &all);
        let (rgb, covered) = canvas.pixels();
        assert!(covered.iter().all(|covered| *covered));
        let theirs = numbers(&read["averaged"][name]);
        assert_eq!(theirs.len(), 1_200);
        let off: Vec<f64> = rgb
            .chunks_exact(3)
            .zip(&theirs)
            .map(|(pixel, theirs)| (f64::from(pixel[0]) - theirs).abs())
            .collect();
        let mean = off.iter().sum::<f64>() / 1_200.0;
        let most = off.iter().copied().fold(0.0, f64::max);
        assert!(
            mean < 1.0 && most < 4.0,
            "{name}: {mean} in the mean, {most} at most"
        );
    }
}
