//! Debriefs made for the logbook, and a place for it.

use crate::support::fly;
use chrono::{DateTime, Utc};
use overflown::debrief::Debrief;
use overflown::input::sha256_hex;
use overflown::logbook::{Added, Adding, Document, Logbook, Record};
use overflown::report::json::json;
use overflown::simulate::Fault;
use rusqlite::Connection;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::sync::OnceLock;
use tempfile::TempDir;

const TASKING: &str = r#"
sortie = "Heron 3"
date = 2026-05-20
pilot = "Ada Lind"
[pattern]
kind = "parallel sweep"
start = [46.4000, 11.2000]
first_course = "015 M"
turn = "right"
spacing = "0.5 NM"
leg_length = "3 NM"
legs = 4
[flight]
ground_speed = "90 kt"
altitude = "3000 ft"
[detection]
sweep_width = "0.5 NM"
"#;

/// Four legs of which the third is not flown.
pub fn flown() -> &'static Debrief {
    static FLOWN: OnceLock<Debrief> = OnceLock::new();
    FLOWN.get_or_init(|| of_log(&fly(TASKING, vec![Fault::SkipLeg(3)], 3).debrief, "log"))
}

/// The debrief as if it rested on another log.
pub fn of_log(debrief: &Debrief, log: &str) -> Debrief {
    let mut debrief = debrief.clone();
    for input in debrief
        .inputs
        .iter_mut()
        .filter(|input| input.role == "track")
    {
        input.sha256 = sha256_hex(log.as_bytes());
    }
    debrief
}

/// The `n`th of many flights, each with a log and a name of its own.
pub fn nth(n: usize) -> Debrief {
    let mut debrief = of_log(flown(), &format!("log {n}"));
    debrief.sortie = format!("Heron {n}");
    debrief
}

pub fn text(debrief: &Debrief) -> String {
    String::from_utf8(json(debrief).unwrap()).unwrap()
}

pub fn document(debrief: &Debrief) -> Document {
    Document::parse(text(debrief), Path::new("debrief.json")).unwrap()
}

pub fn moment() -> DateTime<Utc> {
    "2026-06-01T10:00:00Z".parse().unwrap()
}

pub fn by(pilot: &str) -> Adding<'_> {
    Adding {
        pilot,
        replace: false,
        at: moment(),
    }
}

/// A record with two measures, one of them not known.
pub fn record(value: f64) -> Record {
    Record {
        json: format!("{{\"xte\": {value}}}"),
        version: 7,
        values: vec![("xte_rms_m", Some(value)), ("turn_s", None)],
    }
}

pub struct Place {
    pub folder: TempDir,
    pub file: PathBuf,
}

impl Place {
    pub fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("logbook.gpkg");
        Self { folder, file }
    }

    /// With the first `count` flights in it.
    pub fn with(count: usize) -> Self {
        let place = Self::new();
        let mut logbook = Logbook::open_to_add(&place.file).unwrap();
        for n in 1..=count {
            let added = logbook.add(&document(&nth(n)), &record(n as f64), by("Ada Lind"));
            assert_eq!(added.unwrap(), Added::New(n as i64));
        }
        place
    }

    /// The file as SQLite sees it, without anything of ours.
    pub fn sql(&self) -> Connection {
        Connection::open(&self.file).unwrap()
    }

    pub fn count(&self, table: &str) -> i64 {
        number(&self.sql(), &format!("SELECT count(*) FROM {table}"))
    }

    pub fn bytes(&self) -> Vec<u8> {
        std::fs::read(&self.file).unwrap()
    }

    /// A debrief folder.
    pub fn put(&self, name: &str, debrief: &Debrief) -> PathBuf {
        let folder = self.folder.path().join(name);
        std::fs::create_dir_all(&folder).unwrap();
        std::fs::write(folder.join("debrief.json"), text(debrief)).unwrap();
        folder
    }

    pub fn command(&self, arguments: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_overflown"));
        command
            .current_dir(self.folder.path())
            .arg("logbook")
            .args(arguments);
        command.env("NO_COLOR", "1");
        command
    }

    /// Exit code, standard output and standard error.
    pub fn run(&self, arguments: &[&str]) -> (i32, String, String) {
        ended(&self.command(arguments).output().unwrap())
    }
}

pub fn ended(output: &Output) -> (i32, String, String) {
    let text = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).unwrap();
    let code = output.status.code().expect("ended by itself");
    (code, text(&output.stdout), text(&output.stderr))
}

pub fn number(sql: &Connection, query: &str) -> i64 {
    sql.query_row(query, [], |row| row.get(0)).unwrap()
}

/// Every table with rows of sorties.
pub const TABLES: [&str; 6] = ["sorties", "logs", "measures", "documents", "legs", "tracks"];
