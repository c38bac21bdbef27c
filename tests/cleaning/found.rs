//! What was put into a sound log is found, and the good fixes beside it stay.

use crate::way::{At, Rng, cleaned, every, ledger, rng, sampled, start, steered, strictly};
use overflown::geodesy::{LocalFrame, Position};
use overflown::track::{Finding, Fix, Track};
use overflown::units::Length;
use rand::RngExt as _;
use std::collections::BTreeSet;

const SEEDS: std::ops::RangeInclusive<u64> = 1..=20;

/// Twenty minutes of straight legs at 90 kt with turns between, 3 m of noise, a fix every `step` seconds.
fn flight(step: f64, rng: &mut Rng) -> Vec<Fix> {
    let way = steered(1200.0, |t| {
        (46.3, if t % 180.0 < 120.0 { 0.0 } else { 3.0 }, 0.0)
    });
    sampled(every(step, 1200.0), way, 3.0, rng)
}

fn moved(fix: &mut Fix, metres: f64, rng: &mut Rng) {
    let angle = rng.random_range(0.0..std::f64::consts::TAU);
    let off = geo::Coord {
        x: metres * angle.sin(),
        y: metres * angle.cos(),
    };
    fix.position = LocalFrame::new(fix.position).inverse(off);
}

/// Indices far enough apart not to be neighbours, ends included now and then.
fn places(count: usize, most: usize, apart: usize, rng: &mut Rng) -> Vec<usize> {
    let mut places = vec![];
    let mut at = rng.random_range(0..apart);
    while at < count && places.len() < most {
        places.push(at);
        at += apart + rng.random_range(0..apart);
    }
    places
}

/// Lines that were found of these kinds.
fn lines(track: &Track, kinds: &[Finding]) -> BTreeSet<u32> {
    let entries = ledger(track).into_iter();
    entries
        .filter(|(_, finding)| kinds.contains(finding))
        .map(|(line, _)| line)
        .collect()
}

/// Shares of injected faults found, and of good fixes dropped.
#[derive(Default)]
struct Score {
    injected: usize,
    found: usize,
    good: usize,
    lost: usize,
}

impl Score {
    fn add(&mut self, injected: &BTreeSet<u32>, found: &BTreeSet<u32>, fixes: usize) {
        self.injected += injected.len();
        self.found += injected.intersection(found).count();
        self.good += fixes - injected.len();
        self.lost += found.difference(injected).count();
    }

    fn found(&self) -> f64 {
        self.found as f64 / self.injected as f64
    }
}

/// Single spikes to any side. What is possible by an acceleration of 2 g is not found: 40 m beside the track at
/// 1 Hz, 120 m at one fix in 3 s, 1 km at one in 10 s, and along the track 23 m more. Stated: at 10 Hz all from
/// 60 m on, at 1 Hz from 80 m, at 3 s from 300 m, at 10 s from 3 km; no good fix is lost.
#[test]
fn spikes() {
    for (step, least_m, most_m) in [
        (0.1, 60.0, 3000.0),
        (1.0, 80.0, 3000.0),
        (1.0, 3000.0, 500_000.0),
        (3.0, 300.0, 3000.0),
        (10.0, 3000.0, 100_000.0),
    ] {
        let mut score = Score::default();
        for seed in SEEDS {
            let mut rng = rng(seed);
            let mut fixes = flight(step, &mut rng);
            let count = fixes.len();
            let mut injected = BTreeSet::new();
            for place in places(count, 40, 12, &mut rng) {
                let metres = rng.random_range(least_m..most_m);
                moved(&mut fixes[place], metres, &mut rng);
                injected.insert(fixes[place].line);
            }
            let track = cleaned(fixes);
            let kinds = [Finding::ImpossibleSpeed, Finding::ImpossibleTurn];
            score.add(&injected, &lines(&track, &kinds), count);
            assert_eq!(track.fixes.len() + track.ledger.dropped(), count);
        }
        assert_eq!(
            score.lost, 0,
            "{step} s, from {least_m} m: of {}",
            score.good
        );
        assert_eq!(score.found(), 1.0, "{step} s, from {least_m} m");
    }
}

