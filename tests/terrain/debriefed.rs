//! Height above the ground in a debrief, over terrain known by formula.

use crate::support::{TASKING, reading, tasking};
use crate::tiles::{hgt, write};
use overflown::debrief::{Debrief, debrief};
use overflown::simulate::{Settings, simulate};
use overflown::terrain;
use overflown::track::clean::{CleanSettings, clean};
use overflown::track::summary::LogStatistics;
use overflown::track::{HeightKind, Track};
use overflown::units::Length;
use std::path::Path;

/// The area of the tasking lies about 46.4° N 11.2° E; a ridge along the meridian of 11.3° E.
fn ridge(lat: f64, lon: f64) -> f64 {
    450.0 + 100.0 * (lat - 46.0) - 1500.0 * (lon - 11.3).abs()
}

/// Flown at 3000 ft (914.4 m) without any wandering or noise of heights, so that the truth is the formula.
fn flown(kind: HeightKind, extra: &str, surface: &dyn Fn(f64, f64) -> f64) -> (Track, Debrief) {
    let text = TASKING.replace(
        "sweep_width = \"0.5 NM\"",
        &format!("sweep_width = \"0.5 NM\"\n{extra}"),
    );
    let (tasking, plan) = tasking(&text);
    let mut settings = Settings::for_tasking(&tasking);
    settings.height_wander = Length::from_m(0.0);
    settings.noise.height = Length::from_m(0.0);
    let rehearsal = simulate(&plan, &settings, 3).unwrap();
    let mut reading = reading(rehearsal.fixes);
    reading.height_kind = kind;
    let mut track = clean(reading, &CleanSettings::default()).unwrap();
    let folder = tempfile::tempdir().unwrap();
    for west in [10.0, 11.0] {
        let name = format!("N46E{west:03}.hgt");
        write(
            folder.path(),
            &name,
            &hgt(3601, (46.0, west), &|lat, lon| surface(lat, lon)),
        );
    }
    let places: Vec<_> = track.fixes.iter().map(|fix| fix.position).collect();
    track.ground = Some(terrain::below(folder.path(), &places).unwrap());
    let debrief = debrief(&track, Path::new("log.gpx"), &tasking, &plan).unwrap();
    (track, debrief)
}

#[test]
fn figures_are_those_of_the_surface() {
    let (track, debrief) = flown(
        HeightKind::MeanSeaLevel,
        "search_height = \"1200 ft\"",
        &ridge,
    );
    let above = debrief.above_ground.as_ref().unwrap();
    assert_eq!(above.legs.len(), 10);
    assert_eq!((above.fixes_without_tile, above.fixes_in_void), (0, 0));
    // By hand over the fixes of each pass: heights of the log less the formula. Samples are whole metres,
    // and the ridge is blunted by a cell of 15 m across: 1 m.
    for leg in &above.legs {
        let pass = debrief
            .passes
            .iter()
            .find(|pass| pass.leg == leg.leg)
            .unwrap();
        let on = track
            .fixes
            .iter()
            .filter(|fix| fix.time >= pass.entered && fix.time <= pass.left);
        let true_m: Vec<f64> = on
            .map(|fix| {
                fix.height.get().unwrap().m() - ridge(fix.position.lat(), fix.position.lon())
            })
            .collect();
        let found = leg.clearance.unwrap();
        let mean = true_m.iter().sum::<f64>() / true_m.len() as f64;
        let least = true_m.iter().copied().fold(f64::INFINITY, f64::min);
        assert!(
            (found.mean.m() - mean).abs() < 2.0,
            "{}: {:?} {mean}",
            leg.leg,
            found.mean
        );
        assert!((found.lowest.height.m() - least).abs() < 2.0, "{}", leg.leg);
        let low = found.lowest;
        let there = 914.4 - ridge(low.position.lat(), low.position.lon());
        assert!((low.height.m() - there).abs() < 2.0);
        let mut sorted = true_m.clone();
        sorted.sort_by(f64::total_cmp);
        for (share, value) in [(0.05, found.p5), (0.95, found.p95)] {
            let at = (share * sorted.len() as f64) as usize;
            assert!(
                (value.m() - sorted[at]).abs() < 6.0,
                "{}: {share} {value:?}",
                leg.leg
            );
        }
        let below =
            true_m.iter().filter(|m| **m < 1200.0 * 0.3048).count() as f64 / true_m.len() as f64;
        assert!((found.below_search_height.unwrap() - below).abs() < 0.02);
        assert_eq!((found.without_s, found.below_500_ft), (0.0, 0.0));
    }
    let search = above.search.unwrap();
    let lowest = above
        .legs
        .iter()
        .map(|leg| leg.clearance.unwrap().lowest.height.m());
    assert!(search.lowest.height.m() <= lowest.fold(f64::INFINITY, f64::min));
    assert!(
        debrief
            .inputs
            .iter()
            .filter(|input| input.role == "terrain")
            .count()
            >= 1
    );
    let log = LogStatistics::of(&track);
    let whole = log.above_ground.unwrap();
    assert_eq!(whole.fixes_without, 0);
    assert!(whole.height.unwrap().min.m() <= search.lowest.height.m());
}

fn remarks(debrief: &Debrief) -> String {
    debrief.remarks.join("\n")
}

