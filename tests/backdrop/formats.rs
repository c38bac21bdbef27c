//! The kinds of GeoTIFF that are read, each by its values.

use crate::made::{Folder, Tiff, drawn, plane};

const COLUMNS: u32 = 20;
const ROWS: u32 = 20;

/// The colours that a picture shows in the middle of four quarters of the raster: north-west, north-east, south-west, south-east.
fn quarters(mut tiff: Tiff) -> [[u8; 3]; 4] {
    let folder = Folder::new();
    tiff.in_crs(32_632, false)
        .at(500_000.0 - 5_000.0, 5_000.0, 500.0);
    let file = folder.file("kind.tif", &tiff.bytes());
    let picture = drawn(&file, None, &plane(0.0, 9.0), 5_000.0).unwrap();
    [(1, 1), (3, 1), (1, 3), (3, 3)].map(|(x, y)| {
        let i = picture.rows * y / 4 * picture.columns + picture.columns * x / 4;
        [0, 1, 2].map(|channel| picture.rgb[3 * i + channel])
    })
}

/// Pixels by the quarter they lie in.
fn by_quarter(bytes: [&[u8]; 4]) -> Vec<u8> {
    let quarter =
        |i: u32| usize::from(i % COLUMNS >= COLUMNS / 2) + 2 * usize::from(i / COLUMNS >= ROWS / 2);
    (0..COLUMNS * ROWS)
        .flat_map(|i| bytes[quarter(i)].to_vec())
        .collect()
}

const COLOURS: [[u8; 3]; 4] = [[250, 10, 20], [30, 240, 40], [50, 60, 230], [7, 7, 7]];

fn colours() -> Vec<u8> {
    by_quarter(COLOURS.each_ref().map(|colour| &colour[..]))
}

fn greys(values: [u8; 4]) -> [[u8; 3]; 4] {
    values.map(|value| [value; 3])
}

#[test]
fn red_green_and_blue_in_strips_and_tiles() {
    let tiff = Tiff::of(COLUMNS, ROWS, 3, 2, colours());
    assert_eq!(quarters(tiff.clone()), COLOURS);
    assert_eq!(quarters(tiff.clone().in_strips(3)), COLOURS);
    assert_eq!(quarters(tiff.clone().in_tiles(16)), COLOURS);
    assert_eq!(quarters(tiff.in_tiles(16).deflated()), COLOURS);
}

/// Each channel in planes of its own (TIFF 6.0, `PlanarConfiguration` 2).
#[test]
fn channels_apart() {
    let together = colours();
    let mut tiff = Tiff::of(COLUMNS, ROWS, 3, 2, together.clone());
    tiff.short(284, &[2]);
    tiff.chunks = (0..3)
        .map(|channel| together.iter().skip(channel).step_by(3).copied().collect())
        .collect();
    assert_eq!(quarters(tiff), COLOURS);
}

#[test]
fn more_samples_than_colours() {
    let four = by_quarter([
        &[250, 10, 20, 99],
        &[30, 240, 40, 98],
        &[50, 60, 230, 97],
        &[7, 7, 7, 96],
    ]);
    let mut tiff = Tiff::of(COLUMNS, ROWS, 4, 2, four);
    // 0: a sample that is no opacity.
    tiff.short(338, &[0]);
    assert_eq!(quarters(tiff), COLOURS);
}

#[test]
fn grey_of_8_and_16_bits() {
    let tiff = Tiff::of(
        COLUMNS,
        ROWS,
        1,
        1,
        by_quarter([&[0], &[80], &[160], &[255]]),
    );
    assert_eq!(quarters(tiff.clone()), greys([0, 80, 160, 255]));
    let words = [0_u16, 20_480, 40_960, 65_535].map(u16::to_le_bytes);
    let mut wide = Tiff::of(
        COLUMNS,
        ROWS,
        1,
        1,
        by_quarter(words.each_ref().map(|word| &word[..])),
    );
    wide.short(258, &[16]);
    assert_eq!(quarters(wide), greys([0, 80, 160, 255]));
    // 0: white is nothing.
    let mut inverse = tiff;
    inverse.short(262, &[0]);
    assert_eq!(quarters(inverse), greys([255, 175, 95, 0]));
}

