//! The font of PNG pictures: DejaVu Sans, compiled in, so that no system font is needed.

use ab_glyph::{Font, FontRef, PxScale, ScaleFont};
use std::sync::LazyLock;

/// The compiled-in font is readable by construction; if it ever were not, pictures would be
/// refused by [`face`], not drawn without words.
static REGULAR: LazyLock<Option<FontRef<'static>>> =
    LazyLock::new(|| FontRef::try_from_slice(dejavu::sans::regular()).ok());
static BOLD: LazyLock<Option<FontRef<'static>>> =
    LazyLock::new(|| FontRef::try_from_slice(dejavu::sans::bold()).ok());

/// The font, regular or bold.
#[must_use]
pub fn face(bold: bool) -> Option<&'static FontRef<'static>> {
    if bold {
        BOLD.as_ref()
    } else {
        REGULAR.as_ref()
    }
}

/// The scale at which an em is `size` pixels.
#[must_use]
pub fn scale(font: &FontRef<'_>, size: f64) -> PxScale {
    let per_em = f64::from(font.units_per_em().unwrap_or(2048.0));
    PxScale::from((size * f64::from(font.height_unscaled()) / per_em) as f32)
}

/// Width of `text` at `size` pixels per em. Page fonts are mostly narrower than this one.
#[must_use]
pub fn width(text: &str, size: f64, bold: bool) -> f64 {
    let Some(font) = face(bold) else {
        return 0.0;
    };
    let scaled = font.as_scaled(scale(font, size));
    let mut last = None;
    let mut x = 0.0;
    for letter in text.chars() {
        let glyph = scaled.glyph_id(letter);
        x += last.map_or(0.0, |last| scaled.kern(last, glyph)) + scaled.h_advance(glyph);
        last = Some(glyph);
    }
    f64::from(x)
}

/// `text` cut with an ellipsis so that it is no wider than `room`.
#[must_use]
pub fn fitted(text: &str, size: f64, bold: bool, room: f64) -> String {
    if width(text, size, bold) <= room {
        return text.to_owned();
    }
    let mut short: Vec<char> = text.chars().collect();
    while !short.is_empty() {
        short.pop();
        let cut = format!("{}…", short.iter().collect::<String>().trim_end());
        if width(&cut, size, bold) <= room {
            return cut;
        }
    }
    String::new()
}

/// What is not parted from the figure before it.
const UNITS: [&str; 4] = ["%", "NM", "ft", "kt"];

/// `text` broken at spaces into lines no wider than `room`; a longer word is cut.
#[must_use]
pub fn wrapped(text: &str, size: f64, bold: bool, room: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let mut words: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match words.last_mut() {
            Some(figure) if UNITS.contains(&word.trim_end_matches([',', '.', ';', ')'])) => {
                figure.push(' ');
                figure.push_str(word);
            }
            _ => words.push(word.to_owned()),
        }
    }
    for word in &words {
        if let Some(line) = lines.last_mut() {
            let longer = format!("{line} {word}");
            if width(&longer, size, bold) <= room {
                *line = longer;
                continue;
            }
        }
        lines.push(fitted(word, size, bold, room));
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_text_is_fitted_and_wrapped() {
        assert_eq!(fitted("Leg 7", 12.0, false, 100.0), "Leg 7");
        let cut = fitted(&"wide ".repeat(40), 12.0, true, 100.0);
        assert!(
            cut.ends_with('…') && width(&cut, 12.0, true) <= 100.0,
            "{cut}"
        );
        let lines = wrapped(&"wide ".repeat(40), 12.0, false, 100.0);
        assert!(lines.len() > 5);
        assert!(lines.iter().all(|line| width(line, 12.0, false) <= 100.0));
        assert_eq!(lines.join(" ").split(' ').count(), 40);
    }

    /// DejaVu Sans: units per em 2048, advance of `H` 1540 (its `hmtx` table).
    #[test]
    fn sizes_are_pixels_per_em() {
        assert!((width("H", 20.48, false) - 15.40).abs() < 0.01);
    }
}
