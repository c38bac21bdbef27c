//! `report.html`: one file that needs nothing else, readable in its first ten seconds and to the
//! last figure after that. No script, no network; light or dark as the reader's screen is, and fit
//! for paper.
//!
//! `maud` escapes every text; what cannot stand in a page at all is replaced once, at the end.

pub(super) mod about;
mod above_ground;
mod coverage;
mod legs;
pub(super) mod refly_legs;
pub(super) mod summary;
pub(super) mod table;
mod times;
mod whole;

use super::charts::xte;
use super::drawing::{DrawError, Scene, svg::svg};
use super::map::map;
use super::palette;
use super::timeline::timeline;
use crate::characters::is_harmful;
use crate::debrief::Debrief;
use maud::{DOCTYPE, Markup, PreEscaped, html};

/// Greatest width and height of the map, pixels: it fits a screen.
const MAP_PX: (f64, f64) = (1_100.0, 780.0);

/// The style sheet of a report that is looked at on a screen.
pub const STYLE: &str = include_str!("style.css");

/// The page.
///
/// # Errors
/// When the raster cannot be encoded.
pub fn report_html(debrief: &Debrief) -> Result<String, DrawError> {
    let title = format!("Debrief of {}, {}", debrief.sortie, debrief.date);
    let body = html! {
        a.skip href="#strips" { "To the strips" }
        header { (summary::summary(debrief)) }
        (contents(debrief))
        main {
            (map_figure(debrief)?)
            (coverage::strips(debrief))
            (coverage::refly(debrief))
            (whole::by_distance(debrief)?)
            (whole::pattern(debrief))
            (tracking(debrief)?)
            (legs::additional(debrief))
            (legs::turns(debrief))
            (times::outside(debrief))
            (phases(debrief)?)
            (times::handling(debrief))
            (above_ground::above_ground(debrief))
            (about::log(debrief))
            (about::plan(debrief))
            (about::method(debrief))
            (about::cautions(debrief))
        }
        footer { p { "overflown " (debrief.version) ", " (debrief.schema) } }
    };
    Ok(document(&title, STYLE, &body))
}

/// A page around its body, with its style sheet; what cannot stand in a page is replaced.
pub fn document(title: &str, style: &str, body: &Markup) -> String {
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                meta name="generator" content=(concat!("overflown ", env!("CARGO_PKG_VERSION")));
                title { (title) }
                style { (PreEscaped(palette::style_sheet())) (PreEscaped(style)) }
            }
            body { (body) }
        }
    };
    printable(&page.into_string())
}

fn contents(debrief: &Debrief) -> Markup {
    let mut links = vec![("strips", "Strips")];
    if !debrief.refly.legs.is_empty() {
        links.push(("refly", "Re-fly"));
    }
    if debrief.coverage.by_distance.is_some() {
        links.push(("distance", "By distance"));
    }
    if super::whole::is_told(debrief) {
        links.push(("whole", "Pattern as a whole"));
    }
    links.push(("legs", "Legs"));
    if !debrief.additional_legs.is_empty() {
        links.push(("additional", "Additional legs"));
    }
    links.extend([
        ("turns", "Turns"),
        ("outside", "Out of the area"),
        ("phases", "Phases"),
        ("handling", "Speed, height, wind"),
    ]);
    if debrief.above_ground.is_some() {
        links.push(("above-ground", "Height above the ground"));
    }
    links.extend([
        ("log", "Log"),
        ("plan", "Plan"),
        ("method", "How it was worked out"),
        ("cautions", "Cautions"),
    ]);
    links_within(&links)
}

/// Links to the sections of a page, by their id.
pub fn links_within(links: &[(&str, &str)]) -> Markup {
    html! {
        nav aria-label="Contents" {
            ul { @for (id, name) in links { li { a href={ "#" (id) } { (name) } } } }
        }
    }
}

fn map_figure(debrief: &Debrief) -> Result<Markup, DrawError> {
    let scene = map(debrief, MAP_PX.0, MAP_PX.1);
    let about = "Detection over the search area with the planned legs, the flown track by phase and \
                 the holes; the tables below give the same in figures.";
    Ok(html! {
        figure {
            (picture(&scene, "map", "Map of the search", about)?)
            figcaption {
                "Bright ground was seen well, dark ground was left in the dark. Hatched ground is a \
                 hole. Legs are numbered where they begin; numbers that would cover others are left \
                 out. True north is up at the middle of the area."
            }
        }
    })
}

fn tracking(debrief: &Debrief) -> Result<Markup, DrawError> {
    let about = "Cross-track error along each planned leg, one panel a leg; the table below gives \
                 mean, spread and largest error of every pass.";
    Ok(html! {
        section #legs {
            h2 { "Legs" }
            (legs::overall(debrief))
            figure {
                (picture(&xte(debrief), "xte", "Cross-track error along the legs", about)?)
            }
            (legs::passes(debrief))
        }
    })
}

fn phases(debrief: &Debrief) -> Result<Markup, DrawError> {
    let about = "When the flight was in which phase, with the total of each; the table below gives \
                 the same in figures.";
    Ok(html! {
        section #phases {
            h2 { "Phases" }
            figure { (picture(&timeline(debrief), "timeline", "Phases along the clock", about)?) }
            (times::phases(debrief))
        }
    })
}

/// A picture that scrolls in itself where the screen is narrow.
pub(super) fn picture(
    scene: &Scene,
    id: &str,
    title: &str,
    about: &str,
) -> Result<Markup, DrawError> {
    let drawn = svg(scene, id, title, about)?;
    Ok(html! { div.scroll tabindex="0" role="region" aria-label=(title) { (drawn) } })
}

/// The page without what no page may hold: control characters, and marks that turn the direction of
/// writing and could make one name look like another. They show as `�`. Figures keep their unit on
/// the same line.
pub(super) fn printable(page: &str) -> String {
    page.chars()
        .map(|letter| match letter {
            '\n' | '\t' => letter,
            _ if is_harmful(letter) => '\u{FFFD}',
            _ => letter,
        })
        .collect::<String>()
        .replace(" %", "\u{a0}%")
        .replace(" NM", "\u{a0}NM")
}

#[cfg(test)]
mod tests;
