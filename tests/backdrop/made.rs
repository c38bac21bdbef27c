//! Rasters made up for the tests.

use geo::{Coord, Rect};
use overflown::backdrop::{Backdrop, Picture};
use overflown::geodesy::{LocalFrame, Position};
use overflown::input::InputError;
use std::path::{Path, PathBuf};

/// Kinds of values in a TIFF (TIFF 6.0, section 2).
const ASCII: u16 = 2;
const SHORT: u16 = 3;
const LONG: u16 = 4;
const DOUBLE: u16 = 12;

/// A TIFF written tag by tag (TIFF 6.0), so that every kind can be made and broken.
#[derive(Clone)]
pub struct Tiff {
    pub columns: u32,
    pub rows: u32,
    tags: Vec<(u16, u16, u32, Vec<u8>)>,
    /// The strips or tiles.
    pub chunks: Vec<Vec<u8>>,
    /// Side of a tile; strips without.
    pub tile: Option<u32>,
    pub rows_per_strip: u32,
}

impl Tiff {
    /// A picture of `samples` bytes a pixel in one strip, with its photometric interpretation.
    pub fn of(columns: u32, rows: u32, samples: u16, photometric: u16, bytes: Vec<u8>) -> Self {
        let mut tiff = Self {
            columns,
            rows,
            tags: Vec::new(),
            chunks: vec![bytes],
            tile: None,
            rows_per_strip: rows,
        };
        tiff.short(258, &vec![8; usize::from(samples)]);
        tiff.short(259, &[1]);
        tiff.short(262, &[photometric]);
        tiff.short(277, &[samples]);
        tiff
    }

    /// The same picture in strips of so many rows.
    pub fn in_strips(mut self, rows: u32) -> Self {
        let row = self.chunks[0].len() / self.rows as usize;
        let strips = self.chunks[0].chunks(row * rows as usize);
        self.chunks = strips.map(<[u8]>::to_vec).collect();
        self.rows_per_strip = rows;
        self
    }

    /// The same picture in tiles of so many pixels a side, those at the edges filled up.
    pub fn in_tiles(mut self, side: u32) -> Self {
        let all = &self.chunks[0];
        let pixel = all.len() / (self.columns * self.rows) as usize;
        let mut tiles = Vec::new();
        for down in 0..self.rows.div_ceil(side) {
            for right in 0..self.columns.div_ceil(side) {
                let mut tile = vec![0; (side * side) as usize * pixel];
                for row in down * side..((down + 1) * side).min(self.rows) {
                    for column in right * side..((right + 1) * side).min(self.columns) {
                        let from = (row * self.columns + column) as usize * pixel;
                        let to =
                            ((row - down * side) * side + column - right * side) as usize * pixel;
                        tile[to..to + pixel].copy_from_slice(&all[from..from + pixel]);
                    }
                }
                tiles.push(tile);
            }
        }
        self.chunks = tiles;
        self.tile = Some(side);
        self
    }

    /// The same, its strips or tiles deflated.
    pub fn deflated(mut self) -> Self {
        use std::io::Write;
        for chunk in &mut self.chunks {
            let mut packed =
                flate2::write::ZlibEncoder::new(Vec::new(), flate2::Compression::fast());
            packed.write_all(chunk).unwrap();
            *chunk = packed.finish().unwrap();
        }
        self.short(259, &[8]);
        self
    }

    pub fn short(&mut self, tag: u16, values: &[u16]) -> &mut Self {
        let bytes = values.iter().flat_map(|v| v.to_le_bytes()).collect();
        self.set(tag, SHORT, values.len(), bytes)
    }

    pub fn long(&mut self, tag: u16, values: &[u32]) -> &mut Self {
        let bytes = values.iter().flat_map(|v| v.to_le_bytes()).collect();
        self.set(tag, LONG, values.len(), bytes)
    }

