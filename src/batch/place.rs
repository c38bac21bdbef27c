//! The folder of the results: whose it is for now, and what stands in it beside the result folders.

use crate::report::{OutputError, folder};
use rusqlite::{Connection, ErrorCode, OpenFlags};
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::time::Duration;

/// What is done, and by what.
pub const RECORD: &str = "batch.jsonl";
/// A row for each sortie debriefed.
pub const SUMMARY_CSV: &str = "summary.csv";
/// The same as Parquet.
pub const SUMMARY_PARQUET: &str = "summary.parquet";
/// A row for each sortie that could not be debriefed.
pub const FAILED: &str = "failed.csv";

/// Names that no result folder can have.
pub(super) const OWN: [&str; 4] = [RECORD, SUMMARY_CSV, SUMMARY_PARQUET, FAILED];

/// Where results are put together before they are moved into place. No sortie is called so: names begin with no dot.
const WORK: &str = ".overflown-batch";
/// In it: what tells that a run is on.
const LOCK: &str = "lock";

/// The folder of the results, which no other run has as long as this lives.
#[derive(Debug)]
pub(super) struct Place {
    pub out: PathBuf,
    /// In it results are put together; a run that was broken off leaves half of some there.
    pub work: PathBuf,
    /// In a mutex only so that threads can share what it stands in.
    _lock: Mutex<Connection>,
}

impl Place {
    /// Takes the folder, makes it where there is none, and clears away what a run that was broken off left half done.
    pub fn take(out: &Path) -> Result<Self, OutputError> {
        let work = out.join(WORK);
        std::fs::create_dir_all(&work).map_err(|e| folder::cannot_write(out, e))?;
        let lock = lock(&work.join(LOCK), out)?;
        let entries = std::fs::read_dir(&work).map_err(|e| folder::cannot_write(&work, e))?;
        for entry in entries.filter_map(Result::ok) {
            if entry.file_name() != LOCK {
                let path = entry.path();
                let removed = if path.is_dir() {
                    std::fs::remove_dir_all(&path)
                } else {
                    std::fs::remove_file(&path)
                };
                removed.map_err(|e| folder::cannot_write(&path, e))?;
            }
        }
        let place = Self {
            out: out.to_owned(),
            work,
            _lock: Mutex::new(lock),
        };
        place.no_tables_of_others()?;
        Ok(place)
    }

    pub fn file(&self, name: &str) -> PathBuf {
        self.out.join(name)
    }

    /// Writes a file beside the result folders, whole or not at all.
    pub fn replace(&self, name: &str, bytes: &[u8]) -> Result<PathBuf, OutputError> {
        let path = self.file(name);
        folder::replace_file_by_way_of(&self.work, &path, bytes).map(|()| path)
    }

    /// Without a record tables that are called like ours are those of somebody else.
    fn no_tables_of_others(&self) -> Result<(), OutputError> {
        if self.file(RECORD).exists() {
            return Ok(());
        }
        let foreign = OWN.into_iter().find(|name| self.file(name).exists());
        foreign.map_or(Ok(()), |name| {
            Err(OutputError {
                path: self.file(name),
                problem: "already there, and not of a batch: its record is missing".into(),
                hint: "move that file away, or choose another folder with --out".into(),
                cause: None,
            })
        })
    }
}

/// A lock that goes away with the program, however that ends: one of SQLite, which has them for every system.
fn lock(path: &Path, out: &Path) -> Result<Connection, OutputError> {
    let take = || {
        let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_CREATE;
        let connection = Connection::open_with_flags(path, flags)?;
        connection.busy_timeout(Duration::ZERO)?;
        connection.execute_batch("BEGIN EXCLUSIVE")?;
        Ok(connection)
    };
    take().map_err(|error: rusqlite::Error| match error.sqlite_error_code() {
        Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => OutputError {
            path: out.to_owned(),
            problem: "another run of `overflown batch` is writing there".into(),
            hint: "wait until it is over, or choose another folder with --out".into(),
            cause: None,
        },
        _ => folder::cannot_write(path, io::Error::other(error)),
    })
}
