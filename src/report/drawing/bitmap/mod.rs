//! A picture as PNG. Lines and surfaces are drawn by plotters at twice the size and averaged down,
//! which smooths their edges; letters are set by `ab_glyph` at their exact places.
//!
//! The large picture never exists as a whole: it is drawn in bands of rows, one after the other on the same canvas.

mod band;
mod letters;
mod marks;
mod reach;
mod straight;
mod surfaces;
mod upright;

use super::png::rgb_png;
use super::{DrawError, Paper, Scene};
use crate::report::palette::{Ink, Theme};
use band::Band;

/// Drawn pixels per pixel of the result, either way.
const FINE: usize = 2;

/// About the size of a band. Chosen: the canvases of pictures drawn side by side weigh little beside what is drawn, and
/// few shapes lie in more than one or two bands.
const BAND_BYTES: usize = 2_000_000;

/// The picture as an RGB PNG of the scene's size, or of the width that the paper has.
///
/// # Errors
/// When painting or encoding fails.
pub fn png(scene: &Scene, paper: Paper) -> Result<Vec<u8>, DrawError> {
    let sheet = Sheet::new(scene, paper);
    let rows = BAND_BYTES / (3 * sheet.width);
    let rgb = drawn(scene, sheet, rows)?;
    let (width, height) = (sheet.width / FINE, sheet.height / FINE);
    rgb_png(&rgb, width as u32, height as u32)
}

/// The large picture: its size in drawn pixels, and what holds all over it.
#[derive(Clone, Copy)]
struct Sheet {
    width: usize,
    height: usize,
    /// Drawn pixels per pixel of the scene.
    fine: f64,
    theme: Theme,
}

impl Sheet {
    fn new(scene: &Scene, paper: Paper) -> Self {
        let scale = paper.scale_of(scene);
        let pixels = |length: u32| (f64::from(length) * scale).round().max(1.0) as usize * FINE;
        Self {
            width: pixels(scene.width),
            height: pixels(scene.height),
            fine: FINE as f64 * scale,
            theme: paper.theme,
        }
    }
}

/// The pixels of the result, drawn in bands of about so many drawn rows.
fn drawn(scene: &Scene, sheet: Sheet, rows: usize) -> Result<Vec<u8>, DrawError> {
    let rows = rows.next_multiple_of(FINE).clamp(FINE, sheet.height);
    let marks = marks::of(scene, sheet);
    let paper = Ink::Paper.colour(sheet.theme).repeat(sheet.width);
    let mut canvas = vec![0; rows * paper.len()];
    let mut rgb = vec![0; sheet.height * paper.len() / (FINE * FINE)];
    let parts = rgb.chunks_mut(rows * paper.len() / (FINE * FINE));
    for (part, first) in parts.zip((0..sheet.height).step_by(rows)) {
        let beyond = sheet.height.min(first + rows);
        let canvas = &mut canvas[..(beyond - first) * paper.len()];
        for row in canvas.chunks_exact_mut(paper.len()) {
            row.copy_from_slice(&paper);
        }
        let mut band = Band::new(sheet, first..beyond, canvas);
        for mark in &marks {
            band.draw(mark)?;
        }
        average(canvas, sheet.width, part);
    }
    Ok(rgb)
}

/// Drawn rows to rows of the result.
fn average(drawn: &[u8], width: usize, rgb: &mut [u8]) {
    const { assert!(FINE == 2, "four pixels are averaged") };
    let rows = drawn.chunks_exact(2 * 3 * width);
    let mut sums = vec![0u16; 3 * width];
    for (row, rows) in rgb.chunks_exact_mut(3 * width / 2).zip(rows) {
        let (above, below) = rows.split_at(3 * width);
        for (sum, (above, below)) in sums.iter_mut().zip(above.iter().zip(below)) {
            *sum = u16::from(*above) + u16::from(*below);
        }
        for (pixel, two) in row.chunks_exact_mut(3).zip(sums.chunks_exact(6)) {
            for channel in 0..3 {
                pixel[channel] = ((two[channel] + two[channel + 3] + 2) / 4) as u8;
            }
        }
    }
}

/// What shows of a colour under another that covers it by a share.
fn mixed(below: u8, above: u8, cover: f32) -> u8 {
    let (below, above) = (f32::from(below), f32::from(above));
    (below + (above - below) * cover).round() as u8
}

#[cfg(test)]
mod tests;
