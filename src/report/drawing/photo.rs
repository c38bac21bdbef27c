//! A raster map as a file inside a page: few colours as PNG, many as JPEG, within a bound on its size.

use super::DrawError;
use super::png::{base64, mask_png, palette_png};
use crate::backdrop::Picture;
use jpeg_encoder::{ColorType, Encoder};
use std::collections::BTreeMap;

/// Most bytes of the picture, before they are written as base 64, which takes a third more. Chosen: a report stays a few hundred
/// kilobytes.
pub const MOST_BYTES: usize = 360_000;
/// Most colours of a PNG with a palette, beside the one for what is not covered.
const MOST_COLOURS: usize = 255;
/// Qualities of JPEG, tried one after the other. Chosen: below the last, letters in a map are no longer read.
const QUALITIES: [u8; 4] = [82, 72, 62, 52];
/// Least side of a picture that is made smaller, pixels.
const LEAST_PX: usize = 64;

/// A picture for a page.
#[derive(Debug)]
pub struct Photo {
    /// The picture as a `data:` address.
    pub picture: String,
    /// White where the raster covers the ground, as a `data:` address; `None` where it does everywhere, or where the picture
    /// is transparent itself.
    pub mask: Option<String>,
}

/// Pixels on their way into a file.
struct Pixels {
    columns: usize,
    rows: usize,
    rgb: Vec<[u8; 3]>,
    covered: Vec<bool>,
}

/// Encodes the picture; where it would be larger than [`MOST_BYTES`], with less quality, and at last in fewer pixels.
///
/// # Errors
/// When an encoder refuses.
pub fn photo(picture: &Picture) -> Result<Photo, DrawError> {
    let (colours, _) = picture.rgb.as_chunks::<3>();
    let mut pixels = Pixels {
        columns: picture.columns,
        rows: picture.rows,
        rgb: colours.to_vec(),
        covered: picture.covered.clone(),
    };
    if let Some(png) = pixels.with_palette()?
        && png.len() <= MOST_BYTES
    {
        return Ok(Photo {
            picture: data("png", &png),
            mask: None,
        });
    }
    loop {
        let smallest = pixels.columns.min(pixels.rows) < 2 * LEAST_PX;
        for quality in QUALITIES {
            let jpeg = pixels.jpeg(quality)?;
            let last = smallest && quality == QUALITIES[QUALITIES.len() - 1];
            if jpeg.len() <= MOST_BYTES || last {
                return Ok(Photo {
                    picture: data("jpeg", &jpeg),
                    mask: pixels.mask()?.map(|mask| data("png", &mask)),
                });
            }
        }
        pixels = pixels.halved();
    }
}

fn data(kind: &str, bytes: &[u8]) -> String {
    format!("data:image/{kind};base64,{}", base64(bytes))
}

impl Pixels {
    /// As PNG with a palette, what is not covered being transparent; `None` where there are too many colours.
    fn with_palette(&self) -> Result<Option<Vec<u8>>, DrawError> {
        let mut colours: BTreeMap<[u8; 3], u8> = BTreeMap::new();
        for (colour, covered) in self.rgb.iter().zip(&self.covered) {
            if !covered || colours.contains_key(colour) {
                continue;
            }
            let Some(number) = u8::try_from(colours.len() + 1)
                .ok()
                .filter(|number| usize::from(*number) <= MOST_COLOURS)
            else {
                return Ok(None);
            };
            colours.insert(*colour, number);
        }
        let mut palette = vec![[u8::MAX; 3]; colours.len() + 1];
        for (colour, number) in &colours {
            palette[usize::from(*number)] = *colour;
        }
        let numbers: Vec<u8> = self
            .rgb
            .iter()
            .zip(&self.covered)
            .map(|(colour, covered)| {
                let number = covered.then(|| colours.get(colour)).flatten();
                number.copied().unwrap_or(0)
            })
            .collect();
        let (columns, rows) = (self.columns as u32, self.rows as u32);
        palette_png(&numbers, &palette.concat(), columns, rows).map(Some)
    }

