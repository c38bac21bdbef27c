//! Raster maps and POD levels, pixel by pixel.

use super::band::Band;
use super::mixed;
use crate::backdrop::Picture;
use crate::report::drawing::Levels;
use crate::report::palette::{OUTSIDE, backdrop_opacity, level_colour};
use geo::{Coord, Rect};

impl Band<'_> {
    /// Each pixel takes the colour of the pixel of the map its centre lies in, paled.
    pub fn backdrop(
        &mut self,
        at: Coord<f64>,
        size: Coord<f64>,
        view: Rect<f64>,
        picture: &Picture,
    ) {
        let fine = self.sheet.fine;
        let opacity = backdrop_opacity(self.sheet.theme) as f32;
        let span = |low: f64, high: f64, limit: usize| {
            let first = (low * fine).round().max(0.0) as usize;
            first..((high * fine).round().max(0.0) as usize).min(limit)
        };
        let down = span(
            at.y.max(view.min().y),
            (at.y + size.y).min(view.max().y),
            self.sheet.height,
        );
        let across = span(
            at.x.max(view.min().x),
            (at.x + size.x).min(view.max().x),
            self.sheet.width,
        );
        let place = |pixel: usize, from: f64, length: f64, pixels: usize| {
            let share = ((pixel as f64 + 0.5) / fine - from) / length;
            ((share * pixels as f64).max(0.0) as usize).min(pixels - 1)
        };
        for y in down {
            let Some(pixels) = self.row(y) else {
                continue;
            };
            let row = place(y, at.y, size.y, picture.rows) * picture.columns;
            for x in across.clone() {
                let index = row + place(x, at.x, size.x, picture.columns);
                if !picture.covered[index] {
                    continue;
                }
                let colour = &picture.rgb[3 * index..3 * index + 3];
                for (byte, part) in pixels[3 * x..3 * x + 3].iter_mut().zip(colour) {
                    *byte = mixed(*byte, *part, opacity);
                }
            }
        }
    }

    /// Each pixel takes the level of the cell its centre lies in.
    pub fn levels(&mut self, at: Coord<f64>, size: Coord<f64>, levels: &Levels) {
        let fine = self.sheet.fine;
        let span = |from: f64, length: f64, limit: usize| {
            let first = (from * fine).floor().max(0.0) as usize;
            let last = ((from + length) * fine).ceil().max(0.0) as usize;
            first..last.min(limit)
        };
        let cell = |pixel: usize, from: f64, length: f64, cells: usize| {
            let share = ((pixel as f64 + 0.5) / fine - from) / length;
            (0.0..1.0)
                .contains(&share)
                .then(|| ((share * cells as f64) as usize).min(cells - 1))
        };
        let columns: Vec<(usize, usize)> = span(at.x, size.x, self.sheet.width)
            .filter_map(|x| Some((x, cell(x, at.x, size.x, levels.columns)?)))
            .collect();
        for y in span(at.y, size.y, self.sheet.height) {
            let Some(row) = cell(y, at.y, size.y, levels.rows) else {
                continue;
            };
            let Some(pixels) = self.row(y) else {
                continue;
            };
            let cells = &levels.levels[row * levels.columns..(row + 1) * levels.columns];
            for &(x, column) in &columns {
                let level = cells[column];
                if level != OUTSIDE {
                    pixels[3 * x..3 * x + 3].copy_from_slice(&level_colour(level));
                }
            }
        }
    }
}
