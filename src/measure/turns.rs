//! Turns from one leg to another.

use super::additional::AdditionalLeg;
use super::flight::Flight;
use super::passage::Passage;
use crate::matching::Matched;
use crate::tasking::Side;
use crate::track::seconds_between;
use crate::units::{Length, wrap_180};
use chrono::{DateTime, Utc};
use serde::Serialize;
use std::ops::Range;

/// A turn between two passes.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Turn {
    /// Label of the leg left (planned or additional).
    pub after: String,
    /// Label of the leg joined.
    pub before: String,
    /// Leaving the one.
    pub from: DateTime<Utc>,
    /// Joining the other.
    pub to: DateTime<Utc>,
    /// Seconds from leaving one leg to joining the next.
    pub duration_s: f64,
    /// The side the aircraft turned to on the whole.
    pub side: Side,
    /// How far past the planned end of the leg left, along it, the aircraft went; negative if it
    /// turned before. `None` after an additional leg, which has no planned end.
    #[serde(rename = "past_end_m")]
    pub past_end: Option<Length>,
    /// How far past the line of the leg joined, on the far side, the aircraft went; 0 if not at all.
    /// `None` before an additional leg, which has no planned line.
    #[serde(rename = "past_next_leg_m")]
    pub past_next_leg: Option<Length>,
    /// Distance along the leg joined before the aircraft was established on it; `None` if it never
    /// was, or the leg is an additional one.
    #[serde(rename = "established_after_m")]
    pub established_after: Option<Length>,
}

/// A leg flown, planned or additional, in the order flown.
struct Flown<'a> {
    label: &'a str,
    fixes: Range<usize>,
    entered: DateTime<Utc>,
    left: DateTime<Utc>,
    passage: Option<&'a Passage>,
}

/// The turns between legs flown one after the other. Where the log has a hole in between there is
/// no turn to report, nor where the same leg goes on after an excursion.
#[must_use]
pub fn turns(
    flight: Flight<'_>,
    matched: &Matched,
    passages: &[Passage],
    additional: &[AdditionalLeg],
    tolerance: Length,
) -> Vec<Turn> {
    let mut flown: Vec<Flown<'_>> = passages
        .iter()
        .filter_map(|passage| {
            Some(Flown {
                label: &flight.plan.legs[passage.leg].label,
                fixes: passage.fixes.clone(),
                entered: passage.pieces.first()?.entered,
                left: passage.pieces.last()?.left,
                passage: Some(passage),
            })
        })
        .chain(
            additional
                .iter()
                .zip(&matched.additional)
                .map(|(leg, fixes)| Flown {
                    label: &leg.label,
                    fixes: fixes.clone(),
                    entered: leg.entered,
                    left: leg.left,
                    passage: None,
                }),
        )
        .collect();
    flown.sort_by_key(|leg| leg.fixes.start);
    flown
        .windows(2)
        .filter(|pair| !goes_on(&pair[0], &pair[1]))
        .filter(|pair| in_one_stretch(flight, pair[0].fixes.end - 1, pair[1].fixes.start))
        .map(|pair| turn(flight, &pair[0], &pair[1], tolerance))
        .collect()
}

/// Whether both are passages along the same leg in the same direction.
fn goes_on(before: &Flown<'_>, after: &Flown<'_>) -> bool {
    before
        .passage
        .zip(after.passage)
        .is_some_and(|(a, b)| a.leg == b.leg && a.reversed == b.reversed)
}

fn in_one_stretch(flight: Flight<'_>, a: usize, b: usize) -> bool {
    flight
        .track
        .stretches
        .iter()
        .any(|stretch| stretch.contains(&a) && stretch.contains(&b))
}

fn turn(flight: Flight<'_>, before: &Flown<'_>, after: &Flown<'_>, tolerance: Length) -> Turn {
    let Flight { motion, frames, .. } = flight;
    let way = before.fixes.end - 1..after.fixes.start + 1;
    let swept_deg: f64 = way
        .clone()
        .skip(1)
        .map(|i| wrap_180(motion.course_deg[i] - motion.course_deg[i - 1]))
        .sum();
    let past_end = before.passage.map(|passage| {
        let frame = &frames[passage.leg];
        let beyond = |i: usize| {
            let along_m = frame.locate(motion.xy[i]).along_m;
            if passage.reversed {
                -along_m
            } else {
                along_m - frame.length().m()
            }
        };
        let last_on_leg = passage.samples().last().map_or(way.start, |s| s.fix());
        let tail = last_on_leg..way.end;
        Length::from_m(tail.map(beyond).fold(f64::NEG_INFINITY, f64::max))
    });
    let established = after.passage.and_then(|p| p.established(tolerance, motion));
    let past_next_leg = after.passage.map(|passage| {
        let frame = &frames[passage.leg];
        let cross_m = |i: usize| frame.locate(motion.xy[i]).cross_m;
        let came_from = cross_m(way.start).signum();
        let until = established.map_or(after.fixes.end, |s| s.fix() + 1);
        let far = (way.start..until)
            .map(|i| -came_from * cross_m(i))
            .fold(0.0, f64::max);
        Length::from_m(far)
    });
    Turn {
        after: before.label.to_owned(),
        before: after.label.to_owned(),
        from: before.left,
        to: after.entered,
        duration_s: seconds_between(before.left, after.entered),
        side: if swept_deg < 0.0 {
            Side::Left
        } else {
            Side::Right
        },
        past_end,
        past_next_leg,
        established_after: established.zip(after.passage).map(|(s, passage)| {
            let length_m = frames[passage.leg].length().m();
            Length::from_m(if passage.reversed {
                length_m - s.along_m
            } else {
                s.along_m
            })
        }),
    }
}
