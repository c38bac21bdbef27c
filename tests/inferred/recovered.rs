//! Every pattern, flown as planned: kind, course, spacing, number and place come back, and the intervals hold
//! the truth about as often as they say.
//!
//! The truth is the plan that was put into the simulator. Along the legs it is blurred: the simulated pilot, as
//! real ones, flies on past the end of a leg until the turn suits him, some 0.2 to 0.4 NM.

use crate::flown::{Recorded, fly, record, text, track};
use overflown::infer::infer;
use overflown::plan::PatternKind;
use overflown::units::wrap_180;

pub const SWEEP: &str = r#"
kind = "parallel sweep"
start = [46.4000, 11.2000]
first_course = "015 T"
turn = "right"
spacing = "0.5 NM"
leg_length = "7 NM"
legs = 10
"#;
const WIDE_SWEEP: &str = r#"
kind = "parallel sweep"
start = [46.4000, 11.2000]
first_course = "300 T"
turn = "left"
spacing = "2 NM"
leg_length = "15 NM"
legs = 6
"#;
const CREEPING: &str = r#"
kind = "creeping line"
start = [46.4000, 11.2000]
first_course = "105 T"
turn = "left"
spacing = "1 NM"
leg_length = "6 NM"
legs = 9
"#;
pub const SQUARE: &str = r#"
kind = "expanding square"
datum = [46.4000, 11.2000]
first_course = "250 T"
turn = "right"
spacing = "2 NM"
legs = 9
"#;
pub const SECTOR: &str = r#"
kind = "sector"
datum = [46.4000, 11.2000]
first_course = "025 T"
turn = "right"
radius = "6 NM"
"#;
const TWO_PASSES: &str = r#"
kind = "sector"
datum = [46.4000, 11.2000]
first_course = "025 T"
turn = "left"
radius = "8 NM"
second_pass = true
"#;
const RETURN: &str = r#"
kind = "track line return"
line = [[46.4000, 11.2000], [46.6000, 11.3000]]
turn = "left"
spacing = "1 NM"
"#;
const NO_RETURN: &str = r#"
kind = "track line non-return"
line = [[46.4000, 11.2000], [46.6000, 11.3000]]
turn = "left"
spacing = "1 NM"
passes = 3
"#;

const SEEDS: std::ops::Range<u64> = 1..21;
/// Time between fixes, and noise in each coordinate.
const EVERY_S: [Option<f64>; 6] = [
    Some(1.0),
    Some(5.0),
    Some(15.0),
    Some(30.0),
    Some(60.0),
    None,
];
const NOISE_M: [f64; 3] = [3.0, 10.0, 30.0];
/// The simulated pilot flies on past the end of a leg by up to this, NM.
const FLOWN_ON_NM: f64 = 0.45;

/// How often a truth lay within its interval.
#[derive(Debug, Default)]
struct Tally {
    inside: usize,
    all: usize,
}

impl Tally {
    fn count(&mut self, off: f64, within: f64) {
        self.inside += usize::from(off.abs() <= within);
        self.all += 1;
    }
}

fn comes_back(pattern: &str) {
    let (mut kinds, mut counts, mut all) = (0, 0, 0);
    let (mut course, mut size, mut across) = (Tally::default(), Tally::default(), Tally::default());
    for seed in SEEDS {
        let (plan, fixes) = fly(&text(pattern), vec![], seed);
        for (n, every_s) in EVERY_S.into_iter().enumerate() {
            // Every second recording of each flight, so that each seed sees three.
            if (n as u64 + seed) % 2 == 0 {
                continue;
            }
            let noise_m = NOISE_M[(seed as usize + n / 2) % NOISE_M.len()];
            let what = format!("seed {seed}, every {every_s:?} s, noise {noise_m} m");
            all += 1;
            let track = track(record(&fixes, Recorded { every_s, noise_m }, seed));
            let Ok(found) = infer(&track) else {
                println!("{what}: nothing");
                continue;
            };
            if found.pattern != plan.pattern {
                println!("{what}: {:?}", found.pattern);
                continue;
            }
            kinds += 1;
            let first = plan.search_legs().next().unwrap().1;
            let legs = match plan.pattern {
                PatternKind::TrackLineReturn => 2,
                PatternKind::TrackLineNonReturn => 3,
                _ => plan.search_legs().count(),
            };
            counts += usize::from(found.legs as usize == legs);
            if found.legs as usize != legs {
                println!("{what}: {} legs", found.legs);
                continue;
            }
            let off_deg = wrap_180(found.first_course_deg.value - first.course.deg());
            assert!(off_deg.abs() <= 2.0, "{what}: course off by {off_deg}");
            course.count(off_deg, found.first_course_deg.within);
            let true_m = match plan.pattern {
                PatternKind::Sector => first.length.m(),
                _ => plan.spacing.m(),
            };
            let off_m = found.size.value.m() - true_m;
            assert!(
                off_m.abs() <= 0.05 * true_m,
                "{what}: size off by {off_m} m"
            );
            size.count(off_m, found.size.within.m());
            let at = first.frame().locate(found.start);
            // The passes of a track line with return lie half a spacing beside it.
            let beside_m = match plan.pattern {
                PatternKind::TrackLineReturn => plan.spacing.m() / 2.0,
                _ => 0.0,
            };
            let off_m = at.cross_m.abs() - beside_m;
            let quarter_m = plan.spacing.m() / 4.0;
            assert!(off_m.abs() <= quarter_m, "{what}: {off_m} m beside");
            across.count(off_m, found.start_across_within.m());
            let along_m = found.start_along_within.m().max(quarter_m) + FLOWN_ON_NM * 1852.0;
            assert!(
                at.along_m.abs() <= along_m,
                "{what}: {} m along",
                at.along_m
            );
        }
    }
    println!("{kinds} kinds, {counts} counts of {all}; {course:?} {size:?} {across:?}");
    assert!(kinds as f64 >= 0.95 * all as f64, "{kinds} of {all}");
    assert!(counts as f64 >= 0.9 * all as f64, "{counts} of {all}");
    // 95 % are promised; of sixty, fewer than 85 % inside is less than one chance in a thousand.
    for tally in [course, size, across] {
        assert!(tally.inside as f64 >= 0.85 * tally.all as f64, "{tally:?}");
    }
}

#[test]
fn a_parallel_sweep_comes_back() {
    comes_back(SWEEP);
}

#[test]
fn a_sweep_of_few_wide_legs_comes_back() {
    comes_back(WIDE_SWEEP);
}

#[test]
fn a_creeping_line_comes_back() {
    comes_back(CREEPING);
}

#[test]
fn an_expanding_square_comes_back() {
    comes_back(SQUARE);
}

#[test]
fn a_sector_search_comes_back() {
    comes_back(SECTOR);
}

#[test]
fn a_sector_search_of_two_passes_comes_back() {
    comes_back(TWO_PASSES);
}

#[test]
fn a_track_line_with_return_comes_back() {
    comes_back(RETURN);
}

#[test]
fn a_track_line_of_three_passes_comes_back() {
    comes_back(NO_RETURN);
}
