//! Files that are not there, and results that cannot be written.

use crate::refusals::refused;
use crate::support::{FILES, Folder};

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
