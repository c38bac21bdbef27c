//! Bad input: exit code 3 (2 for wrong usage), a message that names file, line, problem and what
//! would do, and nothing written.

use crate::support::{FILES, Folder, Run, TASKING};

/// A refusal names the file as it was given, and leaves nothing behind.
pub fn refused(
    folder: &Folder,
    run: &Run,
    file: &str,
    line: Option<usize>,
    problem: &str,
    hint: &str,
) {
    let place = line.map_or_else(|| format!("{file}: "), |n| format!("{file}, line {n}: "));
    let said = &run.err;
    assert_eq!(run.code, 3, "for {problem}: {said}");
    assert_eq!(run.out, "", "for {problem}");
    assert!(
        said.starts_with(&format!("error: {place}")),
        "not at {place}: {said}"
    );
    let first = said.lines().next().unwrap();
    assert!(first.contains(problem), "not \"{problem}\": {said}");
    let hints = said.split("hint: ").nth(1).unwrap_or_default();
    assert!(hints.contains(hint), "no hint \"{hint}\": {said}");
    assert!(
        !said.contains("panicked") && !said.contains('\x1b'),
        "{said}"
    );
    assert!(folder.names("out").is_empty(), "{:?}", folder.names("out"));
}

fn log_refused(content: impl AsRef<[u8]>, line: Option<usize>, problem: &str, hint: &str) {
    let folder = Folder::new();
    std::fs::create_dir(folder.path().join("logs")).unwrap();
    folder.put("logs/bad.gpx", content);
    let arguments = ["debrief", "logs/bad.gpx", "--tasking", "tasking.toml"];
    let run = folder.run(&arguments);
    refused(&folder, &run, "logs/bad.gpx", line, problem, hint);
    // The whole path, if the whole path was given.
    let whole = folder.path().join("logs/bad.gpx");
    let run = folder.run(&[
        "debrief",
        whole.to_str().unwrap(),
        "--tasking",
        "tasking.toml",
    ]);
    refused(&folder, &run, whole.to_str().unwrap(), line, problem, hint);
}

/// All commands that read a tasking refuse it alike.
pub fn tasking_refused(
    folder: &Folder,
    content: impl AsRef<[u8]>,
    line: Option<usize>,
    problem: &str,
    hint: &str,
) {
    folder.put("in/bad.toml", content);
    for arguments in [
        &["debrief", "log.gpx", "--tasking", "in/bad.toml"][..],
        &["plan", "in/bad.toml"],
        &["rehearse", "in/bad.toml"],
    ] {
        let run = folder.run(arguments);
        refused(folder, &run, "in/bad.toml", line, problem, hint);
    }
}

/// With a log, and the folder `in` for taskings.
pub fn folder_for_taskings() -> Folder {
    let folder = Folder::flown(&[]);
    std::fs::create_dir(folder.path().join("in")).unwrap();
    folder
}

/// A log of fixes flown on the first leg of the tasking's day and place.
fn log(points: impl Iterator<Item = (String, String, String)>) -> String {
    let points: String = points
        .map(|(lat, lon, time)| format!("<trkpt lat=\"{lat}\" lon=\"{lon}\">{time}</trkpt>\n"))
        .collect();
    format!("<gpx version=\"1.1\">\n<trk><trkseg>\n{points}</trkseg></trk></gpx>\n")
}

fn fix(second: usize) -> (String, String, String) {
    let lat = 47.1 + 4e-4 * second as f64;
    let time = format!(
        "<time>2026-06-14T08:{:02}:{:02}Z</time>",
        second / 60,
        second % 60
    );
    (format!("{lat:.6}"), "12.5".to_owned(), time)
}

#[test]
fn logs_that_are_no_logs() {
    log_refused(
        "Dear all",
        None,
        "in no format that is known",
        "GPX 1.0 or 1.1 is accepted",
    );
    log_refused("", None, "the file is empty", "GPX");
    log_refused([0u8, 1, 2, 200, 0], None, "binary, not text", "GPX");
    log_refused(
        "<gpx version=\"1.1\"><trk><trkseg/></trk></gpx>",
        None,
        "track point",
        "",
    );
    log_refused(
        "<gpx version=\"1.1\"><rte><rtept lat=\"47\" lon=\"12\"/></rte></gpx>",
        None,
        "route",
        "",
    );
    log_refused("<kml><Document/></kml>", None, "no track point", "<when>");
    let whole = log((0..100).map(fix));
    let half = &whole[..whole.len() / 2];
    let line = half.matches('\n').count() + 1;
    log_refused(half, Some(line), "breaks off", "--salvage");
}

