//! The colours of pictures and pages, each once.
//!
//! POD is shown by cividis, a map made to be read alike with and without colour-vision deficiency
//! and to rise evenly in lightness: J. R. Nuñez, C. R. Anderton, R. S. Renslow, "Optimizing colormaps
//! with consideration for color vision deficiency to enable accurate interpretation of scientific
//! data", PLOS ONE 13 (2018) e0199239, DOI 10.1371/journal.pone.0199239; values from the crate
//! `colorous`. Bright ground was seen well, dark ground was left in the dark.

use std::fmt::Write;
use std::sync::LazyLock;

/// Red, green and blue, 0 to 255.
pub type Rgb = [u8; 3];

/// Level of a place outside the area.
pub const OUTSIDE: u8 = 0;
/// Level of POD 1; POD 0 is level 1.
const TOP: u8 = 255;

/// The level of a POD: [`OUTSIDE`] for NaN, else 1 (POD 0) to 255 (POD 1).
#[must_use]
pub fn pod_level(pod: f64) -> u8 {
    if pod.is_nan() {
        return OUTSIDE;
    }
    1 + (pod.clamp(0.0, 1.0) * f64::from(TOP - 1)).round() as u8
}

/// The colour of a level; white for [`OUTSIDE`].
#[must_use]
pub fn level_colour(level: u8) -> Rgb {
    // A picture asks for millions of them.
    static COLOURS: LazyLock<[Rgb; 256]> = LazyLock::new(|| {
        std::array::from_fn(|level| {
            if level == usize::from(OUTSIDE) {
                return [255; 3];
            }
            let share = (level as f64 - 1.0) / f64::from(TOP - 1);
            let colour = colorous::CIVIDIS.eval_continuous(share);
            [colour.r, colour.g, colour.b]
        })
    });
    COLOURS[usize::from(level)]
}

/// How much of a raster map shows through what pales it: 0 (nothing) to 1 (nothing is paled). Chosen: search legs and words keep a
/// contrast of 3:1 with every colour that it can have then (test `search_legs_stand_out_from_every_backdrop`); all lines have a
/// casing of paper or an edge, from which they stand out as they do without it.
#[must_use]
pub const fn backdrop_opacity(theme: Theme) -> f64 {
    match theme {
        Theme::Light => 0.45,
        Theme::Dark => 0.35,
    }
}

/// What a picture is painted on.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Theme {
    /// Light paper.
    #[default]
    Light,
    /// A dark screen.
    Dark,
}

/// What a line, a surface or a word stands for; the painters give it its colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ink {
    /// Words and frames.
    Text,
    /// Words of second rank, ticks.
    Faint,
    /// Grid lines.
    Grid,
    /// The ground of a picture.
    Paper,
    /// A light line that lies on the POD colours, dark or bright: planned legs, the area.
    Chalk,
    /// The edge that makes chalk visible on bright ground.
    Edge,
    /// Search legs as flown.
    SearchLeg,
    /// Additional legs as flown.
    AdditionalLeg,
    /// Turns.
    Turn,
    /// Orbits.
    Orbit,
    /// Excursions.
    Excursion,
    /// Boundary check.
    BoundaryCheck,
    /// Transit and ground.
    Transit,
    /// Nothing recorded.
    NotRecorded,
    /// Ground missed.
    Missed,
    /// The band of tolerance.
    Tolerance,
}

impl Ink {
    /// Every ink.
    pub const ALL: [Self; 16] = [
        Self::Text,
        Self::Faint,
        Self::Grid,
        Self::Paper,
        Self::Chalk,
        Self::Edge,
        Self::SearchLeg,
        Self::AdditionalLeg,
        Self::Turn,
        Self::Orbit,
        Self::Excursion,
        Self::BoundaryCheck,
        Self::Transit,
        Self::NotRecorded,
        Self::Missed,
        Self::Tolerance,
    ];

