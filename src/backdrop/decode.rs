//! Pictures unpacked whole: PNG, JPEG and WebP, known by how they begin.

use image_webp::WebPDecoder;
use png::{Decoder, Limits, Transformations};
use std::io::Cursor;
use zune_jpeg::JpegDecoder;
use zune_jpeg::zune_core::bytestream::ZCursor;
use zune_jpeg::zune_core::colorspace::ColorSpace;
use zune_jpeg::zune_core::options::DecoderOptions;

/// How a PNG begins (W3C PNG Specification, Third Edition, 5.2).
pub(super) const PNG: [u8; 8] = [0x89, b'P', b'N', b'G', 0x0d, 0x0a, 0x1a, 0x0a];
/// How a JPEG begins: start of image, and the first byte of the next marker (ITU-T T.81, B.1.1.3).
pub(super) const JPEG: [u8; 3] = [0xff, 0xd8, 0xff];
/// Side that no JPEG exceeds: its size has 16 bits (ITU-T T.81, B.2.2).
const JPEG_SIDE: usize = 65_535;

/// A picture of 1 (grey), 2 (grey and opacity), 3 (red, green, blue) or 4 (with opacity) bytes a pixel.
pub(super) struct Picture {
    pub(super) columns: usize,
    pub(super) rows: usize,
    channels: usize,
    bytes: Vec<u8>,
}

impl Picture {
    /// One row.
    pub(super) fn row(&self, row: usize) -> Vec<[u8; 4]> {
        let length = self.columns * self.channels;
        let bytes = self.bytes.get(row * length..(row + 1) * length);
        rgba(bytes.unwrap_or_default(), self.channels)
    }

    /// All of it.
    pub(super) fn all(&self) -> Vec<[u8; 4]> {
        rgba(&self.bytes, self.channels)
    }
}

/// Pixels of so many channels as red, green, blue and opacity.
pub(super) fn rgba(bytes: &[u8], channels: usize) -> Vec<[u8; 4]> {
    let pixels = bytes.chunks_exact(channels.max(1));
    let colour = |pixel: &[u8]| match *pixel {
        [grey] => [grey, grey, grey, u8::MAX],
        [grey, opacity] => [grey, grey, grey, opacity],
        [red, green, blue] => [red, green, blue, u8::MAX],
        [red, green, blue, opacity, ..] => [red, green, blue, opacity],
        [] => [0; 4],
    };
    pixels.map(colour).collect()
}

/// Unpacks a picture.
///
/// # Errors
/// Says what is wrong with it, in the words that follow "it": also where it has more than `most_pixels`.
pub(super) fn whole(bytes: &[u8], most_pixels: usize) -> Result<Picture, String> {
    if bytes.starts_with(&PNG) {
        png(bytes, most_pixels)
    } else if bytes.starts_with(&JPEG) {
        jpeg(bytes, most_pixels)
    } else if bytes.starts_with(b"RIFF") && bytes.get(8..12) == Some(b"WEBP") {
        webp(bytes, most_pixels)
    } else if bytes.starts_with(&[0x1f, 0x8b]) {
        Err("is compressed by gzip, as vector tiles are".to_owned())
    } else {
        Err("is no PNG, JPEG or WebP".to_owned())
    }
}

fn within(columns: usize, rows: usize, most_pixels: usize) -> Result<(), String> {
    if columns.saturating_mul(rows) > most_pixels {
        return Err(format!(
            "has {columns} by {rows} pixels, which is more than {most_pixels}"
        ));
    }
    if columns == 0 || rows == 0 {
        return Err("has no pixels".to_owned());
    }
    Ok(())
}

fn png(bytes: &[u8], most_pixels: usize) -> Result<Picture, String> {
    let fault = |cause: png::DecodingError| format!("is no sound PNG ({cause})");
    let limits = Limits {
        // Four bytes a pixel, and what the decoder holds besides.
        bytes: most_pixels.saturating_mul(4).saturating_add(1 << 20),
    };
    let mut decoder = Decoder::new_with_limits(Cursor::new(bytes), limits);
    decoder.set_transformations(Transformations::normalize_to_color8());
    let mut reader = decoder.read_info().map_err(fault)?;
    let (columns, rows) = (reader.info().width as usize, reader.info().height as usize);
    within(columns, rows, most_pixels)?;
    let channels = reader.output_color_type().0.samples();
    let size = reader.output_buffer_size().ok_or("is too large")?;
    let mut pixels = vec![0; size];
    reader.next_frame(&mut pixels).map_err(fault)?;
    Ok(Picture {
        columns,
        rows,
        channels,
        bytes: pixels,
    })
}

fn jpeg(bytes: &[u8], most_pixels: usize) -> Result<Picture, String> {
    let options = DecoderOptions::default()
        // The same colours on every machine, and a file that breaks off is no picture.
        .set_use_unsafe(false)
        .set_strict_mode(true)
        .set_max_width(JPEG_SIDE)
        .set_max_height(JPEG_SIDE)
        .jpeg_set_out_colorspace(ColorSpace::RGB);
    let mut decoder = JpegDecoder::new_with_options(ZCursor::new(bytes), options);
    let fault = |cause| format!("is no sound JPEG ({cause:?})");
    decoder.decode_headers().map_err(fault)?;
    let (columns, rows) = decoder.info().map_or((0, 0), |info| {
        (usize::from(info.width), usize::from(info.height))
    });
    within(columns, rows, most_pixels)?;
    let pixels = decoder.decode().map_err(fault)?;
    let channels = decoder
        .output_colorspace()
        .map_or(3, |space| space.num_components());
    Ok(Picture {
        columns,
        rows,
        channels,
        bytes: pixels,
    })
}

fn webp(bytes: &[u8], most_pixels: usize) -> Result<Picture, String> {
    let fault = |cause: image_webp::DecodingError| format!("is no sound WebP ({cause})");
    let mut decoder = WebPDecoder::new(Cursor::new(bytes)).map_err(fault)?;
    let (columns, rows) = decoder.dimensions();
    let (columns, rows) = (columns as usize, rows as usize);
    within(columns, rows, most_pixels)?;
    decoder.set_memory_limit(most_pixels.saturating_mul(8));
    let size = decoder.output_buffer_size().ok_or("is too large")?;
    let mut pixels = vec![0; size];
    decoder.read_image(&mut pixels).map_err(fault)?;
    Ok(Picture {
        columns,
        rows,
        channels: if decoder.has_alpha() { 4 } else { 3 },
        bytes: pixels,
    })
}

/// Columns and rows of a JPEG.
///
/// # Errors
/// As [`whole`] has them.
pub(super) fn jpeg_size(bytes: &[u8]) -> Result<(usize, usize), String> {
    let options = DecoderOptions::default()
        .set_max_width(JPEG_SIDE)
        .set_max_height(JPEG_SIDE);
    let mut decoder = JpegDecoder::new_with_options(ZCursor::new(bytes), options);
    let fault = |cause| format!("is no sound JPEG ({cause:?})");
    decoder.decode_headers().map_err(fault)?;
    Ok(decoder.info().map_or((0, 0), |info| {
        (usize::from(info.width), usize::from(info.height))
    }))
}
