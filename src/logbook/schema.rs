//! The tables of a logbook and their versions.
//!
//! A GeoPackage (OGC 12-128r19) tells its own version by `user_version`; that of the logbook's tables stands in
//! `logbook_version`. A new logbook goes through the same steps as one of an older version, so that there is one way to
//! each version.

use super::document::{Legs, inflated};
use super::fault::{NAME_ANOTHER, RESTORE, failed, refused};
use crate::input::InputError;
use rusqlite::{Connection, Transaction, params};
use std::path::Path;

/// `application_id` of a GeoPackage: "GPKG".
const GEOPACKAGE: i32 = 0x4750_4B47;
/// `user_version` of GeoPackage 1.4.0.
const GEOPACKAGE_VERSION: i32 = 10_400;

type Step = fn(&Transaction<'_>, &Path) -> Result<(), InputError>;

/// The step to each version, from nothing to 1, from 1 to 2.
const STEPS: [Step; 2] = [first, with_crosswind];

/// The version that this program reads and writes.
pub const VERSION: usize = STEPS.len();

/// What a database holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Held {
    /// No table at all.
    Nothing,
    /// The tables of a version up to [`VERSION`].
    Version(usize),
}

/// What a database holds.
///
/// # Errors
/// When it is no logbook, or one of a newer version.
pub(super) fn held(connection: &Connection, path: &Path) -> Result<Held, InputError> {
    let number = |sql: &str| connection.query_row(sql, [], |row| row.get::<_, i64>(0));
    let of = |sql: &str| number(sql).map_err(|error| failed(path, &error));
    if of("SELECT count(*) FROM sqlite_schema")? == 0 {
        return Ok(Held::Nothing);
    }
    let own =
        "SELECT count(*) FROM sqlite_schema WHERE type = 'table' AND name = 'logbook_version'";
    if of(own)? == 0 {
        let what = if of("PRAGMA application_id")? == i64::from(GEOPACKAGE) {
            "a GeoPackage, but no logbook"
        } else {
            "an SQLite database, but no logbook"
        };
        let problem = format!("is {what}: it has no table `logbook_version`");
        return Err(refused(path, problem, NAME_ANOTHER));
    }
    let version = number("SELECT version FROM logbook_version")
        .map_err(|error| refused(path, format!("tells no version: {error}"), RESTORE))?;
    match usize::try_from(version) {
        Ok(version @ 1..=VERSION) => Ok(Held::Version(version)),
        Ok(version) if version > VERSION => Err(refused(
            path,
            format!("is of version {version}; this program knows versions up to {VERSION}"),
            "use the version of the program that wrote it, or a newer one",
        )),
        _ => Err(refused(
            path,
            format!("is of version {version}, which no program writes"),
            RESTORE,
        )),
    }
}

/// Brings the tables to [`VERSION`], from whatever version they are of, or none.
pub(super) fn bring_up(transaction: &Transaction<'_>, path: &Path) -> Result<(), InputError> {
    let from = match held(transaction, path)? {
        Held::Nothing => 0,
        Held::Version(version) => version,
    };
    STEPS[from..]
        .iter()
        .try_for_each(|step| step(transaction, path))
}

fn first(transaction: &Transaction<'_>, path: &Path) -> Result<(), InputError> {
    let made = || {
        transaction.pragma_update(None, "application_id", GEOPACKAGE)?;
        transaction.pragma_update(None, "user_version", GEOPACKAGE_VERSION)?;
        transaction.execute_batch(include_str!("version_1.sql"))
    };
    made().map_err(|error| failed(path, &error))
}

fn with_crosswind(transaction: &Transaction<'_>, path: &Path) -> Result<(), InputError> {
    let fault = |error| failed(path, &error);
    transaction
        .execute_batch(include_str!("version_2.sql"))
        .map_err(fault)?;
    let ids: Vec<i64> = transaction
        .prepare("SELECT id FROM sorties ORDER BY id")
        .and_then(|mut query| query.query_map([], |row| row.get(0))?.collect())
        .map_err(fault)?;
    let mut update = transaction
        .prepare("UPDATE legs SET crosswind_mps = ?1 WHERE sortie_id = ?2 AND leg = ?3")
        .map_err(fault)?;
    for id in ids {
        let legs = Legs::parse(&inflated(transaction, path, id)?, path)?;
        for leg in &legs.legs {
            update
                .execute(params![legs.crosswind_mps(leg), id, leg.leg])
                .map_err(fault)?;
        }
    }
    Ok(())
}
