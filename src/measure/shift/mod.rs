//! The pattern as a whole: was it flown shifted, turned, mirrored or drifting?
//!
//! ```text
//! Track ─lines→ straight lines ─search→ what each line was ─fit→ turn, shift, drift and intervals
//!       ─words→ what the slip was
//! ```
//!
//! It rests on all straight lines flown, not on the legs that matching found: a pattern turned by ten
//! degrees or begun a spacing away is flown on none of its planned legs, and just then a crew must read
//! that it was flown, and where.

mod fit;
mod lines;
mod moved_leg;
mod pattern;
mod search;

mod value;
mod words;

pub use moved_leg::MovedLeg;
pub use value::{Drift, Offset, PatternShift, Slip, SlipKind};
pub use words::Circumstances;

use super::{Flight, Wind};
use crate::matching::Matched;
use crate::units::Length;
use fit::Fit;
use lines::Line;
use pattern::{Move, Pattern};
use search::{Guess, guesses, judge};
use std::ops::Range;

/// A plan found flown to this share where it lies needs no search for another place. Chosen.
const FOUND_SHARE: f64 = 0.9;
/// Less of a pattern found flown settles nothing. Chosen.
const LEAST_SHARE: f64 = 0.4;
/// A drift with the wind is looked for where less than this is found without one. Chosen.
const STILL_SHARE: f64 = 0.75;
/// Of moves that explain nearly as much as the best, the smallest is taken. Chosen.
const NEARLY: f64 = 0.93;
/// Guesses followed up.
const FOLLOWED: usize = 4;
/// Legs left over for a drift, beyond the number of unknowns. Chosen.
const LEGS_FOR_DRIFT: usize = 7;
/// A shift known no better than this, in spacings, or a turn, in degrees, is not known. Chosen.
const WIDEST_SPACINGS: f64 = 0.5;
const WIDEST_DEG: f64 = 8.0;
/// A move is worth a word if it displaces the pattern by this share of the cross-track tolerance, where
/// it displaces it most. Chosen.
const WORTH_TOLERANCES: f64 = 0.5;

/// A pattern found in the straight lines of a flight.
#[derive(Clone, Debug)]
pub struct Recognised {
    pattern: Pattern,
    /// Planned start of the pattern in the local plane.
    about: geo::Coord<f64>,
    fit: Fit,
    turns: bool,
    shifts: bool,
}

impl Recognised {
    /// Whether it lies elsewhere than planned by more than chance and by enough to be worth a word.
    #[must_use]
    pub const fn is_moved(&self) -> bool {
        self.turns || self.shifts || self.fit.drifts || self.pattern.mirrored
    }

    /// Fixes on each leg found, in the order flown.
    #[must_use]
    pub fn on_legs(&self) -> Vec<Range<usize>> {
        self.fit.measured.iter().map(|m| m.fixes.clone()).collect()
    }
}

/// Looks for the pattern in the straight lines flown; `None` where they do not settle where it lay.
#[must_use]
pub fn recognise(flight: Flight<'_>, tolerance: Length) -> Option<Recognised> {
    let plan = flight.plan;
    let about = plan.frame.forward(plan.search_legs().next()?.1.start);
    let lines = lines::lines(flight.track, flight.motion, about);
    let since_s = lines.first()?.first().time_s;
    let spacing_m = plan.spacing.m();
    let planned = Pattern::of(plan, about, false)?;
    let as_planned = judge(Move::none(since_s), &lines, &planned, spacing_m);
    let mut candidates = Vec::new();
    if as_planned.score < FOUND_SHARE {
        let patterns = [planned.clone(), Pattern::of(plan, about, true)?];
        follow_up(
            Move::none(since_s),
            &patterns,
            &lines,
            spacing_m,
            &mut candidates,
        );
        let most = best_share(&candidates).max(as_planned.score);
        if most < STILL_SHARE
            && planned.shows.len() > 1
            && let Some(carried) = with_the_wind(flight, since_s)
        {
            follow_up(carried, &patterns, &lines, spacing_m, &mut candidates);
        }
    }
    candidates.push((planned, as_planned));
    let worth_m = WORTH_TOLERANCES * tolerance.m();
    let (pattern, fit) = chosen(candidates, &lines, (spacing_m, tolerance.m()))?;
    let settled = fit.interval(0).to_degrees() <= WIDEST_DEG
        && fit.radius(1, pattern.shows.len()) <= WIDEST_SPACINGS * spacing_m;
    if fit.guess.score < LEAST_SHARE || !settled {
        return None;
    }
    let moved = fit.guess.moved;
    let shifted = along(&pattern, moved.shifted);
    Some(Recognised {
        turns: fit.stands_out(0, &[moved.turned_rad])
            && moved.turned_rad.abs() * pattern.reach_m >= worth_m,
        shifts: fit.stands_out(1, &shifted) && moved.shifted.x.hypot(moved.shifted.y) >= worth_m,
        pattern,
        about,
        fit,
    })
}