/// Two to six fixes of the receiver somewhere else, 150 m to 5 km away, at 1 Hz: nineteen of twenty are found,
/// with at most one good fix in two hundred. What is missed lies nearest: the way there and back is possible
/// if one or two fixes at each end go instead.
#[test]
fn short_excursions() {
    let mut score = Score::default();
    for seed in SEEDS {
        let mut rng = rng(seed);
        let mut fixes = flight(1.0, &mut rng);
        let mut injected = BTreeSet::new();
        for place in places(fixes.len() - 10, 15, 40, &mut rng) {
            let metres = rng.random_range(150.0..5000.0);
            let mut to = fixes[place];
            moved(&mut to, metres, &mut rng);
            let frame = LocalFrame::new(fixes[place].position);
            let off = frame.forward(to.position);
            for fix in &mut fixes[place..place + rng.random_range(2..=6)] {
                let at = frame.forward(fix.position);
                fix.position = frame.inverse(at + off);
                injected.insert(fix.line);
            }
        }
        let count = fixes.len();
        let kinds = [Finding::ImpossibleSpeed, Finding::ImpossibleTurn];
        score.add(&injected, &lines(&cleaned(fixes), &kinds), count);
    }
    assert!(
        score.found() >= 0.95,
        "{} of {}",
        score.found,
        score.injected
    );
    assert!(score.lost * 200 <= score.good, "{} lost", score.lost);
}

/// The receiver repeats its last position for 2 to 40 s, on straight flight and in turns. Stated: all
/// repeats are found, and nothing else is dropped.
#[test]
fn frozen_spells() {
    for step in [0.1, 1.0, 2.0, 5.0] {
        let mut score = Score::default();
        for seed in SEEDS {
            let mut rng = rng(seed);
            let mut fixes = flight(step, &mut rng);
            let (count, second) = (fixes.len(), (1.0 / step).ceil() as usize);
            let mut injected = BTreeSet::new();
            for place in places(count - 1, 12, 100 * second, &mut rng) {
                let repeats = (rng.random_range(2.0..40.0) / step).ceil() as usize;
                let position = fixes[place].position;
                // The last fix is not among them: what ends a log has a test of its own.
                for fix in &mut fixes[place + 1..count - 1].iter_mut().take(repeats) {
                    fix.position = position;
                    injected.insert(fix.line);
                }
            }
            let track = cleaned(fixes);
            score.add(&injected, &lines(&track, &[Finding::FrozenPosition]), count);
            assert_eq!(track.ledger.dropped(), track.ledger.entries.len());
            assert_eq!(
                track.ledger.counts().keys().copied().collect::<Vec<_>>(),
                [Finding::FrozenPosition],
                "{step} s, seed {seed}"
            );
        }
        assert_eq!(
            (score.lost, score.found()),
            (0, 1.0),
            "{step} s: of {}",
            score.injected
        );
    }
}

/// The same to the end of the log; and the gap that a longer spell leaves.
#[test]
fn frozen_to_the_end_and_for_long() {
    let mut fixes = flight(1.0, &mut rng(1));
    let last = fixes.len() - 30;
    let position = fixes[last].position;
    fixes[last + 1..]
        .iter_mut()
        .for_each(|fix| fix.position = position);
    let position = fixes[300].position;
    fixes[301..330]
        .iter_mut()
        .for_each(|fix| fix.position = position);
    let track = cleaned(fixes);
    assert_eq!(track.ledger.counts()[&Finding::FrozenPosition], 29 + 29);
    let [gap] = track.gaps()[..] else {
        panic!("{:?}", track.gaps())
    };
    assert_eq!((gap.from - start()).num_seconds(), 300);
    assert_eq!(gap.duration_s, 30.0);
}

/// A recorder at 10 Hz before a receiver of 1 Hz: nine of ten repeat the one before, which is no reason to
/// refuse the log.
#[test]
fn a_recorder_faster_than_its_receiver() {
    let mut fixes = flight(0.1, &mut rng(3));
    for second in fixes.chunks_mut(10) {
        let position = second[0].position;
        second.iter_mut().for_each(|fix| fix.position = position);
    }
    let count = fixes.len();
    let track = cleaned(fixes);
    let frozen = track.ledger.counts()[&Finding::FrozenPosition];
    assert_eq!(track.fixes.len() + frozen, count);
    // The first of each of the 1201 seconds stays; what is left beside them, in the tightest turns, is little.
    assert!(
        (1201..1300).contains(&track.fixes.len()),
        "{}",
        track.fixes.len()
    );
}

/// Latitude or longitude nulled, alone or both, single or for half a minute: all found, nothing else.
#[test]
fn nulled_coordinates() {
    for seed in SEEDS {
        let mut rng = rng(seed);
        let mut fixes = flight(1.0, &mut rng);
        let count = fixes.len();
        let mut injected = BTreeSet::new();
        for (number, place) in places(count, 20, 50, &mut rng).into_iter().enumerate() {
            let run = if number % 4 == 0 { 30 } else { 1 };
            for fix in fixes[place..].iter_mut().take(run) {
                let (lat, lon) = (fix.position.lat(), fix.position.lon());
                let nulled = [(0.0, lon), (lat, 0.0), (0.0, 0.0)][number % 3];
                fix.position = Position::new(nulled.0, nulled.1).unwrap();
                injected.insert(fix.line);
            }
        }
        let track = cleaned(fixes);
        assert_eq!(
            lines(&track, &[Finding::ZeroCoordinate]),
            injected,
            "seed {seed}"
        );
        assert_eq!(track.fixes.len() + injected.len(), count);
    }
}

