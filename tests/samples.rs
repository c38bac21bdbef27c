//! The sample logs are what their README says, and the README's pictures are what the tool makes of
//! them.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use assert_cmd::Command;
use std::path::{Path, PathBuf};

const ROOT: &str = env!("CARGO_MANIFEST_DIR");

/// The command, run in `folder`.
fn overflown(folder: &Path, arguments: &[String]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_overflown"));
    command.current_dir(folder).args(arguments);
    command
}

/// Words of a shell line; double quotes hold words together.
fn words(line: &str) -> Vec<String> {
    line.split('"')
        .enumerate()
        .flat_map(|(i, part)| match i % 2 {
            0 => part
                .split_whitespace()
                .map(str::to_owned)
                .collect::<Vec<_>>(),
            _ => vec![part.to_owned()],
        })
        .collect()
}

/// Arguments of every `cargo run --release -- …` line of a file.
fn commands(file: &str) -> Vec<Vec<String>> {
    let text = std::fs::read_to_string(Path::new(ROOT).join(file)).unwrap();
    text.lines()
        .filter_map(|line| line.strip_prefix("cargo run --release -- "))
        .map(words)
        .collect()
}

/// Names of the folders under sample-logs: of a sortie each, but for the course.
fn samples() -> Vec<String> {
    std::fs::read_dir(Path::new(ROOT).join("sample-logs"))
        .unwrap()
        .map(|entry| entry.unwrap())
        .filter(|entry| entry.file_type().unwrap().is_dir())
        .map(|entry| entry.file_name().into_string().unwrap())
        .collect()
}

/// A folder with the taskings of the samples and nothing else.
fn taskings_only() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    for sample in samples() {
        let from = Path::new(ROOT).join("sample-logs").join(&sample);
        let to = folder.path().join("sample-logs").join(&sample);
        std::fs::create_dir_all(&to).unwrap();
        for entry in std::fs::read_dir(&from).unwrap() {
            let path = entry.unwrap().path();
            if path.extension().is_some_and(|e| e == "toml") {
                std::fs::copy(&path, to.join(path.file_name().unwrap())).unwrap();
            }
        }
    }
    folder
}

#[test]
fn the_documented_commands_make_the_committed_logs() {
    let folder = taskings_only();
    let mut made: Vec<PathBuf> = Vec::new();
    for arguments in commands("sample-logs/README.md") {
        if !["rehearse", "plan"].contains(&arguments[0].as_str()) {
            continue;
        }
        overflown(folder.path(), &arguments).assert().success();
        let out = arguments
            .iter()
            .position(|a| a == "--out" || a == "--route")
            .unwrap()
            + 1;
        made.push(PathBuf::from(&arguments[out]));
    }
    // A log for every sortie and for each of twelve flights of the course, and the route of one of them.
    assert_eq!(samples().len(), 12);
    assert_eq!(made.len(), 11 + 12 + 1);
    for file in made {
        let fresh = std::fs::read(folder.path().join(&file)).unwrap();
        let committed = std::fs::read(Path::new(ROOT).join(&file)).unwrap();
        assert!(
            fresh == committed,
            "{} is not what its command makes",
            file.display()
        );
    }
}

/// Debriefs a sample and returns its JSON and its result folder.
fn debrief(sample: &str) -> (serde_json::Value, tempfile::TempDir, PathBuf) {
    let out = tempfile::tempdir().unwrap();
    let file = |name: &str| format!("{ROOT}/sample-logs/{sample}/{name}");
    let arguments = [
        "debrief".into(),
        file("track.gpx"),
        "--tasking".into(),
        file("tasking.toml"),
        "--out".into(),
        out.path().display().to_string(),
        "--json".into(),
    ];
    let output = overflown(out.path(), &arguments)
        .assert()
        .success()
        .get_output()
        .clone();
    let json: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    let folder = out.path().join(json["sortie"].as_str().unwrap());
    (json, out, folder)
}

fn holes(json: &serde_json::Value) -> Vec<(String, String)> {
    let strips = json["strips"].as_array().unwrap();
    strips
        .iter()
        .flat_map(|s| s["holes"].as_array().unwrap())
        .map(|h| {
            (
                h["leg"].as_str().unwrap().to_owned(),
                h["cause"].as_str().unwrap().to_owned(),
            )
        })
        .collect()
}

