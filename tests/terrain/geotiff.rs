//! GeoTIFF in latitude and longitude.

use crate::tiles::{Tiff, below, heights, place, plane, spread};
use overflown::geodesy::Position;
use overflown::terrain::VerticalReference;
use tiff::encoder::Compression;

fn agree(found: &[Option<f64>], places: &[Position], within_m: f64) {
    for (found, at) in found.iter().zip(places) {
        let expected = plane(at.lat(), at.lon());
        let found = found.unwrap_or_else(|| panic!("no height at {at}"));
        assert!(
            (found - expected).abs() <= within_m,
            "{at}: {found} for {expected}"
        );
    }
}

/// 60 rows and 80 columns, 1/40° and 1/50°, from 3° N 5° E.
fn tiff() -> Tiff {
    Tiff::new(60, 80, (3.0, 5.0), (0.025, 0.02))
}

/// Every kind of sample, of packing, of strips, and both ways to tell the place, as areas and as points. A
/// plane is exact to the edge: 32-bit floats hold 1000 m to 0.06 mm.
#[test]
fn a_plane_comes_back_however_it_is_written() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("ground.tif");
    let packings = [
        Compression::Uncompressed,
        Compression::Lzw,
        Compression::Deflate(Default::default()),
    ];
    for compression in packings {
        for rows_per_strip in [None, Some(1), Some(7), Some(60)] {
            for (is_point, transformation) in
                [(false, false), (true, false), (false, true), (true, true)]
            {
                let image = Tiff {
                    compression,
                    rows_per_strip,
                    is_point,
                    transformation,
                    ..tiff()
                };
                let (south, east) = if is_point {
                    (3.0 - 59.0 * 0.025, 5.0 + 79.0 * 0.02)
                } else {
                    (1.5, 6.6)
                };
                let places = spread((south, 3.0), (5.0, east));
                image.floats(&path, &plane);
                agree(&heights(&below(&path, &places)), &places, 1e-3);
                image.integers(&path, &plane);
                agree(&heights(&below(&path, &places)), &places, 1.0);
                image.unsigned(&path, &plane);
                agree(&heights(&below(&path, &places)), &places, 1.0);
                // A few places far from each other and a single one: other windows, other strips.
                image.floats(&path, &plane);
                for few in [&places[..1], &places[440..], &[places[0], places[200]][..]] {
                    agree(&heights(&below(&path, few)), few, 1e-3);
                }
            }
        }
    }
}

/// What is an area and what a point lie half a cell apart: 0.5 (300 · 0.025 − 200 · 0.02) = 1.75 m here.
#[test]
fn area_and_point_are_half_a_cell_apart() {
    let folder = tempfile::tempdir().unwrap();
    let (area, point) = (
        folder.path().join("area.tif"),
        folder.path().join("point.tif"),
    );
    let samples: Vec<f32> = tiff()
        .samples(&plane)
        .into_iter()
        .map(|h| h as f32)
        .collect();
    tiff().write::<tiff::encoder::colortype::Gray32Float>(&area, &samples);
    let image = Tiff {
        is_point: true,
        ..tiff()
    };
    image.write::<tiff::encoder::colortype::Gray32Float>(&point, &samples);
    let at = [place(2.2, 5.7)];
    let [found, shifted] = [&area, &point].map(|path| heights(&below(path, &at))[0].unwrap());
    assert!((found - plane(2.2, 5.7)).abs() < 1e-3);
    assert!((found - shifted - 1.75).abs() < 1e-3, "{found} {shifted}");
}

/// Two rasters beside each other, of areas: the samples next to the seam stand half a cell from it.
#[test]
fn seams_between_rasters_of_areas_have_no_hole() {
    let folder = tempfile::tempdir().unwrap();
    tiff().floats(&folder.path().join("a.tif"), &plane);
    let second = Tiff {
        corner: (3.0, 6.6),
        ..tiff()
    };
    second.floats(&folder.path().join("b.tiff"), &plane);
    let places = spread((1.6, 2.9), (6.55, 6.65));
    let ground = below(folder.path(), &places);
    agree(&heights(&ground), &places, 1e-3);
    assert_eq!((ground.tiles.len(), ground.without_tile), (2, 0));
}

#[test]
fn across_the_antimeridian() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("far.tif");
    // From 179.2° E to 179.2° W; the surface counts on past 180.
    let surface = |lat: f64, lon: f64| plane(lat, lon - 179.0);
    let image = Tiff {
        corner: (3.0, 179.2),
        ..tiff()
    };
    image.floats(&path, &surface);
    let longitudes = [179.25, 179.99, 180.0, 180.01, 180.75];
    let places = longitudes.map(|lon| place(2.0, lon));
    for (found, lon) in heights(&below(&path, &places)).into_iter().zip(longitudes) {
        let expected = surface(2.0, lon);
        assert!((found.unwrap() - expected).abs() < 1e-3, "{lon}: {found:?}");
    }
}

