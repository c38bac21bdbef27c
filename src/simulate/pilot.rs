//! The pilot on the pattern: from leg to leg, and along them.

use super::SimulateError;
use super::aircraft::turn_radius;
use super::flight::Flight;
use super::guidance::{Steering, bank_towards, heading_for_course, is_time_to_turn_onto, wrap_pi};
use super::moved::carried;
use super::pass::{Happening, Line, Pass};
use super::record::PassRecord;
use super::truth::{TrueDropout, Truth};
use super::turnaround::{OutwardTurn, Turnaround};
use crate::geodesy::{AlongCross, Position, geodesic};
use crate::plan::PatternKind;
use crate::tasking::Side;
use crate::units::{Length, Speed};
use std::f64::consts::TAU;

/// A line that is farther beside the end of a leg than this is not reached by leading the turn onto it, metres. Chosen.
const BESIDE_M: f64 = 200.0;
/// Legs turned back by at least this are joined by a turn back, degrees.
const TURN_BACK_DEG: f64 = 150.0;
/// Legs turned by at most this are joined by a turn that leads onto the next, degrees.
const CORNER_DEG: f64 = 100.0;
/// A next leg that begins within this of the end of the last is joined directly.
const NEAR: Length = Length::from_nm(1.0);
/// Separate legs are each flown from end to end, unless the next one begins within this of the end of the last.
/// Chosen: where two legs meet, the turn from one onto the other is that of any pattern.
const MEET: Length = Length::from_m(50.0);
/// Longest run beyond the end of a leg to where the next one begins.
const LONGEST_RUN_ON: Length = Length::from_nm(5.0);
/// Straight run onto a leg joined from afar, besides two turn radii.
const RUN_IN: Length = Length::from_nm(0.5);
/// A leg joined from ahead is approached abeam, this many turn radii beside it.
const ABEAM_RADII: f64 = 2.3;

/// Bank in a circle down to the next height, as a share of the steepest. Chosen: unhurried.
const CIRCLE_BANK: f64 = 0.8;
/// A height is reached within this, metres. Chosen: what the pilot wanders by.
const HEIGHT_REACHED_M: f64 = 25.0;

/// How a leg is left for the next one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Departure {
    /// Back onto a neighbour.
    TurnBack,
    /// Leading the turn onto a leg that begins where this one ends.
    Corner,
    /// Past the end, then onto the next leg.
    OverEnd,
    /// Away to the start of the next leg, or home.
    Away,
    /// Down or up to the height of the next leg, in a circle, and away to its start.
    NewHeight,
}

/// How and where one pass is left for the next.
struct Leaving {
    departure: Departure,
    /// Metres from the flown start of the pass.
    leave_m: f64,
}

fn departure(pass: &Pass, next: Option<&Pass>, separate: bool, past_end_m: f64) -> Leaving {
    let length_m = pass.line.length_m();
    let Some(next) = next else {
        return Leaving {
            departure: Departure::Away,
            leave_m: pass.leave_m.unwrap_or(length_m + past_end_m),
        };
    };
    if pass.altitude != next.altitude {
        return Leaving {
            departure: Departure::NewHeight,
            leave_m: pass.leave_m.unwrap_or(length_m + past_end_m),
        };
    }
    let turn = pass
        .line
        .course_at_end
        .turn_to(next.line.course_at_start)
        .abs();
    let ahead_m = pass.line.frame.locate(next.line.start).along_m - length_m;
    let apart = geodesic::distance(pass.line.end, next.line.start);
    let near = apart < if separate { MEET } else { NEAR };
    let departure = if turn >= TURN_BACK_DEG && ahead_m < LONGEST_RUN_ON.m() && ahead_m > -length_m
    {
        Departure::TurnBack
    } else if near && turn <= CORNER_DEG && pass.leave_m.is_none() {
        Departure::Corner
    } else if near {
        Departure::OverEnd
    } else {
        Departure::Away
    };
    let run_on_m = if departure == Departure::TurnBack {
        ahead_m.max(0.0)
    } else {
        0.0
    };
    Leaving {
        departure,
        leave_m: pass.leave_m.unwrap_or(length_m + run_on_m + past_end_m),
    }
}

/// Degrees by which the pattern has turned on its present height, right positive.
fn turned_deg(passes: &[Pass]) -> f64 {
    let Some(last) = passes.last() else {
        return 0.0;
    };
    let band = passes
        .iter()
        .rev()
        .take_while(|pass| pass.altitude == last.altitude);
    let lines: Vec<&Line> = band.map(|pass| &pass.line).collect();
    lines
        .windows(2)
        .map(|pair| pair[1].course_at_end.turn_to(pair[0].course_at_start))
        .sum()
}

