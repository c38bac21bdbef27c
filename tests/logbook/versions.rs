//! Logbooks of older versions are brought up to this one, those of newer versions left alone.

use crate::made::{Place, by, document, nth, number, record};
use overflown::logbook::{Added, Filter, Logbook, VERSION};
use rusqlite::Connection;

/// A logbook as version 1 wrote it: `version_1.sql` is a copy of its tables that nothing changes, the rows are those
/// of today without what came later.
fn of_version_1(count: usize) -> Place {
    let place = Place::with(count);
    let new = place.folder.path().join("new.gpkg");
    std::fs::rename(&place.file, &new).unwrap();
    let old = place.sql();
    old.execute_batch("PRAGMA application_id = 1196444487; PRAGMA user_version = 10400;")
        .unwrap();
    old.execute_batch(include_str!("version_1.sql")).unwrap();
    old.execute("ATTACH ?1 AS new", [new.to_str().unwrap()])
        .unwrap();
    for table in ["sorties", "logs", "measures", "documents", "legs", "tracks"] {
        let columns: Vec<String> = old
            .prepare(&format!(
                "SELECT name FROM main.pragma_table_info('{table}')"
            ))
            .unwrap()
            .query_map([], |row| row.get(0))
            .unwrap()
            .map(Result::unwrap)
            .collect();
        let columns = columns.join(", ");
        old.execute_batch(&format!(
            "INSERT INTO main.{table} ({columns}) SELECT {columns} FROM new.{table}"
        ))
        .unwrap();
    }
    old.execute_batch("DETACH new").unwrap();
    assert_eq!(number(&old, "SELECT version FROM logbook_version"), 1);
    place
}

fn has_crosswind(sql: &Connection) -> bool {
    number(
        sql,
        "SELECT count(*) FROM pragma_table_info('legs') WHERE name = 'crosswind_mps'",
    ) == 1
}

#[test]
fn an_older_one_is_brought_up_with_what_its_debriefs_say() {
    let place = of_version_1(2);
    assert!(!has_crosswind(&place.sql()));
    let logbook = Logbook::open(&place.file).unwrap();
    assert_eq!(logbook.records(&Filter::default()).unwrap().len(), 2);
    let legs = logbook.legs(2).unwrap();
    let sql = place.sql();
    assert_eq!(
        number(&sql, "SELECT version FROM logbook_version"),
        VERSION as i64
    );
    let debrief = nth(2);
    let mut known = 0;
    for (leg, report) in legs.iter().zip(&debrief.legs) {
        let first = report.passes.first().map(|pass| &debrief.passes[*pass]);
        let wind = first.and_then(|pass| pass.crosswind.map(|wind| wind.mps()));
        match (leg.crosswind_mps, wind) {
            (Some(found), Some(wind)) => assert!((found - wind).abs() < 1e-9),
            (found, wind) => assert_eq!(found, wind),
        }
        known += usize::from(wind.is_some());
    }
    assert!(known > 0, "no leg has a crosswind");
    // The tables are those of a new logbook.
    let tables = |sql: &Connection| -> Vec<String> {
        let mut query = sql
            .prepare("SELECT name FROM pragma_table_info('legs')")
            .unwrap();
        query
            .query_map([], |row| row.get(0))
            .unwrap()
            .map(Result::unwrap)
            .collect()
    };
    assert_eq!(tables(&sql), tables(&Place::with(1).sql()));
}

#[test]
fn adding_to_an_older_one_brings_it_up() {
    let place = of_version_1(1);
    let mut logbook = Logbook::open_to_add(&place.file).unwrap();
    let added = logbook.add(&document(&nth(2)), &record(2.0), by("Ada Lind"));
    assert_eq!(added.unwrap(), Added::New(2));
    assert!(has_crosswind(&place.sql()));
}

/// What cannot be brought up wholly stays as it was.
#[test]
fn a_step_that_fails_leaves_the_older_one() {
    let place = of_version_1(2);
    place
        .sql()
        .execute(
            "UPDATE documents SET deflated = x'00' WHERE sortie_id = 2",
            [],
        )
        .unwrap();
    let before = place.bytes();
    let error = Logbook::open(&place.file).unwrap_err();
    assert!(error.problem.contains("entry 2"), "{error}");
    assert_eq!(place.bytes(), before);
}

#[test]
fn a_newer_one_is_left_alone() {
    let place = Place::with(1);
    place
        .sql()
        .execute("UPDATE logbook_version SET version = 99", [])
        .unwrap();
    let before = place.bytes();
    let opened = [
        Logbook::open(&place.file),
        Logbook::open_to_add(&place.file),
        Logbook::open_to_change(&place.file),
    ];
    for error in opened.map(Result::unwrap_err) {
        assert!(error.problem.contains("version 99"), "{error}");
        assert!(error.hint.contains("newer"), "{}", error.hint);
    }
    assert_eq!(place.bytes(), before);
}

/// What an earlier version kept for reviews is made anew from the debriefs, on the next adding.
#[test]
fn what_reviews_keep_is_brought_up_to_date() {
    let place = Place::new();
    for (name, n) in [("one", 1), ("two", 2), ("three", 3)] {
        place.put(name, &nth(n));
    }
    assert_eq!(place.run(&["add", "one", "two"]).0, 0);
    let kept = |sql: &Connection| -> Vec<(i64, String, Option<f64>)> {
        let mut query = sql
            .prepare(
                "SELECT s.record_version, s.record, m.value FROM sorties s JOIN measures m ON m.sortie_id = s.id \
                 WHERE s.id < 3 ORDER BY s.id, m.measure",
            )
            .unwrap();
        let rows = query.query_map([], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)));
        rows.unwrap().map(Result::unwrap).collect()
    };
    let before = kept(&place.sql());
    place
        .sql()
        .execute_batch(
            "UPDATE sorties SET record_version = 1, record = '{}'; UPDATE measures SET value = 999, measure = 'old ' || measure; \
             DELETE FROM documents WHERE sortie_id = 2;",
        )
        .unwrap();
    let (code, _, err) = place.run(&["add", "three"]);
    assert_eq!(code, 0, "{err}");
    assert!(
        err.contains("1 flight that an earlier version kept brought up to date"),
        "{err}"
    );
    assert!(
        err.contains("entry 2 stays as an earlier version kept it"),
        "{err}"
    );
    let after = kept(&place.sql());
    let half = before.len() / 2;
    assert_eq!(after[..half], before[..half]);
    assert!(after[half..].iter().all(|row| row.0 == 1));
    // Nothing is left to do but what cannot be done.
    let (_, _, err) = place.run(&["add", "three"]);
    assert!(!err.contains("brought up to date"), "{err}");
}
