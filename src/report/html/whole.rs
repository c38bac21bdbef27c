//! The pattern as a whole, and detection by distance from the datum.

use super::picture;
use super::table::Set::{Figures, Words};
use super::table::{cell, facts, table};
use crate::debrief::Debrief;
use crate::measure::PatternShift;
use crate::report::charts::distance;
use crate::report::drawing::DrawError;
use crate::report::format::{aside, metres, nm, nm_figure, or_none, percent, square_nm};
use crate::report::whole::{self, AS_PLANNED, NOT_SETTLED};
use maud::{Markup, html};

pub(super) fn pattern(debrief: &Debrief) -> Markup {
    if !whole::is_told(debrief) {
        return Markup::default();
    }
    html! {
        section #whole {
            h2 { "The pattern as a whole" }
            @match &debrief.pattern_shift {
                None => { p { (NOT_SETTLED) } }
                Some(shift) => { (settled(shift)) }
            }
        }
    }
}

fn settled(shift: &PatternShift) -> Markup {
    let shown: Vec<(&str, Markup)> = whole::facts(shift)
        .into_iter()
        .map(|(name, fact)| (name, cell(fact)))
        .collect();
    html! {
        p { (shift.summary.as_deref().unwrap_or(AS_PLANNED)) }
        (facts(&shown))
        @if !shift.slips.is_empty() {
            p { "What may have happened, with the figures it rests on:" }
            ul { @for slip in &shift.slips { li { (slip.words) } } }
        }
        p {
            "Figures after ± hold with a chance of 95 %. They rest on all straight lines flown, not only on \
             those near a planned leg."
        }
        @if shift.moved {
            (table(
                "Legs about the pattern as it was flown; all else in this report is about the tasked ground",
                &[
                    ("Leg", Words),
                    ("Flown straight", Figures),
                    ("Mean XTE", Figures),
                    ("RMS", Figures),
                    ("Largest XTE", Figures),
                ],
                &shift.legs.iter().map(|leg| vec![
                    cell(&leg.leg),
                    cell(percent(leg.flown_share)),
                    cell(or_none(leg.mean, aside)),
                    cell(or_none(leg.rms, metres)),
                    cell(or_none(leg.max, aside)),
                ]).collect::<Vec<_>>(),
            ))
        }
    }
}

pub(super) fn by_distance(debrief: &Debrief) -> Result<Markup, DrawError> {
    let Some(by_distance) = &debrief.coverage.by_distance else {
        return Ok(Markup::default());
    };
    let about = "Mean POD in rings about the datum, from the innermost outward: as planned, dashed, and \
                 as flown, solid; the table below gives the same in figures.";
    let rows: Vec<Vec<Markup>> = by_distance
        .rings
        .iter()
        .map(|ring| {
            vec![
                cell(format!("{} to {}", nm_figure(ring.from, 1), nm(ring.to, 1))),
                cell(square_nm(ring.area_m2)),
                cell(or_none(ring.planned_pod, percent)),
                cell(or_none(ring.mean_pod, percent)),
                cell(or_none(ring.share_at_target, percent)),
            ]
        })
        .collect();
    let scene = distance::chart(by_distance, debrief.coverage.target_pod);
    Ok(html! {
        section #distance {
            h2 { "Detection by distance from the datum" }
            figure { (picture(&scene, "by-distance", "POD against distance from the datum", about)?) }
            p {
                "Planned is what the same law gives with every search leg flown just as planned: about a \
                 datum it is searched best in the middle and less outward."
            }
            (table(
                "Rings about the datum",
                &[
                    ("Distance", Figures),
                    ("Ground", Figures),
                    ("Mean POD planned", Figures),
                    ("Flown", Figures),
                    ("At target", Figures),
                ],
                &rows,
            ))
        }
    })
}
