//! A flight is in the logbook once, whatever its folder and its sortie are called.

use crate::made::{Place, TABLES, by, document, moment, nth, number, record};
use chrono::Duration;
use overflown::logbook::{Added, Adding, Logbook};

fn replacing(pilot: &str) -> Adding<'_> {
    Adding {
        replace: true,
        ..by(pilot)
    }
}

#[test]
fn the_same_debrief_is_there_already() {
    let place = Place::with(2);
    let before = place.bytes();
    let mut logbook = Logbook::open_to_add(&place.file).unwrap();
    let again = logbook.add(&document(&nth(2)), &record(2.0), by("Ada Lind"));
    assert_eq!(again.unwrap(), Added::There(2));
    assert_eq!(place.bytes(), before);
}

#[test]
fn the_same_flight_debriefed_anew_takes_the_place_when_asked() {
    let place = Place::with(2);
    let before = place.bytes();
    let mut logbook = Logbook::open_to_add(&place.file).unwrap();
    let mut other = nth(2);
    let tasking = other
        .inputs
        .iter_mut()
        .find(|input| input.role == "tasking")
        .unwrap();
    tasking.sha256 = tasking.sha256.chars().rev().collect();
    other.sortie = "Renamed".to_owned();
    let mut version = nth(2);
    version.version = "9.9.9";
    for (debrief, pilot, words) in [
        (&other, "Ada Lind", "another tasking"),
        (&version, "Ada Lind", "another version"),
        (&nth(2), "Bo Ek", "another pilot"),
    ] {
        let error = logbook
            .add(&document(debrief), &record(1.0), by(pilot))
            .unwrap_err();
        assert!(error.problem.contains("entry 2 (\"Heron 2\""), "{error}");
        assert!(error.problem.contains(words), "{error}");
        assert!(error.hint.contains("--replace"), "{}", error.hint);
        assert_eq!(place.bytes(), before, "{words}");
    }
    let counts = || TABLES.map(|table| place.count(table));
    let rows = counts();
    let added = logbook
        .add(&document(&other), &record(1.0), replacing("Bo Ek"))
        .unwrap();
    assert_eq!(
        added,
        Added::Replaced {
            number: 2,
            went: vec![2]
        }
    );
    assert_eq!(counts(), rows);
    let sql = place.sql();
    let name: String = sql
        .query_row("SELECT sortie FROM sorties WHERE id = 2", [], |r| r.get(0))
        .unwrap();
    assert_eq!(name, "Renamed");
}

/// One log of a day with two searches in it: two entries. One debrief over both: the same flight as either.
#[test]
fn two_searches_of_one_log_are_two_flights() {
    let place = Place::with(1);
    let mut logbook = Logbook::open_to_add(&place.file).unwrap();
    let mut second = nth(1);
    let length = second.area_time.to - second.area_time.from;
    second.area_time.from += length + Duration::minutes(5);
    second.area_time.to += length + Duration::minutes(5);
    second.sortie = "Second".to_owned();
    let added = logbook.add(&document(&second), &record(2.0), by("Ada Lind"));
    assert_eq!(added.unwrap(), Added::New(2));
    let mut both = nth(1);
    both.area_time.to = second.area_time.to;
    let error = logbook
        .add(&document(&both), &record(2.0), by("Ada Lind"))
        .unwrap_err();
    assert!(
        error.problem.contains("entry 1") && error.problem.contains("entry 2"),
        "{error}"
    );
    let added = logbook
        .add(&document(&both), &record(2.0), replacing("Ada Lind"))
        .unwrap();
    assert_eq!(
        added,
        Added::Replaced {
            number: 1,
            went: vec![1, 2]
        }
    );
    assert_eq!(place.count("sorties"), 1);
}

#[test]
fn the_bounds_follow_what_is_replaced() {
    let place = Place::new();
    let mut logbook = Logbook::open_to_add(&place.file).unwrap();
    let mut far = nth(1);
    let east = overflown::geodesy::Position::new(46.4, 15.0).unwrap();
    far.track[0].line[0] = east;
    logbook
        .add(&document(&far), &record(1.0), by("Ada Lind"))
        .unwrap();
    let max_x = "SELECT max_x FROM gpkg_contents WHERE table_name = 'tracks'";
    let bound =
        |sql: &rusqlite::Connection| -> f64 { sql.query_row(max_x, [], |r| r.get(0)).unwrap() };
    assert_eq!(bound(&place.sql()), 15.0);
    logbook
        .add(&document(&nth(1)), &record(1.0), replacing("Ada Lind"))
        .unwrap();
    let pieces = nth(1).track;
    let widest = pieces
        .iter()
        .filter(|piece| piece.line.len() > 1)
        .flat_map(|piece| &piece.line);
    let widest = widest.map(|at| at.lon()).fold(f64::MIN, f64::max);
    assert!((bound(&place.sql()) - widest).abs() < 1e-9);
    let empty = "SELECT count(*) FROM tracks WHERE geom IS NULL";
    let alone = pieces.iter().filter(|piece| piece.line.len() < 2).count();
    assert_eq!(number(&place.sql(), empty), alone as i64);
    assert!(moment() > far.area_time.to);
}