/// Legs flown, in the order flown, with "r" where from end to start.
fn order_flown(json: &serde_json::Value) -> Vec<String> {
    let passes = json["passes"].as_array().unwrap();
    passes
        .iter()
        .map(|pass| {
            let leg = pass["leg"].as_str().unwrap();
            let turned = pass["reversed"].as_bool().unwrap();
            format!("{leg}{}", if turned { "r" } else { "" })
        })
        .collect()
}

fn hole(leg: &str, cause: &str) -> (String, String) {
    (leg.into(), cause.into())
}

/// The stories in sample-logs/README.md, checked against the truth that was put in.
#[test]
fn the_samples_tell_their_stories() {
    let (clean, _out, _) = debrief("clean");
    assert_eq!(holes(&clean), []);
    assert_eq!(clean["passes"].as_array().unwrap().len(), 5);

    let (faults, _out, _) = debrief("faults");
    assert_eq!(
        holes(&faults),
        [
            hole("4", "not-recorded"),
            hole("6", "missed"),
            hole("10", "missed")
        ]
    );
    let phases: Vec<&str> = faults["phase_totals"]
        .as_array()
        .unwrap()
        .iter()
        .map(|p| p["phase"].as_str().unwrap())
        .collect();
    for phase in ["boundary-check", "orbit", "excursion", "not-recorded"] {
        assert!(
            phases.contains(&phase),
            "{phase} is missing from {phases:?}"
        );
    }
    let bias = faults["tracking"]["xte_mean_m"].as_f64().unwrap();
    assert!((bias - 60.0).abs() < 15.0, "{bias} m");
    let declination = faults["plan"]["declination"]["declination_deg"]
        .as_f64()
        .unwrap();
    let course = faults["plan"]["legs"][0]["course_true_deg"]
        .as_f64()
        .unwrap();
    let off = (course - (351.0 + declination) + 180.0).rem_euclid(360.0) - 180.0;
    assert!(
        off.abs() < 0.001,
        "351 M is {course} T with {declination} E"
    );

    let (interleaved, _out, _) = debrief("interleaved");
    assert_eq!(interleaved["additional_legs"].as_array().unwrap().len(), 7);
    let pod = &interleaved["coverage"];
    assert!(
        pod["pod"]["inverse_cube"].as_f64() > pod["planned_pod"]["inverse_cube"].as_f64(),
        "{pod}"
    );

    let (route, _out, _) = debrief("route");
    assert_eq!(holes(&route), [hole("2", "missed")]);
    assert_eq!(order_flown(&route), ["1", "4", "3", "6", "5"]);
    assert_eq!(route["additional_legs"].as_array().unwrap().len(), 0);
    assert_eq!(route["inputs"].as_array().unwrap().len(), 3);
}

/// The stories of one sortie for each other kind of pattern.
#[test]
fn the_other_patterns_tell_their_stories() {
    let (creeping, _out, _) = debrief("creeping-line");
    assert_eq!(
        holes(&creeping),
        ["7", "9", "10"].map(|leg| hole(leg, "missed"))
    );
    assert_eq!(creeping["additional_legs"].as_array().unwrap().len(), 1);

    let (there, _out, _) = debrief("track-line-return");
    assert_eq!(holes(&there), [hole("4", "missed")]);
    let bias = there["legs"][2]["tracking"]["xte_mean_m"].as_f64().unwrap();
    assert!((bias + 250.0).abs() < 30.0, "{bias} m");

    let (along, _out, _) = debrief("track-line");
    assert_eq!(holes(&along), [hole("3", "not-recorded")]);
    assert_eq!(order_flown(&along), ["4r", "3r", "2r", "1r", "5", "6"]);

    let (contour, _out, _) = debrief("contour");
    assert_eq!(holes(&contour), [hole("9", "missed")]);
    let outside = contour["area_time"]["outside"].as_array().unwrap();
    let strayed: Vec<_> = outside
        .iter()
        .filter(|span| span["kind"] == "excursion")
        .collect();
    assert_eq!(strayed.len(), 1);
    let bands = &contour["handling"];
    assert_eq!(bands["height_outside_s"].as_f64(), Some(0.0), "{bands}");

    let (interleaved, _out, _) = debrief("interleaved-tasked");
    assert_eq!(holes(&interleaved), [hole("8", "missed")]);
    assert_eq!(
        order_flown(&interleaved),
        ["1", "2", "3", "4", "5", "6", "7", "9r"]
    );
}

