//! Take-off and landing, into the wind.

use super::SimulateError;
use super::flight::{Flight, STEP_S};
use super::pass::Line;
use crate::geodesy::{Position, geodesic};
use crate::units::{Bearing, Length};
use chrono::{DateTime, Utc};

/// Time standing before the take-off and after the landing, seconds.
const STANDING_S: f64 = 30.0;
/// Acceleration and braking on the ground, m/s². Chosen: a light aircraft's.
const ROLL_MPS2: f64 = 1.5;
/// Climb straight ahead after lift-off, seconds.
const STRAIGHT_CLIMB_S: f64 = 20.0;
/// Length of the final approach.
const FINAL: Length = Length::from_nm(2.0);
/// Wind below which the way to go decides the runway, m/s.
const CALM_MPS: f64 = 0.5;

impl Flight<'_> {
    /// Stands, rolls and climbs out; returns the moment of lift-off.
    pub(super) fn take_off(&mut self, towards: Position) -> Result<DateTime<Utc>, SimulateError> {
        let runway = self.runway(geodesic::between(self.position(), towards).course_at_start);
        self.aircraft.attitude.heading_rad = runway.deg().to_radians();
        self.stand()?;
        let lift_off = self.rolling_speed_mps(runway);
        let mut speed = 0.0;
        while speed < lift_off {
            speed = (speed + ROLL_MPS2 * STEP_S).min(lift_off);
            self.roll(speed)?;
        }
        self.lift_off();
        let airborne = self.now();
        for _ in 0..(STRAIGHT_CLIMB_S / STEP_S) as u32 {
            self.fly(0.0)?;
        }
        Ok(airborne)
    }

    /// Flies home, lands and stands; returns the moment of touch-down.
    pub(super) fn land(&mut self, base: Position) -> Result<DateTime<Utc>, SimulateError> {
        self.landing = Some(base);
        let runway = self.runway(geodesic::between(self.position(), base).course_at_end);
        let threshold = geodesic::destination(base, runway.reversed(), FINAL);
        let line = Line::new(threshold, base);
        let mut steering = self.join(&line)?;
        // Touch-down where braking brings the aircraft to stand at the base.
        let touch_down = self.rolling_speed_mps(runway);
        let braking_m = touch_down * touch_down / (2.0 * ROLL_MPS2);
        while self.follow(&line, 0.0, &mut steering)?.along_m < line.length_m() - braking_m {}
        self.touch_down();
        let landed = self.now();
        let mut speed = self.aircraft.ground.speed();
        while speed > 0.0 {
            speed = (speed - ROLL_MPS2 * STEP_S).max(0.0);
            self.roll(speed)?;
        }
        self.stand()?;
        Ok(landed)
    }

    fn stand(&mut self) -> Result<(), SimulateError> {
        for _ in 0..(STANDING_S / STEP_S) as u32 {
            self.roll(0.0)?;
        }
        Ok(())
    }

    /// Into the wind, or the way one is going anyway.
    fn runway(&self, way: Bearing) -> Bearing {
        if self.settings.wind.speed.mps() > CALM_MPS {
            self.settings.wind.from
        } else {
            way
        }
    }

    /// Speed over the ground at which the aircraft flies, heading along the runway.
    fn rolling_speed_mps(&self, runway: Bearing) -> f64 {
        self.can.airspeed_mps + self.wind.along(runway.deg().to_radians())
    }
}
