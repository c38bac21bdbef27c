//! Tiles written by this file alone.

use overflown::geodesy::Position;
use overflown::input::InputError;
use overflown::terrain::{self, Ground};
use std::io::Write as _;
use std::path::Path;
use tiff::encoder::{Compression, TiffEncoder, colortype};
use tiff::tags::Tag;

/// A plane: 400 m at 0° N 0° E, rising 300 m a degree northwards and 200 m a degree eastwards.
pub fn plane(lat: f64, lon: f64) -> f64 {
    400.0 + 300.0 * lat + 200.0 * lon
}

pub fn place(lat: f64, lon: f64) -> Position {
    Position::new(lat, lon).unwrap()
}

/// The samples of a tile, whose south-west corner is given, as bytes; NaN makes a void.
pub fn hgt(side: usize, (south, west): (f64, f64), surface: &dyn Fn(f64, f64) -> f64) -> Vec<u8> {
    let step = 1.0 / (side - 1) as f64;
    let mut bytes = Vec::with_capacity(side * side * 2);
    for row in 0..side {
        for column in 0..side {
            let height = surface(south + 1.0 - step * row as f64, west + step * column as f64);
            let sample = if height.is_nan() {
                -32768
            } else {
                height.round() as i16
            };
            bytes.extend(sample.to_be_bytes());
        }
    }
    bytes
}

pub fn write(folder: &Path, name: &str, bytes: &[u8]) {
    std::fs::File::create(folder.join(name))
        .unwrap()
        .write_all(bytes)
        .unwrap();
}

/// What a GeoTIFF is to be.
#[derive(Clone)]
pub struct Tiff {
    pub rows: u32,
    pub columns: u32,
    /// North-west corner: of the outermost cell, or the outermost sample itself.
    pub corner: (f64, f64),
    /// Degrees from sample to sample, southwards and eastwards.
    pub step: (f64, f64),
    pub is_point: bool,
    /// By transformation instead of tie point and scale.
    pub transformation: bool,
    pub keys: Vec<[u16; 3]>,
    pub no_data: Option<String>,
    pub compression: Compression,
    pub rows_per_strip: Option<u32>,
}

impl Tiff {
    pub fn new(rows: u32, columns: u32, corner: (f64, f64), step: (f64, f64)) -> Self {
        Self {
            rows,
            columns,
            corner,
            step,
            is_point: false,
            transformation: false,
            keys: vec![[1024, 1, 2], [2048, 1, 4326], [2054, 1, 9102]],
            no_data: None,
            compression: Compression::Uncompressed,
            rows_per_strip: None,
        }
    }

    /// Latitude and longitude that the sample in a row and a column stands for.
    pub fn place_of(&self, row: u32, column: u32) -> (f64, f64) {
        let half = if self.is_point { 0.0 } else { 0.5 };
        (
            self.corner.0 - self.step.0 * (f64::from(row) + half),
            self.corner.1 + self.step.1 * (f64::from(column) + half),
        )
    }

    pub fn samples(&self, surface: &dyn Fn(f64, f64) -> f64) -> Vec<f64> {
        let rows = 0..self.rows;
        rows.flat_map(|row| (0..self.columns).map(move |column| (row, column)))
            .map(|(row, column)| {
                let (lat, lon) = self.place_of(row, column);
                surface(lat, lon)
            })
            .collect()
    }

    pub fn floats(&self, path: &Path, surface: &dyn Fn(f64, f64) -> f64) {
        let samples: Vec<f32> = self
            .samples(surface)
            .into_iter()
            .map(|h| h as f32)
            .collect();
        self.write::<colortype::Gray32Float>(path, &samples);
    }

    pub fn integers(&self, path: &Path, surface: &dyn Fn(f64, f64) -> f64) {
        let samples: Vec<i16> = self
            .samples(surface)
            .into_iter()
            .map(|h| h.round() as i16)
            .collect();
        self.write::<colortype::GrayI16>(path, &samples);
    }

    pub fn unsigned(&self, path: &Path, surface: &dyn Fn(f64, f64) -> f64) {
        let samples: Vec<u16> = self
            .samples(surface)
            .into_iter()
            .map(|h| h.round() as u16)
            .collect();
        self.write::<colortype::Gray16>(path, &samples);
    }

    pub fn write<C: colortype::ColorType>(&self, path: &Path, samples: &[C::Inner])
    where
        [C::Inner]: tiff::encoder::TiffValue,
    {
        let file = std::fs::File::create(path).unwrap();
        let mut encoder = TiffEncoder::new(file)
            .unwrap()
            .with_compression(self.compression);
        let mut image = encoder.new_image::<C>(self.columns, self.rows).unwrap();
        if let Some(rows) = self.rows_per_strip {
            image.rows_per_strip(rows).unwrap();
        }
        let tags = image.encoder();
        let ((north, west), (down, right)) = (self.corner, self.step);
        if self.transformation {
            let matrix = [
                right, 0.0, 0.0, west, 0.0, -down, 0.0, north, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0,
                1.0,
            ];
            tags.write_tag(Tag::ModelTransformationTag, &matrix[..])
                .unwrap();
        } else {
            // Tied at a sample in the middle, not at the corner.
            let tie = [2.0, 1.0, 0.0, west + 2.0 * right, north - down, 0.0];
            tags.write_tag(Tag::ModelPixelScaleTag, &[right, down, 0.0][..])
                .unwrap();
            tags.write_tag(Tag::ModelTiepointTag, &tie[..]).unwrap();
        }
        let mut keys = self.keys.clone();
        if self.is_point {
            keys.push([1025, 1, 2]);
        }
        let mut directory = vec![1, 1, 0, u16::try_from(keys.len()).unwrap()];
        directory.extend(
            keys.iter()
                .flat_map(|[key, count, value]| [*key, 0, *count, *value]),
        );
        if !keys.is_empty() {
            tags.write_tag(Tag::GeoKeyDirectoryTag, &directory[..])
                .unwrap();
        }
        if let Some(no_data) = &self.no_data {
            tags.write_tag(Tag::GdalNodata, no_data.as_str()).unwrap();
        }
        image.write_data(samples).unwrap();
    }
}

pub fn below(path: &Path, places: &[Position]) -> Ground {
    terrain::below(path, places).unwrap()
}

pub fn refused(path: &Path, places: &[Position]) -> InputError {
    terrain::below(path, places).unwrap_err()
}

/// Heights in metres.
pub fn heights(ground: &Ground) -> Vec<Option<f64>> {
    ground
        .heights
        .iter()
        .map(|height| height.map(|h| h.m()))
        .collect()
}

/// Places spread evenly over a box, edges and corners included.
pub fn spread((south, north): (f64, f64), (west, east): (f64, f64)) -> Vec<Position> {
    let share = |i: u32| f64::from(i) / 20.0;
    (0..=20)
        .flat_map(|i| (0..=20).map(move |j| (i, j)))
        .map(|(i, j)| {
            let lat = south + share(i) * (north - south);
            place(lat, west + share(j) * (east - west))
        })
        .collect()
}
