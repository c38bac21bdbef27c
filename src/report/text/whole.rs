//! The pattern as a whole, and detection by distance from the datum.

use super::super::format::{metres, nm_figure, or_none, percent, square_nm};
use super::super::table::{Align::Left, Align::Right, table};
use super::super::whole::{AS_PLANNED, NOT_SETTLED, facts, is_told};
use super::{Text, signed_m};
use crate::debrief::Debrief;

pub(super) fn pattern(text: &mut Text, debrief: &Debrief) {
    if !is_told(debrief) {
        return;
    }
    text.heading("The pattern as a whole (95 % intervals)");
    let Some(shift) = &debrief.pattern_shift else {
        text.note(NOT_SETTLED);
        return;
    };
    text.note(shift.summary.as_deref().unwrap_or(AS_PLANNED));
    text.facts(&facts(shift));
    for slip in &shift.slips {
        text.paragraph(&slip.words);
    }
    if !shift.moved {
        return;
    }
    let rows: Vec<Vec<String>> = shift
        .legs
        .iter()
        .map(|leg| {
            vec![
                leg.leg.clone(),
                percent(leg.flown_share),
                or_none(leg.mean, signed_m),
                or_none(leg.rms, metres),
                or_none(leg.max, signed_m),
            ]
        })
        .collect();
    text.out.push_str(&table(
        &[
            ("leg", Right),
            ("flown straight", Right),
            ("bias", Right),
            ("RMS", Right),
            ("max", Right),
        ],
        &rows,
    ));
    text.note("XTE about the pattern as it was flown, m, + right; all else here is about the tasked ground");
}

pub(super) fn distance(text: &mut Text, debrief: &Debrief) {
    let Some(by_distance) = &debrief.coverage.by_distance else {
        return;
    };
    text.heading("Detection by distance from the datum");
    let rows: Vec<Vec<String>> = by_distance
        .rings
        .iter()
        .map(|ring| {
            vec![
                format!("{} to {}", nm_figure(ring.from, 1), nm_figure(ring.to, 1)),
                square_nm(ring.area_m2),
                or_none(ring.planned_pod, percent),
                or_none(ring.mean_pod, percent),
                or_none(ring.share_at_target, percent),
            ]
        })
        .collect();
    text.out.push_str(&table(
        &[
            ("NM", Left),
            ("ground", Right),
            ("mean POD planned", Right),
            ("flown", Right),
            ("at target", Right),
        ],
        &rows,
    ));
    text.note("planned: every search leg flown just as planned, under the same law");
}
