//! The flight as it runs: aircraft, air, receiver and clock, moved on one step at a time.

use super::aircraft::{Aircraft, Performance, Velocity};
use super::guidance::{Sight, Steering};
use super::moved::carried_back;
use super::noise::GaussMarkov;
use super::pass::Line;
use super::receiver::{Receiver, Sample};
use super::{Settings, SimulateError};
use crate::geodesy::{AlongCross, Position, ecef, geodesic};
use crate::plan::Plan;
use chrono::{DateTime, TimeDelta, Utc};
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::SeedableRng;

/// Step of the simulation. A tenth of a second keeps every fix within centimetres of the arc.
const STEP_MS: i64 = 100;
/// As [`STEP_MS`], seconds.
pub(super) const STEP_S: f64 = STEP_MS as f64 / 1000.0;
/// Longest flight simulated, hours. Chosen: beyond any endurance; it bounds every loop.
pub(super) const MAX_HOURS: f64 = 48.0;
/// Roll rate, radians per second. Chosen: 6°/s, an unhurried roll.
const ROLL_RATE_RPS: f64 = 0.105;
/// Memory of the pilot's aim, of the gusts and of the height held, seconds. Chosen: minutes for
/// attention, half a minute for air.
const AIM_S: f64 = 90.0;
const GUST_S: f64 = 30.0;
const HEIGHT_S: f64 = 90.0;
/// Rate of climb and of descent, m/s (about 600 ft/min, common practice, no source), and the time
/// in which a height error is flown away, seconds.
const CLIMB_MPS: f64 = 3.0;
const DESCENT_MPS: f64 = 3.5;
const HEIGHT_HOLD_S: f64 = 6.0;
const CLIMB_LAG_S: f64 = 2.0;
/// Glide path home: 3° (ICAO standard approach slope, from memory), and the length of the flare.
const GLIDE_SLOPE: f64 = 0.0524;
const FLARE_M: f64 = 400.0;

/// A flight under way.
#[derive(Debug)]
pub(super) struct Flight<'a> {
    pub(super) plan: &'a Plan,
    pub(super) settings: &'a Settings,
    pub(super) can: Performance,
    pub(super) aircraft: Aircraft,
    /// The steady wind.
    pub(super) wind: Velocity,
    pub(super) receiver: Receiver,
    /// Velocity of the pattern over the ground, and since when, while it is flown.
    pub(super) carried: Option<(Velocity, i64)>,
    /// Distance over the ground so far, metres.
    pub(super) distance_m: f64,
    /// Height flown at the moment, metres.
    pub(super) cruise_m: f64,
    /// Where the descent leads to, once it has begun.
    pub(super) landing: Option<Position>,
    airborne: bool,
    gust: [GaussMarkov; 2],
    aim: GaussMarkov,
    height: GaussMarkov,
    pilot_rng: ChaCha8Rng,
    air_rng: ChaCha8Rng,
    time_ms: i64,
    last: Sample,
}

impl<'a> Flight<'a> {
    /// Standing at the base with the receiver just switched on.
    pub(super) fn new(plan: &'a Plan, settings: &'a Settings, seed: u64, base: Position) -> Self {
        // Streams of their own: the flight does not depend on how it is recorded.
        let stream = |number| {
            let mut rng = ChaCha8Rng::seed_from_u64(seed);
            rng.set_stream(number);
            rng
        };
        let (mut pilot_rng, mut air_rng) = (stream(0), stream(1));
        let from_rad = settings.wind.from.deg().to_radians();
        let base_height_m = settings.base_height.m();
        let last = Sample {
            time_ms: 0,
            position: base,
            height_m: base_height_m,
        };
        let mut receiver = Receiver::new(settings, stream(2));
        receiver.watch(&last, &last);
        Self {
            plan,
            settings,
            can: Performance {
                airspeed_mps: settings.airspeed.mps(),
                bank_max_rad: settings.bank_deg.to_radians(),
                roll_rate_rps: ROLL_RATE_RPS,
            },
            aircraft: Aircraft::standing(base, from_rad, base_height_m),
            wind: Velocity::towards(from_rad, -settings.wind.speed.mps()),
            receiver,
            carried: None,
            distance_m: 0.0,
            cruise_m: settings.altitude.m(),
            landing: None,
            airborne: false,
            gust: [0; 2].map(|_| GaussMarkov::new(settings.gust.mps(), GUST_S, &mut air_rng)),
            aim: GaussMarkov::new(settings.wander.m(), AIM_S, &mut pilot_rng),
            height: GaussMarkov::new(settings.height_wander.m(), HEIGHT_S, &mut pilot_rng),
            pilot_rng,
            air_rng,
            time_ms: 0,
            last,
        }
    }

    pub(super) fn now(&self) -> DateTime<Utc> {
        self.settings.start + TimeDelta::milliseconds(self.time_ms)
    }

    pub(super) const fn time_ms(&self) -> i64 {
        self.time_ms
    }

