//! A search drawn by chance: objects at random places, each found or not as the instantaneous rate of
//! detection along the flown track has it, against the POD that the debrief works out.
//!
//! B. O. Koopman, *Search and Screening*, OEG Report 56, 1946: the rate at the distance r = √(ρ² + h²) is
//! γ = k h / r³ for an observer at the height h, ρ over the ground; an endless straight pass at the speed v leaves
//! ∫ γ dt = 2 k h / (v (x² + h²)), which is K / (x² + h²) with K = 2 k h / v.

use overflown::coverage::looking::{Looking, looking_lines};
use overflown::debrief::debrief;
use overflown::detection::InverseCube;
use overflown::geodesy::Position;
use overflown::input::InputFile;
use overflown::matching::match_track;
use overflown::plan::{self, pattern};
use overflown::search::{Part, Sortie};
use overflown::simulate::{Fault, Settings, simulate};
use overflown::tasking;
use overflown::track::clean::{CleanSettings, clean};
use overflown::track::motion::Motion;
use overflown::track::{Fix, HeightKind, Ledger, Reading, Track};
use overflown::units::Length;
use std::path::Path;

/// Park and Miller, "Random number generators: good ones are hard to find", Communications of the ACM 31
/// (1988) 1192-1201, with the multiplier 48271 of their later remark.
pub struct Random(pub u64);

impl Random {
    /// Between 0 and 1.
    pub fn next(&mut self) -> f64 {
        self.0 = self.0 * 48_271 % 2_147_483_647;
        self.0 as f64 / 2_147_483_647.0
    }
}

fn text(detection: &str) -> String {
    format!(
        "sortie = \"Chance\"\ndate = 2026-06-14\n[pattern]\nkind = \"parallel sweep\"\n\
         start = [10.0, 20.0]\nfirst_course = \"000 T\"\nturn = \"right\"\nspacing = \"0.5 NM\"\n\
         leg_length = \"4 NM\"\nlegs = 6\n[flight]\nground_speed = \"90 kt\"\naltitude = \"1000 ft\"\n\
         [detection]\n{detection}\n"
    )
}

/// A clean track of these fixes, as if from a file.
pub fn track(fixes: Vec<Fix>) -> Track {
    let reading = Reading::of(
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
    );
    clean(reading, &CleanSettings::default()).unwrap()
}

