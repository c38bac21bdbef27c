//! Bad input to `refly`: exit code 3 (2 where no sortie is named), a message that names file, place, problem
//! and what would do, and nothing written. What is let through says so.

use crate::refusals::refused;
use crate::support::{Folder, Run, TASKING};
use overflown::debrief::seal;
use serde_json::{Value, json};

/// The area of [`TASKING`]'s legs lies in it.
pub const GROUND: &str = "corners = [[47.05, 12.4], [47.05, 12.7], [47.25, 12.7], [47.25, 12.4]]\n";

/// With the debrief `done/Teal 4`.
pub fn debriefed() -> Folder {
    let folder = Folder::flown(&[]);
    let run = folder.debrief(&["--out", "done"]);
    assert_eq!(run.code, 0, "{}", run.err);
    folder
}

/// Adds the debrief of another flight: the tasking with these words changed, flown with these faults.
fn another(folder: &Folder, changes: &[(&str, &str)], faults: &[&str]) {
    let mut tasking = TASKING.to_owned();
    for (from, to) in changes {
        assert!(tasking.contains(from), "{from}");
        tasking = tasking.replace(from, to);
    }
    folder.put("other.toml", tasking);
    let rehearse = ["rehearse", "other.toml", "--out", "other.gpx"];
    let run = folder.run(&[&rehearse[..], faults].concat());
    assert_eq!(run.code, 0, "{}", run.err);
    let debrief = [
        "debrief",
        "other.gpx",
        "--tasking",
        "other.toml",
        "--out",
        "done",
    ];
    let run = folder.run(&debrief);
    assert_eq!(run.code, 0, "{}", run.err);
}

pub fn refly(folder: &Folder, arguments: &[&str]) -> Run {
    folder.run(&[&["refly"], arguments].concat())
}

#[test]
fn no_sortie_is_wrong_usage() {
    let folder = Folder::new();
    let run = refly(&folder, &[]);
    assert_eq!(run.code, 2, "{}", run.err);
    assert!(run.err.contains("no sortie is given"), "{}", run.err);
    assert!(
        run.err.contains("hint: name debrief folders"),
        "{}",
        run.err
    );
    assert!(folder.names("out").is_empty());
    // So are a POD and a time that are none.
    for (option, value) in [
        ("--target-pod", "80"),
        ("--target-pod", "0"),
        ("--target-pod", "1"),
        ("--flight-time", "90"),
        ("--flight-time", "0 min"),
    ] {
        let run = refly(&folder, &["done/Teal 4", option, value]);
        assert_eq!(run.code, 2, "{option} {value}: {}", run.err);
        assert!(run.err.contains(value), "{}", run.err);
    }
}

#[test]
fn paths_that_hold_no_sortie() {
    let folder = Folder::new();
    let path = |name: &str| folder.path().join(name);
    for name in ["empty", "two", "dir"] {
        std::fs::create_dir(path(name)).unwrap();
    }
    for name in ["two/a.gpx", "two/b.gpx", "two/tasking.toml"] {
        folder.put(name, "");
    }
    let run = refly(&folder, &["empty"]);
    let problem = "no debrief.json, and not the track logs of one flight and one tasking (0 track logs, 0 .toml)";
    refused(&folder, &run, "empty", None, problem, "--pair");
    let run = refly(&folder, &["two"]);
    refused(
        &folder,
        &run,
        "two",
        None,
        "(0 track logs, 1 .toml)",
        "--pair",
    );
    let run = refly(&folder, &["none"]);
    let hint = "name a folder that `overflown debrief` wrote";
    refused(&folder, &run, "none", None, "cannot be read", hint);
    let run = refly(&folder, &["--dir", "dir"]);
    let hint = "name the folder in which `overflown debrief` made";
    refused(&folder, &run, "dir", None, "no debrief folder", hint);
    let run = refly(&folder, &["--dir", "none"]);
    refused(&folder, &run, "none", None, "cannot be read", "name a");
    let run = refly(&folder, &["--pair", "none.gpx", "tasking.toml"]);
    refused(
        &folder,
        &run,
        "none.gpx",
        None,
        "there is no such file",
        "check the path",
    );
    let run = refly(&folder, &["--pair", "none.gpx", "none.toml"]);
    refused(&folder, &run, "none.toml", None, "cannot be read", "name a");
    // A sortie that is sound does not carry one that is not.
    let folder = debriefed();
    let run = refly(&folder, &["done/Teal 4", "none"]);
    refused(&folder, &run, "none", None, "cannot be read", "");
}