    pub(super) fn time_s(&self) -> f64 {
        self.time_ms as f64 / 1000.0
    }

    pub(super) const fn position(&self) -> Position {
        self.last.position
    }

    /// Where that is on the pattern, which may be carried along.
    pub(super) fn place_on_pattern(&self) -> Position {
        match self.carried {
            None => self.position(),
            Some((velocity, since_ms)) => {
                let seconds = (self.time_ms - since_ms) as f64 / 1000.0;
                carried_back(self.position(), velocity, seconds)
            }
        }
    }

    pub(super) const fn lift_off(&mut self) {
        self.airborne = true;
    }

    pub(super) const fn touch_down(&mut self) {
        self.airborne = false;
    }

    /// Whether the aircraft is inside the search area.
    pub(super) fn in_area(&self) -> bool {
        self.plan
            .area
            .contains(self.plan.frame.forward(self.position()))
    }

    /// The wind the pilot allows for.
    pub(super) fn known_wind(&self) -> Velocity {
        Velocity {
            east: self.settings.wind_share * self.wind.east,
            north: self.settings.wind_share * self.wind.north,
        }
    }

    /// What the pilot sees of a line when aiming `aim_m` right of it, and where that is.
    pub(super) fn sight(&self, line: &Line, aim_m: f64) -> (Sight, AlongCross) {
        let at = line
            .frame
            .locate_ecef(ecef::from_position(self.place_on_pattern()));
        // Seen from a pattern that is carried along, everything else moves the other way.
        let past = self
            .carried
            .map_or(Velocity::default(), |(v, _)| v.reversed());
        let sight = Sight {
            right_m: at.cross_m - aim_m - self.aim.value(),
            course_rad: line.frame.course_at(at.along_m).deg().to_radians(),
            attitude: self.aircraft.attitude,
            ground: self.aircraft.ground + past,
            wind: self.wind + past,
            known_wind: self.known_wind() + past,
            manner: self.settings.manner,
        };
        (sight, at)
    }

    /// Flies one step along a line; returns where on it that leads.
    pub(super) fn follow(
        &mut self,
        line: &Line,
        aim_m: f64,
        steering: &mut Steering,
    ) -> Result<AlongCross, SimulateError> {
        let (sight, _) = self.sight(line, aim_m);
        let bank = steering.bank(&sight, &self.can, STEP_S);
        self.fly(bank)?;
        Ok(line.frame.locate(self.place_on_pattern()))
    }

    /// Flies one step with a bank.
    pub(super) fn fly(&mut self, bank_rad: f64) -> Result<(), SimulateError> {
        let [east, north] = &mut self.gust;
        let wind = self.wind
            + Velocity {
                east: east.advance(STEP_S, &mut self.air_rng),
                north: north.advance(STEP_S, &mut self.air_rng),
            };
        self.aircraft.fly(&self.can, bank_rad, wind, STEP_S);
        self.finish_step()
    }

    /// Rolls or stands on the ground for one step.
    pub(super) fn roll(&mut self, speed_mps: f64) -> Result<(), SimulateError> {
        let heading = self.aircraft.attitude.heading_rad;
        self.aircraft.attitude.bank_rad = 0.0;
        self.aircraft
            .move_over_ground(Velocity::towards(heading, speed_mps), STEP_S);
        self.finish_step()
    }

    fn finish_step(&mut self) -> Result<(), SimulateError> {
        self.aim.advance(STEP_S, &mut self.pilot_rng);
        self.height.advance(STEP_S, &mut self.pilot_rng);
        self.hold_height();
        self.time_ms += STEP_MS;
        self.distance_m += self.aircraft.ground.speed() * STEP_S;
        let sample = Sample {
            time_ms: self.time_ms,
            position: self.aircraft.position(),
            height_m: self.aircraft.height_m,
        };
        self.receiver.watch(&self.last, &sample);
        self.last = sample;
        if self.time_s() > MAX_HOURS * 3600.0 {
            return Err(SimulateError::TooLong { hours: MAX_HOURS });
        }
        Ok(())
    }

    fn hold_height(&mut self) {
        let wanted_m = self.height_wanted_m();
        let aircraft = &mut self.aircraft;
        let climb = ((wanted_m - aircraft.height_m) / HEIGHT_HOLD_S).clamp(-DESCENT_MPS, CLIMB_MPS);
        aircraft.climb_mps += (climb - aircraft.climb_mps) * STEP_S / CLIMB_LAG_S;
        aircraft.height_m += aircraft.climb_mps * STEP_S;
    }

    fn height_wanted_m(&self) -> f64 {
        let ground_m = self.settings.base_height.m();
        if !self.airborne {
            return ground_m;
        }
        let cruise_m = self.cruise_m + self.height.value();
        self.landing.map_or(cruise_m, |runway| {
            let out_m = geodesic::distance(self.position(), runway).m() - FLARE_M;
            cruise_m.min(ground_m + GLIDE_SLOPE * out_m.max(0.0))
        })
    }
}
