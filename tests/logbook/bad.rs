//! What is no logbook, or none that can be relied on, is refused and left as it is.

use crate::made::{Place, by, document, flown, moment, nth, record, text};
use overflown::debrief::seal;
use overflown::logbook::{Document, Filter, Logbook};
use rusqlite::Connection;
use std::path::Path;

/// Every command on the logbook is refused with these words, and the file stays byte for byte.
fn refused(place: &Place, problem: &str, hint: &str) {
    let before = place.bytes();
    place.put("d", flown());
    for arguments in [
        &["add", "d"][..],
        &["list"],
        &["show", "1"],
        &["remove", "1"],
        &["export", "--format", "csv"],
    ] {
        let (code, out, err) = place.run(arguments);
        assert_eq!((code, out.as_str()), (3, ""), "{arguments:?}: {err}");
        assert!(
            err.starts_with("error: logbook.gpkg: "),
            "{arguments:?}: {err}"
        );
        assert!(
            err.contains(problem) && err.contains(hint),
            "{arguments:?}: {err}"
        );
        assert_eq!(place.bytes(), before, "{arguments:?}");
    }
}

#[test]
fn files_that_are_no_logbook() {
    let place = Place::new();
    std::fs::write(&place.file, "This is a text, long enough to be taken for the header of a database, or so one may think. ".repeat(20)).unwrap();
    refused(&place, "is not an SQLite database", "--logbook");

    let place = Place::new();
    place
        .sql()
        .execute_batch("CREATE TABLE mine (a); INSERT INTO mine VALUES (1)")
        .unwrap();
    refused(&place, "an SQLite database, but no logbook", "--logbook");

    let place = Place::new();
    place
        .sql()
        .execute_batch("PRAGMA application_id = 1196444487; CREATE TABLE gpkg_contents (a)")
        .unwrap();
    refused(&place, "a GeoPackage, but no logbook", "--logbook");

    let place = Place::with(1);
    place
        .sql()
        .execute("UPDATE logbook_version SET version = 3000", [])
        .unwrap();
    refused(&place, "is of version 3000", "newer");

    let place = Place::with(1);
    place
        .sql()
        .execute("DELETE FROM logbook_version", [])
        .unwrap();
    refused(&place, "tells no version", "copy of the logbook");
}

#[test]
fn nothing_and_a_folder_are_no_logbook() {
    let place = Place::new();
    for arguments in [
        &["list"][..],
        &["show", "1"],
        &["remove", "1"],
        &["export", "--format", "json"],
    ] {
        let (code, _, err) = place.run(arguments);
        assert_eq!(code, 3, "{err}");
        assert!(err.contains("logbook.gpkg: cannot be opened"), "{err}");
        assert!(err.contains("`overflown logbook add` makes one"), "{err}");
        assert!(!place.file.exists(), "{arguments:?} made one");
    }
    std::fs::create_dir(&place.file).unwrap();
    place.put("d", flown());
    let (code, _, err) = place.run(&["add", "d"]);
    assert!(code == 3 && err.contains("it is no file"), "{err}");
}

/// An empty file, as some programs make before they ask for one to be written, becomes a logbook.
#[test]
fn an_empty_file_is_made_one() {
    let place = Place::new();
    std::fs::write(&place.file, "").unwrap();
    let (code, _, err) = place.run(&["list"]);
    assert!(code == 3 && err.contains("is empty"), "{err}");
    place.put("d", flown());
    let (code, _, err) = place.run(&["add", "d"]);
    assert_eq!(code, 0, "{err}");
}

