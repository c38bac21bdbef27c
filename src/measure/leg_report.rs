//! What became of each planned leg, and what was flown besides.

use super::handling::{Handling, Limits};
use super::intervals::{Interval, total, union, within, without};
use super::passage::{Passage, Sample};
use super::tracking::Tracking;
use super::wind::Wind;
use crate::geodesy::{LegFrame, Position};
use crate::matching::Matched;
use crate::matching::phases::path_m;
use crate::matching::straight;
use crate::plan::{Leg, Plan};
use crate::track::Track;
use crate::track::motion::Motion;
use crate::units::{Bearing, Length, Speed};
use chrono::{DateTime, Utc};
use serde::Serialize;

/// A stretch of a planned leg, measured from its planned start.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AlongSpan {
    /// Where it begins.
    #[serde(rename = "from_m")]
    pub from: Length,
    /// Where it ends; more than `from`.
    #[serde(rename = "to_m")]
    pub to: Length,
    /// Place of its beginning on the planned leg.
    pub from_position: Position,
    /// Place of its end on the planned leg.
    pub to_position: Position,
}

impl AlongSpan {
    /// The stretch of `leg` between two distances from its start.
    #[must_use]
    pub fn on(leg: &Leg, from: Length, to: Length) -> Self {
        Self {
            from,
            to,
            from_position: leg.at(from),
            to_position: leg.at(to),
        }
    }

    /// Its length.
    #[must_use]
    pub fn length(&self) -> Length {
        Length::from_m(self.to.m() - self.from.m())
    }
}

/// What became of a planned search leg.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum LegState {
    /// Flown over (nearly) all its length.
    Flown,
    /// Flown in part, the rest flown past elsewhere.
    FlownInPart,
    /// Not flown, and the log shows where the aircraft was instead.
    NotFlown,
    /// The log has a hole where it may have been flown, in part or whole.
    NotRecorded,
}

impl LegState {
    /// Name for people.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Flown => "flown",
            Self::FlownInPart => "flown in part",
            Self::NotFlown => "not flown",
            Self::NotRecorded => "not recorded",
        }
    }
}

/// One point of a cross-track profile.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct ProfilePoint {
    /// Distance from the leg's planned start.
    #[serde(rename = "along_m")]
    pub along: Length,
    /// XTE, right positive in the direction flown.
    #[serde(rename = "xte_m")]
    pub xte: Length,
}

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

/// One planned search leg and what became of it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LegReport {
    /// Label of the leg.
    pub leg: String,
    /// What became of it.
    pub state: LegState,
    /// Share of its length flown and recorded, 0 to 1.
    pub flown_share: f64,
    /// Share of its length that may have been flown while the log has a hole, 0 to 1.
    pub unrecorded_share: f64,
    /// Stretches known not to have been flown.
    pub missed: Vec<AlongSpan>,
    /// Stretches that may have been flown while the log has a hole.
    pub unrecorded: Vec<AlongSpan>,
    /// Its passages, as indexes into the debrief's passes, in the order flown.
    pub passes: Vec<usize>,
    /// XTE over all its passages together; `None` if it has none.
    pub tracking: Option<Tracking>,
}

/// A straight run inside the area on no planned leg.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AdditionalLeg {
    /// `A1`, `A2`, … in the order flown.
    pub label: String,
    /// Its beginning.
    pub entered: DateTime<Utc>,
    /// Its end.
    pub left: DateTime<Utc>,
    /// Where it begins.
    pub start: Position,
    /// Where it ends.
    pub end: Position,
    /// Distance flown on it.
    #[serde(rename = "length_m")]
    pub length: Length,
    /// True course from its start to its end, at the start.
    #[serde(rename = "course_true_deg")]
    pub course: Bearing,
    /// The nearest planned search leg parallel to it, if any lies within two spacings.
    pub nearest_leg: Option<String>,
    /// Mean distance from that leg: the spacing achieved beside it.
    #[serde(rename = "spacing_achieved_m")]
    pub spacing_achieved: Option<Length>,
    /// Speed and height.
    pub handling: Handling,
}

/// Shortest stretch of leg that is reported as missed, in spacings. Chosen: the roll out of a turn
/// takes about this much.
const MISSED_SPACINGS: f64 = 0.5;
/// A planned leg is named beside an additional one up to this many spacings away.
const NEAREST_SPACINGS: f64 = 2.0;
/// Points kept of a cross-track profile. Chosen: more than a picture of it is wide.
const PROFILE_POINTS: usize = 400;

/// What is needed to measure flown legs.
#[derive(Clone, Copy, Debug)]
pub struct Flight<'a> {
    /// The track.
    pub track: &'a Track,
    /// Its motion.
    pub motion: &'a Motion,
    /// The plan.
    pub plan: &'a Plan,
    /// The frames of its legs.
    pub frames: &'a [LegFrame],
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
        .into_iter()
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
    let ranges: Vec<_> = passage.pieces.iter().map(|p| span_of(&p.samples)).collect();
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
        handling: Handling::of(&ranges, flight.track, flight.motion, limits)?,
        crosswind: wind.map(|w| w.across(course)),
        profile: passage.pieces.iter().map(|p| profile(&p.samples)).collect(),
    })
}

