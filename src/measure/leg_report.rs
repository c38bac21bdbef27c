//! What became of each planned leg.

use super::along::AlongSpan;
use super::flight::Flight;
use super::in_turn::{is_all_turn, went_along};
use super::intervals::{Interval, total, union, within, without};
use super::pass::tracking_over;
use super::passage::Passage;
use super::tracking::Tracking;
use crate::units::{Length, Speed};
use serde::Serialize;
use std::ops::Range;

/// Shortest stretch of leg that is reported as missed, in spacings. Chosen: the roll out of a turn
/// takes about this much.
const MISSED_SPACINGS: f64 = 0.5;
/// The same in steps between fixes, where these are far apart: where a leg was joined is not known
/// better than that. Chosen.
const MISSED_STEPS: f64 = 1.5;
/// Shortest stretch that is reported as not recorded, in spacings. Chosen: a fix or two more or less
/// at the edge of a hole is none.
const UNRECORDED_SPACINGS: f64 = 0.1;

/// What became of a planned search leg.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum LegState {
    /// Flown over (nearly) all its length.
    Flown,
    /// Flown in part, the rest flown past elsewhere.
    FlownInPart,
    /// Too short for a straight run between the turns at its ends, and flown as one turn along its strip:
    /// not elsewhere, but with the wings banked.
    FlownInTurn,
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
            Self::FlownInTurn => "flown in a turn",
            Self::NotFlown => "not flown",
            Self::NotRecorded => "not recorded",
        }
    }
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

/// Reports on every planned search leg; `unrecorded` runs parallel to the plan's legs. `window` holds the
/// fixes of the search, flown at about `ground_speed`.
#[must_use]
pub fn leg_reports(
    flight: Flight<'_>,
    passages: &[Passage],
    unrecorded: &[Vec<Interval>],
    tolerance: Length,
    (window, ground_speed): (&Range<usize>, Speed),
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
            let spacing_m = flight.plan.spacing.m();
            let step_m = of_leg
                .iter()
                .map(|i| passages[*i].longest_step_m())
                .fold(0.0, f64::max);
            let least_m = (MISSED_SPACINGS * spacing_m)
                .max(MISSED_STEPS * step_m)
                .min(0.5 * leg.length.m());
            let hidden: Vec<Interval> = without(whole, &flown)
                .into_iter()
                .flat_map(|rest| within(rest, &unrecorded[index]))
                .filter(|(low, high)| high - low >= UNRECORDED_SPACINGS * spacing_m)
                .collect();
            let mut accounted = flown.clone();
            accounted.extend(&hidden);
            let in_turn =
                || is_all_turn(index, flight, ground_speed) && went_along(leg, flight, window);
            let missed: Vec<Interval> = without(whole, &union(accounted))
                .into_iter()
                .filter(|(low, high)| high - low >= least_m)
                .collect();
            let in_turn = hidden.is_empty() && !missed.is_empty() && in_turn();
            let missed = if in_turn { Vec::new() } else { missed };
            let spans = |set: &[Interval]| {
                set.iter()
                    .map(|(a, b)| AlongSpan::on(leg, Length::from_m(*a), Length::from_m(*b)))
                    .collect()
            };
            let state = match (hidden.is_empty(), missed.is_empty(), flown.is_empty()) {
                _ if in_turn => LegState::FlownInTurn,
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