    /// Name in style sheets.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Text => "text",
            Self::Faint => "faint",
            Self::Grid => "grid",
            Self::Paper => "paper",
            Self::Chalk => "chalk",
            Self::Edge => "edge",
            Self::SearchLeg => "search-leg",
            Self::AdditionalLeg => "additional-leg",
            Self::Turn => "turn",
            Self::Orbit => "orbit",
            Self::Excursion => "excursion",
            Self::BoundaryCheck => "boundary-check",
            Self::Transit => "transit",
            Self::NotRecorded => "not-recorded",
            Self::Missed => "missed",
            Self::Tolerance => "tolerance",
        }
    }

    /// Its colour in a theme.
    #[must_use]
    pub const fn colour(self, theme: Theme) -> Rgb {
        match theme {
            Theme::Light => self.light(),
            Theme::Dark => self.dark(),
        }
    }

    /// Its colour on light paper.
    #[must_use]
    pub const fn light(self) -> Rgb {
        match self {
            Self::Text => [0x1c, 0x21, 0x28],
            Self::Faint => [0x59, 0x61, 0x6b],
            Self::Grid => [0xd9, 0xd7, 0xd0],
            Self::Paper => [0xfb, 0xfa, 0xf7],
            Self::Chalk => [0xff, 0xff, 0xff],
            Self::Edge => [0x22, 0x2b, 0x3a],
            Self::SearchLeg => [0x14, 0x17, 0x1c],
            Self::AdditionalLeg => [0x00, 0x6d, 0x77],
            Self::Turn => [0x5b, 0x5b, 0x5b],
            Self::Orbit => [0x8a, 0x2b, 0x87],
            Self::Excursion => [0xb8, 0x3b, 0x0a],
            Self::BoundaryCheck => [0x4b, 0x6b, 0x0e],
            Self::Transit => [0x7a, 0x80, 0x88],
            Self::NotRecorded => [0x8b, 0x90, 0x97],
            Self::Missed => [0xf2, 0x79, 0x2b],
            Self::Tolerance => [0x9f, 0xc4, 0xb4],
        }
    }

    /// Its colour on dark paper.
    #[must_use]
    pub const fn dark(self) -> Rgb {
        match self {
            Self::Text => [0xe7, 0xe6, 0xe1],
            Self::Faint => [0xa9, 0xae, 0xb4],
            Self::Grid => [0x3a, 0x40, 0x49],
            Self::Paper => [0x17, 0x1b, 0x21],
            Self::Chalk => [0xff, 0xff, 0xff],
            Self::Edge => [0x22, 0x2b, 0x3a],
            Self::SearchLeg => [0xf4, 0xf3, 0xee],
            Self::AdditionalLeg => [0x63, 0xd0, 0xd6],
            Self::Turn => [0xb4, 0xb4, 0xb4],
            Self::Orbit => [0xe3, 0x9b, 0xe0],
            Self::Excursion => [0xff, 0x9a, 0x66],
            Self::BoundaryCheck => [0xb2, 0xd3, 0x6a],
            Self::Transit => [0x8f, 0x96, 0x9e],
            Self::NotRecorded => [0x8b, 0x90, 0x97],
            Self::Missed => [0xf2, 0x79, 0x2b],
            Self::Tolerance => [0x2f, 0x55, 0x48],
        }
    }
}

/// The inks as style-sheet variables and classes: `s-…` strokes, `f-…` fills.
#[must_use]
pub fn style_sheet() -> String {
    format!(
        ":root{{{}}}\n@media screen and (prefers-color-scheme:dark){{:root{{{}}}}}\n{}",
        variables(Theme::Light),
        variables(Theme::Dark),
        classes()
    )
}

/// The same for a picture that stands by itself, in one theme.
#[must_use]
pub fn style_sheet_in(theme: Theme) -> String {
    format!(":root{{{}}}\n{}", variables(theme), classes())
}

fn variables(theme: Theme) -> String {
    let backdrop = format!("--backdrop:{};", backdrop_opacity(theme));
    Ink::ALL.iter().fold(backdrop, |mut text, ink| {
        let [r, g, b] = ink.colour(theme);
        // Writing to a String cannot fail.
        let _ = write!(text, "--{}:#{r:02x}{g:02x}{b:02x};", ink.name());
        text
    })
}