#[test]
fn a_debrief_that_is_none_or_of_another_form() {
    let folder = debriefed();
    std::fs::create_dir(folder.path().join("bad")).unwrap();
    let file = "bad/debrief.json";
    let bad = |content: &str, line: Option<usize>, problem: &str, hint: &str| {
        folder.put(file, content);
        // By its name and by its folder.
        for given in [file, "bad"] {
            let run = refly(&folder, &["done/Teal 4", given]);
            refused(&folder, &run, file, line, problem, hint);
        }
    };
    let hint = "name the debrief.json that `overflown debrief` wrote";
    bad("Dear all\n", Some(1), "not a debrief", hint);
    bad("", Some(1), "not a debrief", hint);
    bad("{\n \"schema\": 3\n}", Some(2), "not a debrief", hint);
    bad(
        "{\n \"date\": 3\n}",
        Some(3),
        "missing field `schema`",
        hint,
    );
    let text = folder.text("done/Teal 4/debrief.json");
    let half = &text[..text.len() / 2];
    let line = half.lines().count();
    bad(half, Some(line), "not a debrief: EOF", hint);
    let again = "debrief the log again";
    let other = text.replace("overflown-debrief/", "overflown-debrief/9");
    assert_ne!(other, text);
    bad(&other, None, "has the form \"overflown-debrief/9", again);
    let search = "{\"schema\": \"overflown-search/1\"}";
    bad(
        search,
        None,
        "has the form \"overflown-search/1\"; this version reads",
        again,
    );
    let seal = "its `sha256` does not fit";
    bad(
        &text.replacen("\"sweep_width_m\": 926.0", "\"sweep_width_m\": 926.5", 1),
        None,
        seal,
        again,
    );
    let unsealed = "{\"schema\": \"SCHEMA\"}".replace("SCHEMA", overflown::debrief::SCHEMA);
    bad(&unsealed, None, seal, again);
    let empty = "{\n  \"schema\": \"SCHEMA\"\n}".replace("SCHEMA", overflown::debrief::SCHEMA);
    bad(
        &seal::sealed(&empty),
        Some(4),
        "not a whole debrief: missing field",
        again,
    );
    folder.put(file, [0xffu8, 0xfe, 0, 1]);
    let run = refly(&folder, &["bad"]);
    let hint = "name a folder that `overflown debrief` wrote";
    refused(&folder, &run, file, None, "cannot be read", hint);
}

/// A debrief with one value changed and sealed anew: only a fault of a program writes one.
fn resealed(text: &str, pointer: &str, value: Value) -> String {
    let mut debrief: Value = serde_json::from_str(text).unwrap();
    debrief.as_object_mut().unwrap().remove("sha256").unwrap();
    let place = debrief
        .pointer_mut(pointer)
        .unwrap_or_else(|| panic!("{pointer}"));
    assert_ne!(*place, value, "{pointer}");
    *place = value;
    seal::sealed(&serde_json::to_string_pretty(&debrief).unwrap())
}

/// Debriefs of versions that knew no pilot are read as before.
#[test]
fn a_debrief_without_a_pilot_is_one() {
    let folder = debriefed();
    let text = folder.text("done/Teal 4/debrief.json");
    let mut older: Value = serde_json::from_str(&text).unwrap();
    for key in ["sha256", "pilot"] {
        older.as_object_mut().unwrap().remove(key).unwrap();
    }
    let sealed = seal::sealed(&serde_json::to_string_pretty(&older).unwrap());
    folder.put("debrief.json", sealed);
    let run = refly(&folder, &["debrief.json", "--out", "fine"]);
    assert_eq!(run.code, 0, "{}", run.err);
}

