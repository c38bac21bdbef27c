//! The raster map below a map, in words.

use super::format::{metres, percent};
use crate::backdrop::{About, Picture};
use crate::cautions;
use crate::debrief::Debrief;
use crate::units::Length;

/// Share of the map from which on it counts as covered: the edge of a raster that ends with the map lies within a pixel.
const ALL: f64 = 0.995;
/// Lengths below this show a tenth of a metre.
const FINE: Length = Length::from_m(10.0);

/// What it is, how fine, and what it is good for.
#[must_use]
pub fn line(about: &About) -> String {
    let mut line = format!(
        "Backdrop: {} ({}, {}), {} a pixel, shown with {}. {}",
        about.name,
        about.format,
        about.crs,
        fine(about.pixel),
        fine(about.shown_pixel),
        cautions::BACKDROP,
    );
    for more in [partly(about), credits(about)].into_iter().flatten() {
        line.push(' ');
        line.push_str(&more);
    }
    line
}

/// The same for a picture, where there is little room.
#[must_use]
pub fn short(debrief: &Debrief) -> Option<String> {
    let about = &debrief.backdrop.as_deref()?.about;
    let credits = credits(about).map_or_else(String::new, |credits| format!(" {credits}"));
    Some(format!(
        "Backdrop for orientation only: {}.{credits}",
        about.name
    ))
}

/// What is to be said where the backdrop ends within the map.
#[must_use]
pub fn partly(about: &About) -> Option<String> {
    (about.share < ALL).then(|| format!("It covers {} of the map.", percent(about.share)))
}

/// Its name for whoever cannot see it.
#[must_use]
pub fn named(picture: &Picture) -> String {
    format!("Backdrop for orientation only: {}", picture.about.name)
}

fn credits(about: &About) -> Option<String> {
    let quoted: Vec<String> = about
        .credits
        .iter()
        .map(|text| format!("“{text}”"))
        .collect();
    (!quoted.is_empty()).then(|| format!("The file says of itself: {}.", quoted.join(", ")))
}

fn fine(length: Length) -> String {
    if length < FINE {
        format!("{:.1} m", length.m())
    } else {
        metres(length)
    }
}
