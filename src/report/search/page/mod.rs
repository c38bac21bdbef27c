//! `search.html`: the search on one page, in the hand of the debrief's. No script, no network; light or dark as
//! the reader's screen is, and fit for paper.

mod about;
mod refly;
mod results;
mod summary;

use super::{map, words};
use crate::report::charts::cumulative;
use crate::report::drawing::DrawError;
use crate::report::html::{STILL, STYLE, document, links_within, picture};
use crate::search::Search;
use maud::{Markup, html};

/// Greatest width and height of a map, pixels: it fits a screen.
const MAP_PX: (f64, f64) = (1_100.0, 780.0);

/// The page.
///
/// # Errors
/// When a raster cannot be encoded.
pub fn search_html(search: &Search) -> Result<String, DrawError> {
    let body = html! {
        a.skip href="#strips" { "To the strips" }
        header { (summary::summary(search)) }
        (contents(search))
        main {
            (cumulative_map(search)?)
            (refly::refly(search)?)
            (curve(search)?)
            (results::sub_areas(search))
            (results::strips(search))
            (about::method(search))
            (about::inputs(search))
            (about::cautions(search))
        }
        footer { p { "overflown " (search.version) ", " (search.schema) } }
    };
    Ok(document(&words::title(search), STYLE, STILL, &body))
}

fn contents(search: &Search) -> Markup {
    let mut links = Vec::new();
    if !search.refly.legs.is_empty() {
        links.push(("refly", "Re-fly"));
    }
    links.extend([
        ("sorties", "Sorties"),
        ("sub-areas", "Sub-areas"),
        ("strips", "Strips"),
        ("method", "How it was worked out"),
        ("inputs", "Files"),
        ("cautions", "Cautions"),
    ]);
    links_within(&links)
}

fn cumulative_map(search: &Search) -> Result<Markup, DrawError> {
    let scene = map::cumulative(search, MAP_PX.0, MAP_PX.1);
    let about = "POD of all sorties together over the sub-areas, with the strips that have holes and the legs \
                 to re-fly; the tables below give the same in figures.";
    Ok(html! {
        figure {
            (picture(&scene, "map", "Map of the search", about)?)
            figcaption {
                "Bright ground was seen well by all sorties together, dark ground was left in the dark. Hatched \
                 ground is a hole: a stretch of a strip below what is wanted. Arrows show which way the legs \
                 R1, R2 … are to be flown. Names that would cover others are left out. True north is up at \
                 the middle of the ground."
            }
        }
    })
}

fn curve(search: &Search) -> Result<Markup, DrawError> {
    let about = "POD of all sorties up to each with its band, POS, and the POD of each sortie alone; the table \
                 below gives the same in figures.";
    let scene = cumulative::chart(search);
    Ok(html! {
        section #sorties {
            h2 { "Sorties" }
            figure { (picture(&scene, "curve", "POD and POS by sortie", about)?) }
            (results::sorties(search))
        }
    })
}
