//! Taskings that cannot be read, laid out or flown.

use crate::refusals::{folder_for_taskings, refused, tasking_refused, with_area};
use crate::support::{Folder, TASKING};

/// What only the debrief can refuse of a tasking still names it as it was given.
#[test]
fn taskings_that_cannot_be_debriefed() {
    let folder = Folder::flown(&[]);
    std::fs::create_dir(folder.path().join("in")).unwrap();
    let refused_with = |tasking: &str, problem: &str, hint: &str| {
        folder.put("in/other.toml", tasking);
        let run = folder.run(&["debrief", "log.gpx", "--tasking", "in/other.toml"]);
        refused(&folder, &run, "in/other.toml", None, problem, hint);
    };
    refused_with(
        &with_area("south = 46.5\nnorth = 48.0\nwest = 11.5\neast = 13.5")
            .replace("spacing = \"0.5 NM\"", "spacing = \"12 m\""),
        "million cells",
        "a wider `spacing`",
    );
    refused_with(
        "sortie = \"Teal 4\"\ndate = 2026-06-14\n[pattern]\nkind = \"sector\"\n\
         datum = [47.1, 12.5]\nfirst_course = \"040 T\"\nturn = \"right\"\nradius = \"5 NM\"\n\
         [flight]\nground_speed = \"90 kt\"\n\
         [detection]\nsweep_width = \"1 NM\"\nscanners = \"left\"\n",
        "no target POD can be worked out for this pattern",
        "`target_pod`",
    );
}

#[test]
fn taskings_with_a_wrong_key_or_value() {
    let folder = folder_for_taskings();
    // Each line of the tasking above replaced, and the line at which that is told.
    for (from, to, line, problem, hint) in [
        (
            "spacing = \"0.5 NM\"\n",
            "",
            4,
            "missing key `spacing` in [pattern]",
            "spacing = \"0.5 NM\"",
        ),
        (
            "spacing =",
            "spaceing =",
            9,
            "unknown key \"spaceing\" in [pattern]",
            "did you mean `spacing`",
        ),
        (
            "spacing = \"0.5 NM\"",
            "spacing = \"0 NM\"",
            9,
            "more than zero",
            "`spacing`",
        ),
        (
            "spacing = \"0.5 NM\"",
            "spacing = \"-0.5 NM\"",
            9,
            "more than zero",
            "`spacing`",
        ),
        (
            "spacing = \"0.5 NM\"",
            "spacing = \"0.5\"",
            9,
            "has no unit",
            "such as \"0.5 NM\"",
        ),
        (
            "spacing = \"0.5 NM\"",
            "spacing = 0.5",
            9,
            "has no unit",
            "such as \"0.5 NM\"",
        ),
        (
            "spacing = \"0.5 NM\"",
            "spacing = \"half a mile\"",
            9,
            "does not begin with a number",
            "NM",
        ),
        ("020 M", "400 M", 7, "0 to 360 degrees", "092 T"),
        ("020 M", "020", 7, "true or magnetic", "092 T"),
        (
            "\"parallel sweep\"",
            "\"spiral\"",
            5,
            "cannot be \"spiral\"",
            "`parallel sweep`",
        ),
        (
            "\"parallel sweep\"",
            "\"paralel sweep\"",
            5,
            "cannot be",
            "did you mean `parallel sweep`",
        ),
        (
            "\"right\"",
            "\"rigth\"",
            8,
            "cannot be",
            "did you mean `right`",
        ),
        (
            "legs = 5",
            "legs = 0",
            11,
            "cannot be",
            "whole number from 1 up",
        ),
        (
            "legs = 5",
            "legs = -5",
            11,
            "cannot be",
            "whole number from 1 up",
        ),
        (
            "legs = 5",
            "legs = 5.5",
            11,
            "cannot be",
            "whole number from 1 up",
        ),
        ("legs = 5", "legs = 999999999", 11, "at most 2000", "`legs`"),
        (
            "[47.1, 12.5]",
            "[91.0, 12.5]",
            6,
            "not a place on the earth",
            "latitude runs from -90 to 90",
        ),
        (
            "[47.1, 12.5]",
            "[nan, 12.5]",
            6,
            "cannot be",
            "[latitude, longitude]",
        ),
        (
            "[47.1, 12.5]",
            "\"47 N\"",
            6,
            "no E or W",
            "[latitude, longitude]",
        ),
        (
            "[47.1, 12.5]",
            "\"47 61 N 012 30 E\"",
            6,
            "61 minutes are not below 60",
            "47 07.5 N 012 30 E",
        ),
        (
            "[47.05, 12.4]",
            "\"47 03 N 012 24 E 2\"",
            16,
            "`base` in [flight]",
            "`base` in [flight] takes a place",
        ),
        (
            "date = 2026-06-14",
            "date = \"14 June\"",
            2,
            "cannot be",
            "2026-06-14",
        ),
        (
            "date = 2026-06-14",
            "date = 2026-02-30",
            2,
            "not valid TOML",
            "TOML",
        ),
        ("legs = 5", "legs = = 5", 11, "not valid TOML", "TOML"),
        (
            "legs = 5",
            "legs = 5\nlegs = 6",
            12,
            "not valid TOML",
            "TOML",
        ),
        (
            "[flight]",
            "[flihgt]",
            13,
            "unknown key \"flihgt\"",
            "did you mean `flight`",
        ),
        (
            "sweep_width = \"0.5 NM\"",
            "sweep_width = \"0.5 NM\"\ntarget_pod = 70",
            20,
            "less than 1",
            "`target_pod`",
        ),
        (
            "Teal 4",
            "../Teal 4",
            1,
            "names the result folder",
            "`sortie`",
        ),
        (
            "Teal 4",
            ".hidden",
            1,
            "names the result folder",
            "`sortie`",
        ),
        (
            "Teal 4",
            "Teal\\u00074",
            1,
            "`sortie` holds the character U+0007",
            "without control characters",
        ),
        (
            "Teal 4",
            "Teal: 4?",
            1,
            "names the result folder",
            "`sortie`",
        ),
        ("Teal 4", " ", 1, "names the result folder", "`sortie`"),
        (
            "date =",
            "pilot = \" \"\ndate =",
            2,
            "`pilot` takes 1 to 80 characters",
            "`pilot`",
        ),
        (
            "date =",
            "pilot = \"A\\u202EB\"\ndate =",
            2,
            "`pilot` holds the character U+202E",
            "one line",
        ),
        ("date =", "pilot = 7\ndate =", 2, "`pilot`", "in quotes"),
    ] {
        assert!(TASKING.contains(from), "{from}");
        tasking_refused(
            &folder,
            TASKING.replacen(from, to, 1),
            Some(line),
            problem,
            hint,
        );
    }
    tasking_refused(
        &folder,
        [TASKING.as_bytes(), b"# \xff\n"].concat(),
        Some(20),
        "not UTF-8",
        "UTF-8",
    );
}

