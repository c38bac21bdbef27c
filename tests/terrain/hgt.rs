//! Tiles of one degree as raw samples.

use crate::tiles::{below, heights, hgt, place, plane, spread, write};
use flate2::Compression;
use flate2::write::GzEncoder;
use overflown::terrain::VerticalReference;
use std::io::Write as _;
use zip::write::{SimpleFileOptions, ZipWriter};

/// Samples are whole metres, so what is interpolated among them is within half a metre of a plane.
const ROUNDED_M: f64 = 0.5 + 1e-6;

fn agree(
    found: &[Option<f64>],
    places: &[overflown::geodesy::Position],
    within_m: f64,
    of: &dyn Fn(f64, f64) -> f64,
) {
    for (found, at) in found.iter().zip(places) {
        let expected = of(at.lat(), at.lon());
        let found = found.unwrap_or_else(|| panic!("no height at {at}"));
        assert!(
            (found - expected).abs() <= within_m,
            "{at}: {found} for {expected}"
        );
    }
}

#[test]
fn a_plane_comes_back_from_both_sizes_and_all_packings() {
    let places = spread((46.0, 47.0), (11.0, 12.0));
    for side in [1201, 3601] {
        let bytes = hgt(side, (46.0, 11.0), &|lat, lon| {
            plane(lat - 46.0, lon - 11.0)
        });
        let mut gz = GzEncoder::new(Vec::new(), Compression::fast());
        gz.write_all(&bytes).unwrap();
        let mut zip = ZipWriter::new(std::io::Cursor::new(Vec::new()));
        zip.start_file("N46E011.hgt", SimpleFileOptions::default())
            .unwrap();
        zip.write_all(&bytes).unwrap();
        for (name, content) in [
            ("N46E011.hgt", bytes.clone()),
            ("n46e011.hgt.gz", gz.finish().unwrap()),
            ("N46E011.one.hgt.zip", zip.finish().unwrap().into_inner()),
        ] {
            let folder = tempfile::tempdir().unwrap();
            write(folder.path(), name, &content);
            write(folder.path(), "readme.txt", b"no tile");
            let ground = below(folder.path(), &places);
            agree(&heights(&ground), &places, ROUNDED_M, &|lat, lon| {
                plane(lat - 46.0, lon - 11.0)
            });
            assert_eq!(ground.tiles.len(), 1);
            assert_eq!(
                (
                    ground.tiles[0].role.as_str(),
                    ground.tiles[0].name.as_str(),
                    ground.tiles[0].bytes
                ),
                ("terrain", name, content.len() as u64)
            );
            assert_eq!(
                ground.tiles[0].sha256,
                overflown::input::sha256_hex(&content)
            );
            assert_eq!(ground.references, [VerticalReference::Egm96]);
            assert_eq!((ground.without_tile, ground.in_void), (0, 0));
            // The tile itself, without the folder.
            assert_eq!(
                below(&folder.path().join(name), &places).heights,
                ground.heights
            );
        }
    }
}

/// Exactly the sample at a sample, exactly between two in their middle, exactly the mean of four amid them.
#[test]
fn samples_and_the_middle_between_them_are_exact() {
    let folder = tempfile::tempdir().unwrap();
    // A checkerboard of 0 and 1000 m: nothing smooth that could hide a wrong row or column.
    let of = |row: usize, column: usize| {
        if (row * 7 + column * 3).is_multiple_of(5) {
            1000_i16
        } else {
            0
        }
    };
    let side = 1201;
    let bytes: Vec<u8> = (0..side)
        .flat_map(|row| (0..side).flat_map(move |column| of(row, column).to_be_bytes()))
        .collect();
    write(folder.path(), "S09W072.hgt", &bytes);
    let step = 1.0 / 1200.0;
    let at = |row: f64, column: f64| place(-8.0 - step * row, -72.0 + step * column);
    for (row, column) in [(0, 0), (3, 2), (600, 601), (1199, 1199), (17, 900)] {
        let (r, c) = (row as f64, column as f64);
        let value = |down: usize, right: usize| f64::from(of(row + down, column + right));
        let places = [
            at(r, c),
            at(r, c + 0.5),
            at(r + 0.5, c),
            at(r + 0.5, c + 0.5),
            at(r + 0.25, c + 0.75),
        ];
        let found = heights(&below(folder.path(), &places));
        let expected = [
            value(0, 0),
            f64::midpoint(value(0, 0), value(0, 1)),
            f64::midpoint(value(0, 0), value(1, 0)),
            (value(0, 0) + value(0, 1) + value(1, 0) + value(1, 1)) / 4.0,
            0.75 * (0.25 * value(0, 0) + 0.75 * value(0, 1))
                + 0.25 * (0.25 * value(1, 0) + 0.75 * value(1, 1)),
        ];
        for (found, expected) in found.into_iter().zip(expected) {
            // 1e-9 degrees of rounding on a step of 1000 m in 1/1200 degree.
            assert!(
                (found.unwrap() - expected).abs() < 2e-3,
                "{row} {column}: {found:?} {expected}"
            );
        }
    }
}

