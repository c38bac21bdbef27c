//! The layers as KML 2.3 (OGC 12-007r2): a folder for each, and the flight once more along the clock.
//!
//! The `Track` of 2.3 is new to it, and not all programs read it: the flown track is there as lines by phase as well.

use super::{Feature, Layer, Shape};
use crate::cautions;
use crate::debrief::Debrief;
use crate::geodesy::Position;
use crate::measure::FlownFix;
use crate::report::format::pod_with_band;
use crate::report::kml::{Xml, folder, geometry, inside, kml as document, line, ring, style, text};
use crate::report::lonlat::{Moment, line_parts, ring_parts, timed_line_parts};
use crate::report::palette::Ink;
use crate::track::seconds_between;
use chrono::{DateTime, SecondsFormat, TimeDelta, Utc};
use serde_json::Value;
use std::io;

/// The folder of the flight along the clock.
const CLOCK: &str = "Flight along the clock";
/// What it is drawn in.
const CLOCK_INK: Ink = Ink::SearchLeg;
/// Opaque, and how much of the ground a surface hides.
const OPAQUE: u8 = 0xff;
const TRANSLUCENT: u8 = 0x70;

/// The document; what has no length on the map is left out.
///
/// # Errors
/// Only if the XML writer itself fails, which on memory it does not.
pub fn kml(debrief: &Debrief, layers: &[Layer]) -> io::Result<Vec<u8>> {
    document("2.3", |xml| {
        text(
            xml,
            "name",
            &format!("{}, {}", debrief.sortie, debrief.date),
        )?;
        let about = format!(
            "Debrief: POD over the area {} by {}. {}",
            pod_with_band(&debrief.coverage.pod_band),
            debrief.coverage.law.name(),
            cautions::SHORT
        );
        text(xml, "description", &about)?;
        let features = || layers.iter().flat_map(|layer| &layer.features);
        for ink in Ink::ALL {
            if ink == CLOCK_INK || features().any(|feature| feature.ink == ink) {
                style_of(xml, ink)?;
            }
        }
        for layer in layers {
            let mut drawn = layer.features.iter().filter(|f| f.is_drawn()).peekable();
            if drawn.peek().is_some() {
                folder(xml, layer.name, |xml| {
                    drawn.try_for_each(|f| placemark(xml, f))
                })?;
            }
        }
        along_the_clock(xml, debrief)
    })
}

fn style_of(xml: &mut Xml, ink: Ink) -> io::Result<()> {
    let colour = |alpha: u8| {
        let [r, g, b] = ink.light();
        format!("{alpha:02x}{b:02x}{g:02x}{r:02x}")
    };
    let fill = matches!(ink, Ink::Missed | Ink::NotRecorded).then(|| colour(TRANSLUCENT));
    let width = match ink {
        Ink::Missed | Ink::SearchLeg | Ink::AdditionalLeg => "3",
        Ink::Tolerance => "1",
        _ => "2",
    };
    style(xml, ink.name(), &colour(OPAQUE), width, fill.as_deref())
}

fn placemark(xml: &mut Xml, feature: &Feature) -> io::Result<()> {
    inside(xml, "Placemark", |xml| {
        text(xml, "name", &feature.name)?;
        if let Some((from, to)) = feature.flown {
            inside(xml, "TimeSpan", |xml| {
                text(xml, "begin", &rfc3339(from))?;
                text(xml, "end", &rfc3339(to))
            })?;
        }
        text(xml, "styleUrl", &format!("#{}", feature.ink.name()))?;
        inside(xml, "ExtendedData", |xml| {
            let known = feature
                .properties
                .iter()
                .filter(|(_, value)| !value.is_null());
            known
                .into_iter()
                .try_for_each(|(key, value)| data(xml, key, value))
        })?;
        match &feature.shape {
            Shape::Area(corners) => geometry(xml, "Polygon", &ring_parts(corners), ring),
            Shape::Line(positions) => geometry(xml, "LineString", &line_parts(positions), line),
        }
    })
}

fn data(xml: &mut Xml, key: &str, value: &Value) -> io::Result<()> {
    let words = match value {
        Value::String(words) => words.clone(),
        other => other.to_string(),
    };
    xml.create_element("Data")
        .with_attribute(("name", key))
        .write_inner_content(|xml| text(xml, "value", &words))?;
    Ok(())
}

/// The flight as a track with its times, in parts where the log has a hole.
fn along_the_clock(xml: &mut Xml, debrief: &Debrief) -> io::Result<()> {
    let flown = &debrief.flown;
    let drawn: Vec<&FlownFix> = flown.drawn.iter().map(|i| &flown.fixes[*i]).collect();
    let Some(start) = drawn.first().map(|fix| fix.time) else {
        return Ok(());
    };
    let parts: Vec<Vec<Moment>> = drawn
        .chunk_by(|_, next| !next.after_hole)
        .flat_map(|stretch| {
            let moments: Vec<(Position, f64)> = stretch
                .iter()
                .map(|fix| (fix.position, seconds_between(start, fix.time)))
                .collect();
            timed_line_parts(&moments)
        })
        .collect();
    folder(xml, CLOCK, |xml| {
        inside(xml, "Placemark", |xml| {
            text(xml, "name", &debrief.sortie)?;
            text(xml, "styleUrl", &format!("#{}", CLOCK_INK.name()))?;
            inside(xml, "MultiTrack", |xml| {
                parts.iter().try_for_each(|part| track(xml, start, part))
            })
        })
    })
}

fn track(xml: &mut Xml, start: DateTime<Utc>, part: &[Moment]) -> io::Result<()> {
    inside(xml, "Track", |xml| {
        text(xml, "altitudeMode", "clampToGround")?;
        for (_, after_s) in part {
            // Back to the microsecond; logs have no finer times.
            let time = start + TimeDelta::microseconds((after_s * 1e6).round() as i64);
            text(xml, "when", &rfc3339(time))?;
        }
        for ([lon, lat], _) in part {
            text(xml, "coord", &format!("{lon} {lat}"))?;
        }
        Ok(())
    })
}

fn rfc3339(time: DateTime<Utc>) -> String {
    time.to_rfc3339_opts(SecondsFormat::AutoSi, true)
}
