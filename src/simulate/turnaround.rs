//! The turn back onto a neighbouring leg: straight round where there is room, else outward first
//! and then back (a teardrop), as wide as the wind, the bank and the roll rate ask for.

use super::aircraft::{Attitude, Performance, Velocity};
use super::guidance::{bank_towards, heading_for_course, wrap_pi};
use std::f64::consts::{FRAC_PI_2, TAU};

/// Step of the look ahead, seconds: that of the flight itself.
const STEP_S: f64 = super::flight::STEP_S;
/// Widest turn outward, radians. Chosen: a procedure turn through a right angle.
const OUTWARD_MAX_RAD: f64 = FRAC_PI_2;
/// Longest straight run outward, seconds.
const STRAIGHT_MAX_S: f64 = 600.0;

/// What comes before the turn back.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Outward {
    /// How far to turn away from the next leg first, radians.
    pub(super) turn_rad: f64,
    /// How long to fly straight there, seconds.
    pub(super) straight_s: f64,
}

/// A turn back that is to be planned.
#[derive(Clone, Copy, Debug)]
pub(super) struct Turnaround {
    pub(super) can: Performance,
    pub(super) attitude: Attitude,
    pub(super) wind: Velocity,
    /// Course of the next leg, radians.
    pub(super) next_course_rad: f64,
    /// Side of the next leg and of the turn back: +1 right, -1 left.
    pub(super) side: f64,
    /// Distance to the next leg, metres.
    pub(super) room_m: f64,
    /// How far short of it to roll out, metres.
    pub(super) short_m: f64,
}

impl Turnaround {
    /// The least outward turn after which the turn back does not overshoot the next leg.
    pub(super) fn outward(&self) -> Outward {
        let fits = |outward: &Outward| self.across_m(outward) <= self.room_m - self.short_m;
        let turned = |turn_rad| Outward {
            turn_rad,
            straight_s: 0.0,
        };
        if fits(&turned(0.0)) {
            return turned(0.0);
        }
        if fits(&turned(OUTWARD_MAX_RAD)) {
            return turned(bisect(OUTWARD_MAX_RAD, |x| fits(&turned(x))));
        }
        let run = |straight_s| Outward {
            turn_rad: OUTWARD_MAX_RAD,
            straight_s,
        };
        run(bisect(STRAIGHT_MAX_S, |x| fits(&run(x))))
    }

    /// Distance made good towards the next leg when the turn back is complete.
    fn across_m(&self, outward: &Outward) -> f64 {
        let towards_rad = self.next_course_rad - self.side * FRAC_PI_2;
        let mut attitude = self.attitude;
        let mut across_m = 0.0;
        let mut fly = |attitude: &mut Attitude, bank_rad: f64| {
            let heading = attitude.advance(&self.can, bank_rad, STEP_S);
            let ground = Velocity::towards(heading, self.can.airspeed_mps) + self.wind;
            across_m += ground.along(towards_rad) * STEP_S;
        };
        let mut pilot = OutwardTurn::new(outward, &attitude, self.side);
        while let Some(bank_rad) = pilot.bank(&attitude, &self.can) {
            fly(&mut attitude, bank_rad);
        }
        let home = heading_for_course(self.next_course_rad, self.wind, self.can.airspeed_mps);
        let mut error = wrap_pi(home - attitude.heading_rad);
        // The whole way round on the settled side, even where the other way is shorter.
        if error * self.side < 0.0 {
            error += self.side * TAU;
        }
        let target = attitude.heading_rad + error;
        while (target - attitude.heading_rad).abs() > 0.01 {
            let bank_rad = bank_towards(target - attitude.heading_rad, &self.can);
            fly(&mut attitude, bank_rad);
        }
        across_m
    }
}

/// Flying the outward part, step by step.
#[derive(Debug)]
pub(super) struct OutwardTurn {
    heading_rad: f64,
    outward_bank: f64,
    turning: bool,
    steps_left: f64,
}

impl OutwardTurn {
    pub(super) fn new(outward: &Outward, attitude: &Attitude, side: f64) -> Self {
        Self {
            heading_rad: attitude.heading_rad - side * outward.turn_rad,
            outward_bank: -side,
            turning: outward.turn_rad > 0.0,
            steps_left: (outward.straight_s / STEP_S).round(),
        }
    }

    /// The bank to fly now; `None` once it is time to turn back.
    pub(super) fn bank(&mut self, attitude: &Attitude, can: &Performance) -> Option<f64> {
        let left = self.heading_rad - attitude.heading_rad;
        if self.turning {
            if left * self.outward_bank > 0.0 {
                return Some(self.outward_bank * can.bank_max_rad);
            }
            self.turning = false;
        }
        if self.steps_left < 1.0 {
            return None;
        }
        self.steps_left -= 1.0;
        Some(bank_towards(left, can))
    }
}

/// The least x in [0, most] that `fits`, given that `most` does and all beyond do.
fn bisect(most: f64, fits: impl Fn(f64) -> bool) -> f64 {
    let (mut low, mut high) = (0.0, most);
    for _ in 0..14 {
        let middle = 0.5 * (low + high);
        if fits(middle) {
            high = middle;
        } else {
            low = middle;
        }
    }
    high
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::simulate::aircraft::turn_radius;
    use crate::units::Speed;

    fn turnaround(room_m: f64, wind: Velocity) -> Turnaround {
        Turnaround {
            can: Performance {
                airspeed_mps: Speed::from_kt(90.0).mps(),
                bank_max_rad: 25f64.to_radians(),
                // Rolling at once leaves pure circles, which have a closed form.
                roll_rate_rps: 100.0,
            },
            attitude: Attitude {
                heading_rad: 0.0,
                bank_rad: 0.0,
            },
            wind,
            next_course_rad: std::f64::consts::PI,
            side: 1.0,
            room_m,
            short_m: 15.0,
        }
    }

    /// Two circles of radius r: turning outward by α and back by 180° + α displaces by 2r cos α.
    #[test]
    fn teardrop_is_that_of_two_circles() {
        let r = turn_radius(Speed::from_kt(90.0), 25.0).m();
        let t = turnaround(1e9, Velocity::default());
        for alpha in [0.0, 0.5, 1.0, 1.5] {
            let outward = Outward {
                turn_rad: alpha,
                straight_s: 0.0,
            };
            // The last of the turn is flown at less bank, a few metres wider.
            let across = t.across_m(&outward);
            assert!(
                (across - 2.0 * r * alpha.cos()).abs() < 25.0,
                "{across} at {alpha}"
            );
        }
    }

    #[test]
    fn wide_room_needs_no_teardrop_and_wind_can() {
        assert_eq!(
            turnaround(1000.0, Velocity::default()).outward().turn_rad,
            0.0
        );
        let tail = Velocity {
            east: 10.0,
            north: 0.0,
        };
        assert!(turnaround(1000.0, tail).outward().turn_rad > 0.3);
        let gale = turnaround(
            0.0,
            Velocity {
                east: 25.0,
                north: 0.0,
            },
        )
        .outward();
        assert!(gale.straight_s > 10.0, "{gale:?}");
    }
}
