//! Patterns that were not flown as drawn: legs left out, in another order, drifting, with orbits and detours,
//! of different lengths, unevenly spaced.

use crate::flown::{Recorded, fly, lines, record, text, track};
use crate::recovered::{SECTOR, SQUARE, SWEEP};
use crate::support::nm;
use overflown::geodesy::Position;
use overflown::infer::{Layout, infer};
use overflown::plan::PatternKind;
use overflown::simulate::{Fault, LegRun};
use overflown::tasking::Side;
use overflown::units::{Bearing, Speed, wrap_180};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

const SEEDS: std::ops::Range<u64> = 1..7;
const EVERY_S: [Option<f64>; 4] = [Some(1.0), Some(5.0), Some(15.0), None];

fn found(pattern: &str, faults: &[Fault], kind: PatternKind, legs: usize) -> (usize, usize) {
    let (mut right, mut all) = (0, 0);
    for seed in SEEDS {
        let (plan, fixes) = fly(&text(pattern), faults.to_vec(), seed);
        let every_s = EVERY_S[seed as usize % EVERY_S.len()];
        let how = Recorded {
            every_s,
            noise_m: 5.0,
        };
        all += 1;
        match infer(&track(record(&fixes, how, seed))) {
            Ok(found) if found.pattern == kind && found.legs as usize == legs => {
                right += 1;
                let first = plan.search_legs().next().unwrap().1;
                let off = wrap_180(found.first_course_deg.value - first.course.deg()).abs();
                assert!(
                    off.min(180.0 - off) <= 2.0,
                    "seed {seed}: course off by {off}"
                );
            }
            other => println!(
                "{faults:?}, seed {seed}: {:?}",
                other.map(|found| (found.pattern, found.legs))
            ),
        }
    }
    (right, all)
}

fn runs(order: &[u32], to_and_fro: bool) -> Fault {
    let legs = order.iter().enumerate().map(|(i, leg)| LegRun {
        leg: *leg,
        // An even leg is planned back; flown in turn with an odd one it goes as the turns have it.
        reversed: to_and_fro && (i % 2 == 1) == (leg % 2 == 1),
    });
    Fault::Order(legs.collect())
}

#[test]
fn sweeps_in_any_order_are_found() {
    let orbit = Fault::Orbit {
        leg: 4,
        along: nm(3.0),
        turns: 2,
        side: Side::Left,
    };
    let excursion = Fault::Excursion {
        leg: 6,
        along: nm(3.0),
        outside_s: 60.0,
    };
    let dropout = Fault::Dropout {
        leg: 5,
        along: nm(2.0),
        duration_s: 60.0,
    };
    let cases: [(Vec<Fault>, usize); 7] = [
        // Racetracks, every second leg first, and from the middle outwards.
        (vec![runs(&[1, 6, 2, 7, 3, 8, 4, 9, 5, 10], true)], 10),
        (vec![runs(&[1, 3, 5, 7, 9, 10, 8, 6, 4, 2], true)], 10),
        (vec![Fault::SkipLeg(4), Fault::SkipLeg(7)], 10),
        (vec![orbit, excursion], 10),
        (vec![dropout], 10),
        (
            vec![Fault::CutShort {
                leg: 3,
                by: nm(2.0),
            }],
            10,
        ),
        // Legs between the legs: half the spacing.
        (vec![Fault::Interleave], 19),
    ];
    for (faults, legs) in cases {
        let (right, all) = found(SWEEP, &faults, PatternKind::ParallelSweep, legs);
        assert!(
            right as f64 >= 0.85 * all as f64,
            "{faults:?}: {right} of {all}"
        );
    }
}

#[test]
fn figures_with_faults_are_found() {
    for faults in [
        vec![Fault::SkipLeg(6)],
        vec![Fault::Orbit {
            leg: 5,
            along: nm(2.0),
            turns: 1,
            side: Side::Left,
        }],
        vec![Fault::Carried {
            at: Speed::from_kt(1.0),
            towards: Bearing::from_deg(80.0),
        }],
        vec![Fault::Mirrored],
    ] {
        let (right, all) = found(SQUARE, &faults, PatternKind::ExpandingSquare, 9);
        assert!(
            right as f64 >= 0.85 * all as f64,
            "{faults:?}: {right} of {all}"
        );
    }
    for faults in [
        vec![Fault::CutShort {
            leg: 5,
            by: nm(1.0),
        }],
        vec![Fault::Carried {
            at: Speed::from_kt(1.0),
            towards: Bearing::from_deg(80.0),
        }],
        vec![Fault::Mirrored],
    ] {
        let (right, all) = found(SECTOR, &faults, PatternKind::Sector, 7);
        assert!(
            right as f64 >= 0.85 * all as f64,
            "{faults:?}: {right} of {all}"
        );
    }
}