    fn jpeg(&self, quality: u8) -> Result<Vec<u8>, DrawError> {
        // No side is longer than `backdrop::LONGEST_PX`, so none exceeds 16 bits.
        let side = |pixels: usize| u16::try_from(pixels).unwrap_or(u16::MAX);
        let mean = self.mean();
        let pixels = self.rgb.iter().zip(&self.covered);
        // What the mask hides must not ring into what it shows.
        let rgb: Vec<u8> = pixels
            .flat_map(|(colour, covered)| if *covered { *colour } else { mean })
            .collect();
        let mut bytes = Vec::new();
        let mut encoder = Encoder::new(&mut bytes, quality);
        encoder.set_optimized_huffman_tables(true);
        encoder.encode(&rgb, side(self.columns), side(self.rows), ColorType::Rgb)?;
        Ok(bytes)
    }

    fn mean(&self) -> [u8; 3] {
        let shown = self
            .rgb
            .iter()
            .zip(&self.covered)
            .filter(|(_, covered)| **covered);
        let (mut sums, mut count) = ([0_u64; 3], 0_u64);
        for (colour, _) in shown {
            count += 1;
            for (sum, channel) in sums.iter_mut().zip(colour) {
                *sum += u64::from(*channel);
            }
        }
        sums.map(|sum| (sum / count.max(1)) as u8)
    }

    fn mask(&self) -> Result<Option<Vec<u8>>, DrawError> {
        if self.covered.iter().all(|covered| *covered) {
            return Ok(None);
        }
        mask_png(&self.covered, self.columns, self.rows).map(Some)
    }

    /// The same ground in half as many columns and rows.
    fn halved(&self) -> Self {
        let (columns, rows) = (self.columns.div_ceil(2), self.rows.div_ceil(2));
        let (mut rgb, mut covered) = (Vec::new(), Vec::new());
        for row in 0..rows {
            for column in 0..columns {
                let four = [(0, 0), (1, 0), (0, 1), (1, 1)].map(|(x, y)| {
                    let x = (2 * column + x).min(self.columns - 1);
                    let y = (2 * row + y).min(self.rows - 1);
                    y * self.columns + x
                });
                let shown: Vec<usize> = four.into_iter().filter(|i| self.covered[*i]).collect();
                covered.push(shown.len() >= 2);
                rgb.push([0, 1, 2].map(|channel| {
                    let sum: usize = shown
                        .iter()
                        .map(|i| usize::from(self.rgb[*i][channel]))
                        .sum();
                    (sum / shown.len().max(1)) as u8
                }));
            }
        }
        Self {
            columns,
            rows,
            rgb,
            covered,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::backdrop::About;
    use crate::units::Length;
    use geo::Coord;

    fn picture(columns: usize, rows: usize, colour: impl Fn(usize, usize) -> [u8; 3]) -> Picture {
        let places = (0..rows).flat_map(|row| (0..columns).map(move |column| (column, row)));
        Picture {
            about: About {
                name: "made up".into(),
                format: "GeoTIFF",
                crs: "EPSG:4326".into(),
                pixel: Length::from_m(1.0),
                shown_pixel: Length::from_m(1.0),
                credits: Vec::new(),
                share: 1.0,
            },
            inputs: Vec::new(),
            corner: Coord { x: 0.0, y: 0.0 },
            pixel_m: 1.0,
            columns,
            rows,
            rgb: places.clone().flat_map(|(x, y)| colour(x, y)).collect(),
            covered: places.map(|(x, y)| x + y > 10).collect(),
        }
    }

    #[test]
    fn few_colours_make_a_png_and_many_a_jpeg_with_a_mask() {
        let few = photo(&picture(90, 70, |x, y| [(x / 9) as u8, (y / 9) as u8, 7])).unwrap();
        assert!(few.picture.starts_with("data:image/png") && few.mask.is_none());
        let many = photo(&picture(90, 70, |x, y| [x as u8, y as u8, 7])).unwrap();
        assert!(many.picture.starts_with("data:image/jpeg"));
        assert!(many.mask.unwrap().starts_with("data:image/png"));
    }

    /// Noise is what compresses worst.
    #[test]
    fn no_picture_is_larger_than_the_bound() {
        let noise = |x: usize, y: usize| {
            let mixed = ((x * 2_654_435_761) ^ (y * 40_503)).wrapping_mul(2_246_822_519);
            [mixed as u8, (mixed >> 8) as u8, (mixed >> 16) as u8]
        };
        let photo = photo(&picture(1_500, 1_400, noise)).unwrap();
        assert!(
            photo.picture.len() < MOST_BYTES * 4 / 3 + 100,
            "{}",
            photo.picture.len()
        );
    }
}
