//! What is refused: with the file, the problem and what would do; and files made to do harm never end in a panic.

use crate::made::{Folder, Tiff, drawn, grey_jpeg, grey_png, plane};
use crate::mbtiles::{metadata, put, tile_set};
use overflown::input::InputError;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use std::path::Path;

fn refused(file: &Path, crs: Option<u32>) -> InputError {
    let error = drawn(file, crs, &plane(0.0, 9.0), 4_000.0).unwrap_err();
    assert!(
        !error.hint.is_empty() && !error.problem.ends_with('.'),
        "{error:?}"
    );
    error
}

#[track_caller]
fn says(error: &InputError, file: &Path, problem: &str) {
    assert_eq!(error.file, file);
    assert!(error.problem.contains(problem), "{error}");
}

/// A sound one to be broken.
fn sound() -> Tiff {
    let mut tiff = Tiff::of(100, 100, 1, 1, vec![90; 10_000]);
    tiff.in_crs(32_632, false)
        .at(500_000.0 - 5_000.0, 5_000.0, 100.0);
    tiff
}

#[test]
fn what_is_no_raster_map() {
    let folder = Folder::new();
    for (name, bytes) in [
        ("empty", &b""[..]),
        ("text.tif", b"not a picture"),
        ("half", b"II*"),
    ] {
        let file = folder.file(name, bytes);
        says(&refused(&file, None), &file, "no raster map");
    }
    let nothing = folder.path("nothing.tif");
    says(&refused(&nothing, None), &nothing, "no such file");
    let here = folder.path(".");
    says(&refused(&here, None), &here, "no plain file");
}

