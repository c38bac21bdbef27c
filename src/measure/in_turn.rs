//! Legs too short for a straight run, flown as one turn.
//!
//! The first legs of an expanding square may be little longer than the turns at their ends take up: who
//! leads both turns never flies them straight. Such a leg was not flown elsewhere; it was flown, banked.

use super::flight::Flight;
use crate::plan::Leg;
use crate::units::{Speed, wrap_180};
use geo::{Coord, Distance, Euclidean, Line, Point};
use std::ops::Range;

/// Rate of turn reckoned with, degrees per second: a standard-rate turn (rate one; ICAO Doc 8168, from
/// memory).
const RATE_DPS: f64 = 3.0;
/// What of a leg is left between the turns is too short for a straight run below this, in spacings, the
/// shortest run that counts as flown.
const STRAIGHT_SPACINGS: f64 = 0.5;
/// The track keeps to the leg while it is this near to it, in spacings: in its strip.
const STRIP_SPACINGS: f64 = 0.5;
/// A way along the leg is no longer than this many times the leg, and a spacing. Chosen.
const LONGEST_TIMES: f64 = 2.0;

/// The first legs of a pattern may lie this long before the first one that was flown straight, seconds. Chosen.
const EARLIER_S: f64 = 180.0;

/// Whether the turns at the ends of the search leg with this index take up so much of it that no straight
/// run is left.
#[must_use]
pub fn is_all_turn(leg: usize, flight: Flight<'_>, ground_speed: Speed) -> bool {
    let radius_m = ground_speed.mps() / RATE_DPS.to_radians();
    let legs = &flight.plan.legs;
    let turn_m = |one: Option<&Leg>, two: Option<&Leg>| {
        let courses = one
            .zip(two)
            .map(|(one, two)| wrap_180(two.course.deg() - one.course.deg()));
        // A turn back does not begin on the leg; one of a right angle takes up its radius.
        courses.map_or(0.0, |turn| {
            radius_m * (turn.abs().min(90.0) / 2.0).to_radians().tan()
        })
    };
    let here = legs.get(leg);
    let before = leg.checked_sub(1).and_then(|before| legs.get(before));
    let taken_m = turn_m(before, here) + turn_m(here, legs.get(leg + 1));
    here.is_some_and(|here| here.length.m() - taken_m < STRAIGHT_SPACINGS * flight.plan.spacing.m())
}

/// Whether the aircraft went from one end of the leg to the other, in the planned direction, within its
/// strip; `window` holds the fixes of the search.
#[must_use]
pub fn went_along(leg: &Leg, flight: Flight<'_>, window: &Range<usize>) -> bool {
    let frame = &flight.plan.frame;
    let xy = &flight.motion.xy;
    let line = Line::new(frame.forward(leg.start), frame.forward(leg.end));
    let reach_m = STRIP_SPACINGS * flight.plan.spacing.m();
    let near = |place: Coord<f64>, fix: usize| Euclidean.distance(xy[fix], place) <= reach_m;
    let on_strip = |fix: usize| Euclidean.distance(&Point::from(xy[fix]), &line) <= reach_m;
    let along_m = |fix: usize| {
        let (way, along) = (xy[fix] - line.start, line.end - line.start);
        (way.x * along.x + way.y * along.y) / along.x.hypot(along.y)
    };
    let most_m = LONGEST_TIMES * leg.length.m() + flight.plan.spacing.m();
    // From each fix near the start on, as long as the track keeps to the strip.
    let time_s = |fix: usize| flight.motion.time_s[fix];
    let early = (0..window.start)
        .rev()
        .take_while(|fix| time_s(window.start) - time_s(*fix) <= EARLIER_S);
    let mut fix = window.start - early.count();
    while fix < window.end {
        if !near(line.start, fix) {
            fix += 1;
            continue;
        }
        let (mut way_m, mut at) = (0.0, fix);
        while at < window.end && on_strip(at) && way_m <= most_m {
            if at > fix {
                if flight.track.begins_stretch(at) {
                    break;
                }
                way_m += Euclidean.distance(xy[at - 1], xy[at]);
            }
            if near(line.end, at) && along_m(at) - along_m(fix) >= 0.5 * leg.length.m() {
                return true;
            }
            at += 1;
        }
        fix = at.max(fix + 1);
    }
    false
}
