//! `plan.kml`: the plan in KML 2.2 (OGC 07-147r2), for maps and globes.

use super::PlanReport;
use crate::cautions;
use crate::geodesy::Position;
use crate::plan::arithmetic::LegRow;
use crate::plan::{Leg, LegKind};
use crate::report::format::{course, ft, nm, three_digits};
use crate::report::kml::{
    Xml, coordinates, folder, geometry, inside, kml, line, ring, style, text,
};
use crate::report::lonlat::{along_leg, line_parts, point, ring_parts};
use crate::units::Length;
use std::io;

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
    kml("2.2", |xml| document(xml, report))
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
        // The ground inside stays to be seen.
        style(xml, id, colour, width, None)?;
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
        geometry(xml, "LineString", &line_parts(&along_leg(leg)), line)
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
