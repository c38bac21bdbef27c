//! `debrief.json`: the whole debrief, documented in `docs/report.md`.

use crate::debrief::Debrief;
use crate::debrief::seal::sealed;

/// The debrief as JSON with two-space indentation, its seal and a final newline.
///
/// # Errors
/// Only if serialisation itself fails, which for this type it does not.
pub fn json(debrief: &Debrief) -> Result<Vec<u8>, serde_json::Error> {
    Ok(sealed(&serde_json::to_string_pretty(debrief)?).into_bytes())
}
