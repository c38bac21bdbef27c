//! A plan inferred from a flight, held against that flight, lies where it was flown: neither turned nor shifted nor
//! mirrored nor drifting as a whole.

use crate::flown::{Recorded, fly, record, text, track};
use crate::recovered::{SECTOR, SQUARE, SWEEP};
use overflown::debrief::debrief;
use overflown::geodesy::{Position, geodesic};
use overflown::infer::{Given, Tasked};
use overflown::simulate::Fault;
use overflown::units::{Bearing, Length};
use std::path::Path;

const SEEDS: std::ops::Range<u64> = 1..5;
/// The whole is measured on straight lines of some seconds: sparser logs often leave it open.
const EVERY_S: [f64; 3] = [1.0, 5.0, 10.0];
/// A pattern is found in this share of the flights, and whether it was moved is settled in this one.
const FOUND: f64 = 0.9;
const SETTLED: f64 = 0.75;

/// The tasking with its base so far from the start of the first leg, NM, on this bearing.
fn based(pattern: &str, (towards_deg, distance_nm): (f64, f64)) -> String {
    let start = Position::new(46.4, 11.2).unwrap();
    let distance = Length::from_nm(distance_nm);
    let base = geodesic::destination(start, Bearing::from_deg(towards_deg), distance);
    text(pattern).replace(
        "base = [46.30, 10.95]",
        &format!("base = [{:.5}, {:.5}]", base.lat(), base.lon()),
    )
}

/// Flies every tasking over all seeds; what a debrief of the plan inferred says of the pattern as a whole is nothing.
fn lies_where_it_was_flown(taskings: &[(String, Vec<Fault>)]) {
    let (mut all, mut found, mut settled) = (0, 0, 0);
    for (n, (text, faults)) in taskings.iter().enumerate() {
        for seed in SEEDS {
            let (_, fixes) = fly(text, faults.clone(), seed);
            let how = Recorded {
                every_s: Some(EVERY_S[(seed as usize + n) % EVERY_S.len()]),
                noise_m: 5.0,
            };
            let track = track(record(&fixes, how, seed));
            let path = Path::new("a.csv");
            all += 1;
            let Ok(tasked) = Tasked::of(&track, path, Given::default()) else {
                println!("tasking {n}, seed {seed}: nothing");
                continue;
            };
            found += 1;
            let debrief = debrief(&track, path, &tasked.tasking, &tasked.plan).unwrap();
            let Some(shift) = debrief.pattern_shift else {
                println!("tasking {n}, seed {seed}: not settled");
                continue;
            };
            settled += 1;
            println!(
                "tasking {n}, seed {seed}: {:.2}°, {:.0} m",
                shift.turned_deg,
                shift.offset.distance.m()
            );
            assert_eq!(shift.summary, None, "tasking {n}, seed {seed}");
            assert!(!shift.moved, "tasking {n}, seed {seed}");
        }
    }
    println!("{found} found, {settled} settled of {all}");
    assert!(
        f64::from(found) >= FOUND * f64::from(all),
        "{found} of {all}"
    );
    assert!(
        f64::from(settled) >= SETTLED * f64::from(all),
        "{settled} of {all}"
    );
}

/// Home lies in line with the legs, or nearly so, near and far, ahead and behind: the ways out and home go on from the
/// legs or beside them, and are none of them.
#[test]
fn ways_in_line_with_the_legs_do_not_turn_a_sweep() {
    let six = SWEEP
        .replace("legs = 10", "legs = 6")
        .replace("7 NM", "4 NM");
    let taskings = [
        based(SWEEP, (195.0, 12.0)),
        based(SWEEP, (197.0, 40.0)),
        based(SWEEP, (5.0, 12.0)),
        based(&six, (195.0, 40.0)),
        based(&six, (5.0, 12.0)),
    ];
    lies_where_it_was_flown(&taskings.map(|text| (text, vec![])));
}

#[test]
fn patterns_lie_where_they_were_flown() {
    let taskings: Vec<(String, Vec<Fault>)> = [SWEEP, SQUARE, SECTOR]
        .into_iter()
        .flat_map(|pattern| [vec![], vec![Fault::SkipLeg(4)]].map(|faults| (text(pattern), faults)))
        .collect();
    lies_where_it_was_flown(&taskings);
}