/// With any one page overwritten, what is read is what was put in, or the logbook is refused; and it is refused as it is.
#[test]
fn damaged_pages_are_told_or_do_not_matter() {
    const PAGE: usize = 4096;
    let place = Place::with(3);
    let sound = place.bytes();
    let read = |file: &Path| {
        let logbook = Logbook::open(file)?;
        let entries = logbook.records(&Filter::default())?;
        let legs: Vec<_> = (1..=3)
            .map(|id| logbook.legs(id))
            .collect::<Result<_, _>>()?;
        let documents: Vec<_> = (1..=3)
            .map(|id| logbook.document(id))
            .collect::<Result<_, _>>()?;
        Ok::<_, overflown::input::InputError>((entries, legs, logbook.all_values()?, documents))
    };
    let whole = read(&place.file).unwrap();
    let (mut told, mut kept) = (0, 0);
    for page in 0..sound.len() / PAGE {
        for from in [0, 100] {
            let mut bytes = sound.clone();
            bytes[page * PAGE + from..(page + 1) * PAGE].fill(0xA5);
            std::fs::write(&place.file, &bytes).unwrap();
            match read(&place.file) {
                Ok(found) => assert_eq!(found, whole, "page {page}"),
                Err(error) => {
                    told += 1;
                    assert!(!error.hint.is_empty(), "{error}");
                }
            }
            assert_eq!(place.bytes(), bytes, "page {page} was written");
            let added = Logbook::open_to_add(&place.file).and_then(|mut logbook| {
                logbook.add(&document(&nth(4)), &record(4.0), by("Ada Lind"))
            });
            if added.is_err() {
                kept += 1;
                assert_eq!(
                    place.bytes(),
                    bytes,
                    "page {page} was written though refused"
                );
            }
        }
    }
    assert!(told > 10 && kept > 10, "told {told}, kept {kept}");
}

#[test]
fn a_file_that_breaks_off() {
    let place = Place::with(2);
    let sound = place.bytes();
    std::fs::write(&place.file, &sound[..sound.len() / 2]).unwrap();
    let logbook = Logbook::open(&place.file);
    let error = logbook.and_then(|logbook| logbook.document(2)).unwrap_err();
    assert!(error.problem.contains("damaged"), "{error}");
}

/// What another program wrote into the tables is checked like any other input.
#[test]
fn values_that_no_logbook_holds() {
    for (change, words) in [
        (
            "UPDATE sorties SET pilot = 'A' || char(8238) || 'B'",
            "pilot",
        ),
        (
            "UPDATE sorties SET sortie = 'A' || char(27) || '[2J'",
            "sortie",
        ),
        ("UPDATE sorties SET started = 'yesterday'", "started"),
        ("UPDATE sorties SET date = '2026-02-30'", "date"),
        ("UPDATE sorties SET pattern = 'spiral'", "pattern"),
        ("UPDATE sorties SET planned_legs = -1", "planned_legs"),
        ("UPDATE sorties SET record = x'ff00'", "record"),
        (
            "UPDATE measures SET value = 'many' WHERE measure = 'xte_rms_m'",
            "value",
        ),
        ("UPDATE legs SET state = char(10)", "state"),
        ("UPDATE documents SET deflated = zeroblob(9)", "debrief"),
        ("UPDATE documents SET bytes = 5", "debrief"),
        ("DELETE FROM documents", "debrief"),
    ] {
        let place = Place::with(1);
        place.sql().execute(change, []).unwrap();
        let logbook = Logbook::open(&place.file).unwrap();
        let read = logbook
            .records(&Filter::default())
            .map(drop)
            .and_then(|()| logbook.pilots().map(drop))
            .and_then(|()| logbook.legs(1).map(drop))
            .and_then(|()| logbook.all_values().map(drop))
            .and_then(|()| logbook.document(1).map(drop));
        let error = read.unwrap_err();
        assert!(error.problem.contains(words), "{change}: {error}");
        // It can be removed all the same.
        let mut logbook = Logbook::open_to_change(&place.file).unwrap();
        logbook.remove(&[1], moment()).unwrap();
    }
}

/// A trigger that another program planted is not given what it could do harm with.
#[test]
fn a_schema_made_to_do_harm() {
    let place = Place::with(1);
    place
        .sql()
        .execute_batch(
            "CREATE TRIGGER harm AFTER INSERT ON sorties BEGIN SELECT load_extension('/tmp/x.so'); END",
        )
        .unwrap();
    let before = place.bytes();
    let mut logbook = Logbook::open_to_add(&place.file).unwrap();
    logbook
        .add(&document(&nth(2)), &record(2.0), by("Ada Lind"))
        .unwrap_err();
    assert_eq!(place.bytes(), before);
}