/// The samples on which tracking is judged: from being established on, or all if it never was.
fn judged<'p>(passage: &'p Passage, established: Option<&Sample>) -> Vec<&'p [Sample]> {
    let from = established.map_or(0, |s| s.fix);
    passage
        .pieces
        .iter()
        .map(|p| &p.samples[p.samples.partition_point(|s| s.fix < from)..])
        .collect()
}

fn span_of(samples: &[Sample]) -> std::ops::Range<usize> {
    match (samples.first(), samples.last()) {
        (Some(first), Some(last)) => first.fix..last.fix + 1,
        _ => 0..0,
    }
}

/// At most [`PROFILE_POINTS`] points: within each interval of equal length the sample farthest from
/// the leg, so that no excursion is lost.
fn profile(samples: &[Sample]) -> Vec<ProfilePoint> {
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

/// Reports on every planned search leg; `unrecorded` runs parallel to the plan's legs.
#[must_use]
pub fn leg_reports(
    flight: Flight<'_>,
    passages: &[Passage],
    unrecorded: &[Vec<Interval>],
    tolerance: Length,
) -> Vec<LegReport> {
    flight
        .plan
        .search_legs()
        .map(|(index, leg)| {
            let of_leg: Vec<usize> = (0..passages.len())
                .filter(|i| passages[*i].leg == index)
                .collect();
            let flown = union(
                of_leg
                    .iter()
                    .flat_map(|i| passages[*i].pieces.iter().map(|p| (p.low_m, p.high_m)))
                    .collect(),
            );
            let whole = (0.0, leg.length.m());
            let least_m = MISSED_SPACINGS * flight.plan.spacing.m();
            let hidden: Vec<Interval> = without(whole, &flown)
                .into_iter()
                .flat_map(|rest| within(rest, &unrecorded[index]))
                .collect();
            let mut accounted = flown.clone();
            accounted.extend(&hidden);
            let missed: Vec<Interval> = without(whole, &union(accounted))
                .into_iter()
                .filter(|(low, high)| high - low >= least_m.min(0.5 * leg.length.m()))
                .collect();
            let spans = |set: &[Interval]| {
                set.iter()
                    .map(|(a, b)| AlongSpan::on(leg, Length::from_m(*a), Length::from_m(*b)))
                    .collect()
            };
            let state = match (hidden.is_empty(), missed.is_empty(), flown.is_empty()) {
                (false, _, _) => LegState::NotRecorded,
                (true, false, true) => LegState::NotFlown,
                (true, false, false) => LegState::FlownInPart,
                (true, true, _) => LegState::Flown,
            };
            LegReport {
                leg: leg.label.clone(),
                state,
                flown_share: total(&flown) / leg.length.m(),
                unrecorded_share: total(&hidden) / leg.length.m(),
                missed: spans(&missed),
                unrecorded: spans(&hidden),
                tracking: tracking_over(of_leg.iter().map(|i| &passages[*i]), tolerance, flight),
                passes: of_leg,
            }
        })
        .collect()
}

/// Reports on the additional legs.
#[must_use]
pub fn additional_legs(
    flight: Flight<'_>,
    matched: &Matched,
    limits: &Limits,
) -> Vec<AdditionalLeg> {
    let Flight {
        track,
        motion,
        plan,
        frames,
    } = flight;
    matched
        .additional
        .iter()
        .enumerate()
        .filter_map(|(i, fixes)| {
            let (first, last) = (fixes.start, fixes.end - 1);
            let (start, end) = (track.fixes[first], track.fixes[last]);
            let nearest = straight::nearest_leg(fixes, motion, plan, frames)
                .filter(|(_, away_m)| *away_m <= NEAREST_SPACINGS * plan.spacing.m());
            Some(AdditionalLeg {
                label: format!("A{}", i + 1),
                entered: start.time,
                left: end.time,
                start: start.position,
                end: end.position,
                length: Length::from_m(path_m(&motion.xy[fixes.clone()])),
                course: crate::geodesy::geodesic::between(start.position, end.position)
                    .course_at_start,
                nearest_leg: nearest.map(|(index, _)| plan.legs[index].label.clone()),
                spacing_achieved: nearest
                    .map(|(index, _)| mean_distance(fixes, motion, &frames[index])),
                handling: Handling::of(std::slice::from_ref(fixes), track, motion, limits)?,
            })
        })
        .collect()
}

fn mean_distance(fixes: &std::ops::Range<usize>, motion: &Motion, frame: &LegFrame) -> Length {
    let sum: f64 = fixes
        .clone()
        .map(|i| frame.locate_ecef(motion.ecef[i]).cross_m.abs())
        .sum();
    Length::from_m(sum / fixes.len() as f64)
}