/// The share of objects found along the flight agrees with the raster, with the height kept and, as at a
/// metre above ground, neglected; with a leg left out, and with a blind strip.
#[test]
fn objects_are_found_as_often_as_the_raster_says() {
    const OBJECTS: u32 = 4_000;
    for (seed, detection, height_m, blind_m) in [
        (3, "sweep_width = \"0.4 NM\"", 1.0, 0.0),
        (
            4,
            "sweep_width = \"0.4 NM\"\nsearch_height = \"500 ft\"",
            152.4,
            0.0,
        ),
        (
            5,
            "sweep_width = \"0.4 NM\"\nblind_strip = \"160 m\"",
            1.0,
            160.0,
        ),
    ] {
        let path = Path::new("tasking.toml");
        let tasking = tasking::parse(&text(detection), path).unwrap();
        let plan = plan::lay_out(&tasking, path).unwrap();
        let settings = Settings {
            faults: vec![Fault::SkipLeg(4)],
            ..Settings::for_tasking(&tasking)
        };
        let track = track(simulate(&plan, &settings, seed).unwrap().fixes);
        let debrief = debrief(&track, path, &tasking, &plan).unwrap();
        let motion = Motion::of(&track, &plan.frame);
        let matched = match_track(&track, &motion, &plan, &pattern::frames(&plan));
        let looking = Looking {
            track: &track,
            motion: &motion,
            limits: tasking.detection.limits,
        };
        // Every fix flown while looking, not the thinned lines: short steps of a tenth of a second.
        let lines = looking_lines(&looking.ranges(&matched), &motion, 0.0);
        let width = Length::from_nm(0.4);
        let strength_m2 = InverseCube::new(width, Some(Length::from_m(height_m))).strength_m2();
        let speed_mps = 90.0 * 1852.0 / 3600.0;
        let k = strength_m2 * speed_mps / (2.0 * height_m);
        let mut steps: Vec<(f64, f64, f64, f64, f64)> = Vec::new();
        for line in &lines {
            for pair in line.line.windows(2) {
                let (dx, dy) = (pair[1].x - pair[0].x, pair[1].y - pair[0].y);
                let length_m = dx.hypot(dy);
                let count = (length_m / STEP_M).ceil().max(1.0);
                for i in 0..count as usize {
                    let t = (i as f64 + 0.5) / count;
                    steps.push((
                        pair[0].x + t * dx,
                        pair[0].y + t * dy,
                        dx / length_m,
                        dy / length_m,
                        length_m / count / speed_mps,
                    ));
                }
            }
        }
        let mut random = Random(1000 + seed);
        let corners: Vec<_> = plan
            .area
            .corners()
            .iter()
            .map(|c| plan.frame.forward(*c))
            .collect();
        let bound = |of: fn(f64, f64) -> f64, start: f64, x: bool| {
            corners
                .iter()
                .map(|c| if x { c.x } else { c.y })
                .fold(start, of)
        };
        let (west, east) = (
            bound(f64::min, f64::MAX, true),
            bound(f64::max, f64::MIN, true),
        );
        let (south, north) = (
            bound(f64::min, f64::MAX, false),
            bound(f64::max, f64::MIN, false),
        );
        let (mut found, mut objects) = (0u32, 0u32);
        while objects < OBJECTS {
            let at = geo::Coord {
                x: west + random.next() * (east - west),
                y: south + random.next() * (north - south),
            };
            if !plan.area.contains(at) {
                continue;
            }
            objects += 1;
            // One number for the whole flight: the object is found once the rate has used it up.
            let patience = -random.next().ln();
            let mut rate_time = 0.0;
            for (x, y, along_x, along_y, dt) in &steps {
                let (rx, ry) = (at.x - x, at.y - y);
                let cross = rx * along_y - ry * along_x;
                if cross.abs() < blind_m / 2.0 {
                    continue;
                }
                let r2 = rx * rx + ry * ry + height_m * height_m;
                rate_time += k * height_m / (r2 * r2.sqrt()) * dt;
                if rate_time >= patience {
                    found += 1;
                    break;
                }
            }
        }
        let share = f64::from(found) / f64::from(OBJECTS);
        let pod = debrief.coverage.pod_band.pod;
        let error = (pod * (1.0 - pod) / f64::from(OBJECTS)).sqrt();
        assert!(
            (share - pod).abs() < 3.0 * error,
            "{detection}: {share} for {pod} ± {error}"
        );
        assert!(pod > 0.4 && pod < 0.9, "{pod}");
    }
}

/// Steps along the track, metres: short against every distance that matters.
const STEP_M: f64 = 10.0;

/// A whole flight over the tasking, without faults.
pub fn sortie_of(detection: &str) -> Sortie {
    let path = Path::new("tasking.toml");
    let tasking = tasking::parse(&text(detection), path).unwrap();
    let plan = plan::lay_out(&tasking, path).unwrap();
    let track = track(
        simulate(&plan, &Settings::for_tasking(&tasking), 1)
            .unwrap()
            .fixes,
    );
    Sortie::of(&debrief(&track, path, &tasking, &plan).unwrap()).unwrap()
}

/// A rectangle from south to north and from west to east.
pub fn square(name: &str, lat: (f64, f64), lon: (f64, f64), poc: f64) -> Part {
    let corner = |lat, lon| Position::new(lat, lon).unwrap();
    Part {
        name: name.into(),
        corners: vec![
            corner(lat.0, lon.0),
            corner(lat.0, lon.1),
            corner(lat.1, lon.1),
            corner(lat.1, lon.0),
        ],
        poc: Some(poc),
    }
}
