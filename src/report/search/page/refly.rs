//! What to fly next: before and after, its legs, and what it saves beside flying whole legs again.

use crate::refly::Outcome;
use crate::report::drawing::DrawError;
use crate::report::format::{about, kt, nm, percent};
use crate::report::html::picture;
use crate::report::html::refly_legs::refly_legs;
use crate::report::html::table::Set::{Figures, Words};
use crate::report::html::table::{cell, table};
use crate::report::refly_words;
use crate::report::search::{map, words};
use crate::search::Search;
use maud::{Markup, html};

/// Greatest width and height of the two maps, pixels: one above the other they may be higher than a screen.
const PAIR_PX: (f64, f64) = (1_100.0, 1_000.0);

pub(super) fn refly(search: &Search) -> Result<Markup, DrawError> {
    let refly = &search.refly;
    if refly.legs.is_empty() {
        return Ok(Markup::default());
    }
    let scene = map::before_and_after(search, PAIR_PX.0, PAIR_PX.1);
    let about = "Two maps in the same colours: POD of all sorties together, and POD with the re-fly added; the \
                 table below gives what it costs and brings.";
    Ok(html! {
        section #refly {
            h2 { "Re-fly" }
            p {
                (refly_words::cost(refly)) " " (refly_words::gain(refly))
                " Counted with a ground speed of " (kt(refly.ground_speed, 0)) ". The same legs are in "
                (refly_words::named(search.refly_tasked.as_ref())) "."
                @if !refly.goal_met { " It does not do all that is wanted." }
            }
            figure { (picture(&scene, "before-after", "POD before and after the re-fly", about)?) }
            (compared(search))
            @if let Some(left) = words::strips_left(search) { p { (left) } }
            (refly_legs("Legs to fly, in this order", refly, words::cause))
        }
    })
}

fn compared(search: &Search) -> Markup {
    let refly = &search.refly;
    let row = |name: &str, outcome: &Outcome| {
        vec![
            cell(name),
            cell(outcome.passes),
            cell(about(outcome.duration_s)),
            cell(nm(outcome.search_length, 1)),
            cell(nm(outcome.total_length, 1)),
            cell(format!("about {}", percent(outcome.pod))),
            cell(outcome.strips_left),
        ]
    };
    let rows = [
        row("These legs", &refly.outcome),
        row("Whole legs again", &refly.every_leg),
    ];
    table(
        "What it costs and brings, and what flying every leg with a hole again from end to end would",
        &[
            ("Way", Words),
            ("Legs", Figures),
            ("Time", Figures),
            ("To search", Figures),
            ("Flown in all", Figures),
            ("POD over the ground then", Figures),
            ("Strips left with holes", Figures),
        ],
        &rows,
    )
}
