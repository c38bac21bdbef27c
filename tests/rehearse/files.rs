//! The files written, and the command that writes them.

use crate::support::*;
use overflown::simulate::simulate;
use std::path::Path;

/// The file read back by the crate `gpx` and line by line.
#[test]
fn gpx_file_holds_the_fixes() {
    let (plan, mut settings) = usual();
    settings.rate_hz = 4.0;
    let flight = simulate(&plan, &settings, 1).unwrap();
    let bytes = gpx(&flight);
    let read = gpx::read(bytes.as_slice()).unwrap();
    assert_eq!(read.version, gpx::GpxVersion::Gpx11);
    let [track] = read.tracks.as_slice() else {
        panic!("{} tracks", read.tracks.len());
    };
    let points = &track.segments[0].points;
    assert_eq!(
        (track.segments.len(), points.len()),
        (1, flight.fixes.len())
    );
    let lines: Vec<&str> = std::str::from_utf8(&bytes).unwrap().lines().collect();
    for (point, fix) in points.iter().zip(&flight.fixes) {
        assert!((point.point().y() - fix.position.lat()).abs() < 1e-9);
        assert!((point.point().x() - fix.position.lon()).abs() < 1e-9);
        assert!((point.elevation.unwrap() - fix.height.get().unwrap().m()).abs() < 1e-9);
        let time = point.time.unwrap().format().unwrap();
        let time = chrono::DateTime::parse_from_rfc3339(&time).unwrap();
        assert_eq!(time, fix.time);
        let lat = format!("lat=\"{:.7}\"", fix.position.lat());
        assert!(lines[fix.line as usize - 1].contains(&lat));
    }
}

mod command {
    use super::*;
    use assert_cmd::Command;

    fn folder() -> tempfile::TempDir {
        let folder = tempfile::tempdir().unwrap();
        let text = tasking_text("[47.1, 12.5]", 0.5);
        std::fs::write(folder.path().join("tasking.toml"), text).unwrap();
        folder
    }

    fn rehearse(folder: &Path, arguments: &[&str]) -> std::process::Output {
        Command::cargo_bin("overflown")
            .unwrap()
            .current_dir(folder)
            .args(["rehearse", "tasking.toml"])
            .args(arguments)
            .output()
            .unwrap()
    }

    #[test]
    fn writes_the_log_and_the_truth() {
        let folder = folder();
        let all = [
            "--seed",
            "3",
            "--truth",
            "truth.json",
            "--wind",
            "240 T at 12 kt",
            "--rate",
            "0.5",
            "--airspeed",
            "95 kt",
            "--bank",
            "20",
            "--wander",
            "10 m",
            "--skip-leg",
            "6",
            "--cut-leg",
            "5:1NM",
            "--bias",
            "2:100 m left",
            "--extra-after",
            "3",
            "--orbit",
            "1:3NM",
            "--dropout",
            "4:2NM:40s",
            "--excursion",
            "1:2NM:60s",
            "--corner-survey",
            "--start",
            "2026-06-14T09:30:00Z",
        ];
        let output = rehearse(folder.path(), &all);
        assert!(
            output.status.success(),
            "{}",
            String::from_utf8_lossy(&output.stderr)
        );
        let text = String::from_utf8(output.stdout).unwrap();
        for part in [
            "between 3 and 4",
            "leg 6: not flown",
            "silent for 40 s",
            "1 circle",
        ] {
            assert!(text.contains(part), "{text}");
        }
        let log = std::fs::read(folder.path().join("out/Kestrel 1-rehearsal.gpx")).unwrap();
        assert!(String::from_utf8_lossy(&log).contains("<time>2026-06-14T09:30:00Z</time>"));
        let truth = std::fs::read(folder.path().join("truth.json")).unwrap();
        let truth: serde_json::Value = serde_json::from_slice(&truth).unwrap();
        assert_eq!(truth["passes"][1]["bias_m"], -100.0);
        // Again, elsewhere: the same bytes.
        let again = [&all[..], &["--out", "again.gpx"]].concat();
        assert!(rehearse(folder.path(), &again).status.success());
        assert_eq!(std::fs::read(folder.path().join("again.gpx")).unwrap(), log);
    }

    #[test]
    fn refuses_with_a_hint_and_writes_nothing() {
        let folder = folder();
        for (arguments, part) in [
            (["--skip-leg", "9"], "the search legs are 1 to 6"),
            (["--cut-leg", "2:9NM"], "accepted: 0 to 5 NM"),
            (["--rate", "1000"], "to 50 fixes per second"),
            (["--wind", "240 at 12 kt"], "true or magnetic"),
        ] {
            let output = rehearse(folder.path(), &arguments);
            let text = String::from_utf8(output.stderr).unwrap();
            assert_eq!(output.status.code(), Some(2), "{text}");
            assert!(text.contains(part), "{text}");
        }
        // A folder stands where the file should go.
        std::fs::create_dir(folder.path().join("taken.gpx")).unwrap();
        let output = rehearse(folder.path(), &["--out", "taken.gpx"]);
        assert_eq!(output.status.code(), Some(3));
        let names: Vec<_> = std::fs::read_dir(folder.path())
            .unwrap()
            .map(|entry| entry.unwrap().file_name())
            .collect();
        assert_eq!(names.len(), 2, "{names:?}");
    }
}
