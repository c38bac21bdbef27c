//! The re-fly that `debrief` and `refly` write is planned, rehearsed and debriefed like any tasking.

use crate::support::{FILES, Folder};
use std::path::{Path, PathBuf};

const REFLY: [&str; 3] = ["refly.geojson", "refly.html", "refly.toml"];

fn sample(name: &str, file: &str) -> String {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let path: PathBuf = root.join("sample-logs").join(name).join(file);
    path.to_str().unwrap().to_owned()
}

/// Plans, rehearses and debriefs a re-fly; the name of its debrief folder.
fn flown(folder: &Folder, refly: &str, name: &str) -> String {
    for arguments in [
        vec!["plan", refly],
        vec![
            "rehearse",
            refly,
            "--out",
            "again.gpx",
            "--wind",
            "250 T at 9 kt",
        ],
        vec!["debrief", "again.gpx", "--tasking", refly],
    ] {
        let run = folder.run(&arguments);
        assert_eq!(run.code, 0, "{arguments:?}: {}", run.err);
    }
    format!("out/{name} re-fly")
}

#[test]
fn the_refly_of_the_samples_is_flown() {
    let folder = Folder::new();
    let debriefs = ["faults", "contour", "clean"].map(|name| {
        let (track, tasking) = (sample(name, "track.gpx"), sample(name, "tasking.toml"));
        let run = folder.run(&["debrief", &track, "--tasking", &tasking, "--out", name]);
        assert_eq!(run.code, 0, "{}", run.err);
        let sortie = folder.names(name).remove(0);
        format!("{name}/{sortie}")
    });
    // Of a single debrief …
    let run = folder.run(&["refly", &debriefs[0], "--target-pod", "0.8"]);
    assert_eq!(run.code, 0, "{}", run.err);
    let before = folder.json("out/search/search.json");
    let foretold = before["refly"]["outcome"]["pod"].as_f64().unwrap();
    let again = flown(&folder, "out/search/refly.toml", "search");
    let run = folder.run(&[
        "refly",
        &debriefs[0],
        &again,
        "--target-pod",
        "0.8",
        "--any-days",
    ]);
    assert_eq!(run.code, 0, "{}", run.err);
    let after = folder.json("out/search/search.json");
    let reached = after["pod"]["pod"].as_f64().unwrap();
    assert!(
        foretold >= 0.8 && reached >= foretold - 0.005,
        "{foretold}, {reached}"
    );
    // … and of all of them together, which have no ground in one piece.
    let run = folder.run(&[
        "refly",
        "--any-days",
        "--target-pod",
        "0.85",
        &debriefs[0],
        &debriefs[1],
        &debriefs[2],
    ]);
    assert_eq!(run.code, 0, "{}", run.err);
    assert!(!folder.text("out/search/refly.toml").contains("[area]"));
    flown(&folder, "out/search/refly.toml", "search");
    // The page and the map are those of the plan that is laid out from the tasking.
    for (mine, planned) in [
        ("refly.html", "plan.html"),
        ("refly.geojson", "plan.geojson"),
    ] {
        let planned = folder.text(&format!("out/search re-fly-plan/{planned}"));
        assert_eq!(
            folder.text(&format!("out/search/{mine}")),
            planned,
            "{mine}"
        );
    }
}

#[test]
fn a_refly_that_is_no_longer_needed_goes_away() {
    let folder = Folder::flown(&["--skip-leg", "3"]);
    let mut with: Vec<&str> = FILES.iter().chain(&REFLY).copied().collect();
    with.sort_unstable();
    let run = folder.debrief(&[]);
    assert_eq!(folder.names("out/Teal 4"), with, "{}", run.err);
    assert!(!run.err.contains("nothing to fly again"), "{}", run.err);
    assert!(
        run.out
            .contains("Re-fly (refly.toml, refly.html, refly.geojson, refly.gpx)")
    );
    let search = |folder: &Folder| folder.run(&["refly", "out/Teal 4"]);
    assert_eq!(search(&folder).code, 0);
    assert!(
        REFLY
            .iter()
            .all(|name| folder.names("out/search").contains(&(*name).to_owned()))
    );
    // The same names hold another flight now.
    folder.rehearse("log.gpx", &[]);
    for run in [folder.debrief(&[]), search(&folder)] {
        assert_eq!(run.code, 0, "{}", run.err);
        assert!(
            run.err.contains("nothing to fly again, so no refly.toml"),
            "{}",
            run.err
        );
    }
    assert_eq!(folder.names("out/Teal 4"), FILES);
    assert!(
        REFLY
            .iter()
            .all(|name| !folder.names("out/search").contains(&(*name).to_owned()))
    );
}