/// A pattern flown as a whole elsewhere is known again, and how far off it was.
#[test]
fn the_moved_samples_tell_their_stories() {
    let (square, _out, _) = debrief("expanding-square");
    let shift = &square["pattern_shift"];
    let turned = shift["turned_deg"].as_f64().unwrap();
    assert!((turned + 9.3).abs() < 0.5, "{shift}");

    assert_eq!(shift["slips"][0]["slip"], "flown-as-true", "{shift}");

    let (sector, _out, _) = debrief("sector");
    let shift = &sector["pattern_shift"];
    let moved = shift["offset"]["distance_m"].as_f64().unwrap();
    assert!((moved - 926.0).abs() < 30.0, "{shift}");
    assert_eq!(shift["slips"][0]["slip"], "begun-elsewhere", "{shift}");
    assert!(holes(&sector).contains(&hole("10", "not-recorded")));
}

/// `OVERFLOWN_BLESS=1 cargo test --test samples` puts fresh pictures in place. `page.png` is not among them: how a browser draws
/// the page depends on the browser (DEVELOPERS.md says how it is made).
#[test]
fn the_pictures_in_the_documents_are_fresh() {
    for (sample, made, name) in [
        ("faults", "xte.png", "xte.png"),
        ("expanding-square", "heatmap.png", "square.png"),
    ] {
        let (_, _out, folder) = debrief(sample);
        is_fresh(&folder.join(made), name);
    }
    let (_, _out, folder) = search();
    is_fresh(&folder.join("before-after.png"), "search.png");
}

fn is_fresh(made: &Path, name: &str) {
    let fresh = std::fs::read(made).unwrap();
    let pictures = Path::new(ROOT).join("docs/pictures");
    let kept = pictures.join(name);
    if std::env::var_os("OVERFLOWN_BLESS").is_some() {
        std::fs::create_dir_all(&pictures).unwrap();
        std::fs::write(&kept, &fresh).unwrap();
    }
    let committed = std::fs::read(&kept).unwrap_or_default();
    assert!(fresh == committed, "docs/pictures/{name} is out of date");
}

/// The search the README shows: its JSON and its result folder.
fn search() -> (serde_json::Value, tempfile::TempDir, PathBuf) {
    let out = tempfile::tempdir().unwrap();
    let command = commands("README.md")
        .into_iter()
        .find(|arguments| arguments[0] == "refly");
    let mut arguments = command.unwrap();
    let place = out.path().display().to_string();
    arguments.extend(["--out".into(), place, "--json".into()]);
    let output = overflown(Path::new(ROOT), &arguments)
        .assert()
        .success()
        .get_output()
        .clone();
    let json: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    let folder = out.path().join(json["name"].as_str().unwrap());
    (json, out, folder)
}

/// What four of the samples make as one search, as sample-logs/README.md tells it.
#[test]
fn the_search_of_the_samples_tells_its_story() {
    let (search, _out, _) = search();
    let strips = search["strips"].as_array().unwrap();
    let mut holes: Vec<&str> = strips
        .iter()
        .filter(|strip| !strip["holes"].as_array().unwrap().is_empty())
        .map(|strip| strip["leg"].as_str().unwrap())
        .collect();
    holes.sort_unstable();
    assert_eq!(holes, ["Heron 5 10", "Heron 5 7", "Heron 5 9", "Heron 6 2"]);
    let named = |name: &str| {
        let parts = search["sub_areas"].as_array().unwrap();
        parts.iter().find(|part| part["name"] == name).unwrap()
    };
    let pod = |name: &str| named(name)["pod"].as_f64().unwrap();
    // Twice searched, once searched, searched by a square that does not fill it.
    assert!(pod("west cell") > pod("east cell"), "{search}");
    assert!(pod("east cell") > pod("about the beacon"), "{search}");
    // A tenth was believed to lie elsewhere, and nobody looked there.
    let elsewhere = search["poc_elsewhere"].as_f64().unwrap();
    assert!((elsewhere - 0.1).abs() < 1e-9, "{elsewhere}");
    let (refly, whole) = (&search["refly"]["outcome"], &search["refly"]["every_leg"]);
    assert_eq!(refly["strips_left"], 0);
    assert!(refly["duration_s"].as_f64() < whole["duration_s"].as_f64());
}

