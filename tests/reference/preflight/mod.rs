//! The arithmetic before a flight.

mod effort;
mod rows;
mod starts;

use overflown::geodesy::{Position, geodesic};
use overflown::plan::{self, Plan};
use overflown::preflight::{Preflight, Questions, preflight};
use overflown::tasking;
use overflown::units::{Bearing, Length};
use std::path::Path;

const METRES_PER_NM: f64 = 1852.0;

fn nm(nm: f64) -> Length {
    Length::from_nm(nm)
}

/// A tasking at 100 kt with W = 1 NM, laid out and worked out.
fn work_out(area: &str, pattern: &str, questions: &Questions) -> (Plan, Preflight) {
    let text = format!(
        "sortie = \"Plover 2\"\ndate = 2026-06-14\n{area}\n[pattern]\n{pattern}\n\
         [flight]\nground_speed = \"100 kt\"\n[detection]\nsweep_width = \"1 NM\"\n"
    );
    let path = Path::new("tasking.toml");
    let tasking = tasking::parse(&text, path).unwrap_or_else(|e| panic!("{e}: {}", e.hint));
    let plan = plan::lay_out(&tasking, path).unwrap_or_else(|e| panic!("{e}: {}", e.hint));
    let worked_out = preflight(&tasking, path, &plan, questions);
    (plan, worked_out)
}

fn sweep(course: &str, spacing: &str) -> String {
    format!(
        "kind = \"parallel sweep\"\nturn = \"right\"\nfirst_course = \"{course}\"\nspacing = \"{spacing}\""
    )
}

/// Places at these distances and directions from a centre, as corners of an area.
fn corners(lat: f64, spokes: &[(f64, f64)]) -> String {
    let centre = Position::new(lat, -30.0).unwrap();
    let written: Vec<String> = spokes
        .iter()
        .map(|(deg, reach_nm)| {
            let at = geodesic::destination(centre, Bearing::from_deg(*deg), nm(*reach_nm));
            format!("[{:.9}, {:.9}]", at.lat(), at.lon())
        })
        .collect();
    format!("[area]\ncorners = [{}]", written.join(", "))
}

/// 10 NM from west to east by 5 NM.
fn rectangle(lat: f64) -> String {
    let (to_corner, reach) = (5.0_f64.atan2(2.5).to_degrees(), 5.0_f64.hypot(2.5));
    corners(
        lat,
        &[
            (to_corner, reach),
            (180.0 - to_corner, reach),
            (180.0 + to_corner, reach),
            (-to_corner, reach),
        ],
    )
}
