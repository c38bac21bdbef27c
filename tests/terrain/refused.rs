//! Tiles that cannot be used are refused with the file and what would do.

use crate::tiles::{Tiff, hgt, place, plane, refused, write};
use proptest::prelude::*;
use std::path::Path;
use tiff::encoder::colortype;

fn told(path: &Path, words: &[&str]) {
    let error = refused(path, &[place(46.5, 11.5), place(2.0, 6.0)]);
    let text = format!("{error} / {}", error.hint);
    for words in words {
        assert!(text.contains(words), "{words}\nis not in\n{text}");
    }
}

#[test]
fn files_and_folders_that_are_no_tiles() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name);
    told(&at("nothing"), &["nothing", "no such file or folder"]);
    told(folder.path(), &["holds no tile of terrain", "N46E011.hgt"]);
    write(folder.path(), "ground.asc", b"ncols 3");
    told(
        &at("ground.asc"),
        &["ground.asc", "name of this file is not that of a tile"],
    );
    write(folder.path(), "alps.hgt", &[0; 10]);
    told(
        &at("alps.hgt"),
        &["alps.hgt", "does not tell the south-west corner"],
    );
    told(
        folder.path(),
        &["alps.hgt", "does not tell the south-west corner"],
    );
}

#[test]
fn tiles_of_a_wrong_size_or_damaged() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name);
    let good = hgt(1201, (46.0, 11.0), &|_, _| 100.0);
    write(folder.path(), "N46E011.hgt", &good[..good.len() - 2]);
    told(
        &at("N46E011.hgt"),
        &["N46E011.hgt", "2884800 bytes", "1201 by 1201"],
    );
    write(folder.path(), "N46E011.hgt", &[]);
    told(&at("N46E011.hgt"), &["of 0 bytes"]);
    write(folder.path(), "N46E011.hgt", &vec![0; 26_000_000]);
    told(&at("N46E011.hgt"), &["more than 25934402 bytes"]);
    write(folder.path(), "N46E011.hgt.gz", &good[..1000]);
    told(
        &at("N46E011.hgt.gz"),
        &["N46E011.hgt.gz", "cannot be unpacked or is damaged"],
    );
    write(folder.path(), "N46E011.hgt.zip", &good[..1000]);
    told(
        &at("N46E011.hgt.zip"),
        &["N46E011.hgt.zip", "cannot be unpacked or is damaged"],
    );
    // A broken tile elsewhere is no matter, and none at all below the track is.
    write(folder.path(), "S10E100.hgt", &[0; 3]);
    told(
        &at("S10E100.hgt"),
        &["no tile in it lies below the track", "N02E006", "N46E011"],
    );
}

#[test]
fn geotiffs_of_another_kind() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("ground.tif");
    let image = || Tiff::new(60, 80, (3.0, 5.0), (0.025, 0.02));
    let with = |keys: &[[u16; 3]]| Tiff {
        keys: keys.to_vec(),
        ..image()
    };
    for (image, words) in [
        (with(&[]), "no geo keys"),
        (
            with(&[[1024, 1, 1], [3072, 1, 32632]]),
            "on a map projection (EPSG 32632)",
        ),
        (
            with(&[[1024, 1, 3], [2048, 1, 4326]]),
            "not in latitude and longitude",
        ),
        (
            with(&[[1024, 1, 2], [2048, 1, 4267]]),
            "another reference system than WGS 84 (EPSG 4267)",
        ),
        (with(&[[1024, 1, 2], [2048, 1, 32767]]), "of its own making"),
        (with(&[[1024, 1, 2]]), "does not tell its reference system"),
        (
            with(&[[1024, 1, 2], [2048, 1, 4326], [2054, 1, 9101]]),
            "other units than degrees",
        ),
        (
            with(&[[1024, 1, 2], [2048, 1, 4326], [4099, 1, 9002]]),
            "other units than metres",
        ),
        (
            with(&[[1024, 1, 2], [2048, 1, 4326], [4096, 1, 4979]]),
            "above the ellipsoid",
        ),
        (
            with(&[[1024, 1, 2], [2048, 1, 4326], [1025, 1, 9]]),
            "unknown type 9",
        ),
        (
            Tiff {
                step: (-0.025, 0.02),
                ..image()
            },
            "not north up",
        ),
        (
            Tiff {
                step: (0.025, f64::NAN),
                ..image()
            },
            "scale is none in degrees",
        ),
        (
            Tiff {
                corner: (300.0, 5.0),
                ..image()
            },
            "beyond the earth",
        ),
        (
            Tiff {
                no_data: Some("none".into()),
                ..image()
            },
            "\"no data\" (tag 42113) is no number",
        ),
    ] {
        image.floats(&path, &plane);
        told(&path, &["ground.tif", words]);
    }
    image().write::<colortype::Gray8>(&path, &vec![0; 4800]);
    told(
        &path,
        &[
            "8-bit unsigned integers",
            "16-bit integers or 32-bit floats",
        ],
    );
    image().write::<colortype::Gray32>(&path, &vec![0; 4800]);
    told(&path, &["32-bit unsigned integers"]);
    image().write::<colortype::RGB16>(&path, &vec![0; 14400]);
    told(&path, &["in colours or has several bands"]);
    Tiff {
        rows: 1,
        columns: 80,
        ..image()
    }
    .floats(&path, &plane);
    told(&path, &["80 by 1 samples are no grid"]);
}

/// Cut off anywhere, the file is refused, or what is asked for lies before the cut and comes out right.
#[test]
fn a_tiff_cut_off_anywhere() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("ground.tif");
    let image = Tiff {
        rows_per_strip: Some(5),
        ..Tiff::new(60, 80, (3.0, 5.0), (0.025, 0.02))
    };
    image.floats(&path, &plane);
    let whole = std::fs::read(&path).unwrap();
    let mut refusals = 0;
    for cut in (0..whole.len()).step_by(97) {
        std::fs::write(&path, &whole[..cut]).unwrap();
        match overflown::terrain::below(&path, &[place(2.0, 6.0)]) {
            Ok(ground) => {
                let height = ground.heights[0].unwrap().m();
                assert!((height - plane(2.0, 6.0)).abs() < 1e-3);
            }
            Err(error) => {
                assert!(
                    error.to_string().contains("ground.tif") && !error.hint.is_empty(),
                    "{error}"
                );
                refusals += 1;
            }
        }
    }
    assert!(refusals > 10);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    /// Bytes changed anywhere never make it panic, or ask for much memory.
    #[test]
    fn a_tiff_changed_anywhere(changes in prop::collection::vec((0.0..1.0_f64, any::<u8>()), 1..6)) {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("ground.tif");
        let image = Tiff { rows_per_strip: Some(5), ..Tiff::new(12, 16, (3.0, 5.0), (0.1, 0.1)) };
        image.floats(&path, &plane);
        let mut bytes = std::fs::read(&path).unwrap();
        let count = bytes.len();
        for (share, byte) in changes {
            // The header stands behind the samples, where every byte tells.
            let at = count - 1 - ((share * share * count as f64) as usize).min(count - 1);
            bytes[at] = byte;
        }
        std::fs::write(&path, bytes).unwrap();
        if let Err(error) = overflown::terrain::below(&path, &[place(2.5, 5.5), place(2.0, 6.4)]) {
            prop_assert!(error.file == path && !error.hint.is_empty());
        }
    }
}
