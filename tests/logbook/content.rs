//! What is put in comes out, by plain SQL and by what reviews ask.

use crate::made::{Place, TABLES, by, document, flown, moment, nth, number, record, text};
use flate2::read::DeflateDecoder;
use overflown::input::sha256_hex;
use overflown::logbook::{Adding, Filter, Logbook};
use overflown::plan::{LegKind, PatternKind};
use std::io::Read;

/// JSON is read to the last digit but one.
const CLOSE: f64 = 1e-9;

#[track_caller]
fn close(found: Option<f64>, meant: Option<f64>) {
    match (found, meant) {
        (Some(found), Some(meant)) => assert!((found - meant).abs() < CLOSE, "{found}, {meant}"),
        (found, meant) => assert_eq!(found, meant),
    }
}

#[test]
fn every_table_holds_what_the_debrief_says() {
    let place = Place::with(2);
    let (sql, debrief) = (place.sql(), nth(2));
    let row: (String, String, String, String, String, i64, String, i64) = sql
        .query_row(
            "SELECT sortie, pilot, date, started, pattern, planned_legs, record, record_version FROM sorties WHERE id = 2",
            [],
            |r| Ok((r.get(0)?, r.get(1)?, r.get(2)?, r.get(3)?, r.get(4)?, r.get(5)?, r.get(6)?, r.get(7)?)),
        )
        .unwrap();
    assert_eq!(
        (row.0.as_str(), row.1.as_str(), row.2.as_str()),
        ("Heron 2", "Ada Lind", "2026-05-20")
    );
    let started = debrief
        .area_time
        .from
        .format("%Y-%m-%dT%H:%M:%S%.3fZ")
        .to_string();
    assert_eq!(
        (row.3, row.4.as_str(), row.5),
        (started, "parallel-sweep", 4)
    );
    assert_eq!((row.6.as_str(), row.7), ("{\"xte\": 2}", 7));

    let (bytes, packed): (i64, Vec<u8>) = sql
        .query_row(
            "SELECT bytes, deflated FROM documents WHERE sortie_id = 2",
            [],
            |r| Ok((r.get(0)?, r.get(1)?)),
        )
        .unwrap();
    let mut kept = String::new();
    DeflateDecoder::new(packed.as_slice())
        .read_to_string(&mut kept)
        .unwrap();
    assert_eq!((kept.len() as i64, kept), (bytes, text(&debrief)));

    let log: String = sql
        .query_row("SELECT sha256 FROM logs WHERE sortie_id = 2", [], |r| {
            r.get(0)
        })
        .unwrap();
    assert_eq!(log, sha256_hex(b"log 2"));
    let value = |measure: &str| -> Option<f64> {
        let query = "SELECT value FROM measures WHERE sortie_id = 2 AND measure = ?1";
        sql.query_row(query, [measure], |r| r.get(0)).unwrap()
    };
    assert_eq!((value("xte_rms_m"), value("turn_s")), (Some(2.0), None));
    assert_eq!(place.count("tracks"), 2 * debrief.track.len() as i64);
}

#[test]
fn legs_are_those_of_the_plan_with_what_became_of_them() {
    let place = Place::with(1);
    let (sql, debrief) = (place.sql(), nth(1));
    let mut query = sql
        .prepare(
            "SELECT geom, leg, state, flown_share, xte_mean_m, xte_p95_m, within_tolerance, crosswind_mps, passes \
             FROM legs ORDER BY id",
        )
        .unwrap();
    let mut rows = query.query([]).unwrap();
    let planned = debrief
        .plan
        .legs
        .iter()
        .filter(|leg| leg.kind == LegKind::Search);
    let mut seen = 0;
    for (planned, leg) in planned.zip(&debrief.legs) {
        let row = rows.next().unwrap().unwrap();
        let geom: Vec<u8> = row.get(0).unwrap();
        let number = |at: usize| f64::from_le_bytes(geom[at..at + 8].try_into().unwrap());
        // Header of 8 bytes, bounds of 32, kind and count of 9: then longitude and latitude of each end.
        assert_eq!(geom.len(), 8 + 32 + 9 + 2 * 16);
        let ends = [number(49), number(57), number(65), number(73)];
        let (start, end) = (planned.start, planned.end);
        let meant = [start.lon(), start.lat(), end.lon(), end.lat()];
        assert!(ends.iter().zip(meant).all(|(a, b)| (a - b).abs() < CLOSE));
        assert_eq!(row.get::<_, String>(1).unwrap(), leg.leg);
        let state = serde_json::to_value(leg.state).unwrap();
        assert_eq!(row.get::<_, String>(2).unwrap(), state.as_str().unwrap());
        close(row.get(3).unwrap(), Some(leg.flown_share));
        let xte = leg.tracking.as_ref();
        close(row.get(4).unwrap(), xte.map(|t| t.mean.m()));
        close(row.get(5).unwrap(), xte.map(|t| t.p95.m()));
        close(row.get(6).unwrap(), xte.map(|t| t.within_tolerance));
        let first = leg.passes.first().map(|pass| &debrief.passes[*pass]);
        let wind = first.and_then(|pass| pass.crosswind.map(|wind| wind.mps()));
        close(row.get(7).unwrap(), wind);
        assert_eq!(row.get::<_, i64>(8).unwrap(), leg.passes.len() as i64);
        seen += 1;
    }
    assert_eq!(seen, 4);
    assert!(rows.next().unwrap().is_none());
    assert_eq!(debrief.legs[2].tracking, None, "the third leg was flown");
}