impl Flight<'_> {
    /// Flies the passes from where the aircraft is.
    pub(super) fn fly_passes(
        &mut self,
        passes: &[Pass],
        truth: &mut Truth,
    ) -> Result<(), SimulateError> {
        let mut last = Departure::Away;
        let carried = carried(&self.settings.faults);
        for (index, pass) in passes.iter().enumerate() {
            self.cruise_m = pass.altitude.unwrap_or(self.settings.altitude).m();
            let steering = match last {
                Departure::Away => self.join(&pass.line)?,
                Departure::NewHeight => {
                    self.circle_to_height(turned_deg(&passes[..index]))?;
                    self.join(&pass.line)?
                }
                Departure::TurnBack => self.turn_back(pass)?,
                Departure::Corner => Steering::default(),
                Departure::OverEnd => self.shorter_turn_onto(&pass.line),
            };
            if index == 0 && carried.speed() > 0.0 {
                self.carried = Some((carried, self.time_ms()));
                truth.carried_from = Some(self.now());
            }
            last = self.fly_pass(pass, passes.get(index + 1), steering, truth)?;
        }
        self.cruise_m = self.settings.altitude.m();
        self.carried = None;
        Ok(())
    }

    /// Full circles, at least one, until the height to fly is reached: to the side that the pattern does
    /// not turn to, away from the hill it goes round (MART II p. 150).
    fn circle_to_height(&mut self, pattern_turned_deg: f64) -> Result<(), SimulateError> {
        let side = if pattern_turned_deg > 0.0 { -1.0 } else { 1.0 };
        let start_rad = self.aircraft.attitude.heading_rad;
        let mut circles = 1.0;
        loop {
            let turned_rad = side * (self.aircraft.attitude.heading_rad - start_rad);
            if turned_rad >= circles * TAU {
                if (self.aircraft.height_m - self.cruise_m).abs() <= HEIGHT_REACHED_M {
                    return Ok(());
                }
                circles += 1.0;
            }
            self.fly(side * CIRCLE_BANK * self.can.bank_max_rad)?;
        }
    }

    /// Steering that begins with the turn to the side on which the course of the line is nearer, even
    /// where the other way to an intercept is shorter.
    fn shorter_turn_onto(&self, line: &Line) -> Steering {
        let course = line.course_at_start.deg().to_radians();
        let right = wrap_pi(course - self.aircraft.attitude.heading_rad) >= 0.0;
        Steering::turning(if right { Side::Right } else { Side::Left })
    }

    fn fly_pass(
        &mut self,
        pass: &Pass,
        next: Option<&Pass>,
        mut steering: Steering,
        truth: &mut Truth,
    ) -> Result<Departure, SimulateError> {
        let separate = self.plan.pattern == PatternKind::Legs;
        let leaving = departure(pass, next, separate, self.settings.manner.past_end.m());
        let mut record = PassRecord::new(self.plan.spacing);
        let mut events = pass.events.iter().peekable();
        let mut silence: Option<(i64, TrueDropout)> = None;
        let mut at = pass.line.frame.locate(self.place_on_pattern());
        while !self.is_leaving(pass, next, &leaving, at) {
            if let Some(event) = events.next_if(|event| event.along_m <= at.along_m) {
                match event.what {
                    Happening::Dropout { duration_s } => {
                        silence = Some(self.fall_silent(pass, at, duration_s));
                    }
                    Happening::Orbit { turns, side } => {
                        truth.orbits.push(self.orbit(pass, at, turns, side)?);
                        steering.resume();
                    }
                    Happening::Excursion { outside_s } => {
                        record.suspend(at.along_m);
                        truth.excursions.push(self.excursion(
                            pass,
                            at,
                            outside_s,
                            &mut steering,
                        )?);
                    }
                }
            }
            at = self.follow(&pass.line, pass.aim_m, &mut steering)?;
            record.watch(self, pass, at);
            if let Some((_, mut dropout)) =
                silence.take_if(|(until_ms, _)| self.time_ms() >= *until_ms)
            {
                if !record.is_over() {
                    dropout.along_to = Some(Length::from_m(pass.planned_along(at.along_m)));
                }
                truth.dropouts.push(dropout);
            }
        }
        truth.dropouts.extend(silence.map(|(_, dropout)| dropout));
        truth.passes.push(record.close(self, pass, at));
        Ok(leaving.departure)
    }

    fn is_leaving(
        &self,
        pass: &Pass,
        next: Option<&Pass>,
        leaving: &Leaving,
        at: AlongCross,
    ) -> bool {
        if at.along_m >= leaving.leave_m {
            return true;
        }
        let (Departure::Corner, Some(next)) = (leaving.departure, next) else {
            return false;
        };
        if at.along_m < pass.line.length_m() - NEAR.m() {
            return false;
        }
        let (sight, _) = self.sight(&next.line, next.aim_m);
        is_time_to_turn_onto(&sight, &self.can)
    }

    fn fall_silent(&mut self, pass: &Pass, at: AlongCross, duration_s: f64) -> (i64, TrueDropout) {
        let duration_ms = (duration_s * 1000.0).round() as i64;
        let until_ms = self.time_ms() + duration_ms;
        self.receiver.silence_until(until_ms);
        let dropout = TrueDropout {
            leg: pass.label.clone(),
            from: self.now(),
            to: self.now() + chrono::TimeDelta::milliseconds(duration_ms),
            along_from: Length::from_m(pass.planned_along(at.along_m)),
            along_to: None,
        };
        (until_ms, dropout)
    }

    /// Turns back onto a neighbouring leg.
    fn turn_back(&mut self, next: &Pass) -> Result<Steering, SimulateError> {
        let (sight, at) = self.sight(&next.line, next.aim_m);
        // Seen in the direction of the next leg, a leg to the right of the aircraft now is one
        // that the aircraft is to the right of.
        let side = if (at.cross_m - next.aim_m).abs() > BESIDE_M {
            sight.right_m.signum()
        } else {
            1.0
        };
        let turnaround = Turnaround {
            can: self.can,
            attitude: self.aircraft.attitude,
            wind: self.known_wind(),
            next_course_rad: sight.course_rad,
            side,
            room_m: side * sight.right_m,
            short_m: self.settings.manner.short.m(),
        };
        let outward = turnaround.outward();
        let mut turn = OutwardTurn::new(&outward, &self.aircraft.attitude, side);
        while let Some(bank) = turn.bank(&self.aircraft.attitude, &self.can) {
            self.fly(bank)?;
        }
        Ok(Steering::turning(if side > 0.0 {
            Side::Right
        } else {
            Side::Left
        }))
    }

    /// Flies from afar onto a line, up to where the turn onto it begins.
    pub(super) fn join(&mut self, line: &Line) -> Result<Steering, SimulateError> {
        let radius_m = self.turn_radius_m();
        let run_in = Length::from_m(RUN_IN.m() + 2.0 * radius_m);
        let back = line.course_at_start.reversed();
        let mut point = geodesic::destination(line.start, back, run_in);
        let approach = geodesic::between(self.place_on_pattern(), point).course_at_end;
        let from_ahead = approach.turn_to(line.course_at_start).abs() > CORNER_DEG;
        if from_ahead {
            let right = line.frame.locate(self.place_on_pattern()).cross_m >= 0.0;
            let outward = line
                .course_at_start
                .turned(if right { 90.0 } else { -90.0 });
            point = geodesic::destination(point, outward, Length::from_m(ABEAM_RADII * radius_m));
        }
        self.go_to(point, |flight| {
            let (sight, at) = flight.sight(line, 0.0);
            at.along_m < 0.0 && is_time_to_turn_onto(&sight, &flight.can)
        })?;
        Ok(Steering::default())
    }

    /// Flies straight to a point, until there or until `done`.
    pub(super) fn go_to(
        &mut self,
        point: Position,
        done: impl Fn(&Self) -> bool,
    ) -> Result<(), SimulateError> {
        let radius_m = self.turn_radius_m();
        // First round to the direction of the point, which must lie outside the turn for that.
        loop {
            let way = geodesic::between(self.place_on_pattern(), point);
            let course = way.course_at_start.deg().to_radians();
            let heading = heading_for_course(course, self.known_wind(), self.can.airspeed_mps);
            let error = wrap_pi(heading - self.aircraft.attitude.heading_rad);
            if error.abs() < 0.1 || way.distance.m() < 2.5 * radius_m {
                break;
            }
            self.fly(bank_towards(error, &self.can))?;
        }
        let line = Line::new(self.place_on_pattern(), point);
        let mut steering = Steering::default();
        while !done(self) {
            let at = self.follow(&line, 0.0, &mut steering)?;
            if at.along_m >= line.length_m() {
                break;
            }
        }
        Ok(())
    }

    /// Radius over the ground of the widest turn in this wind, metres.
    pub(super) fn turn_radius_m(&self) -> f64 {
        let fastest = self.can.airspeed_mps + self.wind.speed();
        turn_radius(Speed::from_mps(fastest), self.settings.bank_deg).m()
    }
}