#[test]
fn a_debrief_out_of_range() {
    let folder = debriefed();
    let text = folder.text("done/Teal 4/debrief.json");
    // The value sealed anew is still a debrief as long as nothing is wrong with it.
    folder.put("debrief.json", resealed(&text, "/sortie", json!("Teal 5")));
    let run = refly(&folder, &["debrief.json", "--out", "fine"]);
    assert_eq!(run.code, 0, "{}", run.err);
    let earth = "no place on the earth";
    for (pointer, value, problem) in [
        ("/plan/area_corners/0/lat_deg", json!(91.0), earth),
        ("/plan/area_corners/2/lon_deg", json!(400.0), earth),
        ("/plan/legs/0/start/lat_deg", json!(-90.5), earth),
        ("/plan/legs/1/end/lon_deg", json!(-361.0), earth),
        ("/plan/area_corners", json!([]), "`plan.area_corners`"),
        ("/plan/spacing_m", json!(0.0), "`plan.spacing_m`"),
        (
            "/plan/ground_speed_mps",
            json!(-1.0),
            "`plan.ground_speed_mps`",
        ),
        (
            "/plan/legs/0/length_m",
            json!(-3.0),
            "a search leg of `plan`",
        ),
        ("/plan/legs", json!([]), "`legs`"),
        (
            "/area_time/to",
            json!("2026-06-13T00:00:00Z"),
            "`area_time`",
        ),
        ("/area_time/to", json!("noon"), "not a whole debrief"),
        ("/coverage/target_pod", json!(1.5), "`coverage.target_pod`"),
        ("/coverage/area_m2", json!(0.0), "`coverage.area_m2`"),
        ("/looks/law", json!("cubic"), "unknown variant `cubic`"),
        ("/looks/sweep_width_m", json!(0.0), "`looks.sweep_width_m`"),
        (
            "/looks/sweep_width_low_m",
            json!(1e4),
            "`looks.sweep_width_low_m`",
        ),
        (
            "/looks/sweep_width_high_m",
            json!(1.0),
            "`looks.sweep_width_high_m`",
        ),
        (
            "/looks/search_height_m",
            json!(-1.0),
            "`looks.search_height_m`",
        ),
        ("/looks/spacing_m", json!(-926.0), "`looks.spacing_m`"),
        ("/looks/blind_strip_m", json!(-1.0), "`looks.blind_strip_m`"),
        (
            "/looks/position_error_m",
            json!(-1.0),
            "`looks.position_error_m`",
        ),
        (
            "/looks/passages/0/to",
            json!("2026-06-13T00:00:00Z"),
            "a passage of `looks`",
        ),
        (
            "/looks/passages/0/lines/0/0",
            json!([91.0, 12.0]),
            "not on the earth",
        ),
        (
            "/looks/passages/0/lines/0/0",
            json!([47.0]),
            "not a whole debrief",
        ),
    ] {
        let changed = resealed(&text, pointer, value.clone());
        folder.put("debrief.json", &changed);
        let run = refly(&folder, &["debrief.json"]);
        // Faults of a single value have a line, those between values have none.
        let line = run.err.contains("debrief.json, line ").then(|| {
            let rest = run.err.split("line ").nth(1).unwrap();
            rest.split(':').next().unwrap().parse().unwrap()
        });
        let hint = "debrief the log again with this version";
        refused(&folder, &run, "debrief.json", line, problem, hint);
        if problem == earth {
            // The place ends a line or two after the value.
            let key = pointer.rsplit('/').next().unwrap();
            let written = format!("\"{key}\": {value}");
            let at = changed.lines().position(|l| l.contains(&written)).unwrap() + 1;
            let line = line.unwrap();
            assert!((at..at + 4).contains(&line), "{pointer}: {line} for {at}");
        }
    }
}

#[test]
fn the_same_flight_twice() {
    let folder = debriefed();
    let run = refly(&folder, &["done/Teal 4", "done/Teal 4"]);
    let problem = "sortie \"Teal 4\" of 2026-06-14 is given twice: its track log has the same content as that \
                   of done/Teal 4/debrief.json";
    let hint = "leave one of them out";
    let file = "done/Teal 4/debrief.json";
    refused(&folder, &run, file, None, problem, hint);
    // Under another name, debriefed on the way.
    folder.put("copy.gpx", folder.text("log.gpx"));
    let pair = ["--pair", "copy.gpx", "tasking.toml"];
    let run = refly(&folder, &[&["done/Teal 4"], &pair[..]].concat());
    refused(&folder, &run, "copy.gpx", None, "is given twice", hint);
    // And by a folder that holds it as well.
    let run = refly(&folder, &["done/Teal 4", "--dir", "done"]);
    refused(&folder, &run, file, None, "is given twice", hint);
}

