//! The sorties as given on the command line.

use super::super::debrief::debriefed;
use super::super::{CliError, Printer};
use super::ReflyArgs;
use crate::input::InputError;
use crate::search::Sortie;
use std::path::{Path, PathBuf};

/// The file of a debrief that a search reads.
const DEBRIEF: &str = "debrief.json";

/// Reads every sortie, debriefing those that are given as a log and a tasking.
pub(super) fn sorties(args: &ReflyArgs, printer: &Printer) -> Result<Vec<Sortie>, CliError> {
    let mut sorties = Vec::new();
    for path in &args.sorties {
        sorties.push(match named(path)? {
            Named::Debrief(file) => Sortie::read(&file)?,
            Named::Pair(track, tasking) => debrief(&track, &tasking, args, printer)?,
        });
    }
    for pair in args.pair.chunks_exact(2) {
        sorties.push(debrief(&pair[0], &pair[1], args, printer)?);
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
    Pair(PathBuf, PathBuf),
}

/// What a path stands for.
fn named(path: &Path) -> Result<Named, InputError> {
    if !path.is_dir() {
        return Ok(Named::Debrief(path.to_owned()));
    }
    let debrief = path.join(DEBRIEF);
    if debrief.is_file() {
        return Ok(Named::Debrief(debrief));
    }
    let ending = |ending: &str| -> Result<Vec<PathBuf>, InputError> {
        Ok(entries(path)?
            .into_iter()
            .filter(|entry| {
                entry
                    .extension()
                    .is_some_and(|e| e.eq_ignore_ascii_case(ending))
            })
            .collect())
    };
    match (ending("gpx")?.as_slice(), ending("toml")?.as_slice()) {
        ([track], [tasking]) => Ok(Named::Pair(track.clone(), tasking.clone())),
        (tracks, taskings) => Err(InputError::new(
            path,
            None,
            format!(
                "holds no {DEBRIEF}, and not one track log and one tasking ({} .gpx, {} .toml)",
                tracks.len(),
                taskings.len()
            ),
            "name a debrief folder, or give the two with --pair TRACK TASKING",
        )),
    }
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
    track: &PathBuf,
    tasking: &Path,
    args: &ReflyArgs,
    printer: &Printer,
) -> Result<Sortie, CliError> {
    let files = std::slice::from_ref(track);
    let debrief = debriefed((files, None), &args.reading, tasking, printer)?;
    let mut sortie = Sortie::of(&debrief).map_err(|error| {
        CliError::Input(InputError::new(
            track,
            None,
            format!("its debrief cannot be taken into a search: {error}"),
            "this is a fault of the program; please report it with the log and the tasking",
        ))
    })?;
    track.clone_into(&mut sortie.file);
    Ok(sortie)
}