#[test]
fn geotiffs_that_do_not_tell_where_they_lie() {
    let folder = Folder::new();
    type Change<'a> = &'a dyn Fn(&mut Tiff);
    let cases: [(&str, Change<'_>); 9] = [
        ("no geo keys", &|t| {
            t.without(34_735);
        }),
        ("does not tell where it lies", &|t| {
            t.without(33_550);
        }),
        ("no size", &|t| {
            t.at(0.0, 0.0, 0.0);
        }),
        ("no size", &|t| {
            t.at(0.0, 0.0, f64::NAN);
        }),
        (
            "how its reference system EPSG:4267 lies to WGS 84 is not known here",
            &|t| {
                t.keys(&[(1024, 2), (2048, 4267)]);
            },
        ),
        ("EPSG:9 is not known here", &|t| {
            t.in_crs(9, false);
        }),
        ("other units than degrees", &|t| {
            t.keys(&[(1024, 2), (2048, 4326), (2054, 9101)]);
        }),
        ("method 27", &|t| {
            t.keys(&[(1024, 1), (3072, 32_767), (2048, 4326), (3075, 27)]);
        }),
        ("unknown type 3", &|t| {
            t.keys(&[(1024, 2), (1025, 3), (2048, 4326)]);
        }),
    ];
    for (problem, change) in cases {
        let mut tiff = sound();
        change(&mut tiff);
        let file = folder.file("lost.tif", &tiff.bytes());
        says(&refused(&file, None), &file, problem);
    }
    // Given, where the file does not tell it; not where it does.
    let mut tiff = sound();
    tiff.without(34_735);
    let file = folder.file("given.tif", &tiff.bytes());
    assert!(drawn(&file, Some(32_632), &plane(0.0, 9.0), 4_000.0).is_ok());
    let file = folder.file("told.tif", &sound().bytes());
    says(
        &refused(&file, Some(32_633)),
        &file,
        "tells its reference system itself (EPSG:32632)",
    );
}

#[test]
fn geotiffs_that_are_no_pictures() {
    let folder = Folder::new();
    let mut float = Tiff::of(50, 50, 1, 1, vec![0; 10_000]);
    float.short(258, &[32]).short(339, &[3]);
    let mut heights = Tiff::of(50, 50, 1, 1, vec![0; 5_000]);
    heights.short(258, &[16]).short(339, &[2]);
    let ink = Tiff::of(50, 50, 4, 5, vec![0; 10_000]);
    for mut tiff in [float, heights, ink] {
        tiff.in_crs(32_632, false).at(495_000.0, 5_000.0, 200.0);
        let file = folder.file("values.tif", &tiff.bytes());
        says(&refused(&file, None), &file, "no picture in grey");
    }
    let mut palette = Tiff::of(100, 100, 1, 3, vec![90; 10_000]);
    palette
        .in_crs(32_632, false)
        .at(495_000.0, 5_000.0, 100.0)
        .short(320, &[0; 12]);
    let file = folder.file("palette.tif", &palette.bytes());
    says(
        &refused(&file, None),
        &file,
        "palette of the file is too short",
    );
}

/// Both extents are said.
#[test]
fn a_raster_of_other_ground() {
    let folder = Folder::new();
    let file = folder.file("north.tif", &sound().bytes());
    for (lat, lon) in [(10.0, 9.0), (0.0, -171.0), (-80.0, 100.0), (0.5, 9.0)] {
        let error = drawn(&file, None, &plane(lat, lon), 4_000.0).unwrap_err();
        says(
            &error,
            &file,
            "covers latitude -0.045 to 0.045, longitude 8.955 to 9.045, and nothing of the map",
        );
        assert!(
            error.hint.contains("the map covers latitude"),
            "{}",
            error.hint
        );
    }
}

#[test]
fn sizes_that_are_not_true() {
    let folder = Folder::new();
    // Far more columns and rows than bytes; and so many that counting them would overflow.
    for (columns, rows) in [
        (100, 50_000),
        (4_000_000_000, 4_000_000_000),
        (0, 100),
        (100, 0),
    ] {
        let mut tiff = sound();
        tiff.columns = columns;
        tiff.rows = rows;
        tiff.rows_per_strip = rows;
        let file = folder.file("size.tif", &tiff.bytes());
        refused(&file, None);
    }
    // A bomb: a strip that unpacks to more than it may.
    let mut bomb = sound();
    bomb.chunks = vec![vec![0; 1 << 20]];
    let bomb = bomb.deflated();
    let mut wide = bomb;
    wide.columns = 60_000;
    wide.rows = 60_000;
    wide.rows_per_strip = 60_000;
    let file = folder.file("bomb.tif", &wide.bytes());
    refused(&file, None);
}

#[test]
fn world_files_and_their_pictures() {
    let folder = Folder::new();
    let png = folder.file("map.png", &grey_png(20, 20, &[90; 400]));
    says(
        &refused(&png, None),
        &png,
        "no world file beside the picture",
    );
    let world = folder.file("map.pgw", b"0.01\n0\n0\n-0.01\n8.9\n");
    says(&refused(&png, None), &world, "5 numbers, not six");
    folder.file("map.pgw", b"0.01\n0\nzero\n-0.01\n8.9\n0.1\n");
    let error = refused(&png, None);
    says(&error, &world, "zero");
    assert_eq!(error.line, Some(3));
    folder.file("map.pgw", b"0.01\n0\n0\n-0.01\n8.9\n0.1\n7\n");
    says(&refused(&png, None), &world, "more than six numbers");
    folder.file("map.pgw", b"0.01\n0\n0\n0\n8.9\n0.1\n");
    says(&refused(&png, None), &world, "no size");
    folder.file("map.pgw", b"500\n0\n0\n-500\n495000\n5000\n");
    let error = refused(&png, None);
    says(&error, &world, "these coordinates are not degrees");
    assert!(error.hint.contains("--backdrop-crs"), "{}", error.hint);
    assert!(drawn(&png, Some(32_632), &plane(0.0, 9.0), 4_000.0).is_ok());
    // Pictures that break off.
    folder.file("map.pgw", b"0.01\n0\n0\n-0.01\n8.9\n0.1\n");
    let mut random = ChaCha8Rng::seed_from_u64(7);
    let noise: Vec<u8> = (0..400).map(|_| random.random()).collect();
    let whole = grey_png(20, 20, &noise);
    folder.file("map.png", &whole[..whole.len() - 150]);
    says(&refused(&png, None), &png, "the picture ");
    let whole = grey_jpeg(64, 64, &vec![90; 4_096]);
    folder.file("map.jgw", b"0.01\n0\n0\n-0.01\n8.9\n0.1\n");
    let jpeg = folder.file("map.jpg", &whole[..whole.len() / 2]);
    says(&refused(&jpeg, None), &jpeg, "no sound JPEG");
    // Headers that promise far more than there is: columns and rows, with a sound check sum.
    for (columns, rows) in [
        (2_000_000_000_u32, 20_u32),
        (900_000_000, 1),
        (60_000_000, 16),
        (1, 2_000_000_000),
    ] {
        let mut vast = grey_png(20, 20, &[90; 400]);
        vast[16..20].copy_from_slice(&columns.to_be_bytes());
        vast[20..24].copy_from_slice(&rows.to_be_bytes());
        let sum = crate::world_files::crc32(&vast[12..29]);
        vast[29..33].copy_from_slice(&sum.to_be_bytes());
        folder.file("map.png", &vast);
        refused(&png, None);
    }
}

#[test]
fn tile_sets() {
    let png = grey_png(256, 256, &vec![90; 256 * 256]);
    // The tile at 0 N 9 E of level 8: column 134, row from the south 128.
    let with = |tile: &[u8]| {
        let folder = Folder::new();
        let (path, set) = tile_set(&folder, "png");
        put(&set, 8, 134, 128, tile);
        put(&set, 8, 134, 127, tile);
        drop(set);
        let error = drawn(&path, None, &plane(0.0, 9.0), 4_000.0).map(|_| ());
        assert_eq!(folder.names(), ["tiles.mbtiles"]);
        error
    };
    assert!(with(&png).is_ok());
    let problem = |tile: &[u8]| with(tile).unwrap_err().problem;
    assert!(problem(b"no picture").contains("the tile at zoom level 8, column 134, row "));
    assert!(problem(b"no picture").contains("is no PNG, JPEG or WebP"));
    assert!(problem(&[0x1f, 0x8b, 8, 0]).contains("as vector tiles are"));
    assert!(problem(&png[..png.len() / 2]).contains("no sound PNG"));
    let mut vast = png.clone();
    vast[16..24].copy_from_slice(&[0, 1, 0, 0, 0, 1, 0, 0]);
    problem(&vast);

    let folder = Folder::new();
    let (path, set) = tile_set(&folder, "pbf");
    put(&set, 8, 134, 128, &png);
    drop(set);
    says(&refused(&path, None), &path, "vector tiles");
    std::fs::remove_file(&path).unwrap();
    let (path, set) = tile_set(&folder, "png");
    drop(set);
    says(&refused(&path, None), &path, "no tiles");
    std::fs::remove_file(&path).unwrap();

    // A set of far more tiles than can be drawn, all at the finest level.
    let (path, set) = tile_set(&folder, "png");
    put(&set, 25, 1 << 24, 1 << 24, &png);
    metadata(&set, "name", "fine");
    drop(set);
    let error = drawn(&path, None, &plane(0.0, 0.0), 100_000.0).unwrap_err();
    says(&error, &path, "at zoom level 25, hold more than");
    says(
        &refused(&path, Some(3857)),
        &path,
        "web Mercator (EPSG:3857) always",
    );
    std::fs::remove_file(&path).unwrap();

    // Other databases, and what only begins like one.
    let other = rusqlite::Connection::open(&path).unwrap();
    other
        .execute_batch("CREATE TABLE places (name text)")
        .unwrap();
    drop(other);
    says(&refused(&path, None), &path, "no sound MBTiles file");
    let broken = folder.file("broken.mbtiles", b"SQLite format 3\0and no more");
    says(&refused(&broken, None), &broken, "no sound MBTiles file");
}

/// Bytes of sound files changed, cut off and filled in: an answer or an error, and never a panic.
#[test]
fn broken_files_end_in_an_answer_or_an_error() {
    let folder = Folder::new();
    let (path, set) = tile_set(&folder, "png");
    put(&set, 8, 134, 128, &grey_png(64, 64, &vec![90; 4_096]));
    put(&set, 8, 134, 127, &grey_jpeg(64, 64, &vec![90; 4_096]));
    drop(set);
    let mut tiff = Tiff::of(64, 64, 3, 2, vec![90; 64 * 64 * 3]);
    tiff.in_crs(32_632, false).at(495_000.0, 5_000.0, 160.0);
    let seeds = [
        ("a.tif", tiff.clone().in_tiles(16).deflated().bytes()),
        ("b.tif", tiff.in_strips(9).bytes()),
        ("c.png", grey_png(64, 64, &vec![90; 4_096])),
        ("d.jpg", grey_jpeg(64, 64, &vec![90; 4_096])),
        ("e.mbtiles", std::fs::read(path).unwrap()),
    ];
    folder.file("c.pgw", b"0.01\n0\n0\n-0.01\n8.9\n0.1\n");
    folder.file("d.jgw", b"0.01\n0\n0\n-0.01\n8.9\n0.1\n");
    let mut random = ChaCha8Rng::seed_from_u64(11);
    let (mut answers, mut errors) = (0, 0);
    for (name, seed) in &seeds {
        for round in 0..150 {
            let mut bytes = seed.clone();
            for _ in 0..random.random_range(1..6) {
                let at = random.random_range(0..bytes.len());
                // The directory of a TIFF and the header of the others matter most.
                let at = match round % 3 {
                    0 => at,
                    1 => at % 64,
                    _ => bytes.len() - 1 - at % 300.min(bytes.len()),
                };
                bytes[at] = random.random();
            }
            if round % 5 == 0 {
                bytes.truncate(random.random_range(0..bytes.len()));
            }
            let file = folder.file(name, &bytes);
            match drawn(&file, None, &plane(0.0, 9.0), 4_000.0) {
                Ok(_) => answers += 1,
                Err(error) => {
                    errors += 1;
                    assert!(!error.problem.is_empty() && !error.hint.is_empty());
                }
            }
        }
    }
    assert!(answers > 50 && errors > 100, "{answers} {errors}");
}
