//! `debrief.json`: the whole debrief, documented in `docs/report.md`.

use crate::debrief::Debrief;

/// The debrief as JSON with two-space indentation and a final newline.
///
/// # Errors
/// Only if serialisation itself fails, which for this type it does not.
pub fn json(debrief: &Debrief) -> Result<Vec<u8>, serde_json::Error> {
    let mut bytes = serde_json::to_vec_pretty(debrief)?;
    bytes.push(b'\n');
    Ok(bytes)
}
