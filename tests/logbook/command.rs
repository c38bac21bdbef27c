//! `overflown logbook` as the user sees it.

use crate::made::{Place, by, document, nth, record};
use overflown::logbook::{Logbook, Record};
use serde_json::Value;

#[test]
fn added_listed_shown_removed() {
    let place = Place::new();
    let mut nobody = nth(2);
    nobody.pilot = None;
    place.put("one", &nth(1));
    place.put("two", &nobody);
    let (code, _, err) = place.run(&["add", "one", "two"]);
    assert_eq!(code, 3);
    assert!(err.contains("Heron 1, flown by Ada Lind: entry 1"), "{err}");
    assert!(
        err.contains("does not say who flew") && err.contains("--pilot NAME"),
        "{err}"
    );
    let (code, _, err) = place.run(&["add", "two/debrief.json", "--pilot", " Bo Ek "]);
    assert_eq!(
        (code, err.as_str()),
        (0, "Heron 2, flown by Bo Ek: entry 2\n")
    );
    // Whatever its folder is called.
    place.put("other name", &nth(1));
    let (code, _, err) = place.run(&["add", "other name"]);
    assert_eq!(
        (code, err.as_str()),
        (0, "Heron 1, flown by Ada Lind: there already, as entry 1\n")
    );
    let (code, _, err) = place.run(&["add", "one", "--pilot", "Cy"]);
    assert!(
        code == 3 && err.contains("entry 1") && err.contains("--replace"),
        "{err}"
    );
    let (code, _, err) = place.run(&["add", "one", "--pilot", "Cy", "--replace"]);
    assert_eq!(
        (code, err.as_str()),
        (
            0,
            "Heron 1, flown by Cy: entry 1, in the place of the one before\n"
        )
    );
    assert_eq!(place.run(&["add", "one", "--pilot", "a\u{202e}b"]).0, 2);

    let (code, out, _) = place.run(&["list"]);
    assert!(
        code == 0 && out.contains("Heron 1") && out.ends_with("2 entries\n"),
        "{out}"
    );
    let (_, out, _) = place.run(&["list", "--pilot", "bo ek", "--json"]);
    let listed: Value = serde_json::from_str(&out).unwrap();
    assert_eq!(listed.as_array().unwrap().len(), 1);
    assert_eq!(
        (&listed[0]["number"], &listed[0]["pilot"]),
        (&2.into(), &"Bo Ek".into())
    );
    let (code, _, err) = place.run(&["list", "--pilot", "Bo Eck"]);
    assert!(code == 3 && err.contains("did you mean Bo Ek?"), "{err}");

    // Both were flown on the same day, over a parallel sweep.
    for (filter, wanted) in [
        (&["--since", "2026-05-20"][..], 2),
        (&["--since", "2026-05-21"], 0),
        (&["--until", "2026-05-19"], 0),
        (&["--until", "2026-05-20", "--pattern", "parallel-sweep"], 2),
        (&["--pattern", "sector", "--pilot", "Cy"], 0),
        (&["--pattern", "parallel-sweep", "--pilot", "Cy"], 1),
    ] {
        let (code, out, err) = place.run(&[&["list", "--json"][..], filter].concat());
        assert_eq!(code, 0, "{filter:?}: {err}");
        let listed: Value = serde_json::from_str(&out).unwrap();
        assert_eq!(listed.as_array().unwrap().len(), wanted, "{filter:?}");
    }
    let (code, _, err) = place.run(&["list", "--pattern", "spiral"]);
    assert!(code == 2 && err.contains("parallel-sweep"), "{err}");

    let (code, out, _) = place.run(&["show", "Heron 2"]);
    assert!(
        code == 0 && out.starts_with("Entry 2: Heron 2, 2026-05-20, flown by Bo Ek\n"),
        "{out}"
    );
    assert!(out.contains("not flown"), "{out}");
    let (_, out, _) = place.run(&["show", "1", "--json"]);
    let shown: Value = serde_json::from_str(&out).unwrap();
    assert_eq!(shown["legs"][2]["state"], "not-flown");
    assert_eq!(shown["legs"][2]["xte_mean_m"], Value::Null);
    let (code, _, err) = place.run(&["show", "7"]);
    assert!(code == 3 && err.contains("has no entry 7"), "{err}");

    assert_eq!(place.run(&["remove", "1"]).0, 0);
    let (code, _, err) = place.run(&["remove", "1", "2"]);
    assert!(code == 3 && err.contains("has no entry 1"), "{err}");
    assert_eq!(place.count("sorties"), 1);
}

