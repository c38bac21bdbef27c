//! How the pilot steers along a line: pure functions and one small state, no flight around it.
//!
//! Two regimes. *Intercepting*: the heading wanted is the steepest intercept angle from which one
//! steady turn still rolls out on the line, wind included. *Tracking*: a heading correction
//! proportional to the cross-track error, felt with a reaction lag, plus a slowly learnt trim that
//! takes out the drift the pilot did not know of.

use super::aircraft::{Attitude, GRAVITY_MPS2, Performance, Velocity};
use super::settings::Manner;
use crate::tasking::Side;
use std::f64::consts::{FRAC_PI_2, PI, TAU};

/// Time in which a heading error is turned away, seconds. Chosen: brisk but smooth.
const HEADING_S: f64 = 3.0;
/// Time in which a cross-track error is flown away while tracking, seconds. Chosen: several times
/// the lags in the loop, so that the aircraft does not weave.
const TRACK_S: f64 = 15.0;
/// Reaction lag of the pilot to what the instruments show, seconds. Chosen: two to three seconds.
const REACTION_S: f64 = 2.5;
/// Greatest heading correction while tracking, radians.
const CORRECTION_MAX_RAD: f64 = 0.35;
/// Greatest trim, radians: the drift in the strongest wind accepted.
const TRIM_MAX_RAD: f64 = 0.8;
/// Steepest bank while tracking, radians.
const TRACK_BANK_RAD: f64 = 0.26;
/// Share of the greatest bank on which intercepts are planned, so that some is left to correct.
const PLANNED_BANK: f64 = 0.9;
/// From intercepting to tracking: distance and course error within which the line is captured, and
/// the distance beyond which it is lost again.
const CAPTURED_M: f64 = 60.0;
const CAPTURED_RAD: f64 = 0.2;
const LOST_M: f64 = 500.0;
/// Turns up to this angle are led, radians: a right angle and some allowance for wind.
const LEADABLE_RAD: f64 = 1.85;
/// A turn whose side is settled is free to end within this of the heading wanted, radians.
const SIDE_FREE_RAD: f64 = 1.0;

/// What the pilot sees.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sight {
    /// Distance right of the line aimed at, metres.
    pub(super) right_m: f64,
    /// Course of the line, radians.
    pub(super) course_rad: f64,
    pub(super) attitude: Attitude,
    /// Velocity over the ground.
    pub(super) ground: Velocity,
    /// The wind, as it shows in the drift while turning onto a line.
    pub(super) wind: Velocity,
    /// The wind as far as the pilot allows for it when settled on a line.
    pub(super) known_wind: Velocity,
    pub(super) manner: Manner,
}

/// Steering along one line.
#[derive(Clone, Debug, Default)]
pub(super) struct Steering {
    tracking: bool,
    /// Heading correction in force while tracking, radians.
    correction_rad: f64,
    /// Learnt drift allowance, radians.
    trim_rad: f64,
    /// The side to turn to, while it is settled.
    side: Option<Side>,
}

impl Steering {
    /// Steering that begins with a turn to `side`, however far.
    pub(super) fn turning(side: Side) -> Self {
        Self {
            side: Some(side),
            ..Self::default()
        }
    }

    /// Whether the line is captured.
    pub(super) const fn is_tracking(&self) -> bool {
        self.tracking
    }

    /// The bank to fly now, radians.
    pub(super) fn bank(&mut self, sight: &Sight, can: &Performance, dt_s: f64) -> f64 {
        let allowed = heading_for_course(sight.course_rad, sight.known_wind, can.airspeed_mps);
        let off_course = wrap_pi(sight.ground.course_rad() - sight.course_rad);
        if !self.tracking
            && sight.right_m.abs() < CAPTURED_M
            && off_course.abs() < CAPTURED_RAD
            && self.side.is_none()
        {
            self.tracking = true;
            self.correction_rad = wrap_pi(sight.attitude.heading_rad - allowed - self.trim_rad);
        } else if self.tracking && sight.right_m.abs() > LOST_M {
            self.tracking = false;
        }
        if self.tracking {
            self.track(sight, can, allowed, dt_s)
        } else {
            self.intercept(sight, can)
        }
    }

    fn track(&mut self, sight: &Sight, can: &Performance, allowed: f64, dt_s: f64) -> f64 {
        let reach_m = can.airspeed_mps * TRACK_S;
        let wanted = (-sight.right_m / reach_m).clamp(-CORRECTION_MAX_RAD, CORRECTION_MAX_RAD);
        self.correction_rad += (wanted - self.correction_rad) * dt_s / REACTION_S;
        self.trim_rad = (self.trim_rad + wanted * dt_s / sight.manner.drift_learnt_s)
            .clamp(-TRIM_MAX_RAD, TRIM_MAX_RAD);
        let heading = allowed + self.trim_rad + self.correction_rad;
        let limit = TRACK_BANK_RAD.min(can.bank_max_rad);
        bank_towards(wrap_pi(heading - sight.attitude.heading_rad), can).clamp(-limit, limit)
    }

