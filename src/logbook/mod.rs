//! Debriefs kept for training reviews, in one file.
//!
//! ```text
//! debrief.json ─document→ checked ─add→ sorties, measures, legs, tracks, the document itself ─read→ entries, values
//! ```
//!
//! The file is a GeoPackage (OGC 12-128r19, version 1.4): an SQLite database that other programs open as well. Its tables are
//! described in `docs/logbook.md`. It keeps its journal beside it while it is written (not a write-ahead log, which readers
//! of GeoPackages on media without writing cannot have), so that every entry is there whole or not at all. What is
//! read from it may have been changed by other programs and is checked like any other input.

mod add;
mod contents;
mod document;
mod fault;
mod geometry;
mod pilots;
mod places;
mod read;
mod record;
mod remove;
mod renew;
mod schema;

pub use add::{Added, Adding};
pub use document::Document;
pub use read::{Entry, Filter, LegEntry, Values};
pub use record::Record;
pub use schema::VERSION;

use crate::input::InputError;
use fault::{NAME_ANOTHER, failed, refused};
use rusqlite::config::DbConfig;
use rusqlite::{Connection, OpenFlags, Transaction, TransactionBehavior};
use schema::Held;
use std::path::{Path, PathBuf};
use std::time::Duration;

/// How long another program that writes is waited for. Chosen: adding a sortie takes milliseconds.
const PATIENCE: Duration = Duration::from_secs(5);

/// A logbook, open.
#[derive(Debug)]
pub struct Logbook {
    path: PathBuf,
    connection: Connection,
}

impl Logbook {
    /// Opens a logbook to read it. One of an older version is brought up to this one first.
    ///
    /// # Errors
    /// When there is none, or the file is no logbook, one of a newer version, or damaged.
    pub fn open(path: &Path) -> Result<Self, InputError> {
        let logbook = Self::connect(path, OpenFlags::SQLITE_OPEN_READ_ONLY)?;
        match schema::held(&logbook.connection, path)? {
            Held::Nothing => Err(refused(path, "is empty, and so no logbook", NAME_ANOTHER)),
            Held::Version(VERSION) => Ok(logbook),
            Held::Version(_) => Self::open_to_change(path),
        }
    }

    /// Opens a logbook that is there to change it.
    ///
    /// # Errors
    /// As [`open`](Self::open) has them, and when it cannot be written.
    pub fn open_to_change(path: &Path) -> Result<Self, InputError> {
        let mut logbook = Self::connect(path, OpenFlags::SQLITE_OPEN_READ_WRITE)?;
        match schema::held(&logbook.connection, path)? {
            Held::Nothing => {
                return Err(refused(path, "is empty, and so no logbook", NAME_ANOTHER));
            }
            Held::Version(VERSION) => {}
            Held::Version(_) => logbook.change(|_, _| Ok(()))?,
        }
        Ok(logbook)
    }

    /// Opens a logbook to add to it. Where there is no file, or an empty one, the first sortie that is added makes it.
    ///
    /// # Errors
    /// When the file is no logbook, one of a newer version, or damaged, or cannot be opened.
    pub fn open_to_add(path: &Path) -> Result<Self, InputError> {
        if path.exists() {
            let logbook = Self::connect(path, OpenFlags::SQLITE_OPEN_READ_WRITE)?;
            schema::held(&logbook.connection, path)?;
            return Ok(logbook);
        }
        let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_CREATE;
        Self::connect(path, flags)
    }

    /// Whether what is at a place can be added to: a logbook, an empty file, or nothing yet. Makes no file.
    ///
    /// # Errors
    /// As [`open_to_add`](Self::open_to_add) has them.
    pub fn can_be_added_to(path: &Path) -> Result<(), InputError> {
        if path.exists() {
            let logbook = Self::connect(path, OpenFlags::SQLITE_OPEN_READ_ONLY)?;
            schema::held(&logbook.connection, path)?;
        }
        Ok(())
    }

    /// The file.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }

    fn connect(path: &Path, flags: OpenFlags) -> Result<Self, InputError> {
        let creates = flags.contains(OpenFlags::SQLITE_OPEN_CREATE);
        match std::fs::metadata(path) {
            Ok(there) if !there.is_file() => {
                return Err(refused(path, "is no logbook: it is no file", NAME_ANOTHER));
            }
            Err(error) if !creates => {
                return Err(refused(
                    path,
                    format!("cannot be opened: {error}"),
                    NAME_ANOTHER,
                ));
            }
            _ => {}
        }
        let open = || {
            let flags = flags | OpenFlags::SQLITE_OPEN_NO_MUTEX;
            let connection = Connection::open_with_flags(path, flags)?;
            connection.busy_timeout(PATIENCE)?;
            // What a schema made to do harm could do is switched off, and pages are checked as they are read.
            connection.set_db_config(DbConfig::SQLITE_DBCONFIG_DEFENSIVE, true)?;
            connection.set_db_config(DbConfig::SQLITE_DBCONFIG_TRUSTED_SCHEMA, false)?;
            connection.pragma_update(None, "cell_size_check", true)?;
            connection.pragma_update(None, "foreign_keys", true)?;
            places::register(&connection)?;
            Ok(connection)
        };
        let connection = open().map_err(|error| failed(path, &error))?;
        let path = path.to_owned();
        Ok(Self { path, connection })
    }

    /// Changes the logbook by `work`, wholly or not at all, with its tables brought up to this version before.
    fn change<T>(
        &mut self,
        work: impl FnOnce(&Transaction<'_>, &Path) -> Result<T, InputError>,
    ) -> Result<T, InputError> {
        let path = &self.path;
        let fault = |error| failed(path, &error);
        let transaction = self
            .connection
            .transaction_with_behavior(TransactionBehavior::Immediate)
            .map_err(fault)?;
        schema::bring_up(&transaction, path)?;
        let result = work(&transaction, path)?;
        transaction.commit().map_err(fault)?;
        Ok(result)
    }
}
