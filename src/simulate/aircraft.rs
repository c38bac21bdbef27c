//! Kinematics of the aircraft: a coordinated turn through moving air over the ellipsoid.
//!
//! ```text
//! turn rate ω = g tan φ / V        turn radius r = V² / (g tan φ)
//! ```
//!
//! (FAA-H-8083-25, Pilot's Handbook of Aeronautical Knowledge, chapter "Aerodynamics of Flight",
//! rate and radius of turn; from memory.) V is true airspeed and φ bank, so a turn is a circle in
//! the air and a drifting one over the ground. Positions are surface positions; that an aircraft
//! at height h moves R/(R+h) slower over the ellipsoid (0.01 % at 600 m) is left out.

use crate::geodesy::Position;
use crate::geodesy::geodesic::{ECCENTRICITY_SQUARED, EQUATORIAL_RADIUS_M};
use crate::units::{Length, Speed};

/// Standard acceleration of gravity, m/s² (3rd General Conference on Weights and Measures, 1901).
pub const GRAVITY_MPS2: f64 = 9.806_65;

/// Radius of a coordinated turn at a true airspeed and a bank in degrees.
#[must_use]
pub fn turn_radius(airspeed: Speed, bank_deg: f64) -> Length {
    let v = airspeed.mps();
    Length::from_m(v * v / (GRAVITY_MPS2 * bank_deg.to_radians().tan()))
}

/// What the aircraft can do and how fast it flies.
#[derive(Clone, Copy, Debug)]
pub(super) struct Performance {
    /// True airspeed, m/s.
    pub(super) airspeed_mps: f64,
    /// Steepest bank flown, radians.
    pub(super) bank_max_rad: f64,
    /// Roll rate, radians per second.
    pub(super) roll_rate_rps: f64,
}

impl Performance {
    /// Turn rate at a bank, rad/s, right positive.
    pub(super) fn turn_rate(&self, bank_rad: f64) -> f64 {
        GRAVITY_MPS2 * bank_rad.tan() / self.airspeed_mps
    }
}

/// Where the nose points and how the wings lie.
#[derive(Clone, Copy, Debug)]
pub(super) struct Attitude {
    /// True heading, radians clockwise from north, not wrapped.
    pub(super) heading_rad: f64,
    /// Bank, radians, right wing down positive.
    pub(super) bank_rad: f64,
}

impl Attitude {
    /// Rolls towards a bank and turns for `dt_s`; returns the heading half-way through.
    pub(super) fn advance(&mut self, can: &Performance, bank_wanted_rad: f64, dt_s: f64) -> f64 {
        let wanted = bank_wanted_rad.clamp(-can.bank_max_rad, can.bank_max_rad);
        let roll = can.roll_rate_rps * dt_s;
        let before = self.bank_rad;
        self.bank_rad += (wanted - self.bank_rad).clamp(-roll, roll);
        let turned = can.turn_rate(0.5 * (before + self.bank_rad)) * dt_s;
        let halfway = self.heading_rad + 0.5 * turned;
        self.heading_rad += turned;
        halfway
    }
}

/// A velocity over the ground or of the air, metres per second.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Velocity {
    /// Towards east.
    pub(super) east: f64,
    /// Towards north.
    pub(super) north: f64,
}

impl Velocity {
    /// A velocity of `speed` towards `course_rad`.
    pub(super) fn towards(course_rad: f64, speed: f64) -> Self {
        let (sin, cos) = course_rad.sin_cos();
        Self {
            east: speed * sin,
            north: speed * cos,
        }
    }

    /// Its component towards `course_rad`.
    pub(super) fn along(self, course_rad: f64) -> f64 {
        let (sin, cos) = course_rad.sin_cos();
        self.east * sin + self.north * cos
    }

    /// Its component to the right of `course_rad`.
    pub(super) fn across(self, course_rad: f64) -> f64 {
        self.along(course_rad + std::f64::consts::FRAC_PI_2)
    }

    /// The same the other way.
    pub(super) fn reversed(self) -> Self {
        Self {
            east: -self.east,
            north: -self.north,
        }
    }

    /// Its size.
    pub(super) fn speed(self) -> f64 {
        self.east.hypot(self.north)
    }

    /// Its direction, radians clockwise from north.
    pub(super) fn course_rad(self) -> f64 {
        self.east.atan2(self.north)
    }
}

impl std::ops::Add for Velocity {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self {
            east: self.east + other.east,
            north: self.north + other.north,
        }
    }
}

/// The aircraft at one moment.
#[derive(Clone, Copy, Debug)]
pub(super) struct Aircraft {
    lat_rad: f64,
    lon_rad: f64,
    /// Heading and bank.
    pub(super) attitude: Attitude,
    /// Velocity over the ground in the last step.
    pub(super) ground: Velocity,
    /// Height, metres, in the terms of the tasked altitude.
    pub(super) height_m: f64,
    /// Rate of climb, m/s.
    pub(super) climb_mps: f64,
}

