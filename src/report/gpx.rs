//! `refly.gpx`: the holes as a route to fly.

use crate::debrief::Debrief;
use crate::plan::route_file;

/// A GPX 1.1 route over the holes; a route without points where there are none.
///
/// # Errors
/// Only if the XML writer itself fails, which on memory it does not.
pub fn refly_gpx(debrief: &Debrief) -> Result<Vec<u8>, gpx::errors::GpxError> {
    let count = debrief.refly.legs.len();
    let description = match count {
        0 => "nothing to fly again".to_owned(),
        _ => format!(
            "{count} legs over the holes of sortie {}; not for navigation, to be checked by the crew",
            debrief.sortie
        ),
    };
    let name = format!("{} re-fly", debrief.sortie);
    route_file::to_gpx(&name, &description, &debrief.refly.route_points())
}
