//! Patterns flown elsewhere as a whole.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod support;

use overflown::debrief::Debrief;
use overflown::simulate::Fault;
use overflown::units::{Bearing, Length, Speed};
use support::fly;

const SQUARE: &str = r#"
kind = "expanding square"
datum = [46.4000, 11.2000]
first_course = "250 M"
turn = "right"
spacing = "2 NM"
legs = 8
"#;
const SECTOR: &str = r#"
kind = "sector"
datum = [46.4000, 11.2000]
first_course = "015 M"
turn = "right"
radius = "6 NM"
"#;

fn text(pattern: &str) -> String {
    format!(
        "sortie = \"Heron 3\"\ndate = 2026-05-20\n[pattern]\n{pattern}\n[flight]\n\
         ground_speed = \"90 kt\"\naltitude = \"3000 ft\"\nbase = [46.20, 11.45]\n\
         [detection]\nsweep_width = \"0.5 NM\"\n"
    )
}

fn show(name: &str, seed: u64, d: &Debrief) {
    match &d.pattern_shift {
        None => println!("{name} {seed}: none"),
        Some(s) => println!(
            "{name} {seed}: moved {} mir {} turn {:.2}±{:.2} off E{:.0} N{:.0} ±{:.0} drift {:?} legs {}/{} rms {:.0} addl {} | {}",
            s.moved,
            s.mirrored,
            s.turned_deg,
            s.turned_interval_deg,
            s.offset.east.m(),
            s.offset.north.m(),
            s.offset.interval.m(),
            s.drift
                .map(|d| (d.speed.kt(), d.towards.deg(), d.interval.kt())),
            s.legs_recognised,
            s.legs.len(),
            s.rms.m(),
            d.additional_legs.len(),
            s.slips
                .iter()
                .map(|s| s.words.clone())
                .collect::<Vec<_>>()
                .join("; ")
        ),
    }
}

#[test]
fn look() {
    let second = SECTOR.replace("6 NM", "10 NM") + "second_pass = true\n";
    let small = SQUARE
        .replace("2 NM", "0.5 NM")
        .replace("legs = 8", "legs = 16");
    let sweep = "kind = \"parallel sweep\"\nstart = [46.40, 11.20]\nfirst_course = \"015 M\"\nturn = \"right\"\nspacing = \"0.5 NM\"\nleg_length = \"7 NM\"\nlegs = 10\n".to_owned();
    for (name, pattern) in [
        ("SS", SQUARE),
        ("VS", SECTOR),
        ("VS2", &second),
        ("ss", &small),
        ("PS", &sweep),
    ] {
        for (what, faults) in [
            ("clean", vec![]),
            ("turned -4", vec![Fault::Turned { right_deg: -4.0 }]),
            ("turned 12", vec![Fault::Turned { right_deg: 12.0 }]),
            (
                "shift .4",
                vec![Fault::Shifted {
                    by: Length::from_nm(0.4),
                    towards: Bearing::from_deg(120.0),
                }],
            ),
            ("mirrored", vec![Fault::Mirrored]),
            (
                "carried 1.5",
                vec![Fault::Carried {
                    at: Speed::from_kt(1.5),
                    towards: Bearing::from_deg(120.0),
                }],
            ),
            (
                "skip",
                vec![
                    Fault::SkipLeg(4),
                    Fault::Turned { right_deg: 8.0 },
                    Fault::CutShort {
                        leg: 6,
                        by: Length::from_nm(0.4),
                    },
                ],
            ),
        ] {
            let (mut n, mut t_in, mut o_in, mut tz, mut oz, mut moved, mut slips) =
                (0, 0, 0, 0f64, 0f64, 0, std::collections::BTreeMap::new());
            for seed in 1..11 {
                let flown = fly(&text(pattern), faults.clone(), seed);
                let d = &flown.debrief;
                let Some(s) = &d.pattern_shift else {
                    println!("   {seed} none");
                    continue;
                };
                let m = flown.truth.moved.unwrap_or_default();
                let dt = flown
                    .truth
                    .carried_from
                    .map_or(0.0, |t| overflown::track::seconds_between(t, s.from));
                let e = s.offset.east.m() - m.shifted_east.m() - dt * m.carried_east.mps();
                let nn = s.offset.north.m() - m.shifted_north.m() - dt * m.carried_north.mps();
                let o = e.hypot(nn) / s.offset.interval.m();
                let t = (s.turned_deg - m.turned_deg).abs() / s.turned_interval_deg;
                n += 1;
                t_in += (t <= 1.0) as u32;
                o_in += (o <= 1.0) as u32;
                tz = tz.max(t);
                oz = oz.max(o);
                moved += s.moved as u32;
                for k in &s.slips {
                    *slips.entry(format!("{:?}", k.slip)).or_insert(0) += 1;
                }
                if seed == 1 || o > 1.0 || t > 1.0 {
                    show(&format!("{name} {what} ({e:.0} {nn:.0})"), seed, d);
                }
            }
            println!(
                "{name} {what}: n {n} turn in {t_in} worst {tz:.2} offset in {o_in} worst {oz:.2} moved {moved} {slips:?}"
            );
        }
    }
}
