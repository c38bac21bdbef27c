//! Pixels of the picture are the mean of what lies under them.

use crate::made::{Folder, Tiff, drawn, plane};

/// A raster in the very plane of the picture (UTM at the middle of its zone, on the equator) as far as a kilometre goes: of squares
/// of two by two cells that are black, grey and white by turns, each pixel of four cells or more shows the mean.
#[test]
fn a_pixel_is_the_mean_of_its_cells() {
    let folder = Folder::new();
    // 3 m cells, 6 m pixels: the picture is 1,500 pixels of 6 m wide.
    let cells = 3_200_u32;
    let (step, reach) = (3.0, 4_500.0);
    let checks = (0..cells * cells).map(|i| {
        let (row, column) = (i / cells, i % cells);
        if (row + column) % 2 == 0 { 200 } else { 100 }
    });
    let mut tiff = Tiff::of(cells, cells, 1, 1, checks.collect());
    let (x, y) = (500_000.0 - 4_800.0, 4_800.0);
    tiff.in_crs(32_632, false).at(x, y, step);
    let file = folder.file("checks.tif", &tiff.in_strips(64).bytes());
    let picture = drawn(&file, None, &plane(0.0, 9.0), reach).unwrap();
    assert_eq!((picture.columns, picture.rows), (1_500, 1_500));
    assert!((picture.pixel_m - 6.0).abs() < 1e-9);
    assert_eq!(picture.about.share, 1.0);
    // A pixel covers 6 m of ground, 1.9992 cells of the plane: the mean of checks, off by less than a hundredth.
    let (low, high) = picture
        .rgb
        .iter()
        .fold((255, 0), |(low, high), v| (low.min(*v), high.max(*v)));
    assert!(low >= 149 && high <= 151, "{low} to {high}");
}

/// What is transparent does not darken what is beside it, and a picture shows where half of a pixel is covered.
#[test]
fn what_is_transparent_has_no_colour() {
    let folder = Folder::new();
    let cells = 900_u32;
    // Opaque orange west of the middle, transparent black east of it.
    let pixels = (0..cells * cells).flat_map(|i| {
        if i % cells < cells / 2 {
            [240, 120, 30, 255]
        } else {
            [0, 0, 0, 0]
        }
    });
    let mut tiff = Tiff::of(cells, cells, 4, 2, pixels.collect());
    tiff.short(338, &[2]).in_crs(32_632, false);
    tiff.at(500_000.0 - 4_500.0, 4_500.0, 10.0);
    let file = folder.file("half.tif", &tiff.bytes());
    let picture = drawn(&file, None, &plane(0.0, 9.0), 4_000.0).unwrap();
    assert!(
        (picture.about.share - 0.5).abs() < 0.002,
        "{}",
        picture.about.share
    );
    for (pixel, covered) in picture.rgb.chunks_exact(3).zip(&picture.covered) {
        let expected: &[u8] = if *covered {
            &[240, 120, 30]
        } else {
            &[0, 0, 0]
        };
        assert_eq!(pixel, expected);
    }
}

/// The picture is never finer than half a cell, nor longer than 1,500 pixels, nor shorter than 300.
#[test]
fn resolution_is_bounded() {
    let folder = Folder::new();
    for (cell_m, columns) in [(2.0, 1_500), (5.0, 1_500), (20.0, 800), (2_000.0, 300)] {
        let cells = (12_000.0 / cell_m) as u32;
        let mut tiff = Tiff::of(cells, cells, 1, 1, vec![80; (cells * cells) as usize]);
        tiff.in_crs(32_632, false)
            .at(500_000.0 - 6_000.0, 6_000.0, cell_m);
        let file = folder.file("even.tif", &tiff.bytes());
        let picture = drawn(&file, None, &plane(0.0, 9.0), 4_000.0).unwrap();
        assert!(
            picture.columns.abs_diff(columns) <= 2,
            "{cell_m} m: {}",
            picture.columns
        );
        assert!((picture.about.pixel.m() / cell_m - 1.0).abs() < 0.01);
        assert!(picture.rgb.iter().all(|value| *value == 80));
    }
}
