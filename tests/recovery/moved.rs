//! Patterns flown elsewhere as a whole, with known truth: turned, shifted, mirrored, drifting. Twenty
//! seeds each, with another wind for each seed; every other seed with other faults beside.
//!
//! The truth beside each check is what was put into the simulator.

use crate::support::{Flown, fly, fly_with, nm};
use overflown::debrief::Debrief;
use overflown::measure::LegState;
use overflown::measure::shift::SlipKind;
use overflown::simulate::Fault;
use overflown::tasking::Side;
use overflown::track::seconds_between;
use overflown::units::{Bearing, Speed};

const SEEDS: std::ops::Range<u64> = 1..21;
/// Of the true values, this share must lie in their 95 % intervals …
const INSIDE: f64 = 0.9;
/// … and none beyond this many: half an interval is at least two standard errors, so that is three and
/// more, and the receiver's systematic error is 3 m.
const FARTHEST: f64 = 1.6;
const RECEIVER_M: f64 = 3.0;

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
const SWEEP: &str = r#"
kind = "parallel sweep"
start = [46.4000, 11.2000]
first_course = "015 M"
turn = "right"
spacing = "0.5 NM"
leg_length = "7 NM"
legs = 10
"#;

fn second_pass() -> String {
    SECTOR.replace("6 NM", "10 NM") + "second_pass = true\n"
}

fn text(pattern: &str) -> String {
    format!(
        "sortie = \"Heron 3\"\ndate = 2026-05-20\n[pattern]\n{pattern}\n[flight]\n\
         ground_speed = \"90 kt\"\naltitude = \"3000 ft\"\nbase = [46.20, 11.45]\n\
         [detection]\nsweep_width = \"0.5 NM\"\n"
    )
}

fn turned(right_deg: f64) -> Fault {
    Fault::Turned { right_deg }
}

fn shifted(by_nm: f64, towards_deg: f64) -> Fault {
    Fault::Shifted {
        by: nm(by_nm),
        towards: Bearing::from_deg(towards_deg),
    }
}

fn carried(kt: f64, towards_deg: f64) -> Fault {
    Fault::Carried {
        at: Speed::from_kt(kt),
        towards: Bearing::from_deg(towards_deg),
    }
}

/// Other things that happen on the way.
fn beside(seed: u64) -> Vec<Fault> {
    match seed % 4 {
        1 => vec![Fault::Orbit {
            leg: 5,
            along: nm(1.5),
            turns: 1,
            side: Side::Left,
        }],
        3 => vec![
            Fault::Dropout {
                leg: 6,
                along: nm(1.0),
                duration_s: 60.0,
            },
            Fault::CutShort {
                leg: 5,
                by: nm(0.5),
            },
        ],
        _ => Vec::new(),
    }
}

/// How many true values were compared with their intervals, and how many lay in them.
#[derive(Debug, Default)]
struct Tally {
    inside: usize,
    all: usize,
}

impl Tally {
    fn count(&mut self, off: f64, interval: f64, common: f64, what: &str) {
        assert!(
            off <= FARTHEST * interval + common,
            "{what}: {off} in {interval}"
        );
        self.inside += usize::from(off <= interval);
        self.all += 1;
    }

    fn is_honest(&self, what: &str) {
        let share = self.inside as f64 / self.all as f64;
        assert!(self.all > 0 && share >= INSIDE, "{what}: {self:?}");
    }
}

/// Every case on every seed: found, and the true values within their intervals as often as these say.
fn are_found(pattern: &str, cases: &[(&str, Vec<Fault>)]) {
    for (what, faults) in cases {
        let (mut turns, mut offsets) = (Tally::default(), Tally::default());
        for seed in SEEDS {
            let what = format!("{what}, seed {seed}");
            let faults = [faults.clone(), beside(seed)].concat();
            let flown = fly(&text(pattern), faults, seed);
            let shift = flown.debrief.pattern_shift.as_ref();
            let shift = shift.unwrap_or_else(|| panic!("{what}: not settled"));
            let truth = flown.truth.moved.unwrap();
            assert!(shift.moved, "{what}");
            assert_eq!(shift.mirrored, truth.mirrored, "{what}");
            assert_eq!(
                shift.drift.is_some(),
                truth.carried_east.mps().hypot(truth.carried_north.mps()) > 0.0,
                "{what}"
            );
            let off_deg = (shift.turned_deg - truth.turned_deg).abs();
            turns.count(off_deg, shift.turned_interval_deg, 0.0, &what);
            let (east_m, north_m) = offset_error_m(&flown);
            let off_m = if shift.offset.across_only {
                let across = shift.offset.towards.deg().to_radians();
                (east_m * across.sin() + north_m * across.cos()).abs()
            } else {
                east_m.hypot(north_m)
            };
            offsets.count(off_m, shift.offset.interval.m(), RECEIVER_M, &what);
            if let Some(drift) = shift.drift {
                let (sin, cos) = drift.towards.deg().to_radians().sin_cos();
                let off = (drift.speed.mps() * sin - truth.carried_east.mps())
                    .hypot(drift.speed.mps() * cos - truth.carried_north.mps());
                assert!(off <= FARTHEST * drift.interval.mps(), "{what}: {drift:?}");
            }
        }
        turns.is_honest(&format!("turn, {what}"));
        offsets.is_honest(&format!("offset, {what}"));
    }
}

