//! The strips and tiles of a TIFF as pixels of red, green, blue and opacity.

use super::MOST_PIXELS;
use super::decode::rgba;
use super::geotiff::{Header, fault, refused};
use super::placed::Window;
use crate::input::InputError;
use std::path::Path;
use tiff::ColorType;
use tiff::decoder::DecodingResult;
use tiff::tags::Tag;

/// Most pixels of a strip or tile, which is unpacked whole. Chosen: 8,000 by 8,000; with their colours they take half a gigabyte.
const MOST_CHUNK_PIXELS: usize = 64_000_000;

/// The strips or tiles of a raster, and what their samples mean.
pub(super) struct Chunks {
    columns: usize,
    rows: usize,
    wide: usize,
    high: usize,
    pub(super) across: usize,
    pub(super) down: usize,
    kind: Kind,
    /// Bits of a sample.
    bits: u8,
    /// Number of planes that hold a channel each; 1 where the channels of a pixel stand together.
    planes: usize,
}

impl Chunks {
    pub(super) fn of(
        file: &Path,
        decoder: &mut Header,
        (columns, rows): (usize, usize),
        has_palette: bool,
    ) -> Result<Self, InputError> {
        let (kind, bits) = kind(file, decoder, has_palette)?;
        let (wide, high) = decoder.chunk_dimensions();
        let (wide, high) = (wide as usize, high as usize);
        if wide == 0 || high == 0 {
            return Err(refused(
                file,
                "the file has strips or tiles without any pixels",
            ));
        }
        if wide.saturating_mul(high) > MOST_CHUNK_PIXELS {
            return Err(InputError::new(
                file,
                None,
                format!(
                    "a strip or tile of the TIFF has {wide} by {high} pixels, which is more than {MOST_CHUNK_PIXELS}"
                ),
                "write it in tiles of 256 by 256 pixels",
            ));
        }
        let planar: Option<u16> = decoder
            .find_tag_unsigned(Tag::PlanarConfiguration)
            .map_err(|cause| fault(file, &cause))?;
        let planes = match planar {
            Some(2) => kind.samples(),
            _ => 1,
        };
        Ok(Self {
            columns,
            rows,
            wide,
            high,
            across: columns.div_ceil(wide),
            down: rows.div_ceil(high),
            kind,
            bits,
            planes,
        })
    }

    pub(super) fn window(&self, right: usize, down: usize) -> Window {
        let span =
            |index: usize, size: usize, all: usize| index * size..((index + 1) * size).min(all);
        Window {
            columns: span(right, self.wide, self.columns),
            rows: span(down, self.high, self.rows),
        }
    }

    /// Refuses what would take too long to unpack.
    pub(super) fn check(&self, file: &Path, windows: &[Window]) -> Result<(), InputError> {
        let parts = |range: &std::ops::Range<usize>, size: usize| {
            range.end.div_ceil(size) - range.start / size
        };
        let pixels: usize = windows
            .iter()
            .map(|window| {
                parts(&window.columns, self.wide)
                    .saturating_mul(parts(&window.rows, self.high))
                    .saturating_mul(self.wide)
                    .saturating_mul(self.high)
            })
            .fold(0, usize::saturating_add);
        if pixels > MOST_PIXELS {
            return Err(InputError::new(
                file,
                None,
                format!("the strips or tiles under the map hold more than {MOST_PIXELS} pixels"),
                "cut the file to the ground of the map, write it in tiles of 256 by 256 pixels, or with fewer pixels",
            ));
        }
        Ok(())
    }

