//! `report.html`: one file that needs nothing else, readable in its first ten seconds and to the
//! last figure after that. No network; light or dark as the reader's screen is, and fit for paper. Every figure and
//! picture stands without its script, which lets a reader come nearer and follow the flight.
//!
//! `maud` escapes every text; what cannot stand in a page at all is replaced once, at the end.

pub(super) mod about;
mod above_ground;
mod coverage;
mod legs;
pub(super) mod live;
mod map;
pub(super) mod refly_legs;
pub(super) mod summary;
pub(super) mod table;
mod times;
mod whole;

use super::charts::{clock, xte};
use super::drawing::{DrawError, Scene, svg::svg};
use super::palette;
use crate::characters::is_harmful;
use crate::debrief::Debrief;
use geo::Rect;
use maud::{DOCTYPE, Markup, PreEscaped, html};

/// The style sheet of a report that is looked at on a screen.
pub const STYLE: &str = include_str!("style.css");

/// The page.
///
/// # Errors
/// When the raster cannot be encoded.
pub fn report_html(debrief: &Debrief) -> Result<String, DrawError> {
    let title = format!("Debrief of {}, {}", debrief.sortie, debrief.date);
    let map = map::PageMap::of(debrief);
    let body = html! {
        a.skip href="#strips" { "To the strips" }
        header { (summary::summary(debrief)) }
        (contents(debrief))
        main {
            (map.figure()?)
            (along_the_clock(debrief)?)
            (coverage::strips(debrief))
            (coverage::refly(debrief))
            (whole::by_distance(debrief)?)
            (whole::pattern(debrief))
            (tracking(debrief)?)
            (legs::additional(debrief))
            (legs::turns(debrief))
            (times::outside(debrief))
            (times::handling(debrief))
            (above_ground::above_ground(debrief))
            details #basis {
                summary { "What it rests on: log, plan, method, cautions" }
                (about::log(debrief))
                (about::plan(debrief))
                (about::method(debrief))
                (about::cautions(debrief))
            }
        }
        footer { p { "overflown " (debrief.version) ", " (debrief.schema) } }
        script #flight type="application/json" { (PreEscaped(map.flight()?)) }
        script { (PreEscaped(live::SCRIPT)) }
    };
    Ok(document(&title, STYLE, &live::policy(live::SCRIPT), &body))
}

/// What a page without script may do: nothing but what stands in it (Content Security Policy Level 3, W3C).
pub const STILL: &str = "default-src 'none'; img-src data:; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'";

/// A page around its body, with its style sheet and what it may do; what cannot stand in a page is replaced.
pub fn document(title: &str, style: &str, policy: &str, body: &Markup) -> String {
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta http-equiv="Content-Security-Policy" content=(policy);
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

/// The ground that the map of the page shows, metres in the plane of its raster.
#[must_use]
pub fn ground_of_map(debrief: &Debrief) -> Rect<f64> {
    map::PageMap::of(debrief).ground()
}

fn contents(debrief: &Debrief) -> Markup {
    let mut links = vec![
        ("map", "Map"),
        ("clock-charts", "Along the clock"),
        ("strips", "Strips"),
    ];
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

fn along_the_clock(debrief: &Debrief) -> Result<Markup, DrawError> {
    let about = "When the flight was in which phase, with the total of each; the table below gives \
                 the same in figures.";
    let levels = "While on task the shaded band is what was tasked with its tolerance.";
    let height = clock::height(debrief);
    let speed = clock::ground_speed(debrief);
    Ok(html! {
        section #clock-charts {
            h2 { "Along the clock" }
            figure.clocked {
                (picture(&clock::phases(debrief), "phases", "Phases along the clock", about)?)
                @if let Some(height) = &height {
                    (picture(height, "height", "Height along the clock", levels)?)
                }
                @if let Some(speed) = &speed {
                    (picture(speed, "speed-chart", "Ground speed along the clock", levels)?)
                }
                figcaption {
                    "Shaded: on task; in the lower charts what was tasked, with its tolerance. "
                    @if height.is_none() { "The log gives no height. " }
                    "Heights are " (debrief.log.height_kind.describe()) "."
                }
            }
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
