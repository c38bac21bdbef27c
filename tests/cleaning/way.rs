//! Ways flown by formula: a place as a function of time, sampled and blurred.

use crate::support;
use chrono::{DateTime, TimeDelta, Utc};
use overflown::geodesy::{LocalFrame, Position};
use overflown::input::InputError;
use overflown::track::clean::{CleanSettings, clean};
use overflown::track::{Finding, Fix, Track};
use overflown::units::Length;
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::SeedableRng;
use rand_distr::{Distribution, StandardNormal};

pub type Rng = ChaCha8Rng;

pub fn rng(seed: u64) -> Rng {
    Rng::seed_from_u64(seed)
}

pub fn normal(rng: &mut Rng) -> f64 {
    StandardNormal.sample(rng)
}

pub fn start() -> DateTime<Utc> {
    DateTime::from_timestamp(1_777_647_600, 0).unwrap()
}

/// Metres east, north and up of a place in mid-latitudes.
#[derive(Clone, Copy, Debug)]
pub struct At(pub f64, pub f64, pub f64);

/// A fix `second` s into the log, to the hundredth of a metre or so, as receivers write it; `number`
/// counts them.
pub fn fix(number: usize, second: f64, At(east, north, up): At) -> Fix {
    let frame = LocalFrame::new(Position::new(47.0, 12.0).unwrap());
    let exact = frame.inverse(geo::Coord { x: east, y: north });
    let rounded = |degrees: f64| (degrees * 1e7).round() / 1e7;
    Fix {
        time: start() + TimeDelta::milliseconds((second * 1000.0).round() as i64),
        position: Position::new(rounded(exact.lat()), rounded(exact.lon())).unwrap(),
        height: Some(Length::from_m((up * 10.0).round() / 10.0)).into(),
        line: u32::try_from(number + 1).unwrap(),
        file: 0,
    }
}

/// The way at these seconds, each place off by noise of this standard deviation to each side.
pub fn sampled(
    seconds: impl IntoIterator<Item = f64>,
    way: impl Fn(f64) -> At,
    noise_m: f64,
    rng: &mut Rng,
) -> Vec<Fix> {
    seconds
        .into_iter()
        .enumerate()
        .map(|(number, second)| {
            let At(east, north, up) = way(second);
            let mut blurred = |value: f64| value + noise_m * normal(rng);
            let at = At(blurred(east), blurred(north), blurred(up));
            fix(number, second, at)
        })
        .collect()
}

/// Seconds from 0 to `until`, `step` apart.
pub fn every(step: f64, until: f64) -> Vec<f64> {
    (0..=(until / step) as u32)
        .map(|i| f64::from(i) * step)
        .collect()
}

/// Integrates speed (m/s), rate of turn (degrees per second, right positive) and climb (m/s), each a
/// function of time, in steps of 10 ms, from the north at 500 m.
pub fn steered(until: f64, motion: impl Fn(f64) -> (f64, f64, f64)) -> impl Fn(f64) -> At {
    const STEP: f64 = 0.01;
    let mut at = At(0.0, 0.0, 500.0);
    let mut course = 0.0_f64;
    let mut places = vec![at];
    for i in 0..=(until / STEP) as u32 {
        let (speed, rate, climb) = motion(f64::from(i) * STEP);
        course += rate.to_radians() * STEP;
        at = At(
            at.0 + speed * course.sin() * STEP,
            at.1 + speed * course.cos() * STEP,
            at.2 + climb * STEP,
        );
        places.push(at);
    }
    move |second| places[((second / STEP).round() as usize).min(places.len() - 1)]
}

pub fn cleaned(fixes: Vec<Fix>) -> Track {
    support::track(fixes)
}

pub fn strictly(fixes: Vec<Fix>) -> Result<Track, InputError> {
    let settings = CleanSettings {
        strict: true,
        ..CleanSettings::default()
    };
    clean(support::reading(fixes), &settings)
}

/// Lines and findings of the ledger.
pub fn ledger(track: &Track) -> Vec<(u32, Finding)> {
    let entries = track.ledger.entries.iter();
    entries.map(|entry| (entry.line, entry.finding)).collect()
}
