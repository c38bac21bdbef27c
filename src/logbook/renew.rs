//! What a review keeps of a sortie, in the form of this version.

use super::Logbook;
use super::add::{put_measures, time};
use super::contents::changed;
use super::fault::{failed, refused};
use super::record::Record;
use crate::input::InputError;
use chrono::{DateTime, Utc};
use rusqlite::params;

impl Logbook {
    /// Numbers of the entries whose record is of an earlier form than `version`.
    ///
    /// # Errors
    /// When the logbook cannot be read.
    pub fn outdated(&self, version: u32) -> Result<Vec<i64>, InputError> {
        let sql = "SELECT id FROM sorties WHERE record_version < ?1 ORDER BY id";
        self.rows(sql, [version], |row| row.get(0))
    }

    /// Puts a record in the place of that of an entry.
    ///
    /// # Errors
    /// When there is no such entry, or the logbook cannot be written; it is left as it was then.
    pub fn renew(&mut self, id: i64, record: &Record, at: DateTime<Utc>) -> Result<(), InputError> {
        self.change(|connection, path| {
            let fault = |error| failed(path, &error);
            let sql = "UPDATE sorties SET record_version = ?2, record = ?3 WHERE id = ?1";
            let changes = connection
                .execute(sql, params![id, record.version, record.json])
                .map_err(fault)?;
            if changes == 0 {
                return Err(refused(
                    path,
                    format!("has no entry {id} any more"),
                    "another program removed it; try again",
                ));
            }
            connection
                .execute("DELETE FROM measures WHERE sortie_id = ?1", [id])
                .map_err(fault)?;
            put_measures(connection, id, record).map_err(fault)?;
            changed(connection, &time(at)).map_err(fault)
        })
    }
}
