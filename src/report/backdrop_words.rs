//! The raster map below a map, in words.

use super::format::{metres, percent};
use crate::backdrop::{About, Picture};
use crate::cautions;
use crate::debrief::Debrief;

/// Share of the map from which on it counts as covered: the edge of a raster that ends with the map lies within a pixel.
const ALL: f64 = 0.995;

/// What it is, how fine, and what it is good for.
#[must_use]
pub fn line(about: &About) -> String {
    format!(
        "Backdrop: {} ({}, {}), {} a pixel, shown with {}. {}{}{}",
        about.name,
        about.format,
        about.crs,
        metres_of(about.pixel.m()),
        metres_of(about.shown_pixel.m()),
        cautions::BACKDROP,
        partly(about)
            .map(|partly| format!(" {partly}"))
            .unwrap_or_default(),
        credits(about),
    )
}

/// The same for a picture, where there is little room.
#[must_use]
pub fn short(debrief: &Debrief) -> Option<String> {
    let about = &debrief.backdrop.as_deref()?.about;
    Some(format!(
        "Backdrop for orientation only: {}.{}",
        about.name,
        credits(about)
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

fn credits(about: &About) -> String {
    let credits = about.credits.join("; ");
    if credits.is_empty() {
        return String::new();
    }
    format!(" The file says of itself: {credits}")
}

fn metres_of(length_m: f64) -> String {
    if length_m < 10.0 {
        return format!("{length_m:.1} m");
    }
    metres(crate::units::Length::from_m(length_m))
}