    pub fn double(&mut self, tag: u16, values: &[f64]) -> &mut Self {
        let bytes = values.iter().flat_map(|v| v.to_le_bytes()).collect();
        self.set(tag, DOUBLE, values.len(), bytes)
    }

    pub fn ascii(&mut self, tag: u16, text: &str) -> &mut Self {
        let bytes: Vec<u8> = text.bytes().chain([0]).collect();
        self.set(tag, ASCII, bytes.len(), bytes)
    }

    fn set(&mut self, tag: u16, kind: u16, count: usize, bytes: Vec<u8>) -> &mut Self {
        self.without(tag);
        self.tags.push((tag, kind, count as u32, bytes));
        self
    }

    pub fn without(&mut self, tag: u16) -> &mut Self {
        self.tags.retain(|(other, ..)| *other != tag);
        self
    }

    /// Geo keys whose values stand in the directory: their numbers and values.
    pub fn keys(&mut self, keys: &[(u16, u16)]) -> &mut Self {
        let mut words = vec![1, 1, 1, keys.len() as u16];
        words.extend(keys.iter().flat_map(|(key, value)| [*key, 0, 1, *value]));
        self.short(34_735, &words)
    }

    /// In longitude and latitude, or in the plane of an EPSG code; an area or a point a pixel.
    pub fn in_crs(&mut self, code: u16, is_point: bool) -> &mut Self {
        let raster = 1 + u16::from(is_point);
        if code == 4326 {
            self.keys(&[(1024, 2), (1025, raster), (2048, code)])
        } else {
            self.keys(&[(1024, 1), (1025, raster), (3072, code)])
        }
    }

    /// North up: the corner (or, of points, the middle) of the first pixel and the size of a pixel.
    pub fn at(&mut self, x: f64, y: f64, pixel: f64) -> &mut Self {
        self.double(33_550, &[pixel, pixel, 0.0]);
        self.double(33_922, &[0.0, 0.0, 0.0, x, y, 0.0])
    }

    pub fn bytes(&self) -> Vec<u8> {
        let mut all = self.clone();
        let mut bytes = b"II*\0\0\0\0\0".to_vec();
        let mut offsets = Vec::new();
        for chunk in &self.chunks {
            offsets.push(bytes.len() as u32);
            bytes.extend(chunk);
        }
        let counts: Vec<u32> = self.chunks.iter().map(|chunk| chunk.len() as u32).collect();
        all.long(256, &[self.columns]).long(257, &[self.rows]);
        if let Some(side) = self.tile {
            all.long(322, &[side]).long(323, &[side]);
            all.long(324, &offsets).long(325, &counts);
        } else {
            all.long(278, &[self.rows_per_strip]);
            all.long(273, &offsets).long(279, &counts);
        }
        all.tags.sort_by_key(|(tag, ..)| *tag);
        let mut entries = Vec::new();
        for (tag, kind, count, value) in &all.tags {
            entries.extend(tag.to_le_bytes());
            entries.extend(kind.to_le_bytes());
            entries.extend(count.to_le_bytes());
            if value.len() <= 4 {
                let mut short = value.clone();
                short.resize(4, 0);
                entries.extend(short);
            } else {
                bytes.resize(bytes.len().next_multiple_of(2), 0);
                entries.extend((bytes.len() as u32).to_le_bytes());
                bytes.extend(value);
            }
        }
        bytes.resize(bytes.len().next_multiple_of(2), 0);
        let directory = bytes.len() as u32;
        bytes[4..8].copy_from_slice(&directory.to_le_bytes());
        bytes.extend((all.tags.len() as u16).to_le_bytes());
        bytes.extend(entries);
        bytes.extend([0; 4]);
        bytes
    }
}

/// Grey pixels, black but for one that is white.
pub fn one_white(columns: u32, rows: u32, column: u32, row: u32) -> Vec<u8> {
    let mut bytes = vec![0; (columns * rows) as usize];
    bytes[(row * columns + column) as usize] = u8::MAX;
    bytes
}