/// Ground at 800 m: 114 m (375 ft) below the aircraft. The remark names both heights, the share below 500 ft
/// and that tiles are not for navigation; detection stays as tasked.
#[test]
fn low_flight_and_another_height_than_tasked_are_remarked() {
    let flat = |_: f64, _: f64| 800.0;
    let (_, debrief) = flown(
        HeightKind::MeanSeaLevel,
        "search_height = \"1200 ft\"",
        &flat,
    );
    let text = remarks(&debrief);
    for words in [
        "flown 375 ft above the ground on the mean; the tasking has a search height of 1200 ft",
        "100 % of the search time with known heights was less than 500 ft above the ground",
        "both above mean sea level",
        "never for navigation",
    ] {
        assert!(text.contains(words), "{words}\nis not in\n{text}");
    }
    assert_eq!(
        debrief.coverage.search_height,
        Some(Length::from_ft(1200.0))
    );
    let files =
        overflown::report::files(&debrief, overflown::report::drawing::Paper::default()).unwrap();
    for name in ["report.txt", "report.html"] {
        let file = files.iter().find(|file| file.name == name).unwrap();
        let text = String::from_utf8(file.bytes.clone()).unwrap();
        assert!(text.contains("Height above the ground"), "{name}");
        assert!(text.contains("375"), "{name}");
    }
    // At about the tasked height nothing is to be said of it.
    let near = |_: f64, _: f64| 914.4 - 1150.0 * 0.3048;
    let (_, debrief) = flown(
        HeightKind::MeanSeaLevel,
        "search_height = \"1200 ft\"",
        &near,
    );
    assert!(!remarks(&debrief).contains("on the mean"));
}

#[test]
fn what_the_heights_of_the_log_are_is_said_plainly() {
    let flat = |_: f64, _: f64| 300.0;
    for (kind, words) in [
        (HeightKind::Ellipsoid, "off by up to about 110 m (360 ft)"),
        (HeightKind::Pressure, "27 ft for every hectopascal"),
        (
            HeightKind::Unknown,
            "does not tell what its heights are measured from",
        ),
    ] {
        let (_, debrief) = flown(kind, "", &flat);
        let text = remarks(&debrief);
        assert!(
            text.contains(words) && text.contains("Nothing was converted"),
            "{text}"
        );
        let above = debrief.above_ground.unwrap();
        assert_eq!(
            (above.height_kind, above.search.unwrap().below_search_height),
            (kind, None)
        );
        // Nothing is converted: 914.4 − 300.
        assert!((above.on_legs.unwrap().mean.m() - 614.4).abs() < 1.0);
    }
}

/// The western half of the ground is a void: what is known and what is not add up.
#[test]
fn time_without_ground_is_told_apart() {
    let half = |_: f64, lon: f64| if lon < 11.23 { f64::NAN } else { 300.0 };
    let (_, debrief) = flown(HeightKind::MeanSeaLevel, "", &half);
    let above = debrief.above_ground.as_ref().unwrap();
    let search = above.search.unwrap();
    assert!(
        search.without_s > 300.0 && search.duration_s > 300.0,
        "{search:?}"
    );
    let total = search.without_s + search.duration_s;
    assert!((total - debrief.area_time.window_s).abs() < 5.0);
    assert!(above.fixes_in_void > 300);
    let all_void = |_: f64, _: f64| f64::NAN;
    let (_, debrief) = flown(HeightKind::MeanSeaLevel, "", &all_void);
    assert!(debrief.above_ground.as_ref().unwrap().search.is_none());
    assert!(remarks(&debrief).contains("No height above the ground"));
}

/// From the command line: `inspect` and `debrief` with a folder of tiles, and without one that is needed.
#[test]
fn from_the_command_line() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("tasking.toml"), TASKING).unwrap();
    std::fs::create_dir(folder.path().join("ground")).unwrap();
    let tiles = folder.path().join("ground");
    write(
        &tiles,
        "N46E011.hgt",
        &hgt(1201, (46.0, 11.0), &|_, _| 700.0),
    );
    let run = |arguments: &[&str]| {
        let mut command = assert_cmd::Command::new(env!("CARGO_BIN_EXE_overflown"));
        let output = command
            .current_dir(&folder)
            .args(arguments)
            .output()
            .unwrap();
        let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
        (
            output.status.code(),
            text(output.stdout),
            text(output.stderr),
        )
    };
    let (code, _, err) = run(&["rehearse", "tasking.toml", "--out", "log.gpx"]);
    assert_eq!(code, Some(0), "{err}");
    let (code, out, err) = run(&["inspect", "log.gpx", "--terrain", "ground"]);
    assert_eq!(code, Some(0), "{err}");
    // 3000 ft less 700 m are 703 ft; the height flown wanders with 26 ft.
    let median = out.split("Above ground  median ").nth(1).unwrap();
    let median: f64 = median.split(' ').next().unwrap().parse().unwrap();
    assert!((median - 703.0).abs() < 50.0, "{median}");
    for words in [
        "without a tile below",
        "ground heights are above mean sea level (geoid EGM96)",
        "never for navigation",
    ] {
        assert!(out.contains(words), "{words}\nis not in\n{out}");
    }
    let debrief = [
        "debrief",
        "log.gpx",
        "--tasking",
        "tasking.toml",
        "--terrain",
    ];
    let (code, out, err) = run(&[&debrief[..], &["ground"]].concat());
    assert_eq!(code, Some(0), "{err}");
    assert!(out.contains("Height above the ground"), "{out}");
    let json = std::fs::read_to_string(folder.path().join("out/Heron 3/debrief.json")).unwrap();
    let json: serde_json::Value = serde_json::from_str(&json).unwrap();
    assert_eq!(json["above_ground"]["ground_references"][0], "egm96");
    assert_eq!(json["inputs"][2]["name"], "N46E011.hgt");
    // Without terrain nothing is said of the ground.
    let (_, out, _) = run(&["debrief", "log.gpx", "--tasking", "tasking.toml"]);
    assert!(!out.contains("Height above the ground"), "{out}");
    let (code, _, err) = run(&[&debrief[..], &["nowhere"]].concat());
    assert_eq!(code, Some(3));
    assert!(
        err.contains("nowhere: there is no such file or folder"),
        "{err}"
    );
}
