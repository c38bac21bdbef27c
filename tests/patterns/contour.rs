//! Contour search: legs of different bands lie almost above each other.

use crate::support::nm;
use crate::*;
use overflown::debrief::{Debrief, debrief};
use overflown::simulate::{Fault, Settings, Wind, simulate};
use overflown::tasking::Side;
use overflown::units::{Bearing, Speed};
use std::path::Path;

/// Three rounds of a hill, hexagons of 3.0, 3.06 and 3.12 NM: a tenth of a spacing apart.
fn contour() -> String {
    let bands: String = [(6500, 3.0), (6000, 3.06), (5500, 3.12)]
        .map(|(altitude, radius_nm): (u32, f64)| {
            let places: String = (0..7)
                .map(|i| {
                    let (sin, cos) = f64::from(i * 60 % 360).to_radians().sin_cos();
                    let lat = 46.4 + radius_nm * cos / 60.0;
                    let lon = 11.2 + radius_nm * sin / 60.0 / 46.4f64.to_radians().cos();
                    format!("[{lat:.6}, {lon:.6}], ")
                })
                .collect();
            format!("[[pattern.bands]]\naltitude = \"{altitude} ft\"\nline = [{places}]\n")
        })
        .concat();
    text(
        &format!("kind = \"contour\"\nspacing = \"0.6 NM\"\n{bands}"),
        WEST,
    )
    .replace("altitude = \"3000 ft\"\n", "")
}

fn clean() -> Findings {
    Findings {
        passes: in_order(18, &[]),
        ..Findings::default()
    }
}

#[test]
fn a_clean_contour_search_is_clean() {
    for seed in SEEDS {
        let flown = fly(&contour(), vec![], seed);
        assert_eq!(findings(&flown.debrief), clean(), "seed {seed}");
        passes_agree(&flown, seed);
        // Height is judged against the band of each leg: the aircraft wanders by 8 m.
        for pass in &flown.debrief.passes {
            let band_ft = [6500.0, 6000.0, 5500.0][(pass.leg.parse::<usize>().unwrap() - 1) / 6];
            let mean_ft = pass.handling.height_mean.unwrap().ft();
            assert!(
                (mean_ft - band_ft).abs() < 100.0,
                "leg {}: {mean_ft} ft",
                pass.leg
            );
            assert_eq!(
                pass.handling.height_outside_s,
                Some(0.0),
                "leg {}",
                pass.leg
            );
        }
    }
}

#[test]
fn a_contour_search_with_faults() {
    // The middle band is left out: what lies above and below it does not stand in for it. (The way from
    // the one to the other may hold a straight run inside the area, an additional leg.)
    let kept: Vec<(u32, bool)> = (1..=6).chain(13..=18).map(|leg| (leg, false)).collect();
    let (fault, passes) = order(&kept);
    for seed in SEEDS {
        let flown = fly(&contour(), vec![fault.clone()], seed);
        let found = findings(&flown.debrief);
        assert_eq!(found.passes, passes, "seed {seed}");
        let middle: Vec<String> = (7..=12).map(|leg| leg.to_string()).collect();
        assert_eq!(found.not_flown, middle, "seed {seed}");
        assert!(found.in_part.is_empty(), "seed {seed}: {found:?}");
    }
    // The other way round, band by band.
    let back: Vec<(u32, bool)> = [1, 7, 13]
        .into_iter()
        .flat_map(|first| (first..first + 6).rev().map(|leg| (leg, true)))
        .collect();
    let (fault, passes) = order(&back);
    for seed in SEEDS {
        let flown = fly(&contour(), vec![fault.clone()], seed);
        let mut found = findings(&flown.debrief);
        passes_agree(&flown, seed);
        // As above: in some winds the way to the next band, or home, holds a straight run.
        assert!(
            found.additional <= 1,
            "seed {seed}: {:?}",
            flown.debrief.additional_legs
        );
        found.additional = 0;
        let expected = Findings {
            passes: passes.clone(),
            ..clean()
        };
        assert_eq!(found, expected, "seed {seed}");
    }
    let orbit = Fault::Orbit {
        leg: 9,
        along: nm(1.5),
        turns: 1,
        side: Side::Left,
    };
    let expected = Findings {
        other_phases: vec![Phase::Orbit],
        ..clean()
    };
    assert_found(&contour(), &[orbit], &expected, SEEDS, false);
}

/// As flown, but recorded without heights.
fn without_heights(faults: Vec<Fault>, seed: u64) -> Debrief {
    let (tasking, plan) = support::tasking(&contour());
    let settings = Settings {
        faults,
        wind: Wind {
            from: Bearing::from_deg(37.0 * seed as f64),
            speed: Speed::from_kt((seed % 5) as f64 * 4.0),
        },
        ..Settings::for_tasking(&tasking)
    };
    let mut fixes = simulate(&plan, &settings, seed).unwrap().fixes;
    for fix in &mut fixes {
        fix.height = None.into();
    }
    debrief(
        &support::track(fixes),
        Path::new("simulated.gpx"),
        &tasking,
        &plan,
    )
    .unwrap()
}

#[test]
fn without_heights_bands_go_by_their_order() {
    for seed in SEEDS {
        let debrief = without_heights(vec![], seed);
        let found = findings(&debrief);
        let order = in_order(18, &[]);
        assert_eq!(found.passes, order, "seed {seed}");
        assert!(
            debrief
                .remarks
                .iter()
                .any(|r| r.contains("told apart by the order")),
            "seed {seed}"
        );
    }
    let with = fly(&contour(), vec![], 1).debrief;
    assert!(!with.remarks.iter().any(|r| r.contains("told apart")));
}
