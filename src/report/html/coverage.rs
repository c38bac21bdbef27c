//! Strips with their holes, and the legs that would close them.

use super::refly_legs::refly_legs;
use super::table::Set::{Figures, Words};
use super::table::{cell, leg_cell, table};
use crate::coverage::{Hole, HoleCause, Strip};
use crate::debrief::Debrief;
use crate::report::format::{nm, nm_figure, percent, square_nm};
use crate::report::refly_words;
use maud::{Markup, display, html};

pub(super) fn strips(debrief: &Debrief) -> Markup {
    let rows: Vec<Vec<Markup>> = debrief.strips.iter().map(strip).collect();
    html! {
        section #strips {
            h2 { "Strips" }
            p {
                "A strip is the ground one track spacing (" (nm(debrief.plan.spacing, 2)) ") wide along a \
                 search leg. Where its mean POD stays below the target of "
                (percent(debrief.coverage.target_pod)) " for long enough it has a hole: "
                b { "missed" } " if the log shows that the aircraft was not there, "
                b { "not recorded" } " if the log has a gap and it may have been searched. Places along a leg \
                 count from its planned start; strips reach beyond it as far as the area does."
            }
            (table(
                "Strips, each named after its leg",
                &[
                    ("Strip", Words),
                    ("At target", Figures),
                    ("Mean POD", Figures),
                    ("Lowest POD across, where", Figures),
                    ("Holes, along the leg from its planned start", Words),
                ],
                &rows,
            ))
        }
    }
}

fn strip(strip: &Strip) -> Vec<Markup> {
    vec![
        leg_cell(&strip.leg, &strip.leg),
        cell(percent(strip.share_at_target)),
        cell(percent(strip.mean_pod)),
        cell(format!(
            "{} at {}",
            percent(strip.lowest_pod),
            nm(strip.lowest_at, 1)
        )),
        html! {
            @if strip.holes.is_empty() { "none" }
            @else { ul.holes { @for hole in &strip.holes { li { (self::hole(hole)) } } } }
        },
    ]
}

fn hole(hole: &Hole) -> Markup {
    html! {
        b { (hole.cause.name()) } ", "
        (nm_figure(hole.span.from, 2)) " to " (nm(hole.span.to, 2))
        ", " (square_nm(hole.area_m2)) ", mean POD " (percent(hole.mean_pod)) br;
        span.place { (display(hole.span.from_position)) } " to " span.place { (display(hole.span.to_position)) }
    }
}

pub(super) fn refly(debrief: &Debrief) -> Markup {
    let refly = &debrief.refly;
    if refly.legs.is_empty() {
        return Markup::default();
    }
    html! {
        section #refly {
            h2 { "Re-fly" }
            p {
                (refly_words::cost(refly)) " " (refly_words::gain(refly)) " The same legs are in: "
                (refly_words::named(debrief.refly_tasked.as_ref())) "."
            }
            (refly_legs("Legs over the holes", refly, HoleCause::name))
        }
    }
}
