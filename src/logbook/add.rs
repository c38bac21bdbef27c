//! A debrief into the logbook, whole or not at all.

use super::contents::{changed, measure_bounds, widen};
use super::document::Document;
use super::fault::{failed, refused};
use super::geometry::{Bounds, line};
use super::record::Record;
use super::{Logbook, remove};
use crate::characters::{PERSON_NAMES, is_person_name};
use crate::input::InputError;
use crate::tasking::quantity::shown;
use chrono::{DateTime, SecondsFormat, Utc};
use rusqlite::{Connection, params};

/// How a debrief is added.
#[derive(Clone, Copy, Debug)]
pub struct Adding<'a> {
    /// Who flew.
    pub pilot: &'a str,
    /// Takes the place of what is there of the same flight.
    pub replace: bool,
    /// When it is added, for the file itself.
    pub at: DateTime<Utc>,
}

/// What became of a debrief.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Added {
    /// It is a new entry, with this number.
    New(i64),
    /// It is entry `number` now, in the place of those of the same flight.
    Replaced {
        /// Its number: the lowest of those replaced.
        number: i64,
        /// Numbers of the entries that went away.
        went: Vec<i64>,
    },
    /// It is there already, as it is, with this number.
    There(i64),
}

/// An entry of the same flight.
struct Same {
    id: i64,
    sortie: String,
    pilot: String,
    inputs_sha256: String,
    debrief_sha256: String,
}

impl Logbook {
    /// Adds a debrief, with what a review keeps of it. The same flight is one that rests on the same track log, in whole or
    /// in part, and searched at the same time, whatever files and folders are called.
    ///
    /// # Errors
    /// When the flight is there already with another debrief or pilot and is not to be replaced, when the pilot's
    /// name cannot be one, or the logbook cannot be written; it is left as it was then.
    pub fn add(
        &mut self,
        document: &Document,
        record: &Record,
        how: Adding<'_>,
    ) -> Result<Added, InputError> {
        let pilot = how.pilot.trim();
        let hint = "this is a fault of the program; please report it with the debrief";
        if !is_person_name(pilot) {
            let problem = format!("{} cannot be the name of a pilot", shown(pilot));
            return Err(refused(document.file(), problem, PERSON_NAMES));
        }
        let mut values = record.values.iter();
        if let Some((name, _)) = values.find(|(_, value)| value.is_some_and(|v| !v.is_finite())) {
            let problem = format!("its measure {name} is no finite number");
            return Err(refused(document.file(), problem, hint));
        }
        let deflated = document.deflated().map_err(|error| {
            refused(document.file(), format!("cannot be packed: {error}"), hint)
        })?;
        self.change(|connection, path| {
            let fault = |error| failed(path, &error);
            let same = same_flight(connection, document).map_err(fault)?;
            let at = time(how.at);
            if !same.is_empty() && !how.replace {
                return there(document, pilot, &same);
            }
            let went: Vec<i64> = same.iter().map(|entry| entry.id).collect();
            let put = || {
                for id in &went {
                    remove::delete(connection, *id)?;
                }
                let id = put_sortie(connection, document, (pilot, &at), record, went.first())?;
                put_parts(connection, id, document, record, &deflated)?;
                if !went.is_empty() {
                    measure_bounds(connection)?;
                }
                changed(connection, &at)?;
                Ok(id)
            };
            let number = put().map_err(fault)?;
            Ok(if went.is_empty() {
                Added::New(number)
            } else {
                Added::Replaced { number, went }
            })
        })
    }
}

/// UTC to the millisecond, always as many characters, so that the order of the texts is that of the times.
pub(super) fn time(at: DateTime<Utc>) -> String {
    at.to_rfc3339_opts(SecondsFormat::Millis, true)
}

/// Entries that rest on one of the logs of a debrief and searched while it did, by their numbers.
fn same_flight(connection: &Connection, document: &Document) -> rusqlite::Result<Vec<Same>> {
    let sql = "SELECT s.id, s.sortie, s.pilot, s.inputs_sha256, s.debrief_sha256 FROM logs l JOIN sorties s ON s.id = l.sortie_id \
               WHERE l.sha256 = ?1 AND s.started < ?3 AND ?2 < s.ended";
    let mut query = connection.prepare_cached(sql)?;
    let window = document.sortie.area_time;
    let mut same: Vec<Same> = Vec::new();
    for log in document.logs() {
        let rows = query.query_map(params![log, time(window.from), time(window.to)], |row| {
            Ok(Same {
                id: row.get(0)?,
                sortie: row.get(1)?,
                pilot: row.get(2)?,
                inputs_sha256: row.get(3)?,
                debrief_sha256: row.get(4)?,
            })
        })?;
        for entry in rows {
            same.push(entry?);
        }
    }
    same.sort_by_key(|entry| entry.id);
    same.dedup_by_key(|entry| entry.id);
    Ok(same)
}

