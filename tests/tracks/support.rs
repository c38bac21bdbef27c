//! Logs written by hand, and the command that reads them.

use assert_cmd::Command;
use serde_json::Value;
use std::fmt::Write as _;
use std::path::PathBuf;
use tempfile::TempDir;

pub struct Folder(TempDir);

impl Folder {
    /// With these files in it.
    pub fn with(files: &[(&str, &str)]) -> Self {
        let folder = tempfile::tempdir().unwrap();
        for (name, content) in files {
            let path = folder.path().join(name);
            std::fs::create_dir_all(path.parent().unwrap()).unwrap();
            std::fs::write(path, content).unwrap();
        }
        Self(folder)
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    /// Exit code, standard output, standard error.
    pub fn run(&self, arguments: &[&str]) -> (i32, String, String) {
        let mut command = Command::new(env!("CARGO_BIN_EXE_overflown"));
        let output = command
            .current_dir(self.0.path())
            .args(arguments)
            .output()
            .unwrap();
        let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
        (
            output.status.code().unwrap(),
            text(output.stdout),
            text(output.stderr),
        )
    }

    /// What `inspect --json` says.
    pub fn inspect(&self, arguments: &[&str]) -> Value {
        let (code, out, err) = self.run(&[&["inspect", "--json"], arguments].concat());
        assert_eq!(code, 0, "{err}");
        serde_json::from_str(&out).unwrap()
    }

    /// That `inspect` refuses the log, with this in its error, and this in its hint.
    pub fn refused(&self, arguments: &[&str], problem: &str, hint: &str) {
        let (code, out, err) = self.run(&[&["inspect"], arguments].concat());
        assert_eq!((code, out.as_str()), (3, ""), "{err}");
        let (said, hinted) = err.split_once("hint:").unwrap();
        assert!(said.contains(problem), "{err}");
        assert!(hinted.contains(hint), "{err}");
    }
}

/// Points a second apart, from a second of 2026-05-01 on, eastwards at 56 m/s; `lat` tells receivers apart.
pub fn points(from_s: u32, count: u32, lat: f64) -> String {
    (from_s..from_s + count).fold(String::new(), |mut text, second| {
        let lon = 12.0 + f64::from(second) * 0.001;
        let (hour, minute, second) = (second / 3600, second / 60 % 60, second % 60);
        writeln!(
            text,
            "<trkpt lat=\"{lat}\" lon=\"{lon:.3}\"><time>2026-05-01T{hour:02}:{minute:02}:{second:02}Z</time></trkpt>"
        )
        .unwrap();
        text
    })
}

/// A GPX file of tracks, a segment each.
pub fn gpx(tracks: &[(&str, String)]) -> String {
    let tracks = tracks.iter().fold(String::new(), |text, (name, points)| {
        format!("{text}<trk><name>{name}</name><trkseg>\n{points}</trkseg></trk>\n")
    });
    format!("<gpx version=\"1.1\">\n{tracks}</gpx>\n")
}