/// Lines of a surveyor: as long as a slanting area is wide, spaced as it came, with a transit, at any scale.
#[test]
fn lines_of_different_length_are_found_at_any_scale() {
    let at = Position::new(-33.2, 151.1).unwrap();
    let mut right = 0;
    let all = 40;
    for seed in 0..all {
        let mut rng = ChaCha8Rng::seed_from_u64(seed);
        // From a drone's to an airliner's.
        let spacing_m = [15.0, 40.0, 200.0, 1000.0, 5000.0][seed as usize % 5];
        let count = rng.random_range(6..15usize);
        let unit = spacing_m;
        let mut corners = vec![(-30.0 * unit, 5.0 * unit)];
        let mut v = 0.0;
        let mut flown_v = Vec::new();
        for k in 0..count {
            let low = -6.0 * unit + 0.5 * k as f64 * unit * (seed % 3) as f64;
            let high = low + (12.0 + 0.9 * k as f64) * unit;
            let (from, to) = if k % 2 == 0 { (low, high) } else { (high, low) };
            corners.extend([(v, from), (v, to)]);
            flown_v.push(v);
            v += unit * rng.random_range(0.85..1.15);
        }
        corners.push((20.0 * unit, -20.0 * unit));
        let turned = rng.random_range(0.0..std::f64::consts::TAU);
        let fixes = lines(at, &corners, turned, 0.25 * unit, unit / 400.0, seed);
        let Ok(found) = infer(&track(fixes)) else {
            println!("seed {seed}: nothing");
            continue;
        };
        let sweep = [PatternKind::ParallelSweep, PatternKind::CreepingLine];
        if sweep.contains(&found.pattern) && found.legs as usize == count {
            right += 1;
            // The spacing flown is that of these very lines.
            let mean_m = (flown_v[count - 1] - flown_v[0]) / (count - 1) as f64;
            let off = (found.size.value.m() / mean_m - 1.0).abs();
            assert!(off < 0.05, "seed {seed}: {} m", found.size.value.m());
            if seed % 3 == 2 {
                let outline = matches!(found.layout, Layout::Outline(_));
                assert!(outline, "seed {seed}: {:?}", found.layout);
            }
        } else {
            println!("seed {seed}: {:?} {} of {count}", found.pattern, found.legs);
        }
    }
    assert!(right as f64 >= 0.9 * all as f64, "{right} of {all}");
}

/// Two blocks with different axes: the larger one is taken, the other told.
#[test]
fn of_two_blocks_the_larger_is_taken() {
    let at = Position::new(52.3, 5.6).unwrap();
    let mut corners = Vec::new();
    for k in 0..10 {
        let v = 900.0 * f64::from(k);
        let ends = if k % 2 == 0 {
            (0.0, 14_000.0)
        } else {
            (14_000.0, 0.0)
        };
        corners.extend([(v, ends.0), (v, ends.1)]);
    }
    for k in 0..6 {
        let y = 20_000.0 + 900.0 * f64::from(k);
        let ends = if k % 2 == 0 {
            (0.0, 9_000.0)
        } else {
            (9_000.0, 0.0)
        };
        corners.extend([(ends.0, y), (ends.1, y)]);
    }
    let found = infer(&track(lines(at, &corners, 0.3, 200.0, 3.0, 7))).unwrap();
    assert_eq!(
        (found.pattern, found.legs),
        (PatternKind::ParallelSweep, 10)
    );
    assert_eq!(found.others.len(), 1, "{:?}", found.others);
    assert!(
        found.others[0].contains("6 parallel legs"),
        "{:?}",
        found.others
    );
    assert!(
        found
            .remarks()
            .iter()
            .any(|remark| remark.contains("other patterns"))
    );
}