/// What is said of a flight that is there already.
fn there(document: &Document, pilot: &str, same: &[Same]) -> Result<Added, InputError> {
    if let [entry] = same
        && entry.debrief_sha256 == document.sha256()
        && entry.pilot == pilot
    {
        return Ok(Added::There(entry.id));
    }
    let inputs = document.inputs_sha256();
    let entries: Vec<String> = same
        .iter()
        .map(|entry| {
            let differs = if entry.inputs_sha256 != inputs {
                "debriefed with another tasking or other files"
            } else if entry.debrief_sha256 != document.sha256() {
                "debriefed from the same files by another version or with other options"
            } else {
                "the same debrief with another pilot"
            };
            let (sortie, pilot) = (shown(&entry.sortie), shown(&entry.pilot));
            format!("entry {} ({sortie}, pilot {pilot}): {differs}", entry.id)
        })
        .collect();
    Err(refused(
        document.file(),
        format!(
            "its flight is in the logbook already, as {}",
            entries.join("; ")
        ),
        "add --replace to put this debrief in its place",
    ))
}

fn put_sortie(
    connection: &Connection,
    document: &Document,
    (pilot, at): (&str, &str),
    record: &Record,
    id: Option<&i64>,
) -> rusqlite::Result<i64> {
    let sql = "INSERT INTO sorties (id, sortie, pilot, date, started, ended, pattern, planned_legs, inputs_sha256, \
               debrief_sha256, program_version, added_at, record_version, record) \
               VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14)";
    let sortie = &document.sortie;
    connection.prepare_cached(sql)?.insert(params![
        id,
        sortie.name,
        pilot,
        sortie.date.to_string(),
        time(sortie.area_time.from),
        time(sortie.area_time.to),
        sortie.plan.pattern.key(),
        sortie.legs.len() as i64,
        document.inputs_sha256(),
        document.sha256(),
        document.legs.version,
        at,
        record.version,
        record.json,
    ])
}

fn put_parts(
    connection: &Connection,
    id: i64,
    document: &Document,
    record: &Record,
    deflated: &[u8],
) -> rusqlite::Result<()> {
    let mut log =
        connection.prepare_cached("INSERT INTO logs (sha256, sortie_id) VALUES (?1, ?2)")?;
    for sha256 in document.logs() {
        log.execute(params![sha256, id])?;
    }
    put_measures(connection, id, record)?;
    let sql = "INSERT INTO documents (sortie_id, bytes, deflated) VALUES (?1, ?2, ?3)";
    let mut kept = connection.prepare_cached(sql)?;
    kept.execute(params![id, document.text.len() as i64, deflated])?;
    put_lines(connection, id, document)
}

pub(super) fn put_measures(
    connection: &Connection,
    id: i64,
    record: &Record,
) -> rusqlite::Result<()> {
    let sql = "INSERT INTO measures (sortie_id, measure, value) VALUES (?1, ?2, ?3)";
    let mut measure = connection.prepare_cached(sql)?;
    for (name, value) in &record.values {
        measure.execute(params![id, name, value])?;
    }
    Ok(())
}

fn put_lines(connection: &Connection, id: i64, document: &Document) -> rusqlite::Result<()> {
    let sql = "INSERT INTO legs (geom, sortie_id, leg, state, flown_share, unrecorded_share, passes, xte_mean_m, xte_sd_m, \
               xte_p95_m, within_tolerance, crosswind_mps) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12)";
    let mut put = connection.prepare_cached(sql)?;
    let mut bounds: [Option<Bounds>; 2] = [None, None];
    let mut blob = |layer: usize, places: &[crate::geodesy::Position]| {
        let (blob, own) = line(places)?;
        bounds[layer] = Some(bounds[layer].map_or(own, |all| all.with(own)));
        Some(blob)
    };
    for (planned, leg) in document.search_legs() {
        let xte = leg.tracking;
        put.execute(params![
            blob(0, &[planned.start, planned.end]),
            id,
            leg.leg,
            leg.state,
            leg.flown_share,
            leg.unrecorded_share,
            leg.passes.len() as i64,
            xte.map(|xte| xte.xte_mean_m),
            xte.map(|xte| xte.xte_sd_m),
            xte.map(|xte| xte.xte_p95_m),
            xte.map(|xte| xte.within_tolerance),
            document.legs.crosswind_mps(leg),
        ])?;
    }
    let sql = "INSERT INTO tracks (geom, sortie_id, phase, leg) VALUES (?1, ?2, ?3, ?4)";
    let mut put = connection.prepare_cached(sql)?;
    for piece in &document.legs.track {
        put.execute(params![blob(1, &piece.line), id, piece.phase, piece.leg])?;
    }
    for (table, bounds) in super::contents::WITH_LINES.iter().zip(bounds) {
        if let Some(bounds) = bounds {
            widen(connection, table, bounds)?;
        }
    }
    Ok(())
}
