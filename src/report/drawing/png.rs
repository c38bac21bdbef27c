//! Pixels as PNG files, in memory.

use super::{DrawError, Levels};
use crate::report::palette::{OUTSIDE, level_colour};
use png::{BitDepth, ColorType, Compression, Encoder, Filter};

/// An RGB picture.
///
/// # Errors
/// When the encoder refuses; `rgb` must hold three bytes for each pixel.
pub fn rgb_png(rgb: &[u8], width: u32, height: u32) -> Result<Vec<u8>, DrawError> {
    let mut bytes = Vec::new();
    let mut encoder = Encoder::new(&mut bytes, width, height);
    encoder.set_color(ColorType::Rgb);
    encoder.set_depth(BitDepth::Eight);
    // The highest compression takes twice as long for a hundredth less.
    encoder.set_compression(Compression::Balanced);
    let mut writer = encoder.write_header()?;
    writer.write_image_data(rgb)?;
    writer.finish()?;
    Ok(bytes)
}

/// POD levels, one pixel a cell, transparent outside the area.
///
/// # Errors
/// When the encoder refuses.
pub fn levels_png(levels: &Levels) -> Result<Vec<u8>, DrawError> {
    let mut bytes = Vec::new();
    let mut encoder = Encoder::new(&mut bytes, levels.columns as u32, levels.rows as u32);
    encoder.set_color(ColorType::Indexed);
    encoder.set_depth(BitDepth::Eight);
    encoder.set_palette((0..=u8::MAX).flat_map(level_colour).collect::<Vec<u8>>());
    encoder.set_trns(vec![0]);
    debug_assert_eq!(OUTSIDE, 0, "the first colour is the transparent one");
    encoder.set_compression(Compression::High);
    // Filters help photographs; palette indexes compress best as they are.
    encoder.set_filter(Filter::NoFilter);
    let mut writer = encoder.write_header()?;
    writer.write_image_data(&levels.levels)?;
    writer.finish()?;
    Ok(bytes)
}

/// Numbers of a palette, one pixel each; the colour of number 0 is transparent.
///
/// # Errors
/// When the encoder refuses; `numbers` must hold a byte for each pixel.
pub fn palette_png(
    numbers: &[u8],
    palette: &[u8],
    width: u32,
    height: u32,
) -> Result<Vec<u8>, DrawError> {
    let mut bytes = Vec::new();
    let mut encoder = Encoder::new(&mut bytes, width, height);
    encoder.set_color(ColorType::Indexed);
    encoder.set_depth(BitDepth::Eight);
    encoder.set_palette(palette);
    encoder.set_trns(vec![0]);
    encoder.set_compression(Compression::High);
    encoder.set_filter(Filter::NoFilter);
    let mut writer = encoder.write_header()?;
    writer.write_image_data(numbers)?;
    writer.finish()?;
    Ok(bytes)
}

/// White where it is so, else black; one bit a pixel.
///
/// # Errors
/// When the encoder refuses; `white` must hold a value for each pixel.
pub fn mask_png(white: &[bool], columns: usize, rows: usize) -> Result<Vec<u8>, DrawError> {
    let mut bytes = Vec::new();
    let mut encoder = Encoder::new(&mut bytes, columns as u32, rows as u32);
    encoder.set_color(ColorType::Grayscale);
    encoder.set_depth(BitDepth::One);
    encoder.set_compression(Compression::High);
    let bits = |eight: &[bool]| {
        let set = eight.iter().enumerate().filter(|(_, white)| **white);
        set.fold(0_u8, |byte, (place, _)| byte | 0x80 >> place)
    };
    let packed: Vec<u8> = white
        .chunks(columns)
        .flat_map(|row| row.chunks(8).map(bits))
        .collect();
    let mut writer = encoder.write_header()?;
    writer.write_image_data(&packed)?;
    writer.finish()?;
    Ok(bytes)
}

/// Rows of grey that differ little from the row above, one byte a pixel.
///
/// # Errors
/// When the encoder refuses; `grey` must hold a byte for each pixel.
pub fn grey_png(grey: &[u8], width: u32, height: u32) -> Result<Vec<u8>, DrawError> {
    let mut bytes = Vec::new();
    let mut encoder = Encoder::new(&mut bytes, width, height);
    encoder.set_color(ColorType::Grayscale);
    encoder.set_depth(BitDepth::Eight);
    // The highest compression takes five times as long for a tenth less.
    encoder.set_compression(Compression::Balanced);
    encoder.set_filter(Filter::Up);
    let mut writer = encoder.write_header()?;
    writer.write_image_data(grey)?;
    writer.finish()?;
    Ok(bytes)
}

/// Base 64 (RFC 4648, section 4).
#[must_use]
pub fn base64(bytes: &[u8]) -> String {
    const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut text = String::with_capacity(bytes.len().div_ceil(3) * 4);
    for chunk in bytes.chunks(3) {
        let group = chunk
            .iter()
            .fold(0_u32, |all, byte| all << 8 | u32::from(*byte))
            << (8 * (3 - chunk.len()));
        for place in 0..4 {
            if place <= chunk.len() {
                text.push(char::from(
                    LETTERS[(group >> (18 - 6 * place) & 63) as usize],
                ));
            } else {
                text.push('=');
            }
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    /// RFC 4648, section 10: test vectors.
    #[test]
    fn base64_as_in_the_rfc() {
        let vectors = [
            ("", ""),
            ("f", "Zg=="),
            ("fo", "Zm8="),
            ("foo", "Zm9v"),
            ("foob", "Zm9vYg=="),
            ("fooba", "Zm9vYmE="),
            ("foobar", "Zm9vYmFy"),
        ];
        for (plain, coded) in vectors {
            assert_eq!(base64(plain.as_bytes()), coded);
        }
    }
}
