//! `LineString`s of KML 2.2 (OGC 07-147r2), a `Placemark` each.

use super::super::line_file::Line;
use crate::track::write::xml::{
    close_line, declaration, element_line, line_feed, open_line, open_with,
};
use quick_xml::Writer;
use std::io;

pub(super) fn bytes(lines: &[Line]) -> io::Result<Vec<u8>> {
    let mut xml = Writer::new(Vec::new());
    declaration(&mut xml)?;
    let attributes = [("xmlns", "http://www.opengis.net/kml/2.2")];
    open_with(&mut xml, "kml", &attributes)?;
    line_feed(&mut xml)?;
    open_line(&mut xml, "Document")?;
    for line in lines {
        open_line(&mut xml, "Placemark")?;
        if let Some(name) = &line.name {
            element_line(&mut xml, "name", name)?;
        }
        open_line(&mut xml, "LineString")?;
        element_line(&mut xml, "tessellate", "1")?;
        let tuples: Vec<String> = line
            .places
            .iter()
            .map(|place| format!("{},{}", place.lon(), place.lat()))
            .collect();
        element_line(&mut xml, "coordinates", &tuples.join("\n"))?;
        close_line(&mut xml, "LineString")?;
        close_line(&mut xml, "Placemark")?;
    }
    close_line(&mut xml, "Document")?;
    close_line(&mut xml, "kml")?;
    Ok(xml.into_inner())
}
