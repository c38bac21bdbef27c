//! Flights with known truth, debriefed.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]
#![allow(dead_code, reason = "each test binary uses its own part of this")]

use overflown::debrief::{Debrief, debrief};
use overflown::input::InputFile;
use overflown::plan::{self, Plan};
use overflown::simulate::{Fault, Settings, Truth, Wind, simulate};
use overflown::tasking::{self, Side, Tasking};
use overflown::track::clean::{CleanSettings, clean};
use overflown::track::{Fix, HeightKind, Ledger, Reading, Track};
use overflown::units::{Bearing, Length, Speed};
use std::path::Path;

/// Ten legs of 7 NM at half a mile, laid by magnetic course.
pub const TASKING: &str = r#"
sortie = "Heron 3"
date = 2026-05-20
[pattern]
kind = "parallel sweep"
start = [46.4000, 11.2000]
first_course = "015 M"
turn = "right"
spacing = "0.5 NM"
leg_length = "7 NM"
legs = 10
[flight]
ground_speed = "90 kt"
altitude = "3000 ft"
base = [46.4600, 10.9800]
[detection]
sweep_width = "0.5 NM"
"#;

pub fn tasking(text: &str) -> (Tasking, Plan) {
    let path = Path::new("tasking.toml");
    let tasking = tasking::parse(text, path).unwrap();
    let plan = plan::lay_out(&tasking, path).unwrap();
    (tasking, plan)
}

/// A reading with these fixes, as if from a file.
pub fn reading(fixes: Vec<Fix>) -> Reading {
    Reading::of(
        InputFile {
            role: "track".into(),
            name: "simulated.gpx".into(),
            bytes: 0,
            sha256: String::new(),
        },
        None,
        vec![fixes],
        HeightKind::MeanSeaLevel,
        Ledger::default(),
    )
}

pub fn track(fixes: Vec<Fix>) -> Track {
    clean(reading(fixes), &CleanSettings::default()).unwrap()
}

pub struct Flown {
    pub debrief: Debrief,
    pub truth: Truth,
    pub plan: Plan,
}

/// Flies `text` with these faults in a wind that differs from seed to seed, and debriefs it.
pub fn fly(text: &str, faults: Vec<Fault>, seed: u64) -> Flown {
    fly_with(text, faults, seed, |settings| settings)
}

/// As [`fly`], with other settings changed as well.
pub fn fly_with(
    text: &str,
    faults: Vec<Fault>,
    seed: u64,
    change: impl Fn(Settings) -> Settings,
) -> Flown {
    let (tasking, plan) = tasking(text);
    let settings = change(Settings {
        faults,
        wind: Wind {
            from: Bearing::from_deg(37.0 * seed as f64),
            speed: Speed::from_kt((seed % 5) as f64 * 4.0),
        },
        ..Settings::for_tasking(&tasking)
    });
    let rehearsal = simulate(&plan, &settings, seed).unwrap();
    let track = track(rehearsal.fixes);
    let debrief = debrief(&track, Path::new("simulated.gpx"), &tasking, &plan).unwrap();
    Flown {
        debrief,
        truth: rehearsal.truth,
        plan,
    }
}

pub const fn nm(nm: f64) -> Length {
    Length::from_nm(nm)
}

/// Something of everything that can go wrong or differently.
pub fn many_faults() -> Vec<Fault> {
    vec![
        Fault::CornerSurvey,
        Fault::Excursion {
            leg: 1,
            along: nm(3.0),
            outside_s: 90.0,
        },
        Fault::Orbit {
            leg: 3,
            along: nm(4.0),
            turns: 1,
            side: Side::Left,
        },
        Fault::Dropout {
            leg: 4,
            along: nm(2.0),
            duration_s: 40.0,
        },
        Fault::SkipLeg(6),
        Fault::CutShort {
            leg: 10,
            by: nm(1.2),
        },
    ]
}