/// A paraboloid of curvatures κ: linear interpolation is off by at most κ a²/8 along each axis, with a the
/// step, and never below the surface where it is hollow.
#[test]
fn a_paraboloid_is_within_its_bound() {
    let folder = tempfile::tempdir().unwrap();
    // 2,000 m up at half a degree from the middle: curvature 16,000 m a square degree along each axis.
    let dish = |lat: f64, lon: f64| 8000.0 * ((lat - 46.5).powi(2) + (lon - 11.5).powi(2));
    write(
        folder.path(),
        "N46E011.hgt",
        &hgt(1201, (46.0, 11.0), &dish),
    );
    let places = spread((46.0, 47.0), (11.0, 12.0));
    let bound_m = 2.0 * 16_000.0 / 8.0 / (1200.0 * 1200.0);
    assert!(bound_m < 0.003);
    agree(
        &heights(&below(folder.path(), &places)),
        &places,
        bound_m + ROUNDED_M,
        &dish,
    );
}

/// South and west, across the equator, the meridian and the antimeridian: seams belong to both sides.
#[test]
fn hemispheres_and_seams() {
    for (south, west, names) in [
        (-1.0, -1.0, ["S01W001", "S01E000", "N00W001", "N00E000"]),
        (-34.0, -72.0, ["S34W072", "S34W071", "S33W072", "S33W071"]),
        (60.0, 179.0, ["N60E179", "N60W180", "N61E179", "N61W180"]),
    ] {
        let folder = tempfile::tempdir().unwrap();
        let surface = move |lat: f64, lon: f64| {
            let east = (lon - west).rem_euclid(360.0);
            plane(lat - south, east)
        };
        for (i, name) in names.into_iter().enumerate() {
            let corner = (south + (i / 2) as f64, west + (i % 2) as f64);
            let tile = hgt(1201, corner, &surface);
            write(folder.path(), &format!("{name}.hgt"), &tile);
        }
        let places = spread((south, south + 2.0), (west + 0.001, west + 2.0));
        let ground = below(folder.path(), &places);
        agree(&heights(&ground), &places, ROUNDED_M, &surface);
        assert_eq!(ground.tiles.len(), 4);
        // A place on the seam needs no second tile.
        let alone = folder.path().join(format!("{}.hgt", names[0]));
        let seam = [
            place(south + 0.5, west + 1.0),
            place(south + 1.0, west + 1.0),
        ];
        let found = below(&alone, &seam);
        agree(&heights(&found), &seam, ROUNDED_M, &surface);
    }
}

#[test]
fn voids_and_missing_tiles_give_no_height_and_are_counted() {
    let folder = tempfile::tempdir().unwrap();
    // A void in the north-east quarter, where 46.5 and 11.5 are samples themselves.
    let holed = |lat: f64, lon: f64| {
        if lat > 46.5 + 1e-9 && lon > 11.5 + 1e-9 {
            f64::NAN
        } else {
            700.0
        }
    };
    write(
        folder.path(),
        "N46E011.hgt",
        &hgt(1201, (46.0, 11.0), &holed),
    );
    let step = 1.0 / 1200.0;
    let places = [
        place(46.2, 11.2),
        place(46.8, 11.8),
        // In the last cell before the void, with a void at its corner; and on the line of samples before it.
        place(46.5 + 0.5 * step, 11.5 + 0.5 * step),
        place(46.5, 11.5 + 0.5 * step),
        place(45.9, 11.2),
        place(46.2, 12.1),
    ];
    let ground = below(folder.path(), &places);
    assert_eq!(
        heights(&ground),
        [Some(700.0), None, None, Some(700.0), None, None]
    );
    assert_eq!((ground.without_tile, ground.in_void), (2, 2));
    // Another tile of the same ground fills the void.
    write(
        folder.path(),
        "N46E011.second.hgt",
        &hgt(1201, (46.0, 11.0), &|_, _| 900.0),
    );
    let filled = below(folder.path(), &places);
    assert_eq!(
        heights(&filled),
        [
            Some(700.0),
            Some(900.0),
            Some(900.0),
            Some(700.0),
            None,
            None
        ]
    );
    assert_eq!((filled.without_tile, filled.in_void), (2, 0));
}
