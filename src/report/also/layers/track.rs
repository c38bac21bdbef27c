//! The flight: by phase, where it was not recorded, and where it left the area.

use super::{Feature, Shape, metres, seconds, time};
use crate::debrief::Debrief;
use crate::matching::Phase;
use crate::measure::{FlownFix, OutsideSpan};
use crate::report::palette::Ink;
use crate::track::Gap;
use serde_json::json;

/// The flight in pieces of one phase, as it is drawn; each begins where the one before ended, except after a hole.
pub(super) fn flown(debrief: &Debrief) -> Vec<Feature> {
    let flown = &debrief.flown;
    let fixes: Vec<&FlownFix> = flown.drawn.iter().map(|i| &flown.fixes[*i]).collect();
    let alike = |a: &&FlownFix, b: &&FlownFix| {
        !b.after_hole && a.phase == b.phase && flown.leg_index(a) == flown.leg_index(b)
    };
    let mut pieces = Vec::new();
    let mut behind = 0;
    for piece in fixes.chunk_by(alike) {
        behind += piece.len();
        let next = fixes.get(behind).filter(|next| !next.after_hole);
        let piece: Vec<&FlownFix> = piece.iter().chain(next).copied().collect();
        pieces.extend(feature(&piece, flown.leg(piece[0])));
    }
    pieces
}

fn feature(piece: &[&FlownFix], leg: Option<&str>) -> Option<Feature> {
    let (first, last) = (piece.first()?, piece.last()?);
    let phase = first.phase;
    Some(Feature {
        name: match leg {
            Some(leg) => format!("{} {leg}", capitalised(phase.name())),
            None => capitalised(phase.name()),
        },
        ink: ink(phase),
        properties: vec![
            ("phase", json!(phase.name())),
            ("leg", json!(leg)),
            ("from", time(first.time)),
            ("to", time(last.time)),
        ],
        shape: Shape::Line(piece.iter().map(|fix| fix.position).collect()),
        flown: Some((first.time, last.time)),
    })
}

/// The holes of the log, as straight lines from where it breaks off to where it goes on.
pub(super) fn not_recorded(debrief: &Debrief) -> Vec<Feature> {
    let of = |gap: &Gap| Feature {
        name: "Not recorded".to_owned(),
        ink: Ink::NotRecorded,
        properties: vec![
            ("from", time(gap.from)),
            ("to", time(gap.to)),
            ("duration_s", seconds(gap.duration_s)),
        ],
        shape: Shape::Line(vec![gap.from_position, gap.to_position]),
        flown: Some((gap.from, gap.to)),
    };
    debrief.log.gaps.iter().map(of).collect()
}

/// The times out of the area, along the track as it is drawn.
pub(super) fn outside(debrief: &Debrief) -> Vec<Feature> {
    let of = |span: &OutsideSpan| {
        let flown = &debrief.flown;
        let between = flown.drawn.iter().map(|i| &flown.fixes[*i]);
        let between = between.filter(|fix| span.from < fix.time && fix.time < span.to);
        let line = std::iter::once(span.left_at)
            .chain(between.map(|fix| fix.position))
            .chain([span.entered_at]);
        Feature {
            name: format!("Out of the area: {}", span.kind.name()),
            ink: Ink::Excursion,
            properties: vec![
                ("kind", json!(span.kind.name())),
                ("from", time(span.from)),
                ("to", time(span.to)),
                ("duration_s", seconds(span.duration_s)),
                ("farthest_m", metres(span.farthest.m())),
                ("after", json!(span.after)),
            ],
            shape: Shape::Line(line.collect()),
            flown: Some((span.from, span.to)),
        }
    };
    debrief.area_time.outside.iter().map(of).collect()
}

/// As on the heatmap.
const fn ink(phase: Phase) -> Ink {
    match phase {
        Phase::Ground | Phase::TransitOut | Phase::TransitHome => Ink::Transit,
        Phase::BoundaryCheck => Ink::BoundaryCheck,
        Phase::SearchLeg => Ink::SearchLeg,
        Phase::AdditionalLeg => Ink::AdditionalLeg,
        Phase::Turn => Ink::Turn,
        Phase::Orbit => Ink::Orbit,
        Phase::Excursion => Ink::Excursion,
        Phase::NotRecorded => Ink::NotRecorded,
    }
}

fn capitalised(words: &str) -> String {
    let mut letters = words.chars();
    let first = letters.next().map(|first| first.to_ascii_uppercase());
    first.into_iter().chain(letters).collect()
}