    pub(super) fn read(
        &self,
        file: &Path,
        decoder: &mut Header,
        (right, down): (usize, usize),
        no_data: Option<f64>,
    ) -> Result<Vec<[u8; 4]>, InputError> {
        let part = self.window(right, down);
        let pixels = part.columns.len() * part.rows.len();
        let mut planes = Vec::with_capacity(self.planes);
        for plane in 0..self.planes {
            let index = (plane * self.down + down) * self.across + right;
            let index = u32::try_from(index)
                .map_err(|_| refused(file, "the file has too many strips or tiles"))?;
            let decoded = decoder
                .read_chunk(index)
                .map_err(|cause| fault(file, &cause))?;
            let empty = no_data.map(|value| self.stored(value, &decoded));
            planes.push((eight_bits(file, decoded)?, empty.flatten()));
        }
        let empty = planes.first().and_then(|(_, empty)| *empty);
        let short = || refused(file, "a strip or tile is shorter than the header says");
        let bytes = match &mut planes[..] {
            [(bytes, _)] => std::mem::take(bytes),
            several => {
                let mut together = vec![0; pixels * several.len()];
                for (channel, (bytes, _)) in several.iter().enumerate() {
                    let bytes = bytes.get(..pixels).ok_or_else(short)?;
                    for (pixel, value) in together
                        .iter_mut()
                        .skip(channel)
                        .step_by(self.planes)
                        .zip(bytes)
                    {
                        *pixel = *value;
                    }
                }
                together
            }
        };
        let bits = usize::from(self.bits);
        let bytes = if bits < 8 {
            unpacked(&bytes, part.columns.len(), bits)
        } else {
            bytes
        };
        // A file may have more samples than its colours need.
        let channels = bytes.len() / pixels.max(1);
        if channels < self.kind.samples() || bytes.len() < pixels * channels {
            return Err(short());
        }
        Ok(self.colours(&bytes, channels, empty))
    }

    /// The value for "no data" as it stands in samples of 8 bits, if it does.
    fn stored(&self, value: f64, decoded: &DecodingResult) -> Option<u8> {
        let wide = matches!(decoded, DecodingResult::U16(_));
        let value = if wide { (value / 256.0).floor() } else { value };
        let whole = value.fract() == 0.0 && (0.0..256.0).contains(&value);
        (whole && !matches!(self.kind, Kind::Differences)).then_some(value as u8)
    }

    fn colours(&self, bytes: &[u8], channels: usize, empty: Option<u8>) -> Vec<[u8; 4]> {
        let samples = self.kind.samples();
        let pixels = bytes.chunks_exact(channels).map(|pixel| {
            // What is the same in all samples but that of opacity.
            let is_empty = |value: u8| {
                pixel[..samples.min(3)]
                    .iter()
                    .all(|sample| *sample == value)
            };
            if empty.is_some_and(is_empty) {
                return [0; 4];
            }
            match &self.kind {
                Kind::Palette(colours) => {
                    let colour = colours.get(usize::from(pixel[0]));
                    colour.copied().unwrap_or([0; 4])
                }
                Kind::Differences => from_ycbcr(pixel),
                Kind::Plain(1) if self.bits < 8 => {
                    let grey = u16::from(pixel[0]) * 255 / ((1 << self.bits) - 1);
                    [grey as u8, grey as u8, grey as u8, u8::MAX]
                }
                Kind::Plain(_) => rgba(&pixel[..samples], samples)[0],
            }
        });
        pixels.collect()
    }
}

/// What the samples of a pixel mean.
pub(super) enum Kind {
    /// Numbers of these colours.
    Palette(Vec<[u8; 4]>),
    /// Luminance and differences of colour.
    Differences,
    /// Grey, grey and opacity, colours, or colours and opacity: so many samples.
    Plain(usize),
}

impl Kind {
    /// Samples of a pixel that mean anything.
    const fn samples(&self) -> usize {
        match self {
            Self::Palette(_) => 1,
            Self::Differences => 3,
            Self::Plain(samples) => *samples,
        }
    }
}

/// Luminance and differences of colour as red, green and blue: TIFF 6.0, section 21, with its standard coefficients.
fn from_ycbcr(pixel: &[u8]) -> [u8; 4] {
    let [y, cb, cr] = [0, 1, 2].map(|i| f64::from(pixel.get(i).copied().unwrap_or(128)));
    let (cb, cr) = (cb - 128.0, cr - 128.0);
    let byte = |value: f64| value.round().clamp(0.0, 255.0) as u8;
    [
        byte(y + 1.402 * cr),
        byte(y - 0.344_136 * cb - 0.714_136 * cr),
        byte(y + 1.772 * cb),
        u8::MAX,
    ]
}

