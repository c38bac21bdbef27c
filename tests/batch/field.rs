//! A folder with logs, taskings and a manifest, and the command run in it.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::sync::OnceLock;
use tempfile::TempDir;

/// Three legs of 2 NM.
const TASKING: &str = r#"sortie = "Wren 1"
date = 2026-06-14
pilot = "Ada Lind"
[pattern]
kind = "parallel sweep"
start = [47.1, 12.5]
first_course = "020 T"
turn = "right"
spacing = "0.5 NM"
leg_length = "2 NM"
legs = 3
[flight]
ground_speed = "90 kt"
altitude = "2500 ft"
[detection]
sweep_width = "0.5 NM"
"#;

/// The tasking, for a sortie called so.
pub fn tasking(sortie: &str) -> String {
    let text = TASKING.replace("Wren 1", sortie);
    assert!(text.contains(sortie));
    text
}

/// Logs of that pattern, the second without its second leg.
fn flown() -> &'static [String; 2] {
    static FLOWN: OnceLock<[String; 2]> = OnceLock::new();
    FLOWN.get_or_init(|| {
        let folder = tempfile::tempdir().unwrap();
        let path = |name: &str| folder.path().join(name);
        std::fs::write(path("tasking.toml"), TASKING).unwrap();
        let fly = |seed: &str, more: &[&str]| {
            let log = path("log.gpx");
            let output = program(folder.path())
                .args(["rehearse", "tasking.toml", "--rate", "0.5", "--seed", seed])
                .args(["--out", "log.gpx"])
                .args(more)
                .output()
                .unwrap();
            assert!(output.status.success(), "{output:?}");
            std::fs::read_to_string(log).unwrap()
        };
        [fly("1", &[]), fly("2", &["--skip-leg", "2"])]
    })
}

/// The log of the `n`th sortie: no two are the same file. That of every third lacks a leg.
pub fn log(n: usize) -> String {
    let log = &flown()[usize::from(n.is_multiple_of(3))];
    format!("{log}<!-- {n} -->\n")
}

fn program(folder: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_overflown"));
    command.current_dir(folder).env("NO_COLOR", "1");
    command.stdin(Stdio::null());
    command
}

pub struct Field {
    folder: TempDir,
}

pub struct Run {
    pub code: i32,
    pub out: String,
    pub err: String,
}

impl From<Output> for Run {
    fn from(output: Output) -> Self {
        let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
        Self {
            code: output.status.code().expect("ended by itself"),
            out: text(output.stdout),
            err: text(output.stderr),
        }
    }
}

/// The name of the `n`th sortie.
pub fn name(n: usize) -> String {
    format!("Wren {n:03}")
}

impl Field {
    pub fn empty() -> Self {
        let folder = tempfile::tempdir().unwrap();
        Self { folder }
    }

    /// With a tasking, `count` logs, and a manifest `m.csv` that gives each sortie a name.
    pub fn with(count: usize) -> Self {
        let field = Self::empty();
        field.put("tasking.toml", &tasking("Wren 1"));
        let mut manifest = "log,tasking,sortie\n".to_owned();
        for n in 1..=count {
            field.put(&format!("log-{n}.gpx"), &log(n));
            manifest.push_str(&format!("log-{n}.gpx,tasking.toml,{}\n", name(n)));
        }
        field.put("m.csv", &manifest);
        field
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub fn put(&self, name: &str, content: &str) {
        let path = self.path(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, content).unwrap();
    }

    pub fn text(&self, name: &str) -> String {
        std::fs::read_to_string(self.path(name)).unwrap()
    }

    /// The program, to be run in this folder.
    pub fn program(&self) -> Command {
        program(self.folder.path())
    }

    /// `overflown batch` with these arguments.
    pub fn command(&self, arguments: &[&str]) -> Command {
        let mut command = self.program();
        command.arg("batch").args(arguments);
        command
    }

    pub fn batch(&self, arguments: &[&str]) -> Run {
        self.command(arguments).output().unwrap().into()
    }

    /// Every file in a folder with its content, whatever depth it lies at.
    pub fn tree(&self, name: &str) -> BTreeMap<PathBuf, Vec<u8>> {
        let root = self.path(name);
        let mut tree = BTreeMap::new();
        let mut folders = vec![root.clone()];
        while let Some(folder) = folders.pop() {
            for entry in std::fs::read_dir(folder).unwrap() {
                let path = entry.unwrap().path();
                if path.is_dir() {
                    folders.push(path);
                } else {
                    let bytes = std::fs::read(&path).unwrap();
                    tree.insert(path.strip_prefix(&root).unwrap().to_owned(), bytes);
                }
            }
        }
        tree
    }

    /// Names of the result folders.
    pub fn results(&self, name: &str) -> Vec<String> {
        let Ok(entries) = std::fs::read_dir(self.path(name)) else {
            return Vec::new();
        };
        let mut names: Vec<String> = entries
            .map(|entry| entry.unwrap())
            .filter(|entry| entry.file_type().unwrap().is_dir())
            .map(|entry| entry.file_name().into_string().unwrap())
            .filter(|name| !name.starts_with('.'))
            .collect();
        names.sort();
        names
    }
}

/// That two trees are the same, without printing megabytes where they are not.
#[track_caller]
pub fn same(a: &BTreeMap<PathBuf, Vec<u8>>, b: &BTreeMap<PathBuf, Vec<u8>>) {
    assert_eq!(a.keys().collect::<Vec<_>>(), b.keys().collect::<Vec<_>>());
    for (path, bytes) in a {
        assert!(b[path] == *bytes, "{} differs", path.display());
    }
}

/// Rows of a CSV file by the names of the columns.
pub fn rows(text: &str) -> Vec<BTreeMap<String, String>> {
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let header = reader.headers().unwrap().clone();
    let row = |row: csv::StringRecord| {
        let cells = header.iter().zip(&row);
        cells.map(|(a, b)| (a.to_owned(), b.to_owned())).collect()
    };
    reader.records().map(|r| row(r.unwrap())).collect()
}
