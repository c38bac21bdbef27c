//! Flights that follow no pattern, of every sort that a log may hold. Their shapes are those that recorded flights
//! have: gliders in lift and between lifts, circuits of an airfield, instrument approaches flown again and again,
//! cross-country legs, loitering, one way out and home.

use crate::flown::beside;
use overflown::geodesy::Position;
use overflown::track::Fix;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, Normal};
use std::f64::consts::{PI, TAU};

/// A pen that flies: 45 m/s, a fix every so many seconds, turns of 3 degrees a second.
struct Pen {
    rng: ChaCha8Rng,
    x: f64,
    y: f64,
    course: f64,
    time_s: f64,
    every_s: f64,
    fixes: Vec<Fix>,
}

const SPEED_MPS: f64 = 45.0;
const TURN_RADPS: f64 = 0.052;

impl Pen {
    fn new(seed: u64) -> Self {
        let mut rng = ChaCha8Rng::seed_from_u64(seed);
        let every_s = [1.0, 2.0, 5.0, 10.0][rng.random_range(0..4usize)];
        let course = rng.random_range(0.0..TAU);
        Self {
            rng,
            x: 0.0,
            y: 0.0,
            course,
            time_s: 0.0,
            every_s,
            fixes: Vec::new(),
        }
    }

    fn step(&mut self, turn: f64) {
        self.course += turn;
        self.x += SPEED_MPS * self.course.sin();
        self.y += SPEED_MPS * self.course.cos();
        self.time_s += 1.0;
        if self.time_s % self.every_s < 0.5 {
            let noise = Normal::new(0.0, 4.0).unwrap();
            let at = Position::new(47.3, 9.4).unwrap();
            let (e, n) = (noise.sample(&mut self.rng), noise.sample(&mut self.rng));
            let start = chrono::DateTime::from_timestamp(1_779_264_000, 0).unwrap();
            self.fixes.push(Fix {
                time: start + chrono::TimeDelta::milliseconds((self.time_s * 1000.0) as i64),
                position: beside(at, self.x + e, self.y + n),
                height: None.into(),
                file: 0,
                line: self.fixes.len() as u32 + 1,
            });
        }
    }

    /// Straight on, wandering a little.
    fn ahead(&mut self, metres: f64) {
        let wander = Normal::new(0.0, 0.004).unwrap();
        for _ in 0..(metres / SPEED_MPS) as usize {
            let turn = wander.sample(&mut self.rng);
            self.step(turn);
        }
    }

    /// Through so many radians, right positive.
    fn turn(&mut self, radians: f64) {
        for _ in 0..(radians.abs() / TURN_RADPS) as usize {
            self.step(TURN_RADPS.copysign(radians));
        }
    }

    /// Onto a course the shorter way.
    fn onto(&mut self, course: f64) {
        let by = (course - self.course + PI).rem_euclid(TAU) - PI;
        self.turn(by);
    }

    fn towards(&mut self, x: f64, y: f64) {
        self.onto((x - self.x).atan2(y - self.y));
        let metres = (x - self.x).hypot(y - self.y);
        self.ahead(metres);
    }

    fn random(&mut self, range: std::ops::Range<f64>) -> f64 {
        self.rng.random_range(range)
    }

    fn count(&mut self, range: std::ops::Range<usize>) -> usize {
        self.rng.random_range(range)
    }

    fn side(&mut self) -> f64 {
        if self.rng.random_bool(0.5) { 1.0 } else { -1.0 }
    }
}

/// Straight stretches with turns of any size between.
pub fn random_legs(seed: u64) -> Vec<Fix> {
    let mut pen = Pen::new(seed);
    for _ in 0..40 {
        let metres = pen.random(800.0..12_000.0);
        pen.ahead(metres);
        let radians = pen.random(-PI..PI);
        pen.turn(radians);
    }
    pen.fixes
}

/// A course that wanders without ever settling.
pub fn random_walk(seed: u64) -> Vec<Fix> {
    let mut pen = Pen::new(seed);
    let kick = Normal::new(0.0, 0.01).unwrap();
    let mut rate = 0.0f64;
    for _ in 0..5_000 {
        rate = 0.97 * rate + kick.sample(&mut pen.rng);
        pen.step(rate.clamp(-TURN_RADPS, TURN_RADPS));
    }
    pen.fixes
}

/// From place to place and home.
pub fn cross_country(seed: u64) -> Vec<Fix> {
    let mut pen = Pen::new(seed);
    for _ in 0..pen.count(2..7) {
        let (x, y) = (
            pen.random(-80_000.0..80_000.0),
            pen.random(-80_000.0..80_000.0),
        );
        pen.towards(x, y);
    }
    pen.towards(0.0, 0.0);
    pen.fixes
}

