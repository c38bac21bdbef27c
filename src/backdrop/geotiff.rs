//! GeoTIFF (OGC GeoTIFF Standard 1.1, 19-008r4; TIFF 6.0): grey, palette or red, green and blue, with or without
//! opacity, 8 bits or 16, of which the upper 8 count.
//!
//! The place of the pixels is given by `ModelPixelScaleTag` and one `ModelTiepointTag`, or by
//! `ModelTransformationTag`; the value for "no data" is the tag 42113 (common practice, no source in the standard).
//! Strips and tiles are unpacked one by one, and only those under the map; where the file has the same raster with
//! fewer pixels as well (`NewSubfileType` 1), the coarsest that suffices is taken.

use super::crs::Crs;
use super::decode::rgba;
use super::geo_keys::GeoKeys;
use super::sample::{Affine, Block, Canvas, Frame, Placed, Window};
use super::{MOST_PIXELS, accepted, unreadable};
use crate::input::InputError;
use std::fs::File;
use std::io::BufReader;
use std::path::Path;
use tiff::decoder::ifd::Value;
use tiff::decoder::{Decoder, DecodingResult, Limits};
use tiff::tags::Tag;
use tiff::{ColorType, TiffError};

/// Largest strip or tile, bytes unpacked. Chosen: an image of 9,000 by 9,000 colours in one strip.
const LARGEST_CHUNK: usize = 256 << 20;
/// Largest list in the header, bytes. Chosen: two million strips.
const LARGEST_LIST: usize = 16 << 20;
/// Most directories of a file that are looked into. Chosen: rasters with fewer pixels halve each time.
const MOST_DIRECTORIES: usize = 64;

/// A GeoTIFF with its header read.
pub(super) struct GeoTiff {
    pub(super) placed: Placed,
    pub(super) credits: Vec<String>,
    /// The raster itself and the same with fewer pixels: directory, columns, rows.
    sizes: Vec<(usize, usize, usize)>,
    no_data: Option<f64>,
    decoder: Decoder<BufReader<File>>,
}

impl GeoTiff {
    /// Reads the header.
    pub(super) fn open(file: &Path, crs: Option<u32>) -> Result<Self, InputError> {
        let content = File::open(file).map_err(|cause| unreadable(file, &cause))?;
        let mut limits = Limits::default();
        limits.decoding_buffer_size = LARGEST_CHUNK;
        limits.intermediate_buffer_size = LARGEST_CHUNK;
        limits.ifd_value_size = LARGEST_LIST;
        let mut decoder = Decoder::new(BufReader::new(content))
            .map_err(|cause| fault(file, &cause))?
            .with_limits(limits);
        let (columns, rows) = decoder.dimensions().map_err(|cause| fault(file, &cause))?;
        let keys = keys(file, &mut decoder)?;
        let refused = |problem: String| InputError::new(file, None, problem, accepted());
        let told = keys.crs();
        let crs = match (told, crs) {
            (Ok(Some(own)), None) => own,
            (Ok(Some(own)), Some(_)) => {
                let problem = format!(
                    "the file tells its reference system itself ({})",
                    own.name()
                );
                return Err(InputError::new(
                    file,
                    None,
                    problem,
                    "leave out --backdrop-crs",
                ));
            }
            (Ok(None), None) => {
                return Err(InputError::new(
                    file,
                    None,
                    "the file does not tell its reference system: it has no geo keys",
                    "give it with --backdrop-crs EPSG:n, such as --backdrop-crs EPSG:32632",
                ));
            }
            (Ok(None), Some(code)) => Crs::epsg(code).map_err(refused)?,
            (Err(problem), _) => return Err(refused(problem)),
        };
        let affine = affine(file, &mut decoder, keys.is_point().map_err(refused)?)?;
        let placed = Placed {
            crs,
            affine,
            columns: columns as usize,
            rows: rows as usize,
        };
        let credits = credits(&mut decoder);
        let no_data = no_data(file, &mut decoder)?;
        check_samples(file, &mut decoder)?;
        let sizes = sizes(file, &mut decoder)?;
        Ok(Self {
            placed,
            credits,
            sizes,
            no_data,
            decoder,
        })
    }

