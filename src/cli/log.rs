//! Reading and cleaning a log that was named on the command line.

use super::CliError;
use crate::input::InputError;
use crate::track::Track;
use crate::track::clean::{CleanSettings, clean};
use crate::track::read::{ReadSettings, read};
use std::path::Path;

/// Reads and cleans the log at `path`; errors name it as it was given.
///
/// # Errors
/// If the log is refused.
pub(super) fn load(
    path: &Path,
    reading: ReadSettings,
    cleaning: &CleanSettings,
) -> Result<Track, CliError> {
    let reading = read(path, reading)?;
    // Cleaning knows the file by its name alone; the user gave the way to it.
    let track = clean(reading, cleaning).map_err(|error| InputError {
        file: path.to_owned(),
        ..error
    })?;
    Ok(track)
}
