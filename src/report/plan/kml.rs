//! `plan.kml`: the plan in KML 2.2 (OGC 07-147r2), for maps and globes.
//!
//! Longitude comes before latitude. A line or ring that crosses the antimeridian is cut there, as in
//! GeoJSON, and its parts are one `MultiGeometry`: drawn whole, a flat map would lead it the long
//! way round the earth.

use super::PlanReport;
use crate::cautions;
use crate::characters::harmless;
use crate::geodesy::Position;
use crate::plan::arithmetic::LegRow;
use crate::plan::{Leg, LegKind};
use crate::report::format::{course, ft, nm, three_digits};
use crate::report::lonlat::{LonLat, along_leg, line_parts, point, ring_parts};
use crate::units::Length;
use quick_xml::Writer;
use quick_xml::events::{BytesDecl, BytesText, Event};
use std::io;

type Xml = Writer<Vec<u8>>;

/// Styles: name, colour of lines (alpha, blue, green, red), their width.
const STYLES: [(&str, &str, &str); 3] = [
    ("area", "ff1c1cb8", "2"),
    ("search", "ff000000", "3"),
    ("cross", "ff6b6159", "1.5"),
];

/// The document.
///
/// # Errors
/// Only if the XML writer itself fails, which on memory it does not.
pub fn plan_kml(report: &PlanReport<'_>) -> io::Result<Vec<u8>> {
    let mut xml = Writer::new_with_indent(Vec::new(), b' ', 1);
    xml.write_event(Event::Decl(BytesDecl::new("1.0", Some("UTF-8"), None)))?;
    xml.create_element("kml")
        .with_attribute(("xmlns", "http://www.opengis.net/kml/2.2"))
        .write_inner_content(|xml| inside(xml, "Document", |xml| document(xml, report)))?;
    let mut bytes = xml.into_inner();
    bytes.push(b'\n');
    Ok(bytes)
}

fn document(xml: &mut Xml, report: &PlanReport<'_>) -> io::Result<()> {
    let (tasking, plan) = (report.tasking, report.plan);
    text(
        xml,
        "name",
        &format!("{}, {}", tasking.sortie, tasking.date),
    )?;
    let about = format!(
        "Plan: {}, spacing {}. {}",
        plan.pattern.name(),
        nm(plan.spacing, 2),
        cautions::SHORT
    );
    text(xml, "description", &about)?;
    for (id, colour, width) in STYLES {
        style(xml, id, colour, width)?;
    }
    placemark(xml, "Search area", None, "area", |xml| {
        geometry(xml, "Polygon", &ring_parts(plan.area.corners()), ring)
    })?;
    for (name, kind) in [
        ("Search legs", LegKind::Search),
        ("Cross-legs", LegKind::Cross),
    ] {
        let legs: Vec<(&Leg, &LegRow)> = plan
            .legs
            .iter()
            .zip(report.rows)
            .filter(|(leg, _)| leg.kind == kind)
            .collect();
        if !legs.is_empty() {
            folder(xml, name, |xml| {
                legs.iter()
                    .try_for_each(|(leg, row)| of_leg(xml, leg, row, report.height(row)))
            })?;
        }
    }
    if !report.corners.is_empty() {
        folder(xml, "Corners of the area", |xml| {
            report
                .corners
                .iter()
                .try_for_each(|corner| place(xml, &corner.letter, corner.at))
        })?;
    }
    folder(xml, "Start and end", |xml| {
        let ends = plan.legs.first().zip(plan.legs.last());
        ends.map_or(Ok(()), |(first, last)| {
            place(xml, "Start", first.start)?;
            place(xml, "End", last.end)
        })
    })
}

fn of_leg(xml: &mut Xml, leg: &Leg, row: &LegRow, height: Option<Length>) -> io::Result<()> {
    let (name, id) = match leg.kind {
        LegKind::Search => (format!("Leg {}", leg.label), "search"),
        LegKind::Cross => (format!("Cross-leg {}", leg.label), "cross"),
    };
    let mut about = format!("{}, {}", nm(row.length, 2), course(row.course));
    if let Some(magnetic) = row.course_magnetic_deg {
        about.push_str(&format!(" ({}° M)", three_digits(magnetic)));
    }
    if let Some(height) = height {
        about.push_str(&format!(", {}", ft(height)));
    }
    placemark(xml, &name, Some(&about), id, |xml| {
        geometry(
            xml,
            "LineString",
            &line_parts(&along_leg(leg)),
            |xml, part| {
                text(xml, "tessellate", "1")?;
                coordinates(xml, part)
            },
        )
    })
}

fn place(xml: &mut Xml, name: &str, position: Position) -> io::Result<()> {
    inside(xml, "Placemark", |xml| {
        text(xml, "name", name)?;
        text(xml, "description", &position.to_string())?;
        inside(xml, "Point", |xml| coordinates(xml, &[point(position)]))
    })
}

fn placemark(
    xml: &mut Xml,
    name: &str,
    about: Option<&str>,
    style: &str,
    shape: impl FnOnce(&mut Xml) -> io::Result<()>,
) -> io::Result<()> {
    inside(xml, "Placemark", |xml| {
        text(xml, "name", name)?;
        if let Some(about) = about {
            text(xml, "description", about)?;
        }
        text(xml, "styleUrl", &format!("#{style}"))?;
        shape(xml)
    })
}

/// The parts as one geometry each, together where there are several.
fn geometry(
    xml: &mut Xml,
    kind: &str,
    parts: &[Vec<LonLat>],
    write: impl Fn(&mut Xml, &[LonLat]) -> io::Result<()>,
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

fn ring(xml: &mut Xml, part: &[LonLat]) -> io::Result<()> {
    text(xml, "tessellate", "1")?;
    inside(xml, "outerBoundaryIs", |xml| {
        inside(xml, "LinearRing", |xml| coordinates(xml, part))
    })
}

fn coordinates(xml: &mut Xml, points: &[LonLat]) -> io::Result<()> {
    let tuples: Vec<String> = points
        .iter()
        .map(|[lon, lat]| format!("{lon},{lat}"))
        .collect();
    text(xml, "coordinates", &tuples.join(" "))
}

fn style(xml: &mut Xml, id: &str, colour: &str, width: &str) -> io::Result<()> {
    xml.create_element("Style")
        .with_attribute(("id", id))
        .write_inner_content(|xml| {
            inside(xml, "LineStyle", |xml| {
                text(xml, "color", colour)?;
                text(xml, "width", width)
            })?;
            // The ground inside stays to be seen.
            inside(xml, "PolyStyle", |xml| text(xml, "fill", "0"))
        })?;
    Ok(())
}

fn folder(
    xml: &mut Xml,
    name: &str,
    content: impl FnOnce(&mut Xml) -> io::Result<()>,
) -> io::Result<()> {
    inside(xml, "Folder", |xml| {
        text(xml, "name", name)?;
        content(xml)
    })
}

fn inside(
    xml: &mut Xml,
    tag: &str,
    content: impl FnOnce(&mut Xml) -> io::Result<()>,
) -> io::Result<()> {
    xml.create_element(tag).write_inner_content(content)?;
    Ok(())
}

fn text(xml: &mut Xml, tag: &str, words: &str) -> io::Result<()> {
    xml.create_element(tag)
        .write_text_content(BytesText::new(&harmless(words)))?;
    Ok(())
}