    /// Brings what lies under the map onto it.
    pub(super) fn draw(
        mut self,
        file: &Path,
        frame: &Frame,
        canvas: &mut Canvas<'_>,
    ) -> Result<(), InputError> {
        let pixel_m = self.placed.pixel_on_ground(frame).map(|pixel| pixel.m());
        let suffices = |columns: &usize| {
            let times = self.placed.columns as f64 / *columns as f64;
            pixel_m.is_some_and(|pixel_m| pixel_m * times <= frame.pixel_m)
        };
        let coarsest = self
            .sizes
            .iter()
            .filter(|(_, columns, _)| suffices(columns))
            .min_by_key(|(_, columns, _)| *columns);
        let (directory, columns, rows) = *coarsest.unwrap_or(&self.sizes[0]);
        let placed = Placed {
            affine: self.placed.affine.coarser(
                self.placed.columns as f64 / columns as f64,
                self.placed.rows as f64 / rows as f64,
            ),
            columns,
            rows,
            crs: self.placed.crs.clone(),
        };
        self.decoder
            .seek_to_image(directory)
            .map_err(|cause| fault(file, &cause))?;
        let windows = placed.windows(frame);
        let chunks = Chunks::of(file, &mut self.decoder, (columns, rows))?;
        chunks.check(file, &windows)?;
        for down in 0..chunks.down {
            for right in 0..chunks.across {
                let part = chunks.window(right, down);
                let under: Vec<Window> = windows.iter().filter_map(|w| w.with(&part)).collect();
                if under.is_empty() {
                    continue;
                }
                let pixels = chunks.read(file, &mut self.decoder, (right, down), self.no_data)?;
                let block = Block {
                    left: part.columns.start,
                    top: part.rows.start,
                    columns: part.columns.len(),
                    rgba: &pixels,
                };
                for window in &under {
                    canvas.add(&placed, block, window);
                }
            }
        }
        Ok(())
    }
}

type Header = Decoder<BufReader<File>>;

/// The strips or tiles of a raster, and what their samples mean.
struct Chunks {
    columns: usize,
    rows: usize,
    wide: usize,
    high: usize,
    across: usize,
    down: usize,
    colour: ColorType,
    /// Colours of a palette.
    palette: Vec<[u8; 4]>,
    /// Number of planes that hold a channel each; 1 where the channels of a pixel stand together.
    planes: usize,
}

impl Chunks {
    fn of(
        file: &Path,
        decoder: &mut Header,
        (columns, rows): (usize, usize),
    ) -> Result<Self, InputError> {
        let colour = check_samples(file, decoder)?;
        let (wide, high) = decoder.chunk_dimensions();
        let (wide, high) = (wide as usize, high as usize);
        if wide == 0 || high == 0 {
            return Err(refused(
                file,
                "the file has strips or tiles without any pixels",
            ));
        }
        let planar: Option<u16> = decoder
            .find_tag_unsigned(Tag::PlanarConfiguration)
            .map_err(|cause| fault(file, &cause))?;
        let planes = match (planar, &colour) {
            (Some(2), colour) => usize::from(colour.num_samples()),
            _ => 1,
        };
        let palette = match colour {
            ColorType::Palette(bits) => palette(file, decoder, bits)?,
            _ => Vec::new(),
        };
        Ok(Self {
            columns,
            rows,
            wide,
            high,
            across: columns.div_ceil(wide),
            down: rows.div_ceil(high),
            colour,
            palette,
            planes,
        })
    }

    fn window(&self, right: usize, down: usize) -> Window {
        let span =
            |index: usize, size: usize, all: usize| index * size..((index + 1) * size).min(all);
        Window {
            columns: span(right, self.wide, self.columns),
            rows: span(down, self.high, self.rows),
        }
    }

