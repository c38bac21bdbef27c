//! A small tasking, and ways to look at a simulated flight.

use overflown::geodesy::geodesic;
use overflown::plan::{self, Plan};
use overflown::simulate::truth::TruePass;
use overflown::simulate::{Fault, Rehearsal, Settings, Wind, gpx_out};
use overflown::tasking::{self, Tasking};
use overflown::track::Fix;
use overflown::units::{Bearing, Length, Speed};
use std::path::Path;

pub fn tasking_text(start: &str, spacing_nm: f64) -> String {
    format!(
        "sortie = \"Kestrel 1\"\ndate = 2026-06-14\n\
         [pattern]\nkind = \"parallel sweep\"\nstart = {start}\nfirst_course = \"020 T\"\n\
         turn = \"right\"\nspacing = \"{spacing_nm} NM\"\nleg_length = \"5 NM\"\nlegs = 6\n\
         [flight]\nground_speed = \"90 kt\"\naltitude = \"2500 ft\"\n\
         [detection]\nsweep_width = \"0.5 NM\"\nlaw = \"exponential\"\n"
    )
}

pub fn lay_out(start: &str, spacing_nm: f64) -> (Tasking, Plan) {
    let path = Path::new("tasking.toml");
    let tasking = tasking::parse(&tasking_text(start, spacing_nm), path).unwrap();
    let plan = plan::lay_out(&tasking, path).unwrap();
    (tasking, plan)
}

/// Six legs of 5 NM, half a mile apart, and a flight without wind.
pub fn usual() -> (Plan, Settings) {
    let (tasking, plan) = lay_out("[47.1, 12.5]", 0.5);
    let settings = Settings::for_tasking(&tasking);
    (plan, settings)
}

/// The receiver shows the truth, so that fixes can be measured against it.
pub fn without_noise(mut settings: Settings) -> Settings {
    settings.noise.slow = Length::default();
    settings.noise.white = Length::default();
    settings.noise.height = Length::default();
    settings
}

pub fn with_fault(settings: &Settings, fault: Fault) -> Settings {
    Settings {
        faults: vec![fault],
        ..settings.clone()
    }
}

pub fn windy(from_deg: f64, kt: f64) -> Wind {
    Wind {
        from: Bearing::from_deg(from_deg),
        speed: Speed::from_kt(kt),
    }
}

pub fn pass<'r>(rehearsal: &'r Rehearsal, leg: &str) -> &'r TruePass {
    rehearsal
        .truth
        .passes
        .iter()
        .find(|pass| pass.leg == leg)
        .unwrap()
}

pub fn gpx(rehearsal: &Rehearsal) -> Vec<u8> {
    let mut bytes = Vec::new();
    gpx_out::write(&mut bytes, "Kestrel 1", &rehearsal.fixes).unwrap();
    bytes
}

pub fn flown_m(pass: &TruePass) -> f64 {
    pass.flown.iter().map(|span| span.length().m()).sum()
}

/// Fixes from the first to the last moment.
pub fn between(
    rehearsal: &Rehearsal,
    from: chrono::DateTime<chrono::Utc>,
    to: chrono::DateTime<chrono::Utc>,
) -> Vec<Fix> {
    rehearsal
        .fixes
        .iter()
        .filter(|fix| fix.time >= from && fix.time <= to)
        .copied()
        .collect()
}

/// Courses over the ground from fix to fix, degrees.
pub fn courses(fixes: &[Fix]) -> Vec<f64> {
    fixes
        .windows(2)
        .map(|w| {
            let line = geodesic::between(w[0].position, w[1].position);
            line.course_at_start.deg()
        })
        .collect()
}