#[test]
fn debriefs_that_cannot_be_added_make_no_logbook() {
    let place = Place::new();
    let good = text(flown());
    let unsealed = good.replace("\"Heron 3\"", "\"Heron 4\"");
    let older = good.replace("overflown-debrief/1", "overflown-debrief/0");
    let mut simulated = flown().clone();
    for input in &mut simulated.inputs {
        input.sha256.clear();
    }
    let mut value: serde_json::Value = serde_json::from_str(&good).unwrap();
    value.as_object_mut().unwrap().remove("sha256");
    value["pilot"] = " ".into();
    let unnamed = seal::sealed(&serde_json::to_string_pretty(&value).unwrap());
    value["pilot"] = "Ada".into();
    value["track"][0]["phase"] = "a\u{202e}b".into();
    let turned = seal::sealed(&serde_json::to_string_pretty(&value).unwrap());
    let bad = [
        ("[1, 2]".to_owned(), "not a debrief"),
        (unsealed, "was changed after it was written"),
        (older, "has the form \"overflown-debrief/0\""),
        (text(&simulated), "names no track log with its SHA-256"),
        (unnamed, "its `pilot` is not the name of a person"),
        (turned, "control characters"),
    ];
    for (content, problem) in &bad {
        std::fs::write(place.folder.path().join("bad.json"), content).unwrap();
        let (code, _, err) = place.run(&["add", "bad.json", "nowhere", "--pilot", "Ada Lind"]);
        assert_eq!(code, 3, "{err}");
        assert!(
            err.contains("bad.json") && err.contains(problem),
            "{problem}: {err}"
        );
        assert!(err.contains("nowhere: cannot be read"), "{err}");
        assert!(!place.file.exists(), "{problem}");
    }
    assert!(Document::parse(good, Path::new("d")).is_ok());
    // Beside a good one they are told, and the good one is in.
    place.put("good", flown());
    let (code, _, err) = place.run(&["add", "bad.json", "good"]);
    assert_eq!(code, 3, "{err}");
    assert!(err.contains("Heron 3, flown by Ada Lind: entry 1"), "{err}");
    assert_eq!(place.count("sorties"), 1);
}

/// A file and a folder that cannot be written. Where the tests run as the superuser, to whom no file is closed, the
/// command runs as another.
#[cfg(unix)]
#[test]
fn what_cannot_be_written() {
    use std::os::unix::fs::{MetadataExt, PermissionsExt};
    use std::os::unix::process::CommandExt;
    let place = Place::with(1);
    place.put("d", &nth(2));
    let mode = |path: &Path, mode| {
        std::fs::set_permissions(path, PermissionsExt::from_mode(mode)).unwrap()
    };
    let root = std::fs::metadata(place.folder.path()).unwrap().uid() == 0;
    let program = place.folder.path().join("overflown");
    std::fs::copy(env!("CARGO_BIN_EXE_overflown"), &program).unwrap();
    mode(&program, 0o755);
    mode(&place.file, 0o444);
    mode(place.folder.path(), 0o555);
    let run = |arguments: &[&str]| {
        let mut command = std::process::Command::new(&program);
        command
            .current_dir(place.folder.path())
            .arg("logbook")
            .args(arguments)
            .env("NO_COLOR", "1");
        if root {
            command.uid(65_534).gid(65_534);
        }
        crate::made::ended(&command.output().unwrap())
    };
    let before = place.bytes();
    let (code, out, err) = run(&["list"]);
    assert!(code == 0 && out.contains("Heron 1"), "{err}");
    for arguments in [
        &["add", "d"][..],
        &["remove", "1"],
        &["add", "d", "--logbook", "new.gpkg"],
    ] {
        let (code, _, err) = run(arguments);
        assert_eq!(code, 3, "{arguments:?}: {err}");
        assert!(
            err.contains("cannot be opened or written"),
            "{arguments:?}: {err}"
        );
        assert!(
            err.contains("a folder that can be written"),
            "{arguments:?}: {err}"
        );
    }
    assert_eq!(place.bytes(), before);
    mode(place.folder.path(), 0o755);
    assert!(!place.folder.path().join("new.gpkg").exists());
    assert_eq!(
        Connection::open(&place.file)
            .unwrap()
            .query_row("SELECT count(*) FROM sorties", [], |r| r.get::<_, i64>(0)),
        Ok(1)
    );
}
