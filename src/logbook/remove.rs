//! Entries out of the logbook.

use super::Logbook;
use super::add::time;
use super::contents::{changed, measure_bounds};
use super::fault::{failed, refused};
use crate::input::InputError;
use chrono::{DateTime, Utc};
use rusqlite::Connection;

/// Tables with rows of a sortie; the sortie itself comes last.
const WITH_ROWS: [(&str, &str); 6] = [
    ("logs", "sortie_id"),
    ("measures", "sortie_id"),
    ("documents", "sortie_id"),
    ("legs", "sortie_id"),
    ("tracks", "sortie_id"),
    ("sorties", "id"),
];

/// Deletes an entry with all that belongs to it; how many there were of it, 0 or 1.
pub(super) fn delete(connection: &Connection, id: i64) -> rusqlite::Result<usize> {
    let mut deleted = 0;
    for (table, column) in WITH_ROWS {
        let sql = format!("DELETE FROM {table} WHERE {column} = ?1");
        deleted = connection.prepare_cached(&sql)?.execute([id])?;
    }
    Ok(deleted)
}

impl Logbook {
    /// Removes entries by their numbers, all or none. What they held is overwritten in the file.
    ///
    /// # Errors
    /// When there is no entry of one of the numbers, or the logbook cannot be written.
    pub fn remove(&mut self, numbers: &[i64], at: DateTime<Utc>) -> Result<(), InputError> {
        let path = self.path.clone();
        // Who asks for an entry to go does not want it to stay readable in pages that are merely free.
        self.connection
            .pragma_update(None, "secure_delete", true)
            .map_err(|error| failed(&path, &error))?;
        self.change(|connection, path| {
            let fault = |error| failed(path, &error);
            let mut numbers = numbers.to_vec();
            numbers.sort_unstable();
            numbers.dedup();
            for number in numbers {
                if delete(connection, number).map_err(fault)? == 0 {
                    return Err(refused(
                        path,
                        format!("has no entry {number}"),
                        "`overflown logbook list` shows the numbers; nothing was removed",
                    ));
                }
            }
            measure_bounds(connection).map_err(fault)?;
            changed(connection, &time(at)).map_err(fault)
        })
    }
}