/// Adds the best guesses of where the patterns lay.
fn follow_up(
    carried: Move,
    patterns: &[Pattern],
    lines: &[Line],
    spacing_m: f64,
    candidates: &mut Vec<(Pattern, Guess)>,
) {
    for pattern in patterns {
        let mut found = guesses(lines, pattern, spacing_m, carried);
        found.truncate(FOLLOWED);
        candidates.extend(found.into_iter().map(|guess| (pattern.clone(), guess)));
    }
}

fn best_share(candidates: &[(Pattern, Guess)]) -> f64 {
    candidates
        .iter()
        .map(|(_, guess)| guess.score)
        .fold(0.0, f64::max)
}

/// A pattern flown by headings and times alone goes with the wind.
fn with_the_wind(flight: Flight<'_>, since_s: f64) -> Option<Move> {
    let wind = Wind::estimate(0..flight.track.fixes.len(), flight.motion)?;
    let (sin, cos) = (wind.from.deg() + 180.0).to_radians().sin_cos();
    Some(Move {
        carried: geo::Coord {
            x: wind.speed.mps() * sin,
            y: wind.speed.mps() * cos,
        },
        ..Move::none(since_s)
    })
}

/// The candidate that explains most; of those that explain nearly as much, the one that moves least. With
/// a drift only if that stands out.
fn chosen(
    candidates: Vec<(Pattern, Guess)>,
    lines: &[Line],
    limits_m: (f64, f64),
) -> Option<(Pattern, Fit)> {
    let worth_m = WORTH_TOLERANCES * limits_m.1;
    let (mut still, mut drifting) = (Vec::new(), Vec::new());
    for (pattern, guess) in candidates {
        let stands = guess.moved.carried.x == 0.0 && guess.moved.carried.y == 0.0;
        if stands && let Some(fit) = fit::fit(&guess, false, lines, &pattern, limits_m) {
            still.push((pattern.clone(), fit));
        }
        if pattern.shows.len() > 1
            && let Some(fit) = fit::fit(&guess, true, lines, &pattern, limits_m)
            && fit.legs >= LEGS_FOR_DRIFT
            && drift_stands_out(&fit, &pattern, worth_m)
        {
            drifting.push((pattern, fit));
        }
    }
    let still = least_moved(still);
    let drifting = least_moved(drifting);
    match (still, drifting) {
        (Some(still), Some(drifting)) => {
            let more = drifting.1.guess.score >= still.1.guess.score;
            Some(if more { drifting } else { still })
        }
        (still, drifting) => still.or(drifting),
    }
}

fn drift_stands_out(fit: &Fit, pattern: &Pattern, worth_m: f64) -> bool {
    let carried = fit.guess.moved.carried;
    let from_s = fit.guess.moved.since_s;
    let to_s = fit
        .measured
        .iter()
        .map(|m| m.times_s.1)
        .fold(from_s, f64::max);
    fit.stands_out(1 + pattern.shows.len(), &along(pattern, carried))
        && carried.x.hypot(carried.y) * (to_s - from_s) >= worth_m
}

fn least_moved(fits: Vec<(Pattern, Fit)>) -> Option<(Pattern, Fit)> {
    let best = fits
        .iter()
        .map(|(_, fit)| fit.guess.score)
        .fold(0.0, f64::max);
    fits.into_iter()
        .filter(|(_, fit)| fit.guess.score >= NEARLY * best)
        .min_by(|a, b| {
            let moves_m = |(pattern, fit): &(Pattern, Fit)| {
                let mirrored_m = if pattern.mirrored {
                    pattern.reach_m
                } else {
                    0.0
                };
                fit.guess.moved.displaces_m(pattern.reach_m) + mirrored_m
            };
            moves_m(a).total_cmp(&moves_m(b))
        })
}

/// A vector along the axes in which the pattern shows a shift.
fn along(pattern: &Pattern, vector: geo::Coord<f64>) -> Vec<f64> {
    pattern
        .shows
        .iter()
        .map(|axis| axis.x * vector.x + axis.y * vector.y)
        .collect()
}

impl PatternShift {
    /// What was recognised, in figures and words.
    #[must_use]
    pub fn measure(
        flight: Flight<'_>,
        recognised: &Recognised,
        circumstances: &Circumstances<'_>,
    ) -> Self {
        let mut shift = value::figures(flight, recognised);
        words::tell(&mut shift, recognised, circumstances);
        shift
    }
}

/// Puts the recognised legs of a moved pattern among the additional legs, as far as they lie in the
/// area and on no planned leg: the ground beside them was looked at.
#[must_use]
pub fn with_recognised(matched: Matched, recognised: &Recognised, flight: Flight<'_>) -> Matched {
    if !recognised.is_moved() {
        return matched;
    }
    matched.with_additional(
        recognised.on_legs(),
        flight.track,
        flight.motion,
        flight.plan,
    )
}