    fn intercept(&mut self, sight: &Sight, can: &Performance) -> f64 {
        let on_course = heading_for_course(sight.course_rad, sight.wind, can.airspeed_mps);
        // `s` is the side of the line the aircraft is on; closing means turning to the other side.
        let s = if sight.right_m < 0.0 { -1.0 } else { 1.0 };
        let square = heading_for_course(
            sight.course_rad - s * FRAC_PI_2,
            sight.wind,
            can.airspeed_mps,
        );
        let widest = wrap_pi(on_course - square).abs();
        let turn = TurnOn::new(sight, can);
        let planned = turn.widest_angle(sight.right_m.abs() - turn.roll_in_m, widest);
        let reach_m = can.airspeed_mps * sight.manner.rejoin_s;
        let captured = sight.right_m.abs() / reach_m;
        let angle = planned.min(captured);
        // The heading wanted turns itself; the bank for that comes on top of the correction.
        let turn_rate = if captured < planned {
            (turn.closing_mps / reach_m).max(0.0)
        } else if planned < widest {
            turn.turn_rate
        } else {
            0.0
        };
        let steady = s * (can.airspeed_mps * turn_rate / GRAVITY_MPS2).atan();
        let heading = on_course - s * angle;
        let mut error = wrap_pi(heading - sight.attitude.heading_rad);
        if let Some(side) = self.side {
            if error.abs() < SIDE_FREE_RAD {
                self.side = None;
            } else if error * side.sign() < 0.0 {
                error += side.sign() * TAU;
            }
        }
        steady + bank_towards(error, can)
    }

    /// Forgets the line for something else; the learnt trim is kept.
    pub(super) fn resume(&mut self) {
        self.tracking = false;
    }

    /// As [`resume`](Self::resume), with the side of the turn back settled.
    pub(super) fn resume_turning(&mut self, side: Side) {
        self.tracking = false;
        self.side = Some(side);
    }
}

/// The turn onto a line from one side of it, at the bank intercepts are planned on.
struct TurnOn {
    airspeed_mps: f64,
    turn_rate: f64,
    /// Heading on the line less its course.
    drift_rad: f64,
    /// Wind to the right of the line.
    wind_across_mps: f64,
    /// +1 right of the line, -1 left of it.
    side: f64,
    /// Speed at which the line comes nearer.
    closing_mps: f64,
    /// Distance by which it comes nearer while the bank is rolled on.
    roll_in_m: f64,
}

impl TurnOn {
    fn new(sight: &Sight, can: &Performance) -> Self {
        let side = if sight.right_m < 0.0 { -1.0 } else { 1.0 };
        let bank = PLANNED_BANK * can.bank_max_rad;
        let on_course = heading_for_course(sight.course_rad, sight.wind, can.airspeed_mps);
        let closing_mps = -side * sight.ground.across(sight.course_rad);
        // The turn grows in step with the bank: as if it began half-way through the roll.
        let roll_s = (bank - side * sight.attitude.bank_rad).max(0.0) / (2.0 * can.roll_rate_rps);
        Self {
            airspeed_mps: can.airspeed_mps,
            turn_rate: can.turn_rate(bank),
            drift_rad: wrap_pi(on_course - sight.course_rad),
            wind_across_mps: sight.wind.across(sight.course_rad),
            side,
            closing_mps,
            roll_in_m: closing_mps * roll_s,
        }
    }

    /// Distance covered across the line while turning from `angle` off its heading onto it:
    /// ∫ of the closing speed over the turn, (V(cos β - cos(β - s·angle)) - s·w·angle)/ω with β the
    /// drift allowance and w the wind across.
    fn across_m(&self, angle: f64) -> f64 {
        let beta = self.drift_rad;
        (self.airspeed_mps * (beta.cos() - (beta - self.side * angle).cos())
            - self.side * self.wind_across_mps * angle)
            / self.turn_rate
    }

    /// The widest angle, up to `limit`, from which the turn needs no more than `room_m`.
    fn widest_angle(&self, room_m: f64, limit: f64) -> f64 {
        if self.across_m(limit) <= room_m {
            return limit;
        }
        let (mut low, mut high) = (0.0, limit);
        for _ in 0..16 {
            let middle = 0.5 * (low + high);
            if self.across_m(middle) <= room_m {
                low = middle;
            } else {
                high = middle;
            }
        }
        low
    }
}

/// Whether a line is so near that the turn onto it is to begin, from a heading towards it.
pub(super) fn is_time_to_turn_onto(sight: &Sight, can: &Performance) -> bool {
    let turn = TurnOn::new(sight, can);
    let heading_on_line = sight.course_rad + turn.drift_rad;
    let angle = turn.side * wrap_pi(heading_on_line - sight.attitude.heading_rad);
    // From more than abeam the turn would be one back, which is planned otherwise.
    let needed_m = turn.across_m(angle.clamp(0.0, FRAC_PI_2)) + turn.roll_in_m.max(0.0);
    angle <= LEADABLE_RAD && sight.right_m.abs() <= needed_m
}

/// The heading that makes good a course in a wind: the wind triangle.
pub(super) fn heading_for_course(course_rad: f64, wind: Velocity, airspeed_mps: f64) -> f64 {
    course_rad
        - (wind.across(course_rad) / airspeed_mps)
            .clamp(-1.0, 1.0)
            .asin()
}

/// Bank that turns a heading error away and rolls out in time, radians.
pub(super) fn bank_towards(error_rad: f64, can: &Performance) -> f64 {
    let size = error_rad.abs();
    let proportional = can.airspeed_mps * size / (GRAVITY_MPS2 * HEADING_S);
    // Rolling out of bank φ at rate p still turns by gφ²/(2pV).
    let rolling_out =
        (2.0 * can.airspeed_mps * can.roll_rate_rps * 0.85 * size / GRAVITY_MPS2).sqrt();
    error_rad.signum() * proportional.min(rolling_out).min(can.bank_max_rad)
}

/// Wraps an angle into [-π, π).
pub(super) fn wrap_pi(rad: f64) -> f64 {
    (rad + PI).rem_euclid(TAU) - PI
}