/// A PNG of grey pixels.
pub fn grey_png(columns: u32, rows: u32, bytes: &[u8]) -> Vec<u8> {
    let mut file = Vec::new();
    let mut encoder = png::Encoder::new(&mut file, columns, rows);
    encoder.set_color(png::ColorType::Grayscale);
    let mut writer = encoder.write_header().unwrap();
    writer.write_image_data(bytes).unwrap();
    writer.finish().unwrap();
    file
}

pub fn grey_jpeg(columns: u16, rows: u16, bytes: &[u8]) -> Vec<u8> {
    let mut file = Vec::new();
    jpeg_encoder::Encoder::new(&mut file, 95)
        .encode(bytes, columns, rows, jpeg_encoder::ColorType::Luma)
        .unwrap();
    file
}

/// A plane about a place.
pub fn plane(lat: f64, lon: f64) -> LocalFrame {
    LocalFrame::new(Position::new(lat, lon).unwrap())
}

/// The ground about the origin of a plane, so far in all four directions, metres.
pub fn about(reach_m: f64) -> Rect<f64> {
    let corner = Coord {
        x: reach_m,
        y: reach_m,
    };
    Rect::new(corner * -1.0, corner)
}

/// A folder of its own for the files of a test.
pub struct Folder(tempfile::TempDir);

impl Folder {
    pub fn new() -> Self {
        Self(tempfile::tempdir().unwrap())
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    pub fn file(&self, name: &str, bytes: &[u8]) -> PathBuf {
        let path = self.path(name);
        std::fs::write(&path, bytes).unwrap();
        path
    }

    /// Names of the files in it.
    pub fn names(&self) -> Vec<String> {
        let entries = std::fs::read_dir(self.0.path()).unwrap();
        let name = |entry: std::io::Result<std::fs::DirEntry>| {
            entry.unwrap().file_name().to_string_lossy().into_owned()
        };
        let mut names: Vec<String> = entries.map(name).collect();
        names.sort();
        names
    }
}

/// What of a file lies under the ground so far about a place.
pub fn drawn(
    file: &Path,
    crs: Option<u32>,
    plane: &LocalFrame,
    reach_m: f64,
) -> Result<Picture, InputError> {
    Backdrop::open(file, crs)?.under(plane, about(reach_m))
}

/// Where the white of a black picture lies, pixels from its corner, and how many pixels of white there are.
pub fn white_place(picture: &Picture) -> (Coord<f64>, f64) {
    let (mut sum, mut weight) = (Coord { x: 0.0, y: 0.0 }, 0.0);
    for (i, pixel) in picture.rgb.chunks_exact(3).enumerate() {
        let share = f64::from(pixel[0]) / 255.0;
        let at = Coord {
            x: (i % picture.columns) as f64 + 0.5,
            y: (i / picture.columns) as f64 + 0.5,
        };
        sum = sum + at * share;
        weight += share;
    }
    (sum / weight, weight)
}

/// Where a map in the plane draws a place, pixels of the picture from its corner.
pub fn expected(picture: &Picture, plane: &LocalFrame, at: Position) -> Coord<f64> {
    let at = plane.forward(at);
    Coord {
        x: (at.x - picture.corner.x) / picture.pixel_m,
        y: (picture.corner.y - at.y) / picture.pixel_m,
    }
}

/// The white pixel lies where the map draws its place, to half a pixel.
#[track_caller]
pub fn lies_at(picture: &Picture, plane: &LocalFrame, at: Position, what: &str) {
    let (found, weight) = white_place(picture);
    let expected = expected(picture, plane, at);
    let off = (found.x - expected.x)
        .abs()
        .max((found.y - expected.y).abs());
    assert!(weight > 0.02, "{what}: no white, {weight}");
    assert!(off <= 0.5, "{what}: {found:?}, expected {expected:?}");
}