#[test]
fn a_name_of_several_is_asked_about() {
    let place = Place::with(1);
    let mut second = nth(2);
    second.sortie = "Heron 1".to_owned();
    let mut logbook = Logbook::open_to_add(&place.file).unwrap();
    logbook
        .add(&document(&second), &record(1.0), by("Bo Ek"))
        .unwrap();
    let (code, _, err) = place.run(&["show", "Heron 1"]);
    assert!(
        code == 3 && err.contains("1, 2") && err.contains("number"),
        "{err}"
    );
}

#[test]
fn the_export_is_a_table_and_no_formula() {
    let place = Place::with(2);
    let mut logbook = Logbook::open_to_add(&place.file).unwrap();
    let mut evil = nth(3);
    evil.sortie = "+1+1".to_owned();
    let measured = Record {
        values: vec![("bias_m", Some(-12.5)), ("xte_rms_m", None)],
        ..record(0.0)
    };
    logbook
        .add(&document(&evil), &measured, by("=cmd(\"x\"), y"))
        .unwrap();
    let (code, out, _) = place.run(&["export", "--format", "csv"]);
    assert_eq!(code, 0);
    let mut rows = csv::Reader::from_reader(out.as_bytes());
    let headers: Vec<String> = rows.headers().unwrap().iter().map(str::to_owned).collect();
    assert_eq!(headers[8..], ["bias_m", "xte_rms_m"]);
    let rows: Vec<csv::StringRecord> = rows.records().map(Result::unwrap).collect();
    assert_eq!(rows.len(), 3);
    assert_eq!(
        (&rows[1][0], &rows[1][1], &rows[1][8], &rows[1][9]),
        ("2", "Heron 2", "", "2")
    );
    assert_eq!((&rows[2][1], &rows[2][2]), ("'+1+1", "'=cmd(\"x\"), y"));
    assert_eq!((&rows[2][8], &rows[2][9]), ("-12.5", ""));
    assert_eq!(out.matches("\r\n").count(), 4);

    let (code, _, err) = place.run(&["export", "--format", "json", "--out", "all.json"]);
    assert_eq!(code, 0, "{err}");
    let all = std::fs::read(place.folder.path().join("all.json")).unwrap();
    let all: Value = serde_json::from_slice(&all).unwrap();
    assert_eq!(all[1]["measures"]["xte_rms_m"], 2.0);
    assert_eq!(all[2]["measures"]["xte_rms_m"], Value::Null);
    assert_eq!(all[2]["measures"]["bias_m"], -12.5);
    let again = place.run(&["export", "--format", "csv", "--out", "all.json"]);
    assert!(
        again.0 == 3 && again.2.contains("already there"),
        "{}",
        again.2
    );
    assert_eq!(
        place
            .run(&[
                "export",
                "--format",
                "csv",
                "--out",
                "all.json",
                "--overwrite"
            ])
            .0,
        0
    );
}

#[test]
fn parquet_holds_the_table() {
    use parquet::file::reader::{FileReader, SerializedFileReader};
    use parquet::record::RowAccessor;
    let place = Place::with(2);
    let (code, csv, err) = place.run(&["export", "--format", "csv"]);
    assert_eq!(code, 0, "{err}");
    let (code, _, err) = place.run(&["export", "--format", "parquet", "--out", "all.parquet"]);
    assert_eq!(code, 0, "{err}");
    let file = std::fs::File::open(place.folder.path().join("all.parquet")).unwrap();
    let reader = SerializedFileReader::new(file).unwrap();
    let schema = reader.metadata().file_metadata().schema().get_fields();
    let names: Vec<&str> = schema.iter().map(|field| field.name()).collect();
    assert_eq!(names.join(","), csv.lines().next().unwrap());
    let rows: Vec<_> = reader.get_row_iter(None).unwrap().collect();
    assert_eq!(rows.len(), 2);
    for (n, row) in (1..).zip(rows) {
        let row = row.unwrap();
        assert_eq!(row.get_long(0).unwrap(), n);
        assert_eq!(row.get_string(1).unwrap(), &format!("Heron {n}"));
        let xte = names.iter().position(|name| name.starts_with("xte_rms_m"));
        assert_eq!(row.get_double(xte.unwrap()).unwrap(), n as f64);
    }
}
