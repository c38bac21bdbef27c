//! A folder with a tasking and simulated logs, and the command run in it.

use assert_cmd::Command;
use serde_json::Value;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use tempfile::TempDir;

/// Five legs of 4 NM at half a mile, laid by magnetic course.
pub const TASKING: &str = r#"sortie = "Teal 4"
date = 2026-06-14

[pattern]
kind = "parallel sweep"
start = [47.1, 12.5]
first_course = "020 M"
turn = "right"
spacing = "0.5 NM"
leg_length = "4 NM"
legs = 5

[flight]
ground_speed = "90 kt"
altitude = "2500 ft"
base = [47.05, 12.4]

[detection]
sweep_width = "0.5 NM"
"#;

/// All files of a debrief with nothing to fly again.
pub const FILES: [&str; 8] = [
    "debrief.json",
    "heatmap.png",
    "legs.csv",
    "refly.gpx",
    "report.html",
    "report.txt",
    "strips.geojson",
    "xte.png",
];

pub struct Folder {
    folder: TempDir,
}

/// How a run ended.
pub struct Run {
    pub code: i32,
    pub out: String,
    pub err: String,
}

impl Folder {
    /// With `tasking.toml` in it.
    pub fn new() -> Self {
        let folder = Self {
            folder: tempfile::tempdir().unwrap(),
        };
        folder.put("tasking.toml", TASKING);
        folder
    }

    /// With `log.gpx` beside the tasking, flown with these faults.
    pub fn flown(faults: &[&str]) -> Self {
        let folder = Self::new();
        folder.rehearse("log.gpx", faults);
        folder
    }

    pub fn rehearse(&self, log: &str, faults: &[&str]) {
        let run = self.run(&[&["rehearse", "tasking.toml", "--out", log], faults].concat());
        assert_eq!(run.code, 0, "{}", run.err);
    }

    pub fn path(&self) -> &Path {
        self.folder.path()
    }

    pub fn put(&self, name: &str, content: impl AsRef<[u8]>) -> PathBuf {
        let path = self.path().join(name);
        std::fs::write(&path, content).unwrap();
        path
    }

    pub fn text(&self, name: &str) -> String {
        std::fs::read_to_string(self.path().join(name)).unwrap()
    }

    pub fn json(&self, name: &str) -> Value {
        serde_json::from_str(&self.text(name)).unwrap()
    }

    /// Names in a folder, sorted; none where it is not there.
    pub fn names(&self, name: &str) -> Vec<String> {
        let Ok(entries) = std::fs::read_dir(self.path().join(name)) else {
            return Vec::new();
        };
        let mut names: Vec<String> = entries
            .map(|entry| entry.unwrap().file_name().into_string().unwrap())
            .collect();
        names.sort();
        names
    }

    /// Every file of a result folder.
    pub fn results(&self, name: &str) -> BTreeMap<String, Vec<u8>> {
        let read = |file: &String| std::fs::read(self.path().join(name).join(file)).unwrap();
        self.names(name)
            .into_iter()
            .map(|file| (file.clone(), read(&file)))
            .collect()
    }

    pub fn run(&self, arguments: &[&str]) -> Run {
        self.run_with(arguments, &[])
    }

    /// Runs the command here, with these variables and none that bear on colour.
    pub fn run_with(&self, arguments: &[&str], variables: &[(&str, &str)]) -> Run {
        let mut command = Command::new(env!("CARGO_BIN_EXE_overflown"));
        for name in [
            "NO_COLOR",
            "CLICOLOR",
            "CLICOLOR_FORCE",
            "RAYON_NUM_THREADS",
        ] {
            command.env_remove(name);
        }
        let output = command
            .current_dir(self.path())
            .args(arguments)
            .envs(variables.iter().copied())
            .output()
            .unwrap();
        let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
        Run {
            code: output.status.code().expect("ended by itself"),
            out: text(output.stdout),
            err: text(output.stderr),
        }
    }

    /// Debriefs `log.gpx` into `out`.
    pub fn debrief(&self, more: &[&str]) -> Run {
        self.run(&[&["debrief", "log.gpx", "--tasking", "tasking.toml"], more].concat())
    }
}
