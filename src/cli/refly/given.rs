//! The sorties as given on the command line.

use super::super::debrief::Flight;
use super::super::log::all_called;
use super::super::{CliError, Printer};
use super::ReflyArgs;
use crate::input::InputError;
use crate::measure::Kept;
use crate::report::format::counted;
use crate::search::Sortie;
use crate::track::read::{ReadSettings, read};
use std::path::{Path, PathBuf};

/// The file of a debrief that a search reads.
const DEBRIEF: &str = "debrief.json";

/// Reads every sortie, debriefing those that are given as a log and a tasking.
pub(super) fn sorties(args: &ReflyArgs, printer: &Printer) -> Result<Vec<Sortie>, CliError> {
    let mut sorties = Vec::new();
    for path in &args.sorties {
        sorties.push(match named(path, args.reading.spreads_times())? {
            Named::Debrief(file) => Sortie::read(&file)?,
            Named::Pair(logs, tasking) => debrief(&logs, &tasking, args, printer)?,
        });
    }
    for pair in args.pair.chunks_exact(2) {
        sorties.push(debrief(&pair[..1], &pair[1], args, printer)?);
    }
    if let Some(folder) = &args.dir {
        for file in debriefs_in(folder)? {
            sorties.push(Sortie::read(&file)?);
        }
    }
    Ok(sorties)
}

enum Named {
    Debrief(PathBuf),
    /// The logs of one flight and their tasking.
    Pair(Vec<PathBuf>, PathBuf),
}

/// What a path stands for; where that is asked for, lines with a span of time are logs as well.
fn named(path: &Path, spread_times: bool) -> Result<Named, InputError> {
    if !path.is_dir() {
        return Ok(Named::Debrief(path.to_owned()));
    }
    let debrief = path.join(DEBRIEF);
    if debrief.is_file() {
        return Ok(Named::Debrief(debrief));
    }
    let (taskings, others): (Vec<PathBuf>, Vec<PathBuf>) =
        entries(path)?.into_iter().partition(|entry| {
            let ending = entry.extension();
            ending.is_some_and(|ending| ending.eq_ignore_ascii_case("toml"))
        });
    let logs = |spread_times| -> Vec<PathBuf> {
        let logs = others.iter().filter(|file| is_log(file, spread_times));
        logs.cloned().collect()
    };
    let logs = match logs(spread_times) {
        // That it was not asked for is said when they are read for good.
        none if none.is_empty() => logs(true),
        logs => logs,
    };
    match (logs.as_slice(), taskings.as_slice()) {
        ([_, ..], [tasking]) => Ok(Named::Pair(logs, tasking.clone())),
        _ => Err(InputError::new(
            path,
            None,
            format!(
                "holds no {DEBRIEF}, and not the track logs of one flight and one tasking ({}, {} .toml)",
                counted(logs.len(), "track log"),
                taskings.len()
            ),
            "name a debrief folder, or give a log and its tasking with --pair TRACK TASKING",
        )),
    }
}

/// Whether a file holds a recorded track, by its content. One that breaks off does: what is wrong with it is
/// said when it is read for good.
fn is_log(file: &Path, spread_times: bool) -> bool {
    let settings = ReadSettings {
        salvage: true,
        spread_times,
        ..ReadSettings::default()
    };
    file.is_file() && read(file, settings).is_ok()
}

fn debriefs_in(folder: &Path) -> Result<Vec<PathBuf>, InputError> {
    let found: Vec<PathBuf> = entries(folder)?
        .into_iter()
        .map(|entry| entry.join(DEBRIEF))
        .filter(|file| file.is_file())
        .collect();
    if found.is_empty() {
        return Err(InputError::new(
            folder,
            None,
            "holds no debrief folder",
            "name the folder in which `overflown debrief` made its result folders, such as out",
        ));
    }
    Ok(found)
}

/// What is in a folder, in the order of names.
fn entries(folder: &Path) -> Result<Vec<PathBuf>, InputError> {
    let cannot = |error: std::io::Error| {
        InputError::new(
            folder,
            None,
            format!("cannot be read: {error}"),
            "name a folder that can be read",
        )
    };
    let mut entries = std::fs::read_dir(folder)
        .map_err(cannot)?
        .map(|entry| entry.map(|entry| entry.path()))
        .collect::<Result<Vec<_>, _>>()
        .map_err(cannot)?;
    entries.sort();
    Ok(entries)
}

fn debrief(
    logs: &[PathBuf],
    tasking: &Path,
    args: &ReflyArgs,
    printer: &Printer,
) -> Result<Sortie, CliError> {
    let flight = Flight {
        files: logs,
        reading: &args.reading,
        terrain: None,
        sortie: None,
        pilot: None,
        kept: Kept::Drawn,
    };
    let debrief = flight.debriefed(tasking, printer)?;
    let mut sortie = Sortie::of(&debrief).map_err(|error| {
        CliError::Input(InputError::new(
            &all_called(logs),
            None,
            format!("its debrief cannot be taken into a search: {error}"),
            "this is a fault of the program; please report it with the log and the tasking",
        ))
    })?;
    sortie.file = all_called(logs);
    Ok(sortie)
}