/// Samples of fewer than 8 bits, one a byte; rows begin with a byte of their own (TIFF 6.0, `BitsPerSample`).
fn unpacked(bytes: &[u8], columns: usize, bits: usize) -> Vec<u8> {
    let a_byte = 8 / bits;
    let rows = bytes.chunks_exact(columns.div_ceil(a_byte).max(1));
    let sample = |row: &[u8], column: usize| {
        let shift = 8 - bits * (column % a_byte + 1);
        row[column / a_byte] >> shift & ((1_u16 << bits) - 1) as u8
    };
    rows.flat_map(|row| (0..columns).map(move |column| sample(row, column)))
        .collect()
}

fn eight_bits(file: &Path, decoded: DecodingResult) -> Result<Vec<u8>, InputError> {
    match decoded {
        DecodingResult::U8(bytes) => Ok(bytes),
        DecodingResult::U16(words) => Ok(words.into_iter().map(|word| (word >> 8) as u8).collect()),
        _ => Err(no_picture(file)),
    }
}

/// The kind of its samples and their bits, if they are those of a picture.
pub(super) fn kind(
    file: &Path,
    decoder: &mut Header,
    has_palette: bool,
) -> Result<(Kind, u8), InputError> {
    let colour = decoder.colortype().map_err(|cause| fault(file, &cause))?;
    let mut list = |tag| -> Result<Vec<u16>, InputError> {
        let list = decoder.find_tag_unsigned_vec(tag);
        Ok(list
            .map_err(|cause| fault(file, &cause))?
            .unwrap_or_default())
    };
    // 1, unsigned, is what it is without the tag.
    if list(Tag::SampleFormat)?.iter().any(|format| *format != 1) {
        return Err(no_picture(file));
    }
    // 1 and 2: opacity (TIFF 6.0, section 18).
    let has_opacity = matches!(list(Tag::ExtraSamples)?.first(), Some(1 | 2));
    let kind = match colour {
        ColorType::Gray(1 | 2 | 4 | 8) if has_palette => {
            Kind::Palette(palette(file, decoder, colour.bit_depth())?)
        }
        ColorType::Gray(1 | 2 | 4 | 8 | 16) => Kind::Plain(1),
        ColorType::GrayA(8 | 16) => Kind::Plain(2),
        ColorType::Multiband {
            bit_depth: 8 | 16, ..
        } if !has_palette => Kind::Plain(1 + usize::from(has_opacity)),
        ColorType::RGB(8 | 16) => Kind::Plain(3),
        ColorType::RGBA(8 | 16) => Kind::Plain(if has_opacity { 4 } else { 3 }),
        ColorType::YCbCr(8) => Kind::Differences,
        _ => return Err(no_picture(file)),
    };
    Ok((kind, colour.bit_depth()))
}

fn no_picture(file: &Path) -> InputError {
    refused(
        file,
        "the file is no picture in grey, in a palette or in red, green and blue of 8 or 16 bits",
    )
}

fn palette(file: &Path, decoder: &mut Header, bits: u8) -> Result<Vec<[u8; 4]>, InputError> {
    let map: Option<Vec<u16>> = decoder
        .find_tag_unsigned_vec(Tag::ColorMap)
        .map_err(|cause| fault(file, &cause))?;
    let map = map.unwrap_or_default();
    let size = 1 << bits;
    let (Some(red), Some(green), Some(blue)) = (
        map.get(..size),
        map.get(size..2 * size),
        map.get(2 * size..3 * size),
    ) else {
        return Err(refused(file, "the palette of the file is too short"));
    };
    let byte = |word: &u16| (word >> 8) as u8;
    let colours = red.iter().zip(green).zip(blue);
    Ok(colours
        .map(|((red, green), blue)| [byte(red), byte(green), byte(blue), u8::MAX])
        .collect())
}