/// Offset told less the true one at the time it is told for, metres east and north.
fn offset_error_m(flown: &Flown) -> (f64, f64) {
    let shift = flown.debrief.pattern_shift.as_ref().unwrap();
    let truth = flown.truth.moved.unwrap_or_default();
    let carried_s = flown
        .truth
        .carried_from
        .map_or(0.0, |from| seconds_between(from, shift.from));
    (
        shift.offset.east.m() - truth.shifted_east.m() - carried_s * truth.carried_east.mps(),
        shift.offset.north.m() - truth.shifted_north.m() - carried_s * truth.carried_north.mps(),
    )
}

fn cases() -> Vec<(&'static str, Vec<Fault>)> {
    vec![
        ("turned 4 left", vec![turned(-4.0)]),
        ("turned 12 right", vec![turned(12.0)]),
        ("shifted 0.4 NM", vec![shifted(0.4, 120.0)]),
        ("both", vec![shifted(1.5, 300.0), turned(-20.0)]),
        ("mirrored", vec![Fault::Mirrored]),
        ("carried at 1.5 kt", vec![carried(1.5, 120.0)]),
    ]
}

#[test]
fn squares_flown_elsewhere_are_found() {
    are_found(SQUARE, &cases());
}

#[test]
fn sectors_flown_elsewhere_are_found() {
    are_found(SECTOR, &cases());
}

#[test]
fn second_passes_flown_elsewhere_are_found() {
    are_found(&second_pass(), &cases()[1..4]);
}

/// A shift of a sweep along its legs does not show; across them is 105° with a first course of 015 M.
#[test]
fn sweeps_flown_elsewhere_are_found() {
    are_found(
        SWEEP,
        &[
            ("turned 4 left", vec![turned(-4.0)]),
            ("turned 12 right", vec![turned(12.0)]),
        ],
    );
    let flown = fly(&text(SWEEP), vec![shifted(0.4, 109.1)], 2);
    let offset = flown.debrief.pattern_shift.unwrap().offset;
    assert!(offset.across_only);
    assert!((offset.distance.nm() - 0.4).abs() < 0.02, "{offset:?}");
}

#[test]
fn a_clean_flight_names_no_slip() {
    for pattern in [SQUARE, SECTOR, &second_pass(), SWEEP] {
        let (mut turns, mut offsets) = (Tally::default(), Tally::default());
        for seed in SEEDS {
            let flown = fly(&text(pattern), beside(seed), seed);
            let what = format!("{pattern}, seed {seed}");
            let shift = flown.debrief.pattern_shift.as_ref().unwrap();
            assert!(!shift.moved && shift.slips.is_empty(), "{what}: {shift:?}");
            assert!(shift.summary.is_none() && shift.drift.is_none(), "{what}");
            turns.count(
                shift.turned_deg.abs(),
                shift.turned_interval_deg,
                0.0,
                &what,
            );
            let (east_m, north_m) = offset_error_m(&flown);
            offsets.count(
                east_m.hypot(north_m),
                shift.offset.interval.m(),
                RECEIVER_M,
                &what,
            );
        }
        turns.is_honest(pattern);
        offsets.is_honest(pattern);
    }
}

fn slips(debrief: &Debrief) -> Vec<SlipKind> {
    let shift = debrief.pattern_shift.as_ref().unwrap();
    shift.slips.iter().map(|slip| slip.slip).collect()
}