/// Folders in `folder` that a word with a star at its end stands for, as a shell has it; any other word as it is.
fn expanded(folder: &Path, word: &str) -> Vec<String> {
    let Some(beginning) = word.strip_suffix('*') else {
        return vec![word.to_owned()];
    };
    let (place, name) = beginning.rsplit_once('/').unwrap();
    let mut found: Vec<String> = std::fs::read_dir(folder.join(place))
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .filter(|entry| entry.starts_with(name))
        .map(|entry| format!("{place}/{entry}"))
        .collect();
    found.sort();
    assert!(!found.is_empty(), "{word}");
    found
}

fn copied(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).unwrap();
    for entry in std::fs::read_dir(from).unwrap() {
        let path = entry.unwrap().path();
        let to = to.join(path.file_name().unwrap());
        if path.is_dir() {
            copied(&path, &to);
        } else {
            std::fs::copy(&path, to).unwrap();
        }
    }
}

/// Runs the commands that a document shows, one after the other as a reader does, where there is nothing but the samples; what each
/// printed, and the folder.
fn followed(file: &str) -> (Vec<String>, tempfile::TempDir) {
    let folder = tempfile::tempdir().unwrap();
    let samples = Path::new(ROOT).join("sample-logs");
    copied(&samples, &folder.path().join("sample-logs"));
    let printed = commands(file).into_iter().map(|arguments| {
        let arguments: Vec<String> = arguments
            .iter()
            .flat_map(|word| expanded(folder.path(), word))
            .collect();
        let output = overflown(folder.path(), &arguments)
            .assert()
            .success()
            .get_output()
            .clone();
        String::from_utf8(output.stdout).unwrap()
    });
    (printed.collect(), folder)
}

/// The two pilots of the course are told what was put into their flights.
fn the_course_tells_its_story(folder: &Path) {
    let read = |name: &str| -> serde_json::Value {
        serde_json::from_slice(&std::fs::read(folder.join("out").join(name)).unwrap()).unwrap()
    };
    let ash = read("Review Ash/review.json");
    assert_eq!(ash["causes"][0]["kind"], "steady-bias");
    assert_eq!(ash["causes"][0]["lessens"], true);
    let measure = |name: &str| {
        let measures = ash["measures"].as_array().unwrap();
        measures.iter().find(|m| m["measure"] == name).unwrap()
    };
    assert_eq!(measure("bias")["change"], "better");
    // The bias put in falls from 190 m to 15 m in six flights.
    let slope = measure("bias")["trend"]["slope"].as_f64().unwrap();
    assert!((slope + 35.0).abs() < 7.0, "{slope}");
    let class = read("Review class/class.json");
    let birch = &class["pilots"][1];
    assert_eq!(birch["pilot"], "Birch");
    assert_eq!(birch["practise"][0]["kind"], "drift-under");
    assert_eq!(birch["practise"][0]["lessens"], false);
    assert_eq!(birch["better"], serde_json::json!([]));
    assert_eq!(birch["worse"], serde_json::json!([]));
    assert_eq!(class["common"], serde_json::json!([]));
}

/// Every command the README shows runs, and the piece of report in it is what the tool prints.
#[test]
fn the_readme_is_true() {
    let readme = std::fs::read_to_string(Path::new(ROOT).join("README.md")).unwrap();
    let (printed, folder) = followed("README.md");
    let shown = printed.iter().filter(|printed| {
        let excerpt = printed.lines().take(10).collect::<Vec<_>>().join("\n");
        !excerpt.is_empty() && readme.contains(&excerpt)
    });
    assert_eq!(
        shown.count(),
        1,
        "the piece of report in the README is not what the tool prints"
    );
    the_course_tells_its_story(folder.path());
}
