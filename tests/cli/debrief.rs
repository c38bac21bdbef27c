//! `debrief` on logs that can be used.

use crate::support::{FILES, Folder, TASKING};
use serde_json::Value;

#[test]
fn a_clean_flight_ends_with_0_and_all_files() {
    let folder = Folder::flown(&[]);
    let run = folder.debrief(&["--check"]);
    assert_eq!(run.code, 0, "{}", run.err);
    assert_eq!(folder.names("out"), ["Teal 4"]);
    assert_eq!(folder.names("out/Teal 4"), FILES);
    assert_eq!(run.out, folder.text("out/Teal 4/report.txt"));
    for name in FILES {
        assert!(run.err.contains(name), "{}", run.err);
    }
    assert_eq!(run.err.lines().count(), 1);
    // A sum of nothing is 0, not -0.
    for name in ["debrief.json", "legs.csv", "strips.geojson", "report.txt"] {
        let text = folder.text(&format!("out/Teal 4/{name}"));
        let negative_zero = text
            .split(|c: char| !(c.is_ascii_digit() || c == '-' || c == '.'))
            .find(|word| word.starts_with('-') && word.len() > 1 && word.parse() == Ok(0.0));
        assert_eq!(negative_zero, None, "in {name}");
    }
}

#[test]
fn holes_end_with_1_only_when_checked() {
    let folder = Folder::flown(&["--skip-leg", "3"]);
    assert_eq!(folder.debrief(&[]).code, 0);
    let run = folder.debrief(&["--check"]);
    assert_eq!(run.code, 1, "{}", run.err);
    assert!(
        run.out.contains("1 of 5 strips needs a re-fly"),
        "{}",
        run.out
    );
}

#[test]
fn json_goes_to_standard_output() {
    let folder = Folder::flown(&["--skip-leg", "3"]);
    let run = folder.debrief(&["--json", "--quiet", "--out", "results"]);
    assert_eq!((run.code, run.err.as_str()), (0, ""));
    let printed: Value = serde_json::from_str(&run.out).unwrap();
    assert_eq!(printed, folder.json("results/Teal 4/debrief.json"));
    assert_eq!(printed["schema"], "overflown-debrief/1");
    assert_eq!(printed["legs"][2]["state"], "not-flown");
}

/// Who flew stands in the head of the reports; where the tasking names nobody, nothing is said.
#[test]
fn the_pilot_stands_in_the_head() {
    let folder = Folder::flown(&[]);
    folder.debrief(&["--out", "nobody"]);
    assert!(folder.json("nobody/Teal 4/debrief.json")["pilot"].is_null());
    folder.put(
        "tasking.toml",
        format!("pilot = \" Ada <O'Neill> \"\n{TASKING}"),
    );
    let run = folder.debrief(&["--out", "named"]);
    assert_eq!(run.code, 0, "{}", run.err);
    assert_eq!(
        folder.json("named/Teal 4/debrief.json")["pilot"],
        "Ada <O'Neill>"
    );
    for (file, words) in [
        (
            "report.txt",
            "Debrief of Teal 4, 2026-06-14, flown by Ada <O'Neill>",
        ),
        ("report.html", "2026-06-14 · flown by Ada &lt;O'Neill&gt;"),
    ] {
        assert!(
            folder.text(&format!("named/Teal 4/{file}")).contains(words),
            "{file}"
        );
        let nobody = folder.text(&format!("nobody/Teal 4/{file}"));
        assert!(!nobody.contains("flown by"), "{file}");
    }
}

#[test]
fn quiet_says_nothing_and_writes_all() {
    let folder = Folder::flown(&[]);
    let run = folder.debrief(&["--quiet"]);
    assert_eq!((run.code, run.out.as_str(), run.err.as_str()), (0, "", ""));
    assert_eq!(folder.names("out/Teal 4"), FILES);
}

/// Colour is for terminals; a test has none, so that it must be asked for to be seen at all.
#[test]
fn no_colour_where_none_is_wanted() {
    let folder = Folder::flown(&[]);
    let arguments = ["debrief", "log.gpx", "--tasking", "tasking.toml"];
    let wrong = ["debrief", "log.gpx", "--tasking", "missing.toml"];
    let forced = ("CLICOLOR_FORCE", "1");
    for (variables, coloured) in [
        (vec![], false),
        (vec![("NO_COLOR", "1")], false),
        (vec![forced, ("NO_COLOR", "1")], false),
        (vec![forced], true),
    ] {
        let run = folder.run_with(&arguments, &variables);
        assert_eq!(run.out.contains('\x1b'), coloured, "{variables:?}");
        let run = folder.run_with(&wrong, &variables);
        assert_eq!(run.err.contains('\x1b'), coloured, "{variables:?}");
    }
    assert!(!folder.text("out/Teal 4/report.txt").contains('\x1b'));
}

