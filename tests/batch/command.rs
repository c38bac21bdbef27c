//! What the user sees, and that each sortie is what `debrief` makes of it.

use crate::field::{Field, log, name, rows, same, tasking};
use serde_json::Value;

#[test]
fn each_is_as_debriefed_alone() {
    let field = Field::empty();
    field.put("in/tasking.toml", &tasking("Wren 7"));
    field.put("in/a.gpx", &log(3));
    field.put("m.csv", "tasking,log\nin/tasking.toml,in/a.gpx\n");
    let run = field.batch(&["m.csv", "--also", "fixes"]);
    assert_eq!(run.code, 0, "{}", run.err);
    assert_eq!(
        run.out,
        "1 sortie: 1 debriefed, 0 kept as done before, 0 failed\nto fly again: 1 strip of 1 sortie\n"
    );
    let alone = field
        .program()
        .args(["debrief", "in/a.gpx", "--tasking", "in/tasking.toml"])
        .args(["--also", "fixes", "--out", "alone", "--quiet"])
        .status()
        .unwrap();
    assert!(alone.success());
    same(&field.tree("out/Wren 7"), &field.tree("alone/Wren 7"));
    assert_eq!(field.text("out/failed.csv").lines().count(), 1);
    // Quiet is quiet, and nothing is there to be seen of a bar where there is no terminal.
    assert!(
        !run.err.contains('#') && !run.err.contains('\r'),
        "{}",
        run.err
    );
    let run = field.batch(&["m.csv", "--also", "fixes", "--quiet", "--check"]);
    assert_eq!((run.code, run.out.as_str(), run.err.as_str()), (1, "", ""));
}

#[test]
fn names_without_tasking_and_in_several_files() {
    let field = Field::empty();
    field.put("tasking.toml", &tasking("Wren 1"));
    field.put("flight.gpx", &log(1));
    let whole = log(2);
    // The same flight in two files, cut between two points.
    let points: Vec<usize> = whole.match_indices("<trkpt").map(|(at, _)| at).collect();
    let (head, cut) = (&whole[..points[0]], points[points.len() / 2]);
    let end = &whole[whole.rfind("</trkpt>").unwrap() + "</trkpt>".len()..];
    field.put("first.gpx", &format!("{}{end}", &whole[..cut]));
    field.put("second.gpx", &format!("{head}{}", &whole[cut..]));
    field.put(
        "m.csv",
        "log;tasking;sortie;pilot\nflight.gpx;;;Bo Ek\nsecond.gpx | first.gpx;tasking.toml;Wren 2;=Cy\n;;;\n",
    );
    let run = field.batch(&["m.csv"]);
    assert_eq!(run.code, 0, "{}", run.err);
    assert_eq!(field.results("out"), ["Wren 2", "flight inferred"]);
    let read = |folder: &str| -> Value {
        serde_json::from_str(&field.text(&format!("out/{folder}/debrief.json"))).unwrap()
    };
    let inferred = read("flight inferred");
    assert_eq!(inferred["plan"]["inferred"], true);
    assert_eq!(inferred["pilot"], "Bo Ek");
    let joined = read("Wren 2");
    assert_eq!(joined["sortie"], "Wren 2");
    assert_eq!(joined["pilot"], "=Cy");
    assert_eq!(joined["log"]["points_read"], points.len());
    assert_eq!(joined["inputs"].as_array().unwrap().len(), 3);
    let rows = rows(&field.text("out/summary.csv"));
    assert_eq!(rows[0]["plan_inferred"], "true");
    assert_eq!(rows[0]["tasking"], "inferred.toml");
    assert_eq!(rows[1]["pilot"], "'=Cy");
    // What the name is, is also in the tasking of what is to be flown again and in that inferred.
    assert!(
        field
            .text("out/flight inferred/inferred.toml")
            .contains("flight inferred")
    );
    // Kept as done, though its plan has no file of its own.
    let run = field.batch(&["m.csv"]);
    assert!(run.out.contains("0 debriefed, 2 kept"), "{}", run.out);
}

#[test]
fn sorties_on_one_log_are_named() {
    let field = Field::with(3);
    field.put("log-3.gpx", &log(1));
    let run = field.batch(&["m.csv"]);
    assert_eq!(run.code, 0, "{}", run.err);
    assert!(
        run.err
            .contains("resting on the same track log: line 2, line 4\n"),
        "{}",
        run.err
    );
}

#[test]
fn a_season_goes_into_a_logbook() {
    let field = Field::with(3);
    assert_eq!(field.batch(&["m.csv"]).code, 0);
    let folders: Vec<String> = (1..=3).map(|n| format!("out/{}", name(n))).collect();
    let added = field
        .program()
        .args(["logbook", "add", "--quiet"])
        .args(folders)
        .status();
    assert!(added.unwrap().success());
    let list = field.program().args(["logbook", "list"]).output().unwrap();
    let list = String::from_utf8(list.stdout).unwrap();
    assert!(list.ends_with("3 entries\n"), "{list}");
}