/// With the declination of the plan itself, which is checked against the model's own test values elsewhere.
#[test]
fn the_slip_is_named() {
    let declination = |text: &str| {
        let (_, plan) = crate::support::tasking(text);
        plan.declination.unwrap().declination_deg
    };
    // East of Greenwich a few degrees east, in New England many west.
    let here = text(SECTOR);
    let west = here
        .replace("[46.4000, 11.2000]", "[44.5000, -69.0000]")
        .replace("[46.20, 11.45]", "[44.30, -68.70]");
    for tasking in [&here, &west] {
        let d_deg = declination(tasking);
        assert!(d_deg.abs() > 3.5, "{d_deg}");
        for seed in 1..6 {
            let as_true = fly(tasking, vec![turned(-d_deg)], seed);
            assert_eq!(slips(&as_true.debrief), [SlipKind::FlownAsTrue], "{seed}");
            // The other way round it is not the declination.
            let other = fly(tasking, vec![turned(d_deg)], seed);
            assert_eq!(slips(&other.debrief), [SlipKind::Turned], "{seed}");
            let tasked_true = tasking.replace("015 M", "015 T");
            let as_magnetic = fly(&tasked_true, vec![turned(d_deg)], seed);
            assert_eq!(
                slips(&as_magnetic.debrief),
                [SlipKind::FlownAsMagnetic],
                "{seed}"
            );
        }
    }
    // Near the line without declination.
    let small = here
        .replace("[46.4000, 11.2000]", "[51.0000, -1.5000]")
        .replace("[46.20, 11.45]", "[50.80, -1.20]");
    let d_deg = declination(&small);
    assert!(d_deg.abs() < 0.9, "{d_deg}");
    let flown = fly(&small, vec![turned(-d_deg.signum() * 1.3)], 2);
    assert_eq!(slips(&flown.debrief), [SlipKind::DeclinationTooSmall]);
    let flown = fly(&here, vec![Fault::Mirrored], 2);
    let words = &flown.debrief.pattern_shift.as_ref().unwrap().slips[0].words;
    assert!(words.contains("turned left instead of right"), "{words}");
    let flown = fly(&here, vec![shifted(0.5, 200.0)], 2);
    let words = &flown.debrief.pattern_shift.as_ref().unwrap().slips[0].words;
    assert!(
        words.starts_with("begun 0.50 NM") && words.contains("the datum"),
        "{words}"
    );
    assert!(flown.debrief.remarks.iter().any(|r| r.contains(words)));
}

/// A crew that flies headings and times alone goes with the wind, and that is said with the wind's figures.
#[test]
fn a_drift_with_the_wind_is_told_from_another() {
    for pattern in [SQUARE, SECTOR] {
        for seed in 1..6 {
            let wind = |settings: overflown::simulate::Settings| overflown::simulate::Settings {
                wind: overflown::simulate::Wind {
                    from: Bearing::from_deg(60.0 * seed as f64),
                    speed: Speed::from_kt(10.0),
                },
                ..settings
            };
            let to_deg = 60.0 * seed as f64 + 180.0;
            let flown = fly_with(&text(pattern), vec![carried(10.0, to_deg)], seed, wind);
            let found = slips(&flown.debrief);
            assert!(
                found.contains(&SlipKind::DriftedWithWind),
                "{seed}: {found:?}"
            );
            let flown = fly_with(
                &text(pattern),
                vec![carried(1.5, to_deg + 90.0)],
                seed,
                wind,
            );
            let found = slips(&flown.debrief);
            assert!(found.contains(&SlipKind::Drifted), "{seed}: {found:?}");
        }
    }
}

/// Turned by 15° a sector search is flown on hardly any of its legs, yet in the same circle: what was looked
/// at is the same, and so is how well it was tracked.
#[test]
fn a_pattern_turned_off_every_leg_counts_as_looked() {
    for seed in 1..6 {
        let clean = fly(&text(SECTOR), vec![], seed).debrief;
        let debrief = fly(&text(SECTOR), vec![turned(15.0)], seed).debrief;
        let flown = debrief
            .legs
            .iter()
            .filter(|leg| leg.state == LegState::Flown);
        assert_eq!(flown.count(), 0, "seed {seed}");
        assert_eq!(debrief.additional_legs.len(), 7, "seed {seed}");
        let pods = (clean.coverage.pod, debrief.coverage.pod);
        let off = (pods.0.inverse_cube - pods.1.inverse_cube).abs();
        assert!(off < 0.01, "seed {seed}: {pods:?}");
        let shift = debrief.pattern_shift.as_ref().unwrap();
        assert_eq!(shift.legs_recognised, 7);
        let straight = clean.pattern_shift.as_ref().unwrap();
        assert!(
            (shift.rms.m() - straight.rms.m()).abs() < 10.0,
            "seed {seed}"
        );
        assert!(
            shift.legs.iter().all(|leg| leg.flown_share > 0.8),
            "{shift:?}"
        );
        let headline = overflown::report::headline::headline(&debrief);
        assert!(
            headline.starts_with("The pattern was flown, but turned by 1"),
            "{headline}"
        );
        let report =
            overflown::report::text::report(&debrief, overflown::report::text::Style::Plain);
        let report = report.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(
            report.contains("7 of its 7 legs are recognised"),
            "{report}"
        );
        let page = overflown::report::html::report_html(&debrief).unwrap();
        assert!(page.contains("id=\"whole\"") && page.contains("id=\"distance\""));
    }
}

/// One leg of a sweep settles nothing, and that is said.
#[test]
fn what_was_not_flown_settles_nothing() {
    let skipped = (3..=10).map(Fault::SkipLeg).collect();
    let debrief = fly(&text(SWEEP), skipped, 2).debrief;
    assert_eq!(debrief.pattern_shift, None);
    let report = overflown::report::text::report(&debrief, overflown::report::text::Style::Plain);
    let report = report.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(report.contains("do not settle whether"), "{report}");
}