/// By its tag, by NaN, and what no ground can have.
#[test]
fn no_data_is_a_void() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("holed.tif");
    let places = [place(2.0, 5.2), place(2.0, 6.2)];
    for (no_data, mark) in [
        ("-9999", -9999.0),
        ("0", 0.0),
        ("nan", f64::NAN),
        ("-3.4e38", -3.4e38),
    ] {
        let image = Tiff {
            no_data: Some(no_data.to_owned()),
            ..tiff()
        };
        image.floats(&path, &move |_, lon| if lon < 5.8 { mark } else { 500.0 });
        let ground = below(&path, &places);
        assert_eq!(heights(&ground), [None, Some(500.0)], "{no_data}");
        assert_eq!(ground.in_void, 1);
    }
    // Without the tag 0 is the sea.
    tiff().floats(&path, &|_, _| 0.0);
    assert_eq!(heights(&below(&path, &places)), [Some(0.0), Some(0.0)]);
}

#[test]
fn what_heights_are_measured_from_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("ground.tif");
    for (key, reference) in [
        (None, VerticalReference::Unknown),
        (Some(5773), VerticalReference::Egm96),
        (Some(3855), VerticalReference::Egm2008),
        (Some(5703), VerticalReference::Unknown),
    ] {
        let mut image = tiff();
        image.keys.extend(key.map(|code| [4096, 1, code]));
        image.floats(&path, &plane);
        assert_eq!(below(&path, &[place(2.0, 6.0)]).references, [reference]);
    }
}

/// One value of a header, by its tag: whole numbers of two or four bytes, or floats of eight.
enum Field {
    Short(Vec<u16>),
    Long(Vec<u32>),
    Double(Vec<f64>),
}

/// A TIFF in tiles of 16 by 16, of 60 rows and 70 columns of 32-bit floats, by hand (TIFF 6.0, sections 2 and
/// 15): the last tiles of each row and column reach beyond the image and are filled up.
fn tiled(image: &Tiff, big_endian: bool) -> Vec<u8> {
    let swap = |mut bytes: Vec<u8>| {
        if big_endian {
            bytes.reverse();
        }
        bytes
    };
    let short = |value: u16| swap(value.to_le_bytes().to_vec());
    let long = |value: u32| swap(value.to_le_bytes().to_vec());
    let (across, down) = (image.columns.div_ceil(16), image.rows.div_ceil(16));
    let mut bytes: Vec<u8> = if big_endian {
        b"MM".to_vec()
    } else {
        b"II".to_vec()
    };
    bytes.extend(short(42));
    let tile_bytes = 16 * 16 * 4;
    let tiles = across * down;
    bytes.extend(long(8 + tiles * tile_bytes));
    for tile in 0..tiles {
        for inside in 0..256 {
            let row = tile / across * 16 + inside / 16;
            let column = tile % across * 16 + inside % 16;
            let (lat, lon) = image.place_of(row, column);
            let outside = row >= image.rows || column >= image.columns;
            let height = if outside {
                8888.0
            } else {
                plane(lat, lon) as f32
            };
            bytes.extend(swap(height.to_le_bytes().to_vec()));
        }
    }
    let ((north, west), (south_step, east_step)) = (image.corner, image.step);
    let fields = [
        (256, Field::Long(vec![image.columns])),
        (257, Field::Long(vec![image.rows])),
        (258, Field::Short(vec![32])),
        (259, Field::Short(vec![1])),
        (262, Field::Short(vec![1])),
        (277, Field::Short(vec![1])),
        (322, Field::Short(vec![16])),
        (323, Field::Short(vec![16])),
        (
            324,
            Field::Long((0..tiles).map(|tile| 8 + tile * tile_bytes).collect()),
        ),
        (325, Field::Long(vec![tile_bytes; tiles as usize])),
        (339, Field::Short(vec![3])),
        (33550, Field::Double(vec![east_step, south_step, 0.0])),
        (33922, Field::Double(vec![0.0, 0.0, 0.0, west, north, 0.0])),
        (
            34735,
            Field::Short(vec![1, 1, 0, 2, 1024, 0, 1, 2, 2048, 0, 1, 4326]),
        ),
    ];
    let values_at = bytes.len() as u32 + 2 + 12 * fields.len() as u32 + 4;
    let (mut header, mut values) = (short(fields.len() as u16), Vec::new());
    for (tag, field) in fields {
        let (kind, count, mut content): (u16, usize, Vec<u8>) = match field {
            Field::Short(list) => (3, list.len(), list.into_iter().flat_map(short).collect()),
            Field::Long(list) => (4, list.len(), list.into_iter().flat_map(long).collect()),
            Field::Double(list) => {
                let all = list
                    .iter()
                    .flat_map(|value| swap(value.to_le_bytes().to_vec()));
                (12, list.len(), all.collect())
            }
        };
        header.extend(short(tag));
        header.extend(short(kind));
        header.extend(long(count as u32));
        if content.len() <= 4 {
            content.resize(4, 0);
            header.extend(content);
        } else {
            header.extend(long(values_at + values.len() as u32));
            values.extend(content);
        }
    }
    header.extend(long(0));
    bytes.extend(header);
    bytes.extend(values);
    bytes
}

#[test]
fn tiles_within_the_file_and_both_byte_orders() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("tiled.tif");
    let image = Tiff::new(60, 70, (3.0, 5.0), (0.025, 0.02));
    let places = spread((1.5, 3.0), (5.0, 6.4));
    for big_endian in [false, true] {
        std::fs::write(&path, tiled(&image, big_endian)).unwrap();
        agree(&heights(&below(&path, &places)), &places, 1e-3);
        for few in [
            &places[..1],
            &places[440..],
            &places[200..210],
            &[places[5], places[400]][..],
        ] {
            agree(&heights(&below(&path, few)), few, 1e-3);
        }
    }
}
