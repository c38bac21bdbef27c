//! A raster whose strips hold far more than what lies under the track.

use crate::tiles::place;
use crate::turn;
use overflown::terrain::below_bytes;
use std::path::Path;

/// A GeoTIFF after the tags of TIFF 6.0: rows of one strip each, all of them the same few bytes.
fn strips(columns: u32, rows: u32) -> Vec<u8> {
    const SHORT: u16 = 3;
    const LONG: u16 = 4;
    const DOUBLE: u16 = 12;
    let shorts = |all: &[u16]| {
        all.iter()
            .flat_map(|v| v.to_le_bytes())
            .collect::<Vec<u8>>()
    };
    let longs = |all: &[u32]| {
        all.iter()
            .flat_map(|v| v.to_le_bytes())
            .collect::<Vec<u8>>()
    };
    let doubles = |all: &[f64]| {
        all.iter()
            .flat_map(|v| v.to_le_bytes())
            .collect::<Vec<u8>>()
    };
    let count = rows as usize;
    // Numbers of the tags, their types, how many values, and these.
    let tags = [
        (256, LONG, 1, longs(&[columns])),
        (257, LONG, 1, longs(&[rows])),
        (258, SHORT, 1, shorts(&[16])),
        (259, SHORT, 1, shorts(&[8])),
        (262, SHORT, 1, shorts(&[1])),
        (273, LONG, rows, longs(&vec![8; count])),
        (277, SHORT, 1, shorts(&[1])),
        (278, LONG, 1, longs(&[1])),
        (279, LONG, rows, longs(&vec![8; count])),
        (339, SHORT, 1, shorts(&[2])),
        (33550, DOUBLE, 3, doubles(&[1e-5, 0.01, 0.0])),
        (33922, DOUBLE, 6, doubles(&[0.0, 0.0, 0.0, 0.0, 48.0, 0.0])),
        (
            34735,
            SHORT,
            12,
            shorts(&[1, 1, 0, 2, 1024, 0, 1, 2, 2048, 0, 1, 4326]),
        ),
    ];
    let directory = 16;
    let mut after = directory + 2 + 12 * u32::try_from(tags.len()).unwrap() + 4;
    let (mut entries, mut values) = (Vec::new(), Vec::new());
    for (number, kind, count, mut value) in tags {
        entries.extend(shorts(&[number, kind]));
        entries.extend(longs(&[count]));
        if value.len() <= 4 {
            value.resize(4, 0);
            entries.extend(value);
        } else {
            entries.extend(longs(&[after]));
            after += u32::try_from(value.len()).unwrap();
            values.extend(value);
        }
    }
    let mut file = b"II*\0".to_vec();
    file.extend(longs(&[directory]));
    file.extend([0; 8]);
    file.extend(shorts(&[13]));
    file.extend(entries);
    file.extend(longs(&[0]));
    file.extend(values);
    file
}

#[test]
fn strips_far_wider_than_the_track_are_refused() {
    let _turn = turn();
    let places = [place(47.9, 12.0), place(45.1, 12.01)];
    let problem = |columns, rows| {
        let file = strips(columns, rows);
        let error = below_bytes(Path::new("a.tif"), &file, &places).unwrap_err();
        assert!(!error.hint.is_empty());
        error.problem
    };
    // Three thousand million samples, of which a few hundred thousand lie under the track.
    let bomb = problem(10_000_000, 300);
    assert!(bomb.contains("hold more than 2000000000 samples"), "{bomb}");
    // What holds less is read, and these strips are damaged.
    let damaged = problem(2_000_000, 300);
    assert!(!damaged.contains("hold more than"), "{damaged}");
}