#[test]
fn same_input_same_bytes_on_any_number_of_threads() {
    let folder = Folder::flown(&[
        "--skip-leg",
        "3",
        "--dropout",
        "2:1NM:60s",
        "--wind",
        "310 T at 9 kt",
    ]);
    let mut runs = Vec::new();
    for (name, threads) in [("a", None), ("b", None), ("c", Some("1")), ("d", Some("2"))] {
        let variables: Vec<_> = threads
            .map(|n| ("RAYON_NUM_THREADS", n))
            .into_iter()
            .collect();
        let arguments = [
            "debrief",
            "log.gpx",
            "--tasking",
            "tasking.toml",
            "--out",
            name,
        ];
        let run = folder.run_with(&arguments, &variables);
        assert_eq!(run.code, 0, "{}", run.err);
        runs.push((run.out, folder.results(&format!("{name}/Teal 4"))));
    }
    for (out, results) in &runs[1..] {
        assert_eq!(*out, runs[0].0);
        // With those of the re-fly.
        assert_eq!(results.len(), FILES.len() + 3);
        for (name, bytes) in results {
            assert!(*bytes == runs[0].1[name], "{name} differs");
        }
    }
}

/// A second run over the same folder replaces the first.
#[test]
fn an_earlier_result_is_replaced() {
    let folder = Folder::flown(&["--skip-leg", "3"]);
    assert_eq!(folder.debrief(&[]).code, 0);
    let first = folder.results("out/Teal 4");
    folder.rehearse("log.gpx", &[]);
    assert_eq!(folder.debrief(&[]).code, 0);
    let second = folder.results("out/Teal 4");
    assert_eq!(folder.names("out"), ["Teal 4"]);
    assert!(first["debrief.json"] != second["debrief.json"]);
}

#[test]
fn a_log_that_breaks_off_can_be_salvaged() {
    let folder = Folder::flown(&[]);
    let log = folder.text("log.gpx");
    folder.put("log.gpx", &log[..log.len() * 6 / 10]);
    assert_eq!(folder.debrief(&[]).code, 3);
    let run = folder.debrief(&["--salvage", "--check"]);
    assert_eq!(run.code, 1, "{}", run.err);
    let debrief = folder.json("out/Teal 4/debrief.json");
    let state = |leg: usize| debrief["legs"][leg]["state"].as_str().unwrap().to_owned();
    assert_eq!(
        (state(0).as_str(), state(4).as_str()),
        ("flown", "not-recorded")
    );
    let counts = debrief["log"]["ledger_counts"].as_array().unwrap();
    assert_eq!(counts.len(), 1, "{counts:?}");
}

/// A point that cannot be used costs only itself, unless that is not wanted.
#[test]
fn a_bad_point_is_entered_or_refused() {
    let folder = Folder::flown(&[]);
    let log = folder.text("log.gpx");
    let at = log[log.len() / 2..].find("<trkpt lat=\"").unwrap() + log.len() / 2 + 12;
    let line = log[..at].lines().count();
    folder.put("log.gpx", format!("{}9{}", &log[..at], &log[at..]));
    let run = folder.debrief(&[]);
    assert_eq!(run.code, 0, "{}", run.err);
    assert!(
        run.out.contains(&format!("first on line {line}")),
        "{}",
        run.out
    );
    let run = folder.debrief(&["--strict", "--out", "strict"]);
    assert_eq!(run.code, 3);
    assert!(
        run.err.contains(&format!("log.gpx, line {line}: ")),
        "{}",
        run.err
    );
    assert!(folder.names("strict").is_empty());
}

/// Across the antimeridian and far in the north: the same legs come out as flown.
#[test]
fn anywhere_on_earth() {
    let folder = Folder::new();
    for start in ["[-17.0, 179.97]", "[78.5, -179.9]", "[-0.03, -0.02]"] {
        let tasking = TASKING
            .replace("[47.1, 12.5]", start)
            .replace("base = [47.05, 12.4]\n", "");
        folder.put("tasking.toml", tasking);
        folder.rehearse("log.gpx", &["--skip-leg", "2"]);
        let run = folder.debrief(&["--check"]);
        assert_eq!(run.code, 1, "{start}: {}", run.err);
        let debrief = folder.json("out/Teal 4/debrief.json");
        let states: Vec<&str> = debrief["legs"]
            .as_array()
            .unwrap()
            .iter()
            .map(|leg| leg["state"].as_str().unwrap())
            .collect();
        assert_eq!(
            states,
            ["flown", "not-flown", "flown", "flown", "flown"],
            "{start}"
        );
        assert_eq!(debrief["strips"][1]["holes"].as_array().unwrap().len(), 1);
    }
}
