//! Good logs, written by hand and by the line.

use std::io::{Cursor, Write};
use zip::write::{SimpleFileOptions, ZipWriter};

/// A document with one `Track`, whose content begins on line 2.
pub fn kml(track: &str) -> String {
    format!(
        "<kml xmlns=\"http://www.opengis.net/kml/2.2\"><Document><Placemark><name>Mist</name><Track>\n{track}\
         </Track></Placemark></Document></kml>\n"
    )
}

pub fn when(second: u32) -> String {
    format!("<when>2026-05-01T15:04:{second:02}Z</when>\n")
}

pub fn coord(second: u32) -> String {
    format!(
        "<coord>{} 47.5 457.2</coord>\n",
        12.0 + f64::from(second) / 1000.0
    )
}

pub const ABSOLUTE: &str = "<altitudeMode>absolute</altitudeMode>\n";

/// All times first, as the schema of 12-007r2 has it.
pub fn times_first(seconds: std::ops::Range<u32>) -> String {
    let times: String = seconds.clone().map(when).collect();
    times + &seconds.map(coord).collect::<String>()
}

pub fn in_turn(seconds: std::ops::Range<u32>) -> String {
    seconds.map(|s| when(s) + &coord(s)).collect()
}

pub fn archive(files: &[(&str, &[u8])]) -> Vec<u8> {
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, content) in files {
        writer
            .start_file(*name, SimpleFileOptions::default())
            .unwrap();
        writer.write_all(content).unwrap();
    }
    writer.finish().unwrap().into_inner()
}

pub fn line_feature(coordinates: &str, times: &str) -> String {
    format!(
        "{{\"type\": \"Feature\",\n\"properties\": {{\"name\": \"Mist\", \"coordTimes\": [{times}]}},\n\
         \"geometry\": {{\"type\": \"LineString\", \"coordinates\": [\n{coordinates}\n]}}}}\n"
    )
}

pub fn position(second: u32) -> String {
    format!("[{}, 47.5, 457.2]", 12.0 + f64::from(second) / 1000.0)
}

pub fn time(second: u32) -> String {
    format!("\"2026-05-01T15:04:{second:02}Z\"")
}

pub fn list(seconds: impl Iterator<Item = u32>, item: impl Fn(u32) -> String) -> String {
    seconds.map(item).collect::<Vec<_>>().join(",\n")
}

pub fn geojson_line(seconds: std::ops::Range<u32>) -> String {
    line_feature(
        &list(seconds.clone(), position),
        &list(seconds, time).replace('\n', " "),
    )
}

pub fn point_feature(second: u32) -> String {
    format!(
        "{{\"type\": \"Feature\", \"geometry\": {{\"type\": \"Point\", \"coordinates\": {}}}, \
         \"properties\": {{\"time\": {}}}}}",
        position(second),
        time(second)
    )
}
