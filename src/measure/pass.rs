//! One passage along a planned leg, measured.

use super::along::{AlongSpan, ProfilePoint};
use super::flight::Flight;
use super::handling::{Handling, Limits};
use super::passage::{Passage, Sample};
use super::tracking::Tracking;
use super::wind::Wind;
use crate::track::{Track, seconds_between};
use crate::units::{Length, Speed};
use chrono::{DateTime, Utc};
use rayon::prelude::*;
use serde::Serialize;

/// Points kept of a cross-track profile. Chosen: more than a picture of it is wide.
const PROFILE_POINTS: usize = 400;

/// One passage along a planned search leg.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Pass {
    /// Label of the leg.
    pub leg: String,
    /// Whether it was flown against the planned direction.
    pub reversed: bool,
    /// Crossing onto the leg.
    pub entered: DateTime<Utc>,
    /// Leaving it.
    pub left: DateTime<Utc>,
    /// The recorded stretches of it; more than one when a hole in the log, an orbit or an excursion
    /// lies in between.
    pub recorded: Vec<AlongSpan>,
    /// XTE from where the aircraft was established (or over the whole pass if it never was).
    pub tracking: Tracking,
    /// Distance from the entry end of the leg to where it was established: within the cross-track
    /// tolerance and 10° of the leg's course, and so for the next 10 s. `None` if it never was.
    #[serde(rename = "established_after_m")]
    pub established_after: Option<Length>,
    /// Speed and height.
    pub handling: Handling,
    /// Wind component across the leg, from left to right of the direction flown positive; `None`
    /// without a wind estimate.
    #[serde(rename = "crosswind_mps")]
    pub crosswind: Option<Speed>,
    /// XTE along the pass, thinned for drawing, in the order flown; one list per recorded stretch.
    pub profile: Vec<Vec<ProfilePoint>>,
}

/// Measures every passage; the two lists that come back run parallel.
#[must_use]
pub fn passes(
    flight: Flight<'_>,
    passages: Vec<Passage>,
    tolerance: Length,
    limits: &Limits,
    wind: Option<&Wind>,
) -> (Vec<Passage>, Vec<Pass>) {
    passages
        .into_par_iter()
        .filter_map(|passage| {
            let pass = pass(flight, &passage, tolerance, limits, wind)?;
            Some((passage, pass))
        })
        .unzip()
}

fn pass(
    flight: Flight<'_>,
    passage: &Passage,
    tolerance: Length,
    limits: &Limits,
    wind: Option<&Wind>,
) -> Option<Pass> {
    let leg = &flight.plan.legs[passage.leg];
    let (first, last) = (passage.pieces.first()?, passage.pieces.last()?);
    let established = passage.established(tolerance, flight.motion);
    let tracking = Tracking::of(
        &judged(passage, established.as_ref()),
        tolerance,
        flight.track,
    )?;
    let levels: Vec<_> = passage
        .pieces
        .iter()
        .map(|p| limits.level(span_of(&p.samples), Some(leg)))
        .collect();
    let course = if passage.reversed {
        leg.course.reversed()
    } else {
        leg.course
    };
    Some(Pass {
        leg: leg.label.clone(),
        reversed: passage.reversed,
        entered: first.entered,
        left: last.left,
        recorded: passage.recorded(leg),
        tracking,
        established_after: established.map(|s| {
            let from_entry = if passage.reversed {
                leg.length.m() - s.along_m
            } else {
                s.along_m
            };
            Length::from_m(from_entry)
        }),
        handling: Handling::of(&levels, flight.track, flight.motion, limits)?,
        crosswind: wind.map(|w| w.across(course)),
        profile: passage
            .pieces
            .iter()
            .map(|piece| profile(&piece.samples, first.entered, flight.track))
            .collect(),
    })
}

/// The samples on which tracking is judged: from being established on, or all if it never was.
fn judged<'p>(passage: &'p Passage, established: Option<&Sample>) -> Vec<&'p [Sample]> {
    let from = established.map_or(0, |s| s.fix());
    passage
        .pieces
        .iter()
        .map(|p| &p.samples[p.samples.partition_point(|s| s.fix() < from)..])
        .collect()
}

fn span_of(samples: &[Sample]) -> std::ops::Range<usize> {
    match (samples.first(), samples.last()) {
        (Some(first), Some(last)) => first.fix()..last.fix() + 1,
        _ => 0..0,
    }
}

/// At most [`PROFILE_POINTS`] points: within each interval of equal length the sample farthest from
/// the leg, so that no excursion is lost.
fn profile(samples: &[Sample], entered: DateTime<Utc>, track: &Track) -> Vec<ProfilePoint> {
    let each = samples.len().div_ceil(PROFILE_POINTS).max(1);
    samples
        .chunks(each)
        .filter_map(|chunk| {
            chunk
                .iter()
                .max_by(|a, b| a.cross_m.abs().total_cmp(&b.cross_m.abs()))
        })
        .map(|s| ProfilePoint {
            along: Length::from_m(s.along_m),
            xte: Length::from_m(s.cross_m),
            after_s: seconds_between(entered, track.fixes[s.fix()].time),
        })
        .collect()
}

/// XTE over all passages of one leg, or of all legs.
#[must_use]
pub fn tracking_over<'p>(
    passages: impl Iterator<Item = &'p Passage>,
    tolerance: Length,
    flight: Flight<'_>,
) -> Option<Tracking> {
    let stretches: Vec<&[Sample]> = passages
        .flat_map(|p| judged(p, p.established(tolerance, flight.motion).as_ref()))
        .collect();
    Tracking::of(&stretches, tolerance, flight.track)
}
