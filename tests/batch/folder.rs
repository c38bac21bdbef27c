//! Pairs found in a folder.

use crate::field::{Field, log, rows, tasking};
use std::path::Path;

#[test]
fn pairs_are_found_and_the_rest_is_named() {
    let field = Field::empty();
    let pairs = [
        ("in/heron-2.gpx", "in/heron-2.toml", "Heron 2"),
        ("in/b/tasking.toml", "in/b/20260614.GPX", "Heron 3"),
        ("in/c/track.gpx", "in/c/tasking.toml", "Heron 4"),
        ("in/c/deep/x.gpx.gz", "in/c/deep/x.toml", "Heron 5"),
    ];
    for (a, b, name) in pairs {
        let (toml, gpx) = if a.ends_with("toml") { (a, b) } else { (b, a) };
        field.put(toml, &tasking(name));
        field.put(gpx, &log(1));
    }
    // Told by its content, whatever its ending says: this one is not compressed.
    for alone in [
        "in/c/other.gpx",
        "in/c/other.toml-not",
        "in/two.gpx",
        "in/two.igc",
        "in/two.toml",
        "in/heron-9.toml",
        "in/heron-8.gpx",
        "in/.hidden/h.gpx",
        "in/.hidden/h.toml",
        "in/readme.txt",
    ] {
        field.put(alone, "");
    }
    // Results of an earlier run hold a re-fly as a tasking and as a route.
    for result in ["refly.toml", "refly.gpx", "debrief.json"] {
        field.put(&format!("in/results/Heron 1/{result}"), "");
    }
    let run = field.batch(&["in", "--out", "in/out"]);
    assert_eq!(run.code, 0, "{}", run.err);
    let unpaired = "in no pair of log and tasking: in/c/other.gpx, in/heron-8.gpx, in/heron-9.toml, in/two.gpx, \
                    in/two.igc, in/two.toml\n";
    assert!(run.err.contains(unpaired), "{}", run.err);
    let order: Vec<String> = rows(&field.text("in/out/summary.csv"))
        .into_iter()
        .map(|row| row["sortie"].clone())
        .collect();
    assert_eq!(order, ["Heron 2", "Heron 3", "Heron 4", "Heron 5"]);
    let run = field.batch(&["in", "--out", "in/out"]);
    assert!(run.out.contains("0 debriefed, 4 kept"), "{}", run.out);
}

#[test]
fn the_sample_logs_are_such_a_folder() {
    let field = Field::empty();
    let samples = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-logs");
    let run = field.batch(&[samples.to_str().unwrap(), "--check"]);
    assert_eq!(run.code, 1, "{}", run.err);
    assert!(
        run.out.starts_with("11 sorties: 11 debriefed"),
        "{}",
        run.out
    );
    for left in ["route/pattern.toml", "route/route.gpx", "three-cells.toml"] {
        assert!(run.err.contains(left), "{}", run.err);
    }
    let rows = rows(&field.text("out/summary.csv"));
    // As the README of the sample logs has them.
    let faults = rows.iter().find(|row| row["sortie"] == "Heron 2").unwrap();
    let of = |column: &str| faults[column].as_str();
    assert_eq!((of("strips"), of("strips_to_refly")), ("10", "3"));
    assert_eq!((of("legs_planned"), of("legs_not_flown")), ("10", "1"));
    assert_eq!(of("straying_s"), "90");
    assert_eq!(of("holes_not_recorded"), "1");
}

#[test]
fn two_of_one_name_and_none_at_all() {
    let field = Field::empty();
    std::fs::create_dir(field.path("in")).unwrap();
    let run = field.batch(&["in"]);
    assert!(
        run.code == 3 && run.err.contains("holds no pair"),
        "{}",
        run.err
    );
    for stem in ["a", "b"] {
        field.put(&format!("in/{stem}.gpx"), &log(1));
        field.put(&format!("in/{stem}.toml"), &tasking("Wren 1"));
    }
    let run = field.batch(&["in"]);
    assert_eq!(run.code, 3);
    for part in ["in/b.toml", "called \"Wren 1\"", "so is that of in/a.toml"] {
        assert!(run.err.contains(part), "{}", run.err);
    }
    assert!(!field.path("out").exists());
}
