//! Words, letter by letter.

use super::band::Band;
use super::mixed;
use crate::report::drawing::{Anchor, DrawError, Words};
use crate::report::fonts;
use crate::report::palette::Ink;
use ab_glyph::{Font, ScaleFont};
use geo::Coord;

/// How far the glow reaches beyond the letters, pixels of the scene.
pub const GLOW_REACH: f64 = 2.0;

impl Band<'_> {
    pub fn words(&mut self, words: &Words) -> Result<(), DrawError> {
        if words.glow {
            for step in 0..12 {
                let (dy, dx) = (f64::from(step) * 30.0_f64.to_radians()).sin_cos();
                let at = Coord {
                    x: words.at.x + GLOW_REACH * dx,
                    y: words.at.y + GLOW_REACH * dy,
                };
                self.letters(
                    &Words {
                        at,
                        ..words.clone()
                    },
                    Ink::Paper,
                )?;
            }
        }
        self.letters(words, words.ink)
    }

    fn letters(&mut self, words: &Words, ink: Ink) -> Result<(), DrawError> {
        let font = fonts::face(words.bold)
            .ok_or_else(|| DrawError::Painter("the compiled-in font cannot be read".into()))?;
        let size = words.size * self.sheet.fine;
        let scaled = font.as_scaled(fonts::scale(font, size));
        let length = fonts::width(&words.text, size, words.bold);
        let mut along = match words.anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => -length / 2.0,
            Anchor::End => -length,
        } as f32;
        // The same drop as the `dy` of the SVG.
        let drop = (0.35 * size) as f32;
        let (x0, y0) = (
            (words.at.x * self.sheet.fine) as f32,
            (words.at.y * self.sheet.fine) as f32,
        );
        let mut last = None;
        for letter in words.text.chars() {
            let glyph = scaled.glyph_id(letter);
            along += last.map_or(0.0, |last| scaled.kern(last, glyph));
            last = Some(glyph);
            let place = ab_glyph::point(along, drop);
            if let Some(outline) =
                font.outline_glyph(glyph.with_scale_and_position(scaled.scale(), place))
            {
                let corner = outline.px_bounds().min;
                outline.draw(|x, y, cover| {
                    let (dx, dy) = (corner.x + x as f32, corner.y + y as f32);
                    self.blend(
                        (x0 + dx).round() as i64,
                        (y0 + dy).round() as i64,
                        ink,
                        cover,
                    );
                });
            }
            along += scaled.h_advance(glyph);
        }
        Ok(())
    }

    fn blend(&mut self, x: i64, y: i64, ink: Ink, cover: f32) {
        let (Ok(x), Ok(y)) = (usize::try_from(x), usize::try_from(y)) else {
            return;
        };
        let colour = ink.colour(self.sheet.theme);
        let Some(row) = self.row(y).filter(|row| 3 * x < row.len()) else {
            return;
        };
        for (byte, part) in row[3 * x..].iter_mut().zip(colour) {
            *byte = mixed(*byte, part, cover.min(1.0));
        }
    }
}