/// One bit and four bits a pixel; rows begin with a byte (TIFF 6.0).
#[test]
fn few_bits_a_pixel() {
    let packed = |bits: u32, values: [u8; 4]| -> Vec<u8> {
        let samples = by_quarter(values.each_ref().map(std::slice::from_ref));
        let rows = samples.chunks(COLUMNS as usize);
        rows.flat_map(|row| {
            row.chunks((8 / bits) as usize).map(move |byte| {
                byte.iter().enumerate().fold(0, |all, (place, value)| {
                    all | value << (8 - bits as usize * (place + 1))
                })
            })
        })
        .collect()
    };
    let mut one = Tiff::of(COLUMNS, ROWS, 1, 1, packed(1, [0, 1, 1, 0]));
    one.short(258, &[1]);
    assert_eq!(quarters(one), greys([0, 255, 255, 0]));
    let mut four = Tiff::of(COLUMNS, ROWS, 1, 1, packed(4, [0, 5, 10, 15]));
    four.short(258, &[4]);
    assert_eq!(quarters(four), greys([0, 85, 170, 255]));
}

#[test]
fn a_palette() {
    let mut map = vec![0_u16; 3 * 256];
    for (number, colour) in COLOURS.iter().enumerate() {
        for channel in 0..3 {
            map[channel * 256 + 10 * number] = u16::from(colour[channel]) << 8;
        }
    }
    let mut tiff = Tiff::of(COLUMNS, ROWS, 1, 3, by_quarter([&[0], &[10], &[20], &[30]]));
    tiff.short(320, &map);
    assert_eq!(quarters(tiff.clone()), COLOURS);
    assert_eq!(quarters(tiff.in_strips(4).deflated()), COLOURS);
}

/// The first sample counts; with opacity as the second.
#[test]
fn grey_and_opacity() {
    let two = by_quarter([&[10, 255], &[90, 255], &[170, 255], &[250, 255]]);
    let mut tiff = Tiff::of(COLUMNS, ROWS, 2, 1, two);
    tiff.short(338, &[2]);
    assert_eq!(quarters(tiff.clone()), greys([10, 90, 170, 250]));
    tiff.short(338, &[0]);
    assert_eq!(quarters(tiff), greys([10, 90, 170, 250]));
}

/// JPEG in TIFF (Technical Note 2 of TIFF 6.0, from memory): luminance and differences of colour.
#[test]
fn jpeg_within() {
    let side = 32_u16;
    let mut strip = Vec::new();
    let even = [200_u8, 90, 40].repeat(usize::from(side) * usize::from(side));
    jpeg_encoder::Encoder::new(&mut strip, 95)
        .encode(&even, side, side, jpeg_encoder::ColorType::Rgb)
        .unwrap();
    let mut tiff = Tiff::of(side.into(), side.into(), 3, 6, strip);
    tiff.short(259, &[7]);
    for colour in quarters(tiff) {
        for (found, expected) in colour.iter().zip([200_u8, 90, 40]) {
            assert!(found.abs_diff(expected) <= 3, "{colour:?}");
        }
    }
}

/// Pixels of the value for "no data" (tag 42113) are not covered.
#[test]
fn no_data_is_left_out() {
    let folder = Folder::new();
    let mut tiff = Tiff::of(COLUMNS, ROWS, 3, 2, colours());
    tiff.in_crs(32_632, false)
        .at(500_000.0 - 5_000.0, 5_000.0, 500.0);
    tiff.ascii(42_113, "7");
    let file = folder.file("void.tif", &tiff.bytes());
    let picture = drawn(&file, None, &plane(0.0, 9.0), 5_000.0).unwrap();
    assert!(
        (picture.about.share - 0.75).abs() < 0.01,
        "{}",
        picture.about.share
    );
}

#[test]
fn what_the_file_says_of_itself_is_kept() {
    let folder = Folder::new();
    let mut tiff = Tiff::of(COLUMNS, ROWS, 3, 2, colours());
    tiff.in_crs(32_632, false)
        .at(500_000.0 - 5_000.0, 5_000.0, 500.0);
    tiff.ascii(33_432, "an invented\n  survey\u{7}")
        .ascii(270, &"x".repeat(5_000));
    let file = folder.file("named.tif", &tiff.bytes());
    let about = drawn(&file, None, &plane(0.0, 9.0), 5_000.0).unwrap().about;
    assert_eq!(about.credits[0], "an invented survey\u{FFFD}");
    assert_eq!(about.credits[1].chars().count(), 301);
    assert_eq!(
        (about.format, about.crs.as_str()),
        ("GeoTIFF", "EPSG:32632")
    );
}