#[test]
fn reviews_get_what_they_ask_for() {
    let place = Place::new();
    let mut logbook = Logbook::open_to_add(&place.file).unwrap();
    for (n, pilot) in [
        (1, "Ada Lind"),
        (2, "Bo Ek"),
        (3, "Ada Lind"),
        (4, "Åsa Ö"),
        (5, "ada lind"),
    ] {
        let mut debrief = nth(n);
        let later = chrono::Duration::days(10 - n as i64);
        debrief.date += later;
        debrief.area_time.from += later;
        debrief.area_time.to += later;
        if n == 2 {
            debrief.plan.pattern = PatternKind::CreepingLine;
        }
        logbook
            .add(&document(&debrief), &record(n as f64), by(pilot))
            .unwrap();
    }
    let logbook = Logbook::open(&place.file).unwrap();
    let ids = |filter: Filter| -> Vec<i64> {
        logbook
            .records(&filter)
            .unwrap()
            .iter()
            .map(|entry| entry.id)
            .collect()
    };
    let of = |pilot: &str| Filter {
        pilot: Some(pilot.to_owned()),
        ..Filter::default()
    };
    assert_eq!(ids(Filter::default()), [5, 4, 3, 2, 1]);
    assert_eq!(ids(of("Ada Lind")), [3, 1]);
    assert_eq!(ids(of("ada lind")), [5]);
    assert_eq!(ids(of("ADA LIND")), [5, 3, 1]);
    assert_eq!(ids(of("åsa ö")), [4]);
    assert_eq!(ids(of("Nobody")), [0; 0]);
    let day = flown().date + chrono::Duration::days(7);
    assert_eq!(
        ids(Filter {
            since: Some(day),
            ..Filter::default()
        }),
        [3, 2, 1]
    );
    assert_eq!(
        ids(Filter {
            until: Some(day),
            ..of("ADA lind")
        }),
        [5, 3]
    );
    let creeping = Filter {
        pattern: Some(PatternKind::CreepingLine),
        ..Filter::default()
    };
    assert_eq!(ids(creeping), [2]);
    let pilots: Vec<(String, u32)> = logbook.pilots().unwrap();
    let expected = [("Ada Lind", 2), ("Bo Ek", 1), ("ada lind", 1), ("Åsa Ö", 1)];
    assert_eq!(
        pilots,
        expected.map(|(name, count)| (name.to_owned(), count))
    );
    assert_eq!(logbook.pilots_near("Bo Ekk").unwrap(), ["Bo Ek"]);
    assert_eq!(
        logbook.pilots_near("lind").unwrap(),
        ["Ada Lind", "ada lind"]
    );
    let all = logbook.all_values().unwrap();
    assert_eq!(all.len(), 1);
    let values: Vec<(i64, f64)> = all["xte_rms_m"].iter().map(|(id, v)| (*id, *v)).collect();
    assert_eq!(values, [(1, 1.0), (2, 2.0), (3, 3.0), (4, 4.0), (5, 5.0)]);
    assert_eq!(logbook.measures().unwrap(), ["turn_s", "xte_rms_m"]);
    let entry = logbook.entry(4).unwrap().unwrap();
    assert_eq!(
        (entry.sortie.as_str(), entry.pattern),
        ("Heron 4", PatternKind::ParallelSweep)
    );
    assert_eq!(entry.added_at, moment());
    assert!(logbook.document(4).unwrap().contains("\"Heron 4\""));
    assert!(logbook.document(40).is_err());
}

/// Nothing stays of an entry that is removed, in no table and in no byte.
#[test]
fn what_is_removed_is_gone() {
    let place = Place::with(3);
    let mut logbook = Logbook::open_to_change(&place.file).unwrap();
    let how = by("Zaphira Quill");
    logbook.add(&document(&nth(4)), &record(4.0), how).unwrap();
    let before: Vec<i64> = TABLES.iter().map(|table| place.count(table)).collect();
    assert!(String::from_utf8_lossy(&place.bytes()).contains("Zaphira Quill"));
    logbook.remove(&[4], moment()).unwrap();
    for (table, before) in TABLES.iter().zip(before) {
        assert_eq!(place.count(table), before / 4 * 3, "{table}");
    }
    assert!(!String::from_utf8_lossy(&place.bytes()).contains("Zaphira Quill"));
    // A number that is not there takes none of the others with it.
    let error = logbook.remove(&[1, 9], moment()).unwrap_err();
    assert!(error.problem.contains("no entry 9"), "{error}");
    assert_eq!(place.count("sorties"), 3);
    logbook.remove(&[3, 1, 2, 3], moment()).unwrap();
    for table in TABLES {
        assert_eq!(place.count(table), 0, "{table}");
    }
    let bounds = "SELECT count(*) FROM gpkg_contents WHERE min_x IS NOT NULL";
    assert_eq!(number(&place.sql(), bounds), 0);
    // A number is not given again.
    logbook
        .add(&document(&nth(1)), &record(1.0), by("Ada Lind"))
        .unwrap();
    assert_eq!(number(&place.sql(), "SELECT id FROM sorties"), 5);
}

/// The same debriefs make the same tables, whenever they are added: the file alone tells when.
#[test]
fn the_same_debriefs_make_the_same_file() {
    let (one, two) = (Place::with(3), Place::with(3));
    assert_eq!(one.bytes(), two.bytes());
    let mut logbook = Logbook::open_to_change(&two.file).unwrap();
    let later = Adding {
        at: moment() + chrono::Duration::hours(1),
        ..by("Ada Lind")
    };
    logbook
        .add(&document(&nth(3)), &record(3.0), later)
        .unwrap();
    assert_eq!(one.bytes(), two.bytes());
}
