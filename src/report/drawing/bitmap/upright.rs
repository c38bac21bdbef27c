//! Rectangles with upright sides.

use super::band::Band;
use super::marks::Pixel;
use plotters::style::RGBAColor;

/// The pixels that plotters fills of a rectangle with upright sides.
pub struct Upright {
    /// The first, either way.
    low: Pixel,
    /// The one past the last.
    beyond: Pixel,
    /// Whether it is filled row by row or column by column.
    by_rows: bool,
}

impl Upright {
    /// `None` for another shape.
    pub fn of(ring: &[Pixel]) -> Option<Self> {
        let [a, b, c, d] = ring.try_into().ok()?;
        let round_one_way = a.1 == b.1 && b.0 == c.0 && c.1 == d.1 && d.0 == a.0;
        let round_the_other = a.0 == b.0 && b.1 == c.1 && c.0 == d.0 && d.1 == a.1;
        let low = (a.0.min(c.0), a.1.min(c.1));
        let high = (a.0.max(c.0), a.1.max(c.1));
        let (width, height) = (high.0 - low.0, high.1 - low.1);
        let by_rows = width <= height;
        // It goes along the longer side and leaves its last row or column out, but not of those a pixel wide.
        let plain = (round_one_way || round_the_other) && width > 1 && height > 1;
        plain.then_some(Self {
            low,
            beyond: if by_rows {
                (high.0 + 1, high.1)
            } else {
                (high.0, high.1 + 1)
            },
            by_rows,
        })
    }
}

impl Band<'_> {
    /// A rectangle with upright sides, row by row: the pixels that plotters fills column by column, one after the other
    /// in memory.
    pub fn upright(&mut self, rectangle: &Upright, colour: RGBAColor) {
        let RGBAColor(r, g, b, opacity) = colour;
        let (low, beyond) = (rectangle.low, rectangle.beyond);
        let across = inside(low.0, beyond.0, self.sheet.width);
        let share = (256.0 * opacity.clamp(0.0, 1.0)).floor() as u16;
        // Along a row plotters blends eight pixels at once, and rounds them otherwise.
        let at_once = if rectangle.by_rows {
            across.len().saturating_sub(1) / 8 * 8
        } else {
            0
        };
        for y in inside(low.1, beyond.1, self.sheet.height) {
            let Some(row) = self.row(y) else {
                continue;
            };
            let pixels = &mut row[3 * across.start..3 * across.end];
            let (eights, rest) = pixels.split_at_mut(3 * at_once);
            for pixel in eights.chunks_exact_mut(3) {
                for (byte, new) in pixel.iter_mut().zip([r, g, b]) {
                    let both = u16::from(*byte) * (256 - share) + u16::from(new) * share;
                    *byte = (both / 256) as u8;
                }
            }
            for pixel in rest.chunks_exact_mut(3) {
                for (byte, new) in pixel.iter_mut().zip([r, g, b]) {
                    *byte = if new > *byte {
                        *byte + (u16::from(new - *byte) * share / 256) as u8
                    } else {
                        *byte - (u16::from(*byte - new) * share / 256) as u8
                    };
                }
            }
        }
    }
}

/// Those from `low` up to `high` that a canvas has.
fn inside(low: i32, high: i32, size: usize) -> std::ops::Range<usize> {
    let within = |at: i32| usize::try_from(at).unwrap_or(0).min(size);
    within(low)..within(high).max(within(low))
}