fn classes() -> String {
    let mut sheet = String::new();
    for ink in Ink::ALL {
        let name = ink.name();
        let _ = writeln!(
            sheet,
            ".s-{name}{{stroke:var(--{name})}}.f-{name}{{fill:var(--{name})}}"
        );
    }
    sheet
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Relative luminance, WCAG 2.2 (W3C Recommendation, 2023), "relative luminance".
    fn luminance(colour: Rgb) -> f64 {
        let [r, g, b] = colour.map(|byte| {
            let c = f64::from(byte) / 255.0;
            if c <= 0.04045 {
                c / 12.92
            } else {
                ((c + 0.055) / 1.055).powf(2.4)
            }
        });
        0.2126 * r + 0.7152 * g + 0.0722 * b
    }

    /// CIE 1976 lightness (ISO/CIE 11664-4) of a relative luminance.
    fn lightness(colour: Rgb) -> f64 {
        116.0 * luminance(colour).cbrt() - 16.0
    }

    /// Nuñez et al. 2018 made the map linear in lightness; the crate's polynomial and 8 bits leave
    /// little ripple. Without the evenness equal steps of POD would not look equal.
    #[test]
    fn lightness_rises_evenly_with_pod() {
        let light: Vec<f64> = (1..=255)
            .map(|level| lightness(level_colour(level)))
            .collect();
        let (low, high) = (light[0], light[254]);
        assert!(high - low > 65.0, "{low} to {high}");
        for (index, value) in light.iter().enumerate() {
            let even = low + (high - low) * index as f64 / 254.0;
            assert!(
                (value - even).abs() < 4.0,
                "level {}: {value}, even {even}",
                index + 1
            );
        }
        for step in light.windows(11) {
            assert!(step[10] > step[0], "lightness falls: {step:?}");
        }
    }

    #[test]
    fn levels_span_the_range_and_keep_the_outside_apart() {
        assert_eq!(pod_level(f64::NAN), OUTSIDE);
        assert_eq!(
            [pod_level(0.0), pod_level(0.5), pod_level(1.0)],
            [1, 128, 255]
        );
        assert_eq!([pod_level(-0.1), pod_level(1.1)], [1, 255]);
    }

    /// WCAG 2.2, "contrast ratio".
    fn contrast(a: Rgb, b: Rgb) -> f64 {
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    /// WCAG 2.2, success criterion 1.4.11: 3:1 for graphics. Between black and white, whatever a raster map has, paled.
    #[test]
    fn search_legs_stand_out_from_every_backdrop() {
        for theme in [Theme::Light, Theme::Dark] {
            for colour in [[0; 3], [255; 3], [255, 0, 0], [0, 255, 0], [0, 0, 255]] {
                let opacity = backdrop_opacity(theme);
                let paper = Ink::Paper.colour(theme);
                let paled = [0, 1, 2].map(|channel| {
                    let (above, below) = (f64::from(colour[channel]), f64::from(paper[channel]));
                    (below + (above - below) * opacity).round() as u8
                });
                for ink in [Ink::Text, Ink::SearchLeg] {
                    let found = contrast(ink.colour(theme), paled);
                    assert!(found >= 3.0, "{ink:?} on {paled:?}: {found}");
                }
            }
        }
    }

    /// WCAG 2.2, success criterion 1.4.3: 4.5:1 for text; 1.4.11: 3:1 for graphics.
    #[test]
    fn words_and_lines_stand_out_from_the_paper() {
        for colour in [Ink::light, Ink::dark] {
            let paper = colour(Ink::Paper);
            for ink in [Ink::Text, Ink::Faint] {
                assert!(contrast(colour(ink), paper) >= 4.5, "{ink:?}");
            }
            for ink in [
                Ink::SearchLeg,
                Ink::AdditionalLeg,
                Ink::Turn,
                Ink::Orbit,
                Ink::Excursion,
                Ink::BoundaryCheck,
                Ink::Transit,
                Ink::NotRecorded,
            ] {
                assert!(contrast(colour(ink), paper) >= 3.0, "{ink:?}");
            }
        }
    }
}
