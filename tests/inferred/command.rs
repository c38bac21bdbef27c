//! `overflown debrief` without a tasking.

use crate::flown::{fly, text};
use crate::recovered::SWEEP;
use crate::wanderings::cross_country;
use assert_cmd::Command;
use overflown::simulate::Fault;
use overflown::track::Fix;
use overflown::{plan, tasking};
use std::fmt::Write as _;
use std::path::Path;

fn write_csv(path: &Path, fixes: &[Fix]) {
    let mut csv = "time,lat,lon,height_m\n".to_owned();
    for fix in fixes {
        let height = fix
            .height
            .get()
            .map_or(String::new(), |height| format!("{:.1}", height.m()));
        let (lat, lon) = (fix.position.lat(), fix.position.lon());
        writeln!(csv, "{},{lat:.7},{lon:.7},{height}", fix.time.to_rfc3339()).unwrap();
    }
    std::fs::write(path, csv).unwrap();
}

/// What a run in a folder prints and writes; its exit code.
fn run(folder: &Path, args: &[&str]) -> (i32, String, String) {
    let output = Command::cargo_bin("overflown")
        .unwrap()
        .current_dir(folder)
        .args(args)
        .output()
        .unwrap();
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    (
        output.status.code().unwrap(),
        text(&output.stdout),
        text(&output.stderr),
    )
}

fn read(path: &Path) -> String {
    std::fs::read_to_string(path).unwrap()
}

#[test]
fn a_log_alone_is_debriefed() {
    let folder = tempfile::tempdir().unwrap();
    let (_, fixes) = fly(&text(SWEEP), vec![Fault::SkipLeg(4)], 5);
    write_csv(&folder.path().join("flight 7.csv"), &fixes);
    let (code, out, err) = run(folder.path(), &["debrief", "flight 7.csv"]);
    assert_eq!(code, 0, "{err}");
    assert!(out.contains("inferred from the flight itself"), "{out}");
    let result = folder.path().join("out/flight 7 inferred");
    // The page and the text say it before any figure.
    for (name, figure) in [
        ("report.txt", "POD over the area"),
        ("report.html", "Ground at target"),
    ] {
        let report = read(&result.join(name)).replace('\n', " ");
        let said = report.find("inferred from the flight itself").unwrap();
        assert!(said < report.find(figure).unwrap(), "{name}");
        assert!(report.contains("sweep width is an assumption"), "{name}");
        assert!(
            report.contains("No straight run lies on leg 4: it is"),
            "{name}"
        );
    }
    let json: serde_json::Value =
        serde_json::from_str(&read(&result.join("debrief.json"))).unwrap();
    assert_eq!(json["plan"]["inferred"], true);
    assert_eq!(json["inference"]["pattern"], "parallel-sweep");
    assert_eq!(json["inference"]["legs"], 10);
    assert_eq!(json["inference"]["not_flown"], serde_json::json!([4]));
    let not_flown: Vec<_> = json["legs"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|leg| leg["state"] == "not-flown")
        .map(|leg| leg["leg"].clone())
        .collect();
    assert_eq!(not_flown, ["4"], "{}", json["legs"]);

    // The tasking written is the one debriefed against, and can be used again.
    let file = result.join("inferred.toml");
    let written = read(&file);
    assert!(
        written.contains("inferred = true") && written.contains("± "),
        "{written}"
    );
    assert!(written.contains("sweep_width_assumed = true"), "{written}");
    let again = tasking::parse(&written, &file).unwrap();
    assert_eq!(
        plan::lay_out(&again, &file).unwrap().search_legs().count(),
        10
    );
    let file = file.to_string_lossy().into_owned();
    let args = [
        "debrief",
        "flight 7.csv",
        "--tasking",
        &file,
        "--out",
        "again",
    ];
    let (code, out, err) = run(folder.path(), &args);
    assert_eq!(code, 0, "{err}");
    assert!(out.contains("inferred from the flight itself"), "{out}");
    let second = read(&folder.path().join("again/flight 7 inferred/debrief.json"));
    let second: serde_json::Value = serde_json::from_str(&second).unwrap();
    for key in ["legs", "passes", "tracking"] {
        assert_eq!(second[key], json[key], "{key}");
    }
    // Once it is checked and says so no more, nothing is said of it.
    let checked = written.replace("inferred = true\n", "");
    let checked = checked.replace("sweep_width_assumed = true\n", "");
    std::fs::write(folder.path().join("checked.toml"), checked).unwrap();
    let args = [
        "debrief",
        "flight 7.csv",
        "--tasking",
        "checked.toml",
        "--out",
        "third",
    ];
    let (code, out, err) = run(folder.path(), &args);
    assert_eq!(code, 0, "{err}");
    assert!(!out.contains("inferred from the flight"), "{out}");
    assert!(!out.contains("assumption"), "{out}");
}

#[test]
fn a_sweep_width_that_is_known_is_taken() {
    let folder = tempfile::tempdir().unwrap();
    let (_, fixes) = fly(&text(SWEEP), vec![], 2);
    write_csv(&folder.path().join("a.csv"), &fixes);
    let (code, out, err) = run(
        folder.path(),
        &["debrief", "a.csv", "--sweep-width", "0.3 NM"],
    );
    assert_eq!(code, 0, "{err}");
    assert!(!out.contains("assumption"), "{out}");
    assert!(out.contains("W 0.30 NM on 0.50 NM spacing"), "{out}");
    for (width, says) in [("0.3", "unit"), ("0 NM", "more than zero")] {
        let (code, _, err) = run(folder.path(), &["debrief", "a.csv", "--sweep-width", width]);
        assert_eq!(code, 2, "{err}");
        assert!(err.contains(says), "{err}");
    }
    let args = [
        "debrief",
        "a.csv",
        "--sweep-width",
        "1 NM",
        "--tasking",
        "t.toml",
    ];
    assert_eq!(run(folder.path(), &args).0, 2);
}

#[test]
fn a_flight_without_pattern_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    write_csv(&folder.path().join("tour.csv"), &cross_country(4));
    let (code, out, err) = run(folder.path(), &["debrief", "tour.csv"]);
    assert_eq!(code, 3, "{out}{err}");
    assert!(
        err.contains("tour.csv") && err.contains("no search pattern is recognised"),
        "{err}"
    );
    assert!(
        err.contains("straight run") && err.contains("--tasking"),
        "{err}"
    );
    assert!(!folder.path().join("out").exists());
}
