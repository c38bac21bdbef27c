//! Time and area: A = V · S · T, the allowance, transits and turns.

use super::figures::{Axis, LegFigures};
use crate::plan::{LegKind, PatternKind, Plan, arithmetic};
use crate::tasking::Tasking;
use crate::units::{Length, Speed};
use serde::Serialize;
use std::f64::consts::PI;

/// Share of the time on scene that is searched in; the rest goes into turns and into identifying what
/// is seen (JP 3-50 Vol I, 1991, para 532, p. 147).
pub const SEARCH_SHARE: f64 = 0.85;

/// Rate of a standard turn, radians per second: 3° per second.
const STANDARD_RATE_RAD_S: f64 = PI / 60.0;

/// What the flight takes beside the way along the legs.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Effort {
    /// Planned ground speed.
    #[serde(rename = "ground_speed_mps")]
    pub ground_speed: Speed,
    /// Share of the time on scene that is searched in: 0.85.
    pub search_share: f64,
    /// Time the area takes by A/(V·S), seconds: what the laid-out time comes to if the legs are many.
    /// `None` for a sector search and for separate legs, whose legs do not lie one spacing apart.
    pub area_time_s: Option<f64>,
    /// From the base to the start of the first leg; `None` without a base.
    #[serde(rename = "transit_out_m")]
    pub transit_out: Option<Length>,
    /// From the end of the last leg to the base; `None` without a base.
    #[serde(rename = "transit_home_m")]
    pub transit_home: Option<Length>,
    /// Time for both at the planned ground speed, seconds.
    pub transit_s: Option<f64>,
    /// Time on scene with the allowance and transits together, seconds; `None` without a base.
    pub airborne_s: Option<f64>,
    /// Turns between legs flown to and fro; `None` for other patterns and for separate legs.
    pub turns: Option<Turns>,
}

/// Turns from leg to leg, by geometry. The allowance is meant to hold them: they stand beside it and
/// are in no other figure.
///
/// From the end of one leg to the beginning of the next, abeam of it one spacing away, at a rate of 3°
/// a second in still air. Radius r = V / (π/60 s⁻¹), in NM V/(60 π) for V in knots. Where the spacing
/// is at least 2 r: a quarter turn, straight on, a quarter turn. Where it is less: a turn away by α,
/// then back through 180° + 2α, then away by α, with cos α = (S + 2r)/(4r) (three circles that touch;
/// by hand).
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Turns {
    /// How many.
    pub count: usize,
    /// Radius of a turn at 3° a second.
    #[serde(rename = "radius_m")]
    pub radius: Length,
    /// Whether a half turn needs more than the spacing, so that it swings out.
    pub wider_than_spacing: bool,
    /// By how much the way of all of them exceeds the cross-legs they stand for.
    #[serde(rename = "extra_m")]
    pub extra: Length,
    /// Time for that at the planned ground speed, seconds.
    pub extra_s: f64,
    /// Whether that is no more than the 15 % of the time on scene that are not searched in.
    pub within_allowance: bool,
}

/// The effort of a plan.
pub(super) fn effort(tasking: &Tasking, plan: &Plan, axis: &Axis) -> Effort {
    let speed = tasking.flight.ground_speed;
    let legs = LegFigures::of(plan, speed);
    let base = tasking.flight.base;
    let transit = base.and_then(|base| arithmetic::transit(plan, base));
    let transit_s = transit.map(|(out, home)| (out.m() + home.m()) / speed.mps());
    Effort {
        ground_speed: speed,
        search_share: SEARCH_SHARE,
        area_time_s: (!matches!(plan.pattern, PatternKind::Sector | PatternKind::Legs))
            .then(|| time_for(plan.area.square_metres(), speed, plan.spacing, 1)),
        transit_out: transit.map(|(out, _)| out),
        transit_home: transit.map(|(_, home)| home),
        transit_s,
        airborne_s: transit_s.map(|s| s + legs.on_scene_s),
        turns: turns(plan, axis, speed, legs.on_scene_s - legs.time_s),
    }
}

fn turns(plan: &Plan, axis: &Axis, speed: Speed, allowance_s: f64) -> Option<Turns> {
    let count = plan
        .legs
        .iter()
        .filter(|leg| leg.kind == LegKind::Cross)
        .count();
    // The way between separate legs is no turn onto a neighbour, parallel or not.
    if !axis.parallel || count == 0 || plan.pattern == PatternKind::Legs {
        return None;
    }
    let radius = standard_turn_radius(speed);
    let extra_m = count as f64 * (turn_way(radius, plan.spacing).m() - plan.spacing.m());
    let extra_s = extra_m / speed.mps();
    Some(Turns {
        count,
        radius,
        wider_than_spacing: 2.0 * radius.m() > plan.spacing.m(),
        extra: Length::from_m(extra_m),
        extra_s,
        within_allowance: extra_s <= allowance_s,
    })
}

/// Radius of a turn at 3° a second: V/(π/60 s⁻¹).
#[must_use]
pub fn standard_turn_radius(speed: Speed) -> Length {
    Length::from_m(speed.mps() / STANDARD_RATE_RAD_S)
}

/// Way of a turn into the opposite direction that ends abeam of where it began, `aside` to one side;
/// see [`Turns`].
#[must_use]
pub fn turn_way(radius: Length, aside: Length) -> Length {
    let (r, s) = (radius.m(), aside.m());
    if s >= 2.0 * r {
        return Length::from_m(PI * r + s - 2.0 * r);
    }
    let away = ((s + 2.0 * r) / (4.0 * r)).acos();
    Length::from_m(r * (PI + 4.0 * away))
}

/// The area that is searched in a time, square metres: A = V · S · T (IAMSAR Manual Vol II, form from
/// memory; the sample problems of *Mission Aircrew Reference Text, Volume II*, p. 109, follow it).
#[must_use]
pub fn area_in(time_s: f64, speed: Speed, spacing: Length) -> f64 {
    time_s * speed.mps() * spacing.m()
}

/// Seconds that an area takes `aircraft` of them: T = A/(V · S · N).
#[must_use]
pub fn time_for(area_m2: f64, speed: Speed, spacing: Length, aircraft: u32) -> f64 {
    area_m2 / (speed.mps() * spacing.m() * f64::from(aircraft))
}

/// Aircraft needed for an area in a time: A/(V · S · T), rounded up.
#[must_use]
pub fn aircraft_for(area_m2: f64, time_s: f64, speed: Speed, spacing: Length) -> u64 {
    // A sliver of rounding must not cost a whole aircraft.
    (area_m2 / area_in(time_s, speed, spacing) - 1e-9)
        .ceil()
        .max(1.0) as u64
}

/// The spacing at which an area is searched in a time: S = A/(V · T).
#[must_use]
pub fn spacing_for(area_m2: f64, time_s: f64, speed: Speed) -> Length {
    Length::from_m(area_m2 / (speed.mps() * time_s))
}
