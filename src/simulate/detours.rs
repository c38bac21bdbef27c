//! Leaving a leg on purpose: circles beside it, and out of the area and back.

use super::SimulateError;
use super::aircraft::{GRAVITY_MPS2, turn_radius};
use super::flight::{Flight, STEP_S};
use super::guidance::{Steering, bank_towards, heading_for_course, wrap_pi};
use super::pass::{Line, Pass};
use super::truth::{TrueCornerSurvey, TrueExcursion, TrueOrbit};
use crate::geodesy::ecef::{self, TangentPlane};
use crate::geodesy::{AlongCross, Position, geodesic};
use crate::tasking::Side;
use crate::units::{Bearing, Length, Speed};
use geo::Coord;
use std::f64::consts::{FRAC_PI_2, TAU};

/// Share of the greatest bank that the tightest part of a circle over the ground needs.
const ORBIT_BANK: f64 = 0.85;
/// Time in which a radial error on a circle is flown away, seconds.
const ORBIT_HOLD_S: f64 = 5.0;
/// The turn outward is complete within this of its heading, radians.
const OUTBOUND_RAD: f64 = 0.3;
/// Step of the look ahead in an excursion, and its longest, seconds.
const LOOK_STEP_S: f64 = 0.5;
const LOOK_MAX_S: f64 = 7200.0;

impl Flight<'_> {
    /// Circles over the ground beside the aim of a pass, entered and left along it.
    pub(super) fn orbit(
        &mut self,
        pass: &Pass,
        at: AlongCross,
        turns: u32,
        side: Side,
    ) -> Result<TrueOrbit, SimulateError> {
        let v = self.can.airspeed_mps;
        let fastest = Speed::from_mps(v + self.wind.speed());
        let radius_m = turn_radius(fastest, ORBIT_BANK * self.settings.bank_deg).m();
        let course = pass.line.frame.course_at(at.along_m);
        let centre = geodesic::destination(
            self.position(),
            course.turned(90.0 * side.sign()),
            Length::from_m(radius_m),
        );
        let plane = TangentPlane::new(centre);
        let from = self.now();
        let mut swept = 0.0;
        let mut last_bearing: Option<f64> = None;
        // The roll-out still turns; it begins that much before the circle is full.
        let bank = (v * v / (GRAVITY_MPS2 * radius_m)).atan();
        let lead = 0.5 * bank / self.can.roll_rate_rps * v / radius_m;
        while swept < TAU * f64::from(turns) - lead {
            let out = plane.project(ecef::from_position(self.position()));
            let bearing = out.east_m.atan2(out.north_m);
            if let Some(last) = last_bearing.replace(bearing) {
                swept += side.sign() * wrap_pi(bearing - last);
            }
            let too_far_m = out.east_m.hypot(out.north_m) - radius_m;
            let inward = (too_far_m / (v * ORBIT_HOLD_S)).clamp(-0.8, 0.8);
            let course = bearing + side.sign() * (FRAC_PI_2 + inward);
            let heading = heading_for_course(course, self.wind, v);
            let turn_rate = self.aircraft.ground.speed() / radius_m;
            let steady = side.sign() * (v * turn_rate / GRAVITY_MPS2).atan();
            let error = wrap_pi(heading - self.aircraft.attitude.heading_rad);
            self.fly(steady + bank_towards(error, &self.can))?;
        }
        Ok(TrueOrbit {
            leg: pass.label.clone(),
            along: Length::from_m(pass.planned_along(at.along_m)),
            side,
            turns,
            centre,
            radius: Length::from_m(radius_m),
            from,
            to: self.now(),
        })
    }

    /// Square off the leg to the nearer edge of the area, out for a while, and back onto the leg.
    pub(super) fn excursion(
        &mut self,
        pass: &Pass,
        at: AlongCross,
        outside_s: f64,
        steering: &mut Steering,
    ) -> Result<TrueExcursion, SimulateError> {
        let course = pass.line.frame.course_at(at.along_m);
        let side = self.nearer_edge(course);
        let towards = |turned: f64| {
            let course = course.turned(turned * side.sign()).deg().to_radians();
            heading_for_course(course, self.known_wind(), self.can.airspeed_mps)
        };
        let (outbound, inbound) = (towards(90.0), towards(-90.0));
        let mut watch = OutsideWatch::default();
        let from = self.now();
        // Looking ahead every second is near enough; before that the turn back is out of question.
        let soonest_s = outside_s * 0.5 * (1.0 - self.wind.speed() / self.can.airspeed_mps) - 60.0;
        let mut steps = 0u32;
        loop {
            let error = wrap_pi(outbound - self.aircraft.attitude.heading_rad);
            self.fly(bank_towards(error, &self.can))?;
            watch.look(self);
            steps += 1;
            // Halfway into the turn outward, a turn back would only be a turn on.
            if error.abs() < OUTBOUND_RAD
                && steps.is_multiple_of(10)
                && watch.outside_s >= soonest_s
                && watch.outside_s + self.outside_if_turned_back(side, inbound) >= outside_s
            {
                break;
            }
        }
        steering.resume_turning(side);
        let mut back_at = at;
        while !steering.is_tracking() {
            back_at = self.follow(&pass.line, pass.aim_m, steering)?;
            watch.look(self);
        }
        Ok(TrueExcursion {
            leg: pass.label.clone(),
            along_from: Length::from_m(pass.planned_along(at.along_m)),
            along_to: Length::from_m(pass.planned_along(back_at.along_m)),
            from,
            to: self.now(),
            out: watch.out,
            back: watch.back,
            outside_s: watch.outside_s,
        })
    }

    /// Seconds still to be spent outside if the turn back began now.
    fn outside_if_turned_back(&self, side: Side, inbound: f64) -> f64 {
        let mut aircraft = self.aircraft;
        let mut error = wrap_pi(inbound - aircraft.attitude.heading_rad);
        if error * side.sign() < 0.0 {
            error += side.sign() * TAU;
        }
        let target = aircraft.attitude.heading_rad + error;
        let (mut outside_s, mut time_s) = (0.0, 0.0);
        while time_s < LOOK_MAX_S {
            let left = target - aircraft.attitude.heading_rad;
            aircraft.fly(
                &self.can,
                bank_towards(left, &self.can),
                self.wind,
                LOOK_STEP_S,
            );
            time_s += LOOK_STEP_S;
            let inside = self
                .plan
                .area
                .contains(self.plan.frame.forward(aircraft.position()));
            if !inside {
                outside_s += LOOK_STEP_S;
            } else if left.abs() < 0.1 {
                break;
            }
        }
        outside_s
    }

    /// The side on which the edge of the area is nearer, square to a course.
    fn nearer_edge(&self, course: Bearing) -> Side {
        let reach = |turned: f64| {
            let here = self.plan.frame.forward(self.position());
            let beside = geodesic::destination(
                self.position(),
                course.turned(turned),
                Length::from_m(1000.0),
            );
            let there = self.plan.frame.forward(beside);
            self.plan
                .area
                .polygon()
                .exterior()
                .lines()
                .filter_map(|edge| ray_meets(here, there, edge.start, edge.end))
                .fold(f64::INFINITY, f64::min)
        };
        if reach(90.0) <= reach(-90.0) {
            Side::Right
        } else {
            Side::Left
        }
    }

    /// Over all corners of the area, ending near the start of the first leg.
    pub(super) fn survey_corners(
        &mut self,
        first: &Line,
    ) -> Result<TrueCornerSurvey, SimulateError> {
        let corners = self.corner_order(first);
        let mut widest_m: f64 = 0.0;
        let mut from = self.now();
        let mut last: Option<Position> = None;
        for &corner in &corners {
            match last {
                None => {
                    self.go_to(corner, |_| false)?;
                    from = self.now();
                }
                Some(last) => {
                    let edge = Line::new(last, corner);
                    let mut steering = Steering::default();
                    while self.follow(&edge, 0.0, &mut steering)?.along_m < edge.length_m() {}
                }
            }
            widest_m = widest_m.max(geodesic::distance(self.position(), corner).m());
            last = Some(corner);
        }
        Ok(TrueCornerSurvey {
            from,
            to: self.now(),
            corners,
            widest_miss: Length::from_m(widest_m),
        })
    }

    /// The corners in the order round the area that is shortest to get to and to leave.
    fn corner_order(&self, first: &Line) -> Vec<Position> {
        let mut corners = self.plan.area.sharp_corners();
        if corners.is_empty() {
            // Round a circle one flies past all of them.
            corners = self.plan.area.corners().to_vec();
        }
        let n = corners.len();
        let order = |start: usize, backwards: bool| -> Vec<Position> {
            (0..n)
                .map(|i| corners[if backwards { start + n - i } else { start + i } % n])
                .collect()
        };
        let way_m = |order: &[Position]| match order {
            [a, .., z] => {
                geodesic::distance(self.position(), *a).m()
                    + geodesic::distance(*z, first.start).m()
            }
            _ => 0.0,
        };
        (0..n)
            .flat_map(|start| [order(start, false), order(start, true)])
            .min_by(|a, b| way_m(a).total_cmp(&way_m(b)))
            .unwrap_or_default()
    }
}