#[test]
fn days_apart_are_one_search_only_if_one_says_so() {
    let folder = debriefed();
    let later = [("2026-06-14", "2026-06-22"), ("Teal 4", "Teal 5")];
    another(&folder, &later, &["--skip-leg", "2"]);
    let run = refly(&folder, &["--dir", "done"]);
    let problem = "the sorties span 8 days, from 2026-06-14 to 2026-06-22";
    let file = "done/Teal 5/debrief.json";
    refused(&folder, &run, file, None, problem, "--any-days");
    let run = refly(&folder, &["--dir", "done", "--any-days"]);
    assert_eq!(run.code, 0, "{}", run.err);
    let remark =
        "The sorties lie 8 days apart: their POD adds up only if the object has not moved.";
    let search = folder.json("out/search/search.json");
    let remarks = search["remarks"].as_array().unwrap();
    assert!(remarks.iter().any(|r| r == remark), "{remarks:?}");
    // A week is one search, with the remark.
    let folder = debriefed();
    let later = [("2026-06-14", "2026-06-21"), ("Teal 4", "Teal 5")];
    another(&folder, &later, &[]);
    let run = refly(&folder, &["--dir", "done"]);
    assert_eq!(run.code, 0, "{}", run.err);
    assert!(
        folder
            .text("out/search/search.json")
            .contains("7 days apart")
    );
}

#[test]
fn a_sortie_elsewhere() {
    // Under the inverse-cube law something is left everywhere; that is not looking.
    for law in ["inverse cube", "exponential", "definite range"] {
        let folder = debriefed();
        let law = format!("sweep_width = \"0.5 NM\"\nlaw = \"{law}\"");
        let there = [
            ("[47.1, 12.5]", "[48.3, 12.5]"),
            ("Teal 4", "Teal 5"),
            ("sweep_width = \"0.5 NM\"", &law),
        ];
        another(&folder, &there, &[]);
        folder.put(
            "search.toml",
            format!("search = \"North\"\n[[sub_areas]]\nname = \"A\"\n{GROUND}"),
        );
        let run = refly(&folder, &["--dir", "done", "--search", "search.toml"]);
        let problem = "sortie \"Teal 5\" looked at no part of the ground of this search";
        let file = "done/Teal 5/debrief.json";
        refused(&folder, &run, file, None, problem, "leave it out");
        // Without sub-areas its own area is ground of the search.
        let run = refly(&folder, &["--dir", "done"]);
        assert_eq!(run.code, 0, "{}", run.err);
    }
    // Unless that is too far off for one search.
    let folder = debriefed();
    let far = [("[47.1, 12.5]", "[53.3, 12.5]"), ("Teal 4", "Teal 5")];
    another(&folder, &far, &[]);
    let run = refly(&folder, &["--dir", "done"]);
    let file = "done/Teal 5/debrief.json";
    let problem = "the ground reaches 189 NM from its middle; at most 120 NM";
    refused(&folder, &run, file, None, problem, "take fewer sorties");
}

/// A result of something else in the way is not overwritten, nor is an earlier result by a refusal.
#[test]
fn a_refusal_leaves_earlier_results_alone() {
    let folder = debriefed();
    let run = refly(&folder, &["done/Teal 4", "--out", "kept"]);
    assert_eq!(run.code, 0, "{}", run.err);
    let before = folder.results("kept/search");
    assert!(!before.is_empty());
    let run = refly(&folder, &["done/Teal 4", "done/Teal 4", "--out", "kept"]);
    assert_eq!(run.code, 3, "{}", run.err);
    assert_eq!(folder.results("kept/search"), before);
    // A search called as the sortie would go where its debrief is.
    folder.put("search.toml", "search = \"Teal 4\"\n");
    let before = folder.results("done/Teal 4");
    let arguments = ["done/Teal 4", "--search", "search.toml", "--out", "done"];
    let run = refly(&folder, &arguments);
    assert_eq!(run.code, 3, "{}", run.err);
    assert!(run.err.contains("already there"), "{}", run.err);
    assert_eq!(folder.results("done/Teal 4"), before);
}
