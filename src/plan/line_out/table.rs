//! A table of places, with a header that its own reader knows.

use super::super::line_file::Line;
use super::place_name;
use crate::track::formula::guarded;
use csv::{Terminator, WriterBuilder};

pub(super) fn bytes(lines: &[Line], separator: u8) -> Result<Vec<u8>, String> {
    let mut table = WriterBuilder::new()
        .delimiter(separator)
        .terminator(Terminator::CRLF)
        .from_writer(Vec::new());
    let header = ["line_number", "line_name", "lat", "lon", "place_name"];
    table
        .write_record(header)
        .map_err(|error| error.to_string())?;
    for (number, line) in lines.iter().enumerate() {
        let name = line.name.as_deref().unwrap_or_default();
        for (index, place) in line.places.iter().enumerate() {
            let row = [
                (number + 1).to_string(),
                guarded(name).into_owned(),
                place.lat().to_string(),
                place.lon().to_string(),
                guarded(place_name(line, index).unwrap_or_default()).into_owned(),
            ];
            table.write_record(row).map_err(|error| error.to_string())?;
        }
    }
    table.into_inner().map_err(|error| error.to_string())
}