#[test]
fn taskings_that_cannot_be_laid_out() {
    let folder = folder_for_taskings();
    for (content, line, problem, hint) in [
        (
            with_area("corners = [[47.0, 12.4], [47.2, 12.6], [47.0, 12.6], [47.2, 12.4]]"),
            Some(5),
            "that from corner 1 to corner 2 and that from corner 3 to corner 4",
            "in the order 1, 3, 2, 4 no edges cross",
        ),
        (
            with_area("corners = [[47.0, 12.4], [47.2, 12.6]]"),
            Some(5),
            "at least three",
            "[area]",
        ),
        (
            with_area("south = 30.0\nnorth = 60.0\nwest = 0.0\neast = 40.0"),
            Some(5),
            "at most 120 NM",
            "[area]",
        ),
        (
            with_area(
                "half_width = \"1 NM\"\nline = [[47.0, 12.0], [47.2, 12.0], [47.2, 12.3], \
                 [47.0, 12.3], [47.0, 12.0]]",
            ),
            Some(6),
            "goes round ground",
            "widen the corridor",
        ),
        (
            with_area("line = [[47.0, 12.0], [47.0, 60.0]]\nhalf_width = \"1 NM\""),
            Some(5),
            "from its start",
            "shorter line",
        ),
        (
            TASKING.replace("2026-06-14", "2031-06-14"),
            Some(5),
            "the first course is magnetic, but 2031-06-14 is outside the World Magnetic Model",
            "true",
        ),
        (
            TASKING.replace("2026-06-14", "2019-06-14"),
            Some(5),
            "2019-06-14 is outside the World Magnetic Model",
            "true",
        ),
    ] {
        tasking_refused(&folder, content, line, problem, hint);
    }
}

#[test]
fn routes_that_cannot_be_used() {
    let folder = Folder::flown(&[]);
    let start = TASKING.find("kind =").unwrap();
    let end = TASKING.find("[flight]").unwrap();
    folder.put(
        "routed.toml",
        format!(
            "{}kind = \"route\"\nfile = \"route.gpx\"\nspacing = \"0.5 NM\"\n\n{}",
            &TASKING[..start],
            &TASKING[end..]
        ),
    );
    let check = |problem: &str, hint: &str| {
        for arguments in [
            &["debrief", "log.gpx", "--tasking", "routed.toml"][..],
            &["plan", "routed.toml"],
        ] {
            let run = folder.run(arguments);
            refused(&folder, &run, "route.gpx", None, problem, hint);
        }
    };
    check("cannot be read", "GPX file with a route");
    std::fs::copy(
        folder.path().join("log.gpx"),
        folder.path().join("route.gpx"),
    )
    .unwrap();
    check("a track but no route", "<rte>");
    folder.put(
        "route.gpx",
        "<gpx version=\"1.1\" creator=\"t\"><rte></rte></gpx>",
    );
    check("0 different point(s)", "at least two");
    folder.put("route.gpx", "legs: 5");
    check("neither GeoJSON, KML nor GPX", "<rte>");
}