    /// Refuses what would take too long to unpack.
    fn check(&self, file: &Path, windows: &[Window]) -> Result<(), InputError> {
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

    fn read(
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
        let bits = usize::from(self.colour.bit_depth());
        let bytes = if bits < 8 {
            unpacked(&bytes, part.columns.len(), bits)
        } else {
            bytes
        };
        // A file may have more samples than its colours need.
        let channels = bytes.len() / pixels.max(1);
        if channels < usize::from(self.colour.num_samples()) || bytes.len() < pixels * channels {
            return Err(short());
        }
        Ok(self.colours(&bytes, channels, empty))
    }

    /// The value for "no data" as it stands in samples of 8 bits, if it does.
    fn stored(&self, value: f64, decoded: &DecodingResult) -> Option<u8> {
        let wide = matches!(decoded, DecodingResult::U16(_));
        let value = if wide { (value / 256.0).floor() } else { value };
        let whole = value.fract() == 0.0 && (0.0..256.0).contains(&value);
        (whole && !matches!(self.colour, ColorType::YCbCr(_))).then_some(value as u8)
    }

    fn colours(&self, bytes: &[u8], channels: usize, empty: Option<u8>) -> Vec<[u8; 4]> {
        let bits = self.colour.bit_depth();
        let samples = usize::from(self.colour.num_samples());
        let seen = |pixel: &[u8], colour: [u8; 4]| {
            if empty.is_some_and(|empty| pixel.iter().all(|sample| *sample == empty)) {
                [0; 4]
            } else {
                colour
            }
        };
        let pixels = bytes.chunks_exact(channels);
        match self.colour {
            ColorType::Palette(_) => pixels
                .map(|pixel| {
                    let colour = self.palette.get(usize::from(pixel[0]));
                    seen(&pixel[..1], colour.copied().unwrap_or([0; 4]))
                })
                .collect(),
            ColorType::Gray(_) => pixels
                .map(|pixel| {
                    let grey = match bits {
                        1..8 => (u16::from(pixel[0]) * 255 / ((1 << bits) - 1)) as u8,
                        _ => pixel[0],
                    };
                    seen(&pixel[..1], [grey, grey, grey, u8::MAX])
                })
                .collect(),
            ColorType::YCbCr(_) => pixels.map(|pixel| from_ycbcr(pixel)).collect(),
            _ => pixels
                .map(|pixel| {
                    let colour = rgba(&pixel[..samples], samples);
                    seen(
                        &pixel[..samples.min(3)],
                        colour.first().copied().unwrap_or([0; 4]),
                    )
                })
                .collect(),
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

fn keys(file: &Path, decoder: &mut Header) -> Result<GeoKeys, InputError> {
    let directory: Option<Vec<u16>> = decoder
        .find_tag_unsigned_vec(Tag::GeoKeyDirectoryTag)
        .map_err(|cause| fault(file, &cause))?;
    let doubles = numbers(file, decoder, Tag::GeoDoubleParamsTag)?;
    Ok(GeoKeys::of(
        &directory.unwrap_or_default(),
        doubles.unwrap_or_default(),
    ))
}

fn numbers(file: &Path, decoder: &mut Header, tag: Tag) -> Result<Option<Vec<f64>>, InputError> {
    let value = decoder.find_tag(tag).map_err(|cause| fault(file, &cause))?;
    let list = value.map(Value::into_f64_vec).transpose();
    list.map_err(|cause| fault(file, &cause))
}

fn affine(file: &Path, decoder: &mut Header, is_point: bool) -> Result<Affine, InputError> {
    let scale = numbers(file, decoder, Tag::ModelPixelScaleTag)?;
    let tie = numbers(file, decoder, Tag::ModelTiepointTag)?;
    let matrix = numbers(file, decoder, Tag::ModelTransformationTag)?;
    let [a, b, c, d, e, f] = match (scale.as_deref(), tie.as_deref(), matrix.as_deref()) {
        (Some([x, y, ..]), Some([i, j, _, east, north, _]), None) => {
            [*x, 0.0, east - i * x, 0.0, -*y, north + j * y]
        }
        (None, _, Some([a, b, _, c, d, e, _, f, ..])) => [*a, *b, *c, *d, *e, *f],
        _ => {
            return Err(refused(
                file,
                "the file does not tell where it lies by one tie point and a scale, or by a transformation",
            ));
        }
    };
    let half = if is_point { 0.5 } else { 0.0 };
    let affine = Affine([a, b, c - half * (a + b), d, e, f - half * (d + e)]);
    if !affine.is_sound() {
        return Err(refused(
            file,
            "the file does not tell where it lies: its pixels have no size",
        ));
    }
    Ok(affine)
}

/// The kind of its samples, if they are those of a picture.
fn check_samples(file: &Path, decoder: &mut Header) -> Result<ColorType, InputError> {
    let colour = decoder.colortype().map_err(|cause| fault(file, &cause))?;
    let format: Option<Vec<u16>> = decoder
        .find_tag_unsigned_vec(Tag::SampleFormat)
        .map_err(|cause| fault(file, &cause))?;
    // 1, unsigned, is what it is without the tag.
    let unsigned = format.is_none_or(|all| all.iter().all(|format| *format == 1));
    match colour {
        ColorType::Gray(1 | 2 | 4 | 8 | 16)
        | ColorType::GrayA(8 | 16)
        | ColorType::RGB(8 | 16)
        | ColorType::RGBA(8 | 16)
        | ColorType::Palette(1 | 2 | 4 | 8)
        | ColorType::YCbCr(8)
            if unsigned =>
        {
            Ok(colour)
        }
        _ => Err(no_picture(file)),
    }
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

/// What the file says of itself and of whose it is.
fn credits(decoder: &mut Header) -> Vec<String> {
    // Copyright, then the description; what is no text is left out.
    [Tag::Unknown(33_432), Tag::ImageDescription]
        .into_iter()
        .filter_map(|tag| decoder.find_tag(tag).ok().flatten()?.into_string().ok())
        .collect()
}

fn no_data(file: &Path, decoder: &mut Header) -> Result<Option<f64>, InputError> {
    let tag = decoder
        .find_tag(Tag::GdalNodata)
        .map_err(|cause| fault(file, &cause))?;
    let text = tag.and_then(|tag| tag.into_string().ok());
    let number = text.map(|text| {
        text.trim_matches(|c: char| c.is_whitespace() || c == '\0')
            .parse()
    });
    Ok(number.and_then(Result::ok))
}

/// The raster itself, and the same with fewer pixels: directory, columns and rows.
fn sizes(file: &Path, decoder: &mut Header) -> Result<Vec<(usize, usize, usize)>, InputError> {
    let mut sizes = Vec::new();
    for directory in 0..MOST_DIRECTORIES {
        let kind: Option<u32> = decoder
            .find_tag_unsigned(Tag::NewSubfileType)
            .map_err(|cause| fault(file, &cause))?;
        // 1: fewer pixels of the same, and neither a mask nor a page.
        if directory == 0 || kind == Some(1) {
            let (columns, rows) = decoder.dimensions().map_err(|cause| fault(file, &cause))?;
            if columns > 0 && rows > 0 {
                sizes.push((directory, columns as usize, rows as usize));
            }
        }
        if !decoder.more_images() {
            break;
        }
        decoder.next_image().map_err(|cause| fault(file, &cause))?;
    }
    if sizes.is_empty() {
        return Err(refused(file, "the file has no pixels"));
    }
    Ok(sizes)
}

fn refused(file: &Path, problem: &str) -> InputError {
    InputError::new(file, None, problem, accepted())
}

/// An error of the TIFF itself.
fn fault(file: &Path, cause: &TiffError) -> InputError {
    match cause {
        TiffError::UnsupportedError(what) => InputError::new(
            file,
            None,
            format!("the TIFF uses what is not read here ({what})"),
            "write it uncompressed, or compressed by LZW, Deflate or JPEG",
        ),
        TiffError::LimitsExceeded => InputError::new(
            file,
            None,
            "a strip or tile of the TIFF, or its header, is too large",
            "write it in tiles of 256 by 256 pixels",
        ),
        TiffError::IoError(io) if io.kind() != std::io::ErrorKind::UnexpectedEof => {
            unreadable(file, io)
        }
        _ => InputError::new(
            file,
            None,
            format!("the file is no sound TIFF ({cause})"),
            "fetch or export it again",
        ),
    }
}
