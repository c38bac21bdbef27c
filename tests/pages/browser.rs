//! The reports of all sample sorties in a real browser (`tests/browser/debrief.mjs`).
//!
//! It needs Node.js, Chromium and what `tests/browser/install` puts beside its script. Where they are not installed the test
//! says so and checks nothing, unless `OVERFLOWN_BROWSER_TESTS` is `required`, as in `.ci/run`.

use crate::samples::{folder, names};
use assert_cmd::Command;
use std::ffi::OsStr;
use std::io::Write;
use std::path::{Path, PathBuf};

fn installed() -> bool {
    let here = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/browser/node_modules");
    let chromium = std::env::var_os("CHROMIUM").map_or("/usr/bin/chromium".into(), PathBuf::from);
    let found = here.is_dir() && chromium.exists();
    let required = std::env::var("OVERFLOWN_BROWSER_TESTS").is_ok_and(|wish| wish == "required");
    assert!(found || !required, "run tests/browser/install first");
    found
}

fn debriefed(log: &Path, tasking: &Path, out: &Path, more: &[&OsStr]) {
    Command::new(env!("CARGO_BIN_EXE_overflown"))
        .args(["--quiet", "debrief"])
        .arg(log)
        .arg("--tasking")
        .arg(tasking)
        .arg("--out")
        .arg(out)
        .args(more)
        .assert()
        .success();
}

/// A copy of a sample with markup for the name of its track and for what is searched for.
fn hostile(out: &Path) {
    let log = std::fs::read_to_string(folder().join("faults/track.gpx")).unwrap();
    let (before, after) = log.split_once("<name>").unwrap();
    let (_, after) = after.split_once("</name>").unwrap();
    let name =
        "&lt;/script&gt;&lt;script&gt;alert(1)&lt;/script&gt;&lt;img src=x onerror=alert(2)&gt;";
    let log_file = out.join("named.gpx");
    std::fs::write(&log_file, format!("{before}<name>{name}</name>{after}")).unwrap();
    let tasking = std::fs::read_to_string(folder().join("faults/tasking.toml")).unwrap();
    let tasking_file = out.join("named.toml");
    let object = "light aircraft, orange and white";
    assert!(tasking.contains(object));
    let named = tasking
        .replace("sortie = \"Heron 2\"", "sortie = \"Named\"")
        .replace(object, "</script><script>alert(3)</script>");
    std::fs::write(&tasking_file, named).unwrap();
    debriefed(&log_file, &tasking_file, &out.join("results"), &[]);
}

/// A copy of a sample with a picture below its map, in degrees by its world file, that ends within the map.
fn with_backdrop(out: &Path) {
    let sample = folder().join("clean");
    let tasking = std::fs::read_to_string(sample.join("tasking.toml")).unwrap();
    let tasking_file = out.join("above.toml");
    let above = tasking.replace("sortie = \"Heron 1\"", "sortie = \"Above\"");
    assert_ne!(tasking, above);
    std::fs::write(&tasking_file, above).unwrap();
    let picture = out.join("ground.png");
    let (columns, rows) = (400_u32, 300_u32);
    let mut encoder = png::Encoder::new(std::fs::File::create(&picture).unwrap(), columns, rows);
    encoder.set_color(png::ColorType::Rgb);
    let places = (0..rows).flat_map(|y| (0..columns).map(move |x| (x, y)));
    let pixels = places.flat_map(|(x, y)| [(x / 2) as u8, y as u8, (x ^ y) as u8]);
    let mut writer = encoder.write_header().unwrap();
    writer
        .write_image_data(&pixels.collect::<Vec<u8>>())
        .unwrap();
    writer.finish().unwrap();
    std::fs::write(
        out.join("ground.pgw"),
        "0.0005\n0\n0\n-0.0005\n67.0\n48.64\n",
    )
    .unwrap();
    debriefed(
        &sample.join("track.gpx"),
        &tasking_file,
        &out.join("results"),
        &["--backdrop".as_ref(), picture.as_ref()],
    );
}

#[test]
fn reports_work_in_a_browser() {
    if !installed() {
        let mut told = std::io::stderr();
        writeln!(told, "not checked: tests/browser/install was not run").unwrap();
        return;
    }
    let out = tempfile::tempdir().unwrap();
    for name in names() {
        let at = folder().join(name);
        debriefed(
            &at.join("track.gpx"),
            &at.join("tasking.toml"),
            &out.path().join("results"),
            &[],
        );
    }
    hostile(out.path());
    with_backdrop(out.path());
    let results: Vec<PathBuf> = std::fs::read_dir(out.path().join("results"))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.join("report.html").exists())
        .collect();
    assert_eq!(results.len(), names().len() + 2);
    let said = looked_at("debrief.mjs", &results);
    assert!(said.contains(&format!("{} reports opened", results.len())));
}

/// Runs a script over result folders; what it says.
#[track_caller]
fn looked_at(script: &str, results: &[PathBuf]) -> String {
    let checked = std::process::Command::new("node")
        .arg(Path::new("tests/browser").join(script))
        .args(results)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&checked.stdout).into_owned();
    assert!(
        checked.status.success(),
        "{said}{}",
        String::from_utf8_lossy(&checked.stderr)
    );
    said
}

/// Reviews of the pilots of the course among the samples, and of both beside each other; one of a pilot with markup for a name.
#[test]
fn reviews_work_in_a_browser() {
    if !installed() {
        return;
    }
    let out = tempfile::tempdir().unwrap();
    let results = out.path().join("results");
    let course = folder().join("course");
    let named = |file: &Path| file.with_extension("gpx").exists();
    let mut taskings: Vec<PathBuf> = std::fs::read_dir(&course)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|e| e == "toml") && named(path))
        .collect();
    taskings.sort();
    assert_eq!(taskings.len(), 12);
    for tasking in &taskings {
        debriefed(&tasking.with_extension("gpx"), tasking, &results, &[]);
    }
    let sorties = |pilot: &str| -> Vec<PathBuf> {
        (1..=6)
            .map(|n| results.join(format!("{pilot} {n}")))
            .collect()
    };
    let reviewed = |folders: Vec<PathBuf>, more: &[&str]| {
        Command::new(env!("CARGO_BIN_EXE_overflown"))
            .args(["--quiet", "review"])
            .args(folders)
            .args(more)
            .arg("--out")
            .arg(&results)
            .assert()
            .success();
    };
    reviewed(sorties("Ash"), &[]);
    reviewed(sorties("Birch"), &[]);
    reviewed([sorties("Ash"), sorties("Birch")].concat(), &["--class"]);
    reviewed(sorties("Ash"), &["--pilot", "<b onclick=alert(1)>Ash"]);
    let pages: Vec<PathBuf> = std::fs::read_dir(&results)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.join("review.html").exists() || path.join("class.html").exists())
        .collect();
    assert_eq!(pages.len(), 4);
    let said = looked_at("review.mjs", &pages);
    assert!(said.contains("4 reviews opened"));
}