/// Time outside the area, as it passes.
#[derive(Debug, Default)]
struct OutsideWatch {
    outside_s: f64,
    out: Option<chrono::DateTime<chrono::Utc>>,
    back: Option<chrono::DateTime<chrono::Utc>>,
    is_outside: bool,
}

impl OutsideWatch {
    fn look(&mut self, flight: &Flight) {
        let outside = !flight.in_area();
        if outside {
            self.outside_s += STEP_S;
            self.out.get_or_insert_with(|| flight.now());
        } else if self.is_outside {
            self.back = Some(flight.now());
        }
        self.is_outside = outside;
    }
}

/// How far along the ray from `a` through `b`, in lengths of it, the segment `c`-`d` is met.
fn ray_meets(a: Coord<f64>, b: Coord<f64>, c: Coord<f64>, d: Coord<f64>) -> Option<f64> {
    let (ray, edge, gap) = (b - a, d - c, c - a);
    let cross = |u: Coord<f64>, v: Coord<f64>| u.x * v.y - u.y * v.x;
    let area = cross(ray, edge);
    if area == 0.0 {
        return None;
    }
    let along_ray = cross(gap, edge) / area;
    let along_edge = cross(gap, ray) / area;
    (along_ray > 0.0 && (0.0..=1.0).contains(&along_edge)).then_some(along_ray)
}
