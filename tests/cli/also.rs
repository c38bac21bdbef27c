//! `--also`: which files are written, and which are not.

use crate::support::{FILES, Folder, TASKING};

/// Those of the pictures that are there without anything to fly again.
const ALSO: [(&str, &[&str]); 4] = [
    ("layers", &["layers.geojson", "layers.kml"]),
    ("rasters", &["exposure.tif", "pod.tif"]),
    ("fixes", &["fixes.csv"]),
    (
        "pictures",
        &["clock.png", "clock.svg", "heatmap.svg", "xte.svg"],
    ),
];

fn with(more: &[&str]) -> Vec<String> {
    let mut names: Vec<String> = FILES.iter().chain(more).map(|n| (*n).to_owned()).collect();
    names.sort();
    names
}

#[test]
fn files_are_written_when_asked_for_and_go_away_when_not() {
    let folder = Folder::flown(&[]);
    let all: Vec<&str> = ALSO.iter().flat_map(|(_, files)| *files).copied().collect();
    assert_eq!(folder.debrief(&["--also", "all"]).code, 0);
    assert_eq!(folder.names("out/Teal 4"), with(&all));
    for (name, files) in ALSO {
        let run = folder.debrief(&["--also", name]);
        assert_eq!(run.code, 0, "{}", run.err);
        assert_eq!(folder.names("out/Teal 4"), with(files), "{name}");
        assert!(
            files.iter().all(|file| run.err.contains(file)),
            "{}",
            run.err
        );
    }
    assert_eq!(folder.debrief(&["--also", "fixes, rasters"]).code, 0);
    assert_eq!(
        folder.names("out/Teal 4"),
        with(&[ALSO[1].1, ALSO[2].1].concat())
    );
    assert_eq!(folder.debrief(&[]).code, 0);
    assert_eq!(folder.names("out/Teal 4"), with(&[]));
}

#[test]
fn an_unknown_name_is_refused_with_those_there_are() {
    let folder = Folder::flown(&[]);
    for wrong in ["layer", "", "rasters;fixes", "layers,heatmap"] {
        let run = folder.debrief(&["--also", wrong]);
        assert_eq!(run.code, 2, "{wrong}");
        for (name, _) in ALSO {
            assert!(run.err.contains(name), "{wrong}: {}", run.err);
        }
        assert!(folder.names("out").is_empty());
    }
    let run = folder.run(&["refly", ".", "--also", "fixes"]);
    assert_eq!(run.code, 2);
    assert!(run.err.contains("rasters"), "{}", run.err);
}

/// Exposure has no number under that law.
#[test]
fn no_exposure_under_the_definite_range_law() {
    let folder = Folder::flown(&[]);
    folder.put(
        "tasking.toml",
        format!("{TASKING}law = \"definite range\"\n"),
    );
    let run = folder.debrief(&["--also", "rasters"]);
    assert_eq!(run.code, 0, "{}", run.err);
    assert_eq!(folder.names("out/Teal 4"), with(&["pod.tif"]));
    assert!(run.err.contains("no exposure.tif"), "{}", run.err);
}

#[test]
fn a_search_has_its_pod_as_a_raster() {
    let folder = Folder::flown(&[]);
    assert_eq!(folder.debrief(&[]).code, 0);
    let refly = ["refly", "out/Teal 4", "--out", "searches"];
    let run = folder.run(&[&refly[..], &["--also", "rasters"]].concat());
    assert_eq!(run.code, 0, "{}", run.err);
    let names = folder.names("searches/search");
    assert!(names.iter().any(|name| name == "pod.tif"), "{names:?}");
    assert_eq!(folder.run(&refly).code, 0);
    let names = folder.names("searches/search");
    assert!(!names.iter().any(|name| name == "pod.tif"), "{names:?}");
}
