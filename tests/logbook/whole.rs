//! Every entry is there whole or not at all: when the program is killed, and when two add at once.

use crate::made::{Place, by, document, ended, nth, number, record};
use overflown::logbook::{Filter, Logbook};
use rusqlite::{Connection, OpenFlags};
use std::path::Path;
use std::process::Stdio;
use std::time::{Duration, Instant};

/// Debriefs of one command.
const MANY: usize = 40;

/// That every entry has all its rows and no row is without its entry, by plain SQL; how many entries there are.
fn whole(file: &Path) -> i64 {
    let sql = Connection::open(file).unwrap();
    let check: String = sql
        .query_row("PRAGMA integrity_check", [], |r| r.get(0))
        .unwrap();
    assert_eq!(check, "ok");
    if number(&sql, "SELECT count(*) FROM sqlite_schema") == 0 {
        return 0;
    }
    assert_eq!(
        number(&sql, "SELECT count(*) FROM pragma_foreign_key_check"),
        0
    );
    let debrief = nth(1);
    let (legs, pieces) = (debrief.legs.len() as i64, debrief.track.len() as i64);
    let entries = number(&sql, "SELECT count(*) FROM sorties");
    for (table, each) in [
        ("logs", 1),
        ("documents", 1),
        ("legs", legs),
        ("tracks", pieces),
    ] {
        let query = format!(
            "SELECT count(*) FROM sorties s WHERE (SELECT count(*) FROM {table} t WHERE t.sortie_id = s.id) <> {each}"
        );
        assert_eq!(number(&sql, &query), 0, "{table}");
    }
    entries
}

/// Entries that another connection sees; 0 while there is no table.
fn seen(file: &Path) -> i64 {
    let open = || {
        let sql = Connection::open_with_flags(file, OpenFlags::SQLITE_OPEN_READ_ONLY)?;
        sql.query_row("SELECT count(*) FROM sorties", [], |row| row.get(0))
    };
    open().unwrap_or(0)
}

#[test]
fn a_kill_leaves_whole_entries() {
    let place = Place::new();
    let folders: Vec<String> = (1..=MANY).map(|n| format!("d{n}")).collect();
    for (n, folder) in folders.iter().enumerate() {
        place.put(folder, &nth(n + 1));
    }
    let arguments: Vec<&str> = ["add"]
        .into_iter()
        .chain(folders.iter().map(String::as_str))
        .collect();
    let mut midway = 0;
    for round in 0..12u64 {
        let _ = std::fs::remove_file(&place.file);
        let _ = std::fs::remove_file(place.folder.path().join("logbook.gpkg-journal"));
        let mut child = place
            .command(&arguments)
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let began = Instant::now();
        while seen(&place.file) < round as i64 && began.elapsed() < Duration::from_secs(20) {}
        // Anywhere within the writing of an entry.
        std::thread::sleep(Duration::from_micros(370 * round));
        child.kill().unwrap();
        child.wait().unwrap();
        if place.file.exists() {
            let entries = whole(&place.file);
            midway += usize::from(entries > 0 && entries < MANY as i64);
        }
    }
    assert!(midway >= 6, "killed midway only {midway} times");
    let (code, _, err) = place.run(&arguments);
    assert_eq!(code, 0, "{err}");
    assert_eq!(whole(&place.file), MANY as i64);
}

/// The journal of a write that broke off is rolled back when the logbook is opened.
#[test]
fn a_journal_left_behind_is_rolled_back() {
    let place = Place::with(3);
    let journal = |place: &Place| place.folder.path().join("logbook.gpkg-journal");
    let sql = place.sql();
    // With a cache of a few pages the changes reach the file before they are committed.
    sql.execute_batch(
        "PRAGMA cache_size = 2; BEGIN IMMEDIATE; UPDATE sorties SET pilot = 'half'; \
                       UPDATE documents SET deflated = zeroblob(200000); DELETE FROM legs;",
    )
    .unwrap();
    let broken = Place::new();
    std::fs::copy(&place.file, &broken.file).unwrap();
    std::fs::copy(journal(&place), journal(&broken)).unwrap();
    sql.execute_batch("ROLLBACK").unwrap();
    drop(sql);
    assert_ne!(
        broken.bytes(),
        place.bytes(),
        "nothing had been written yet"
    );
    let logbook = Logbook::open_to_add(&broken.file).unwrap();
    let entries = logbook.records(&Filter::default()).unwrap();
    assert!(entries.len() == 3 && entries.iter().all(|entry| entry.pilot == "Ada Lind"));
    assert_eq!(whole(&broken.file), 3);
    assert_eq!(broken.bytes(), place.bytes());
}

#[test]
fn two_at_once_both_end_well() {
    let place = Place::new();
    for n in 1..=30 {
        place.put(&format!("d{n}"), &nth(n));
    }
    let folders = |from: usize, to: usize| -> Vec<String> {
        std::iter::once("add".to_owned())
            .chain((from..=to).map(|n| format!("d{n}")))
            .collect()
    };
    // Ten of the flights are given to both.
    let children: Vec<_> = [folders(1, 20), folders(11, 30)]
        .iter()
        .map(|arguments| {
            let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
            let mut command = place.command(&arguments);
            command
                .stdout(Stdio::piped())
                .stderr(Stdio::piped())
                .spawn()
                .unwrap()
        })
        .collect();
    let mut there = 0;
    for child in children {
        let (code, _, err) = ended(&child.wait_with_output().unwrap());
        assert_eq!(code, 0, "{err}");
        there += err.matches("there already").count();
    }
    assert_eq!(there, 10);
    assert_eq!(whole(&place.file), 30);
}

#[test]
fn one_that_does_not_let_go_is_told() {
    let place = Place::with(1);
    let other = place.sql();
    other.execute_batch("BEGIN EXCLUSIVE").unwrap();
    let before = place.bytes();
    let error = Logbook::open(&place.file)
        .and_then(|logbook| logbook.records(&Filter::default()))
        .unwrap_err();
    assert!(
        error.problem.contains("in use by another program"),
        "{error}"
    );
    other.execute_batch("ROLLBACK; BEGIN IMMEDIATE").unwrap();
    let mut logbook = Logbook::open_to_add(&place.file).unwrap();
    // It can still be read.
    assert_eq!(logbook.records(&Filter::default()).unwrap().len(), 1);
    let error = logbook
        .add(&document(&nth(2)), &record(2.0), by("Ada Lind"))
        .unwrap_err();
    assert!(
        error.problem.contains("in use by another program"),
        "{error}"
    );
    assert_eq!(place.bytes(), before);
}