impl Aircraft {
    /// Standing at a place, wings level.
    pub(super) fn standing(at: Position, heading_rad: f64, height_m: f64) -> Self {
        Self {
            lat_rad: at.lat().to_radians(),
            lon_rad: at.lon().to_radians(),
            attitude: Attitude {
                heading_rad,
                bank_rad: 0.0,
            },
            ground: Velocity::default(),
            height_m,
            climb_mps: 0.0,
        }
    }

    /// Where it is.
    pub(super) fn position(&self) -> Position {
        Position::from_computed(self.lat_rad.to_degrees(), self.lon_rad.to_degrees())
    }

    /// Flies for `dt_s` through air moving with `wind`, rolling towards a bank.
    pub(super) fn fly(&mut self, can: &Performance, bank_rad: f64, wind: Velocity, dt_s: f64) {
        let halfway = self.attitude.advance(can, bank_rad, dt_s);
        self.move_over_ground(Velocity::towards(halfway, can.airspeed_mps) + wind, dt_s);
    }

    /// Moves with a velocity over the ground for `dt_s`.
    ///
    /// The heading turns with the meridians, so that straight flight is a geodesic and not a
    /// line of constant heading.
    pub(super) fn move_over_ground(&mut self, velocity: Velocity, dt_s: f64) {
        let sin = self.lat_rad.sin();
        let w2 = 1.0 - ECCENTRICITY_SQUARED * sin * sin;
        let n = EQUATORIAL_RADIUS_M / w2.sqrt();
        let m = n * (1.0 - ECCENTRICITY_SQUARED) / w2;
        let north = velocity.north * dt_s / m;
        let middle = self.lat_rad + 0.5 * north;
        let east = velocity.east * dt_s / (n * middle.cos());
        self.lat_rad += north;
        self.lon_rad += east;
        self.attitude.heading_rad += east * middle.sin();
        self.ground = velocity;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geodesy::geodesic;
    use crate::units::Bearing;

    /// r = V²/(g tan φ) computed from the formula: 90 kt at 20° 0.324 NM, at 30° 0.204 NM.
    #[test]
    fn radius_of_a_coordinated_turn() {
        let v = Speed::from_kt(90.0);
        assert!((turn_radius(v, 20.0).nm() - 0.324).abs() < 5e-4);
        assert!((turn_radius(v, 30.0).nm() - 0.204).abs() < 5e-4);
    }

    fn banked(bank_deg: f64, lat_deg: f64) -> (Aircraft, Performance) {
        let bank_rad = bank_deg.to_radians();
        let can = Performance {
            airspeed_mps: Speed::from_kt(90.0).mps(),
            bank_max_rad: bank_rad,
            roll_rate_rps: 0.1,
        };
        let at = Position::new(lat_deg, 12.0).unwrap();
        let mut aircraft = Aircraft::standing(at, 0.0, 0.0);
        aircraft.attitude.bank_rad = bank_rad;
        (aircraft, can)
    }

    /// The circle flown in calm air has the diameter of the formula, measured by geographiclib.
    #[test]
    fn flies_the_circle_of_the_formula() {
        for bank_deg in [10.0, 20.0, 30.0] {
            let (mut aircraft, can) = banked(bank_deg, 47.0);
            let start = aircraft.position();
            let mut widest: f64 = 0.0;
            for _ in 0..2000 {
                aircraft.fly(&can, can.bank_max_rad, Velocity::default(), 0.1);
                widest = widest.max(geodesic::distance(start, aircraft.position()).m());
            }
            let diameter = 2.0 * turn_radius(Speed::from_kt(90.0), bank_deg).m();
            assert!(
                (widest / diameter - 1.0).abs() < 1e-3,
                "{widest} for {diameter}"
            );
        }
    }

    /// Wings-level flight in calm air is a geodesic: 50 NM north-east at 70° north against
    /// geographiclib's direct problem.
    #[test]
    fn straight_flight_is_a_geodesic() {
        let (mut aircraft, can) = banked(0.0, 70.0);
        aircraft.attitude.heading_rad = 45f64.to_radians();
        let start = aircraft.position();
        let steps = 20_000;
        for _ in 0..steps {
            aircraft.fly(&can, 0.0, Velocity::default(), 0.1);
        }
        let there = geodesic::destination(
            start,
            Bearing::from_deg(45.0),
            Length::from_m(can.airspeed_mps * 0.1 * f64::from(steps)),
        );
        let off = geodesic::distance(there, aircraft.position()).m();
        assert!(off < 5.0, "{off} m off after 50 NM");
    }

    #[test]
    fn roll_takes_its_time() {
        let (mut aircraft, can) = banked(30.0, 47.0);
        aircraft.attitude.bank_rad = 0.0;
        for _ in 0..10 {
            aircraft.fly(&can, 1.0, Velocity::default(), 0.1);
        }
        assert!((aircraft.attitude.bank_rad - 0.1).abs() < 1e-12);
    }
}
