//! Elements of KML that the files of a plan and of a debrief share (OGC 12-007r2; also in 07-147r2).
//!
//! Longitude comes before latitude. A line or ring that crosses the antimeridian is cut there, as in GeoJSON, and its
//! parts are one `MultiGeometry`: drawn whole, a flat map would lead it the long way round the earth.

use super::lonlat::LonLat;
use crate::characters::harmless;
use quick_xml::Writer;
use quick_xml::events::{BytesDecl, BytesText, Event};
use std::io;

/// A document being written.
pub(super) type Xml = Writer<Vec<u8>>;

/// A document of a version such as "2.3".
pub(super) fn kml(
    version: &str,
    document: impl FnOnce(&mut Xml) -> io::Result<()>,
) -> io::Result<Vec<u8>> {
    let mut xml = Writer::new_with_indent(Vec::new(), b' ', 1);
    xml.write_event(Event::Decl(BytesDecl::new("1.0", Some("UTF-8"), None)))?;
    let namespace = format!("http://www.opengis.net/kml/{version}");
    xml.create_element("kml")
        .with_attribute(("xmlns", namespace.as_str()))
        .write_inner_content(|xml| inside(xml, "Document", document))?;
    let mut bytes = xml.into_inner();
    bytes.push(b'\n');
    Ok(bytes)
}

/// An element with others in it.
pub(super) fn inside(
    xml: &mut Xml,
    tag: &str,
    content: impl FnOnce(&mut Xml) -> io::Result<()>,
) -> io::Result<()> {
    xml.create_element(tag).write_inner_content(content)?;
    Ok(())
}

/// An element with a text in it.
pub(super) fn text(xml: &mut Xml, tag: &str, words: &str) -> io::Result<()> {
    xml.create_element(tag)
        .write_text_content(BytesText::new(&harmless(words)))?;
    Ok(())
}

/// A folder with a name.
pub(super) fn folder(
    xml: &mut Xml,
    name: &str,
    content: impl FnOnce(&mut Xml) -> io::Result<()>,
) -> io::Result<()> {
    inside(xml, "Folder", |xml| {
        text(xml, "name", name)?;
        content(xml)
    })
}

/// A style: the colour of lines (alpha, blue, green, red), their width, and the colour of surfaces, which stay open
/// where there is none.
pub(super) fn style(
    xml: &mut Xml,
    id: &str,
    colour: &str,
    width: &str,
    fill: Option<&str>,
) -> io::Result<()> {
    xml.create_element("Style")
        .with_attribute(("id", id))
        .write_inner_content(|xml| {
            inside(xml, "LineStyle", |xml| {
                text(xml, "color", colour)?;
                text(xml, "width", width)
            })?;
            inside(xml, "PolyStyle", |xml| match fill {
                Some(fill) => text(xml, "color", fill),
                None => text(xml, "fill", "0"),
            })
        })?;
    Ok(())
}

/// The parts as one geometry each, together where there are several.
pub(super) fn geometry<P>(
    xml: &mut Xml,
    kind: &str,
    parts: &[Vec<P>],
    write: impl Fn(&mut Xml, &[P]) -> io::Result<()>,
) -> io::Result<()> {
    let each = |xml: &mut Xml| {
        parts
            .iter()
            .try_for_each(|part| inside(xml, kind, |xml| write(xml, part)))
    };
    if parts.len() == 1 {
        each(xml)
    } else {
        inside(xml, "MultiGeometry", each)
    }
}

/// What is in a `Polygon`.
pub(super) fn ring(xml: &mut Xml, part: &[LonLat]) -> io::Result<()> {
    text(xml, "tessellate", "1")?;
    inside(xml, "outerBoundaryIs", |xml| {
        inside(xml, "LinearRing", |xml| coordinates(xml, part))
    })
}

/// What is in a `LineString` on the ground.
pub(super) fn line(xml: &mut Xml, part: &[LonLat]) -> io::Result<()> {
    text(xml, "tessellate", "1")?;
    coordinates(xml, part)
}

/// Positions, longitude before latitude.
pub(super) fn coordinates(xml: &mut Xml, points: &[LonLat]) -> io::Result<()> {
    let tuples: Vec<String> = points
        .iter()
        .map(|[lon, lat]| format!("{lon},{lat}"))
        .collect();
    text(xml, "coordinates", &tuples.join(" "))
}