/// Single heights 80 m to 5 km off, and up to half a minute on another level at least 1,200 m away: farther
/// than a climb at 60 m/s gets in half that time. The fix stays where it is, without its height; nothing else
/// is found.
#[test]
fn impossible_heights() {
    for seed in SEEDS {
        let mut rng = rng(seed);
        let mut fixes = flight(1.0, &mut rng);
        let before = fixes.clone();
        let mut injected = BTreeSet::new();
        for (number, place) in places(fixes.len(), 15, 60, &mut rng)
            .into_iter()
            .enumerate()
        {
            let single = number % 2 == 0;
            let (run, least) = if single {
                (1, 80.0)
            } else {
                (rng.random_range(2..30), 1200.0)
            };
            let up: f64 = rng.random_range(least..5000.0);
            let up = if number % 3 == 0 { -up } else { up };
            for fix in fixes[place..].iter_mut().take(run) {
                fix.height = Some(Length::from_m(fix.height.get().unwrap().m() + up)).into();
                injected.insert(fix.line);
            }
        }
        let track = cleaned(fixes);
        assert_eq!(
            lines(&track, &[Finding::ImpossibleHeight]),
            injected,
            "seed {seed}"
        );
        assert_eq!(
            (track.fixes.len(), track.ledger.dropped()),
            (before.len(), 0)
        );
        for (fix, before) in track.fixes.iter().zip(&before) {
            let height = (!injected.contains(&fix.line))
                .then_some(before.height.get())
                .flatten();
            assert_eq!((fix.position, fix.height.get()), (before.position, height));
        }
    }
}

/// A level that lasts is kept: nobody can tell which of the two is wrong.
#[test]
fn a_lasting_step_of_height_is_kept_and_said() {
    let mut fixes = flight(1.0, &mut rng(7));
    let raise = |fixes: &mut [Fix], up_m: f64| {
        for fix in fixes {
            fix.height = Some(Length::from_m(fix.height.get().unwrap().m() + up_m)).into();
        }
    };
    // 300 m take 5 s at 60 m/s, less 50 m of scatter: at most as many heights go between.
    raise(&mut fixes[600..], 300.0);
    let track = cleaned(fixes);
    let gone = ledger(&track);
    assert!((1..=5).contains(&gone.len()), "{gone:?}");
    assert!(gone.iter().all(|(line, finding)| {
        (596..=606).contains(line) && *finding == Finding::ImpossibleHeight
    }));
    // 5 km are out of reach within the 26 s that a chain of ten fixes a second looks back.
    let mut fixes = flight(0.1, &mut rng(7));
    raise(&mut fixes[6000..], 5000.0);
    let track = cleaned(fixes.clone());
    assert_eq!(ledger(&track), [(6001, Finding::HeightJump)]);
    assert!(track.fixes.iter().all(|fix| fix.height.get().is_some()));
    assert!(strictly(fixes).is_ok(), "nothing was dropped or repaired");
}

/// A log with a wrong fix, a frozen spell, a nulled coordinate or a wrong height is refused where nothing may
/// be mended, with its line.
#[test]
fn strictness_refuses_each_of_them() {
    let sound = || flight(1.0, &mut rng(9));
    assert!(strictly(sound()).is_ok());
    let mut logs = [sound(), sound(), sound(), sound()];
    moved(&mut logs[0][500], 100.0, &mut rng(1));
    logs[1][500].position = logs[1][499].position;
    logs[2][500].position = Position::new(0.0, 12.0).unwrap();
    logs[3][500].height = Some(Length::from_m(9000.0)).into();
    for (log, words) in logs.into_iter().zip([
        "cannot be used, beside the track, impossible turn (",
        "cannot be used, position repeated in flight (",
        "cannot be used, latitude or longitude exactly 0°, out of reach (",
        "cannot be used as it stands, impossible climb or descent (",
    ]) {
        let error = strictly(log).unwrap_err().to_string();
        assert!(
            error.contains("line 501: ") && error.contains(words),
            "{error}"
        );
    }
}

/// A spike amid a stand does not make the stand a frozen spell.
#[test]
fn a_spike_on_the_ground() {
    let mut fixes: Vec<Fix> = sampled(every(1.0, 300.0), |_| At(0.0, 0.0, 400.0), 0.0, &mut rng(1));
    let away = |at: &mut Fix, m: f64| moved(at, m, &mut rng(2));
    // 300 m in a second are 583 kt.
    away(&mut fixes[100], 300.0);
    away(&mut fixes[200], 30_000.0);
    assert_eq!(
        ledger(&cleaned(fixes)),
        [
            (101, Finding::ImpossibleSpeed),
            (201, Finding::ImpossibleSpeed)
        ]
    );
}