/// Climbs in circles, glides between them.
pub fn gliding(seed: u64) -> Vec<Fix> {
    let mut pen = Pen::new(seed);
    for _ in 0..25 {
        let (rounds, side) = (pen.random(1.0..8.0), pen.side());
        pen.turn(side * rounds * TAU);
        let metres = pen.random(1_500.0..15_000.0);
        pen.ahead(metres);
    }
    pen.fixes
}

/// Along a ridge, to and fro, as near to it and as far along it as the lift has it.
pub fn ridge(seed: u64) -> Vec<Fix> {
    let mut pen = Pen::new(seed);
    let (sin, cos) = pen.course.sin_cos();
    for k in 0..16 {
        let along = pen.random(2_000.0..7_000.0) * if k % 2 == 0 { 1.0 } else { -1.0 };
        let beside = pen.random(-250.0..250.0);
        // Away from the hill, then back onto it.
        pen.turn(if k % 2 == 0 { 0.8 } else { -0.8 });
        pen.towards(along * sin + beside * cos, along * cos - beside * sin);
    }
    pen.fixes
}

/// Circuits of an airfield, each a little different.
pub fn circuits(seed: u64) -> Vec<Fix> {
    let mut pen = Pen::new(seed);
    let side = pen.side();
    let (along, across) = (pen.random(2_500.0..6_000.0), pen.random(800.0..2_500.0));
    let axis = pen.course;
    for _ in 0..pen.count(4..12) {
        for quarter in 0..4 {
            let length = if quarter % 2 == 0 { along } else { across };
            let metres = length * pen.random(0.85..1.15);
            pen.ahead(metres);
            pen.onto(axis + side * f64::from(quarter + 1) * PI / 2.0);
        }
    }
    pen.fixes
}

/// One approach after the other, with procedure turns and holds.
pub fn approaches(seed: u64) -> Vec<Fix> {
    let mut pen = Pen::new(seed);
    let axis = pen.course;
    for _ in 0..pen.count(4..10) {
        let (out, offset) = (pen.random(9_000.0..20_000.0), pen.random(-3_000.0..3_000.0));
        let (sin, cos) = axis.sin_cos();
        pen.towards(-out * sin + offset * cos, -out * cos - offset * sin);
        if pen.rng.random_bool(0.4) {
            for _ in 0..pen.count(1..4) {
                let metres = pen.random(2_500.0..4_500.0);
                pen.turn(PI);
                pen.ahead(metres);
                pen.turn(PI);
                pen.ahead(metres);
            }
        }
        pen.onto(axis);
        pen.towards(0.0, 0.0);
    }
    pen.fixes
}

/// Round and round one place.
pub fn orbits(seed: u64) -> Vec<Fix> {
    let mut pen = Pen::new(seed);
    let metres = pen.random(5_000.0..30_000.0);
    pen.ahead(metres);
    let (rounds, side) = (pen.random(5.0..30.0), pen.side());
    pen.turn(side * rounds * TAU);
    pen.towards(0.0, 0.0);
    pen.fixes
}

/// A racetrack hold, round and round, with the wind.
pub fn holds(seed: u64) -> Vec<Fix> {
    let mut pen = Pen::new(seed);
    let (side, metres) = (pen.side(), pen.random(3_000.0..12_000.0));
    pen.towards(0.0, 15_000.0);
    for _ in 0..pen.count(3..10) {
        let (one, two) = (metres * pen.random(0.9..1.1), metres * pen.random(0.9..1.1));
        pen.ahead(one);
        pen.turn(side * PI);
        pen.ahead(two);
        pen.turn(side * PI);
    }
    pen.fixes
}

/// One way, straight.
pub fn one_way(seed: u64) -> Vec<Fix> {
    let mut pen = Pen::new(seed);
    let metres = pen.random(20_000.0..200_000.0);
    pen.ahead(metres);
    pen.fixes
}

/// Out and home again the same way, a little beside it.
pub fn out_and_home(seed: u64) -> Vec<Fix> {
    let mut pen = Pen::new(seed);
    let metres = pen.random(20_000.0..90_000.0);
    pen.ahead(metres);
    let side = pen.side();
    pen.turn(side * PI);
    pen.towards(0.0, 0.0);
    pen.fixes
}

/// Round the edge of a field.
pub fn round_the_edge(seed: u64) -> Vec<Fix> {
    let mut pen = Pen::new(seed);
    let (a, b) = (pen.random(4_000.0..20_000.0), pen.random(4_000.0..20_000.0));
    pen.towards(-5_000.0, -9_000.0);
    for _ in 0..pen.count(1..3) {
        for (x, y) in [(0.0, 0.0), (a, 0.0), (a, b), (0.0, b), (0.0, 0.0)] {
            pen.towards(x, y);
        }
    }
    pen.fixes
}
