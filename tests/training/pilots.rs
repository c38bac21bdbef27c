//! Simulated pilots.

use crate::support;
use overflown::debrief::{Debrief, debrief};
use overflown::simulate::{Fault, Manner, Settings, Wind, simulate};
use overflown::training::Flight;
use overflown::units::{Bearing, Length, Speed};
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};
use std::path::Path;

/// Six legs of four nautical miles, half a mile apart.
pub const TASKING: &str = "sortie = \"Training\"\ndate = 2026-06-14\n\
    [area]\nsouth = 48.5\nwest = 67.0\nnorth = 48.5666667\neast = 67.075\n\
    [pattern]\nkind = \"parallel sweep\"\nfirst_course = \"000 T\"\nturn = \"right\"\nspacing = \"0.5 NM\"\n\
    [flight]\nground_speed = \"90 kt\"\naltitude = \"1500 ft\"\n\
    [detection]\nsweep_width = \"0.5 NM\"\n";

/// Much the same from a start point, by a magnetic course.
pub const PLACED: &str = "sortie = \"Training\"\ndate = 2026-06-14\n\
    [pattern]\nkind = \"parallel sweep\"\nstart = [48.5, 67.0]\nfirst_course = \"000 M\"\nturn = \"right\"\nspacing = \"0.5 NM\"\n\
    leg_length = \"4 NM\"\nlegs = 6\n\
    [flight]\nground_speed = \"90 kt\"\naltitude = \"1500 ft\"\n\
    [detection]\nsweep_width = \"0.5 NM\"\n";

/// What a pilot does otherwise than well.
#[derive(Clone, Debug)]
pub struct Habit {
    pub manner: Manner,
    pub wind_share: f64,
    pub right_m: f64,
    pub wander_m: f64,
    pub least_wind_kt: f64,
    /// What is asked for.
    pub tasking: &'static str,
    /// What is flown instead of it.
    pub flown: Option<String>,
}

impl Default for Habit {
    fn default() -> Self {
        Self {
            manner: Manner::default(),
            wind_share: 1.0,
            right_m: 0.0,
            wander_m: 20.0,
            least_wind_kt: 6.0,
            tasking: TASKING,
            flown: None,
        }
    }
}

/// A number from 0 to 1 that a seed and a place in it decide.
fn drawn(seed: u64, place: u64) -> f64 {
    let mut rng = ChaCha8Rng::seed_from_u64(seed);
    rng.set_stream(place);
    f64::from(rng.next_u32()) / f64::from(u32::MAX)
}

/// A flight on a day with some wind, over a range of 10 kt, as a pilot with a habit flies it.
pub fn debriefed(habit: &Habit, seed: u64, number: u64) -> Debrief {
    let (tasking, plan) = support::tasking(habit.tasking);
    let (_, flown) = support::tasking(habit.flown.as_deref().unwrap_or(habit.tasking));
    let mut settings = Settings::for_tasking(&tasking);
    settings.wind = Wind {
        // Within 60 degrees of across the legs, from either side.
        from: Bearing::from_deg(match drawn(seed, 2 * number) {
            share if share < 0.5 => 30.0 + 240.0 * share,
            share => 90.0 + 240.0 * share,
        }),
        speed: Speed::from_kt(habit.least_wind_kt + 10.0 * drawn(seed, 2 * number + 1)),
    };
    settings.gust = Speed::from_kt(1.0);
    settings.wander = Length::from_m(habit.wander_m);
    settings.wind_share = habit.wind_share;
    settings.manner = habit.manner;
    if habit.right_m != 0.0 {
        settings.faults.push(Fault::LateralBias {
            leg: None,
            right: Length::from_m(habit.right_m),
        });
    }
    settings.start += chrono::TimeDelta::days(i64::try_from(number).unwrap());
    let fixes = simulate(&flown, &settings, 1000 * seed + number)
        .unwrap()
        .fixes;
    let track = support::track(fixes);
    let tasking = overflown::tasking::Tasking {
        date: settings.start.date_naive(),
        ..tasking
    };
    debrief(&track, Path::new("simulated.gpx"), &tasking, &plan).unwrap()
}

/// One flight after the other.
pub fn flights(habits: &[Habit], seed: u64) -> Vec<Flight> {
    let numbered = (0..).zip(habits);
    numbered
        .map(|(number, habit)| Flight::of(&debriefed(habit, seed, number)).unwrap())
        .collect()
}
