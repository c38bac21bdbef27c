//! GeoTIFF (OGC GeoTIFF Standard 1.1, 19-008r4; TIFF 6.0): grey, palette or red, green and blue, with or without
//! opacity, 8 bits or 16, of which the upper 8 count.
//!
//! The place of the pixels is given by `ModelPixelScaleTag` and one `ModelTiepointTag`, or by
//! `ModelTransformationTag`; the value for "no data" is the tag 42113 (common practice, no source in the standard).
//! Strips and tiles are unpacked one by one, and only those under the map; where the file has the same raster with
//! fewer pixels as well (`NewSubfileType` 1), the coarsest that suffices is taken.

use super::crs::Crs;
use super::frame::Frame;
use super::geo_keys::GeoKeys;
use super::palette::AsGrey;
use super::placed::{Affine, Placed, Window};
use super::sample::{Block, Canvas};
use super::tiff_pixels::{Chunks, kind};
use super::{accepted, unreadable};
use crate::input::InputError;
use crate::tiff_fault::{self, WouldDo};
use std::fs::File;
use std::io::BufReader;
use std::path::Path;
use tiff::TiffError;
use tiff::decoder::ifd::Value;
use tiff::decoder::{Decoder, Limits};
use tiff::tags::Tag;

/// Largest strip or tile, bytes unpacked. Chosen: 8,000 by 8,000 pixels of four bytes.
const LARGEST_CHUNK: usize = 256 << 20;
/// Largest list in the header, bytes. Chosen: two million strips.
const LARGEST_LIST: usize = 16 << 20;
/// Most directories of a file that are looked into. Chosen: rasters with fewer pixels halve each time.
const MOST_DIRECTORIES: usize = 64;

/// The decoder of a file.
pub(super) type Header = Decoder<BufReader<AsGrey<File>>>;

/// A GeoTIFF with its header read.
pub(super) struct GeoTiff {
    pub(super) placed: Placed,
    pub(super) credits: Vec<String>,
    /// The raster itself and the same with fewer pixels: directory, columns, rows.
    sizes: Vec<(usize, usize, usize)>,
    no_data: Option<f64>,
    /// Which directories have a palette.
    palettes: Vec<usize>,
    decoder: Header,
}

impl GeoTiff {
    /// Reads the header.
    pub(super) fn open(file: &Path, crs: Option<u32>) -> Result<Self, InputError> {
        let content = File::open(file).map_err(|cause| unreadable(file, &cause))?;
        let content =
            AsGrey::of(content, MOST_DIRECTORIES).map_err(|cause| unreadable(file, &cause))?;
        let palettes = content.palettes.clone();
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
        kind(file, &mut decoder, palettes.contains(&0))?;
        let sizes = sizes(file, &mut decoder)?;
        Ok(Self {
            placed,
            credits,
            sizes,
            no_data,
            palettes,
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
        let chunks = Chunks::of(
            file,
            &mut self.decoder,
            (columns, rows),
            self.palettes.contains(&directory),
        )?;
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

pub(super) fn refused(file: &Path, problem: &str) -> InputError {
    InputError::new(file, None, problem, accepted())
}

/// An error of the TIFF itself.
pub(super) fn fault(file: &Path, cause: &TiffError) -> InputError {
    let would_do = WouldDo {
        read: "write it uncompressed, or compressed by LZW, Deflate or JPEG",
        parts: "write it in tiles of 256 by 256 pixels",
    };
    tiff_fault::fault(file, cause, would_do)
}
