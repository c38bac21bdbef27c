//! Bad input: exit code 3 (2 for wrong usage), a message that names file, line, problem and what
//! would do, and nothing written.

use crate::support::{Folder, Run, TASKING};

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

/// The tasking with a section [area]; its first key stands in line 5.
pub fn with_area(area: &str) -> String {
    TASKING.replace("[pattern]", &format!("[area]\n{area}\n\n[pattern]"))
}