#[test]
fn logs_without_usable_fixes() {
    let timeless = (0..50).map(|s| (fix(s).0, fix(s).1, String::new()));
    log_refused(
        log(timeless),
        None,
        "none of the 50 track points has a time",
        "a planned route has none",
    );
    let backwards = log((0..50).rev().map(fix));
    log_refused(
        backwards,
        Some(4),
        "times run backwards",
        "oldest point first",
    );
    let beyond = |lat: &'static str| log((0..50).map(move |s| (lat.into(), fix(s).1, fix(s).2)));
    log_refused(
        beyond("91"),
        Some(3),
        "(lat=\"91\" lon=\"12.5\" time=\"2026-06-14T08:00:00Z\")",
        "latitudes within 90",
    );
    log_refused(beyond("NaN"), Some(3), "lat=\"NaN\"", "decimal degrees");
    log_refused(log((0..1).map(fix)), Some(3), "one usable fix", "two fixes");
}

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
fn logs_that_do_not_belong_to_the_tasking() {
    let folder = Folder::flown(&[]);
    let refused_with = |tasking: &str, problem: &str, hint: &str| {
        folder.put("other.toml", tasking);
        let run = folder.run(&["debrief", "log.gpx", "--tasking", "other.toml"]);
        refused(&folder, &run, "log.gpx", None, problem, hint);
    };
    refused_with(
        &TASKING.replace("2026-06-14", "2026-06-17"),
        "the log is of 2026-06-14, the tasking \"Teal 4\" of 2026-06-17",
        "`date`",
    );
    refused_with(
        &TASKING.replace("[47.1, 12.5]", "[47.1, -12.5]"),
        "never comes within",
        "signs of latitude and longitude",
    );
    // Through the area, but square to the legs and beside them.
    let crossing = log((0..400).map(|s| {
        let (_, _, time) = fix(s);
        (
            "47.13".to_owned(),
            format!("{:.6}", 12.4 + 6e-4 * s as f64),
            time,
        )
    }));
    folder.put("crossing.gpx", crossing);
    let run = folder.run(&["debrief", "crossing.gpx", "--tasking", "tasking.toml"]);
    refused(
        &folder,
        &run,
        "crossing.gpx",
        None,
        "flies none of the planned legs",
        "`first_course`",
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

/// The tasking with a section [area]; its first key stands in line 5.
pub fn with_area(area: &str) -> String {
    TASKING.replace("[pattern]", &format!("[area]\n{area}\n\n[pattern]"))
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

#[test]
fn files_that_are_not_there() {
    let folder = Folder::flown(&[]);
    let run = folder.run(&["debrief", "nowhere/log.gpx", "--tasking", "tasking.toml"]);
    refused(&folder, &run, "nowhere/log.gpx", None, "", "");
    let run = folder.run(&["debrief", "log.gpx", "--tasking", "nowhere/t.toml"]);
    refused(
        &folder,
        &run,
        "nowhere/t.toml",
        None,
        "cannot be read",
        "tasking file",
    );
    std::fs::create_dir(folder.path().join("a folder")).unwrap();
    let run = folder.run(&["debrief", "a folder", "--tasking", "tasking.toml"]);
    refused(&folder, &run, "a folder", None, "", "");
    let run = folder.run(&["plan", "a folder"]);
    refused(
        &folder,
        &run,
        "a folder",
        None,
        "cannot be read",
        "tasking file",
    );
}

#[test]
fn results_that_cannot_be_written() {
    // A file in place of the folder stops root as well.
    let folder = Folder::flown(&[]);
    folder.put("taken", "mine");
    for arguments in [
        &[
            "debrief",
            "log.gpx",
            "--tasking",
            "tasking.toml",
            "--out",
            "taken",
        ][..],
        &[
            "debrief",
            "log.gpx",
            "--tasking",
            "tasking.toml",
            "--out",
            "taken/deeper",
        ],
        &["plan", "tasking.toml", "--out", "taken"],
        &["plan", "tasking.toml", "--route", "taken/route.gpx"],
    ] {
        let run = folder.run(arguments);
        assert_eq!((run.code, run.out.as_str()), (3, ""), "{}", run.err);
        assert!(run.err.starts_with("error: taken"), "{}", run.err);
        assert!(
            run.err.contains("hint: ") && !run.err.contains("panicked"),
            "{}",
            run.err
        );
        assert_eq!(folder.text("taken"), "mine");
    }
    assert_eq!(folder.names(""), ["log.gpx", "taken", "tasking.toml"]);
}

#[test]
fn foreign_files_are_left_alone() {
    let folder = Folder::flown(&[]);
    assert_eq!(folder.debrief(&[]).code, 0);
    let before = folder.results("out/Teal 4");
    folder.put("out/Teal 4/notes.txt", "seen at 09:40");
    folder.rehearse("log.gpx", &["--skip-leg", "3"]);
    let run = folder.debrief(&[]);
    assert_eq!(run.code, 3);
    assert!(run.err.starts_with("error: out/Teal 4: "), "{}", run.err);
    assert!(
        run.err.contains("\"notes.txt\"") && run.err.contains("hint: "),
        "{}",
        run.err
    );
    let mut after = folder.results("out/Teal 4");
    assert_eq!(after.remove("notes.txt").unwrap(), b"seen at 09:40");
    assert!(before == after && after.len() == FILES.len());
    assert_eq!(folder.names("out"), ["Teal 4"]);
}

#[test]
fn wrong_usage_ends_with_2() {
    let folder = Folder::new();
    for arguments in [
        &["debrief"][..],
        &[
            "debrief",
            "log.gpx",
            "--tasking",
            "tasking.toml",
            "--colour",
        ],
        &["debrif", "log.gpx"],
        &["plan", "tasking.toml", "more.toml"],
        &[],
    ] {
        let run = folder.run(arguments);
        assert_eq!(run.code, 2, "{arguments:?}: {}", run.err);
        assert!(run.err.contains("Usage"), "{arguments:?}: {}", run.err);
    }
    let run = folder.run(&["--help"]);
    assert_eq!(run.code, 0);
    assert!(run.out.contains("not for navigation"), "{}", run.out);
}
