//! However a log is broken, every point of it is either kept or in the ledger, with all that was recorded
//! of it.

use crate::support::reading;
use crate::way::{At, fix};
use overflown::geodesy::Position;
use overflown::track::clean::{CleanSettings, clean};
use overflown::track::{Finding, Fix};
use overflown::units::Length;
use proptest::prelude::*;

/// What may be wrong with a fix.
#[derive(Clone, Copy, Debug)]
enum Fault {
    None,
    SameTime,
    EarlierTime,
    SamePlace,
    Away(f64, f64),
    NoLatitude,
    NoLongitude,
    Height(f64),
    NoHeight,
}

fn fault() -> impl Strategy<Value = Fault> {
    prop_oneof![
        12 => Just(Fault::None),
        1 => Just(Fault::SameTime),
        1 => Just(Fault::EarlierTime),
        3 => Just(Fault::SamePlace),
        2 => (-3000.0..3000.0, -3000.0..3000.0).prop_map(|(x, y)| Fault::Away(x, y)),
        1 => (-1e6..1e6, -1e6..1e6).prop_map(|(x, y)| Fault::Away(x, y)),
        1 => Just(Fault::NoLatitude),
        1 => Just(Fault::NoLongitude),
        1 => (-900.0..20_000.0).prop_map(Fault::Height),
        1 => Just(Fault::NoHeight),
    ]
}

fn log() -> impl Strategy<Value = Vec<Fix>> {
    let steps = prop::collection::vec((fault(), prop_oneof![Just(1.0), 0.1..90.0]), 2..120);
    (steps, -80.0..80.0_f64).prop_map(|(steps, speed)| {
        let mut fixes: Vec<Fix> = Vec::new();
        let mut second = 0.0;
        for (number, (fault, step)) in steps.into_iter().enumerate() {
            second += step;
            let at = At(speed * second, 20.0 * second, 500.0);
            let mut new = fix(number, second, at);
            let last = fixes.last().copied();
            match (fault, last) {
                (Fault::None, _) | (_, None) => {}
                (Fault::SameTime, Some(last)) => new.time = last.time,
                (Fault::EarlierTime, Some(_)) => new.time = fixes[fixes.len() / 2].time,
                (Fault::SamePlace, Some(last)) => new.position = last.position,
                (Fault::Away(x, y), _) => new = fix(number, second, At(at.0 + x, at.1 + y, 500.0)),
                (Fault::NoLatitude, _) => {
                    new.position = Position::new(0.0, new.position.lon()).unwrap()
                }
                (Fault::NoLongitude, _) => {
                    new.position = Position::new(new.position.lat(), 0.0).unwrap()
                }
                (Fault::Height(m), _) => new.height = Some(Length::from_m(m)).into(),
                (Fault::NoHeight, _) => new.height = None.into(),
            }
            fixes.push(new);
        }
        fixes
    })
}

/// A fix as the ledger has it: time, latitude, longitude, height.
fn from_ledger(line: u32, raw: &str) -> Fix {
    let mut parts = raw.split(' ');
    let mut next = || parts.next().unwrap().trim_end_matches(':').to_owned();
    let time = next().parse().unwrap();
    let (lat, lon) = (next().parse().unwrap(), next().parse().unwrap());
    let height = next().parse().ok().map(Length::from_m);
    Fix {
        time,
        position: Position::new(lat, lon).unwrap(),
        height: height.into(),
        line,
        file: 0,
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(600))]

    #[test]
    fn every_point_is_kept_or_told(fixes in log()) {
        let Ok(track) = clean(reading(fixes.clone()), &CleanSettings::default()) else {
            return Ok(());
        };
        prop_assert_eq!(track.points_read(), fixes.len());
        prop_assert_eq!(track.fixes.len() + track.ledger.dropped(), fixes.len());
        prop_assert!(track.fixes.is_sorted_by(|a, b| a.time < b.time));
        // The log put together again from the track and its ledger, to the last bit.
        let mut again: Vec<Fix> = track.fixes.clone();
        for entry in &track.ledger.entries {
            if entry.finding.drops_the_fix() {
                again.push(from_ledger(entry.line, &entry.raw));
            } else if entry.finding == Finding::ImpossibleHeight {
                let recorded = from_ledger(entry.line, &entry.raw);
                let at = again.iter_mut().find(|fix| fix.line == entry.line).unwrap();
                prop_assert!(at.height.get().is_none());
                at.height = recorded.height;
            }
        }
        again.sort_by_key(|fix| fix.line);
        prop_assert_eq!(again, fixes);
        // Stretches hold every fix once, and the flight lies within.
        let held: usize = track.stretches.iter().map(ExactSizeIterator::len).sum();
        prop_assert_eq!(held, track.fixes.len());
        prop_assert!(track.airborne.end <= track.fixes.len());
    }
}
