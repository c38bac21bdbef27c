//! What a page needs to be moved in: the flight for its script, and the script.

use crate::characters::harmless;
use crate::coverage::growth::SHARES;
use crate::debrief::Debrief;
use crate::matching::Phase;
use crate::report::charts::{clock, panels};
use crate::report::drawing::DrawError;
use crate::report::drawing::png::{base64, grey_png};
use crate::report::map::MapFrame;
use crate::report::palette::{OUTSIDE, level_colour, pod_level};
use crate::track::seconds_between;
use geo::Coord;
use ring::digest::{SHA256, digest};
use serde::Serialize;
use std::collections::BTreeMap;
use std::fmt::Write;

/// The script of the page.
pub const SCRIPT: &str = concat!(
    "(() => {\n",
    include_str!("live/core.js"),
    include_str!("live/map.js"),
    include_str!("live/player.js"),
    include_str!("live/replay.js"),
    include_str!("live/tables.js"),
    "})();\n"
);

/// The flight as the script reads it, its labels as the page shows them. Lists run parallel to the fixes drawn; times, and places on the map, are steps
/// from the fix before, so that they take few letters.
#[derive(Serialize)]
struct Flight {
    /// Time of the first fix, milliseconds since 1970.
    start: i64,
    /// Tenths of a second.
    t: Vec<i64>,
    /// Hundredths of a pixel of the map.
    x: Vec<i64>,
    y: Vec<i64>,
    /// Feet.
    h: Vec<Option<i64>>,
    /// Ground speed, knots.
    v: Vec<f64>,
    /// Metres along the leg.
    a: Vec<Option<i64>>,
    /// XTE, metres.
    e: Vec<Option<i64>>,
    /// Fixes before which nothing was recorded.
    holes: Vec<usize>,
    phases: Vec<&'static str>,
    legs: Vec<String>,
    /// First fix, phase and leg (or -1) of each span.
    spans: Vec<(usize, usize, i64)>,
    /// Ends of every leg on the map: x and y, pixels.
    boxes: BTreeMap<String, [f64; 4]>,
    clock: Clock,
    panels: Panels,
    /// Cross-track tolerance, metres.
    tolerance: f64,
    /// Lowest and highest height within tolerance, feet.
    altitude: Option<(f64, f64)>,
    growth: Option<Growth>,
    /// Colours of the levels of POD, six hexadecimal digits each.
    colours: String,
}

/// The axis of the charts along the clock.
#[derive(Serialize)]
struct Clock {
    /// Its ends, pixels of the charts.
    left: f64,
    right: f64,
    /// Seconds from the first fix to the last.
    lasts: f64,
    /// Seconds from the first fix to the first leg.
    search: f64,
}

#[derive(Serialize)]
struct Panels {
    corners: BTreeMap<String, [f64; 2]>,
    width: f64,
    height: f64,
    along: f64,
    aside: f64,
}

/// How the coverage grew.
#[derive(Serialize)]
struct Growth {
    /// Where it lies on the map, pixels.
    x: f64,
    y: f64,
    width: f64,
    height: f64,
    columns: usize,
    rows: usize,
    /// End of each step, seconds since the first fix.
    ends: Vec<f64>,
    /// A PNG with a row for each step and a pixel for each cell, the northernmost row first. Its greys are the levels of POD,
    /// to a 64th.
    picture: String,
}

/// The flight as JSON that may stand in a page.
///
/// # Errors
/// When the picture of the growth cannot be encoded.
pub fn flight(debrief: &Debrief, frame: &MapFrame<'_>) -> Result<String, DrawError> {
    let flown = &debrief.flown;
    let drawn: Vec<_> = flown
        .drawn
        .iter()
        .map(|index| &flown.fixes[*index])
        .collect();
    let start = debrief.log.first;
    let mut places = Steps::default();
    let (mut t, mut x, mut y) = (Vec::new(), Vec::new(), Vec::new());
    let mut spans: Vec<(usize, usize, i64)> = Vec::new();
    for (index, fix) in drawn.iter().enumerate() {
        let at = frame.place(fix.position);
        let [time, east, south] = places.to([
            10.0 * seconds_between(start, fix.time),
            100.0 * at.x,
            100.0 * at.y,
        ]);
        t.push(time);
        x.push(east);
        y.push(south);
        let phase = Phase::ALL.iter().position(|phase| *phase == fix.phase);
        let leg = flown.leg_index(fix).and_then(|leg| i64::try_from(leg).ok());
        let (phase, leg) = (phase.unwrap_or_default(), leg.unwrap_or(-1));
        let goes_on = spans
            .last()
            .is_some_and(|(_, p, l)| (*p, *l) == (phase, leg));
        if !goes_on {
            spans.push((index, phase, leg));
        }
    }
    let holes = drawn
        .iter()
        .enumerate()
        .skip(1)
        .filter(|(_, fix)| fix.after_hole);
    let altitude = debrief.plan.altitudes().map(|(low, high)| {
        let tolerance = debrief.tolerances.altitude.ft();
        (low.ft() - tolerance, high.ft() + tolerance)
    });
    let flight = Flight {
        start: start.timestamp_millis(),
        t,
        x,
        y,
        h: drawn
            .iter()
            .map(|fix| fix.height().map(|h| whole(h.ft())))
            .collect(),
        v: drawn
            .iter()
            .map(|fix| tenth(fix.ground_speed().kt()))
            .collect(),
        a: drawn
            .iter()
            .map(|fix| fix.along().map(|a| whole(a.m())))
            .collect(),
        e: drawn
            .iter()
            .map(|fix| fix.xte().map(|e| whole(e.m())))
            .collect(),
        holes: holes.map(|(index, _)| index).collect(),
        phases: Phase::ALL.map(Phase::name).to_vec(),
        legs: flown.legs().iter().map(|leg| harmless(leg)).collect(),
        spans,
        boxes: boxes(debrief, frame),
        clock: Clock {
            left: clock::LEFT_PX,
            right: clock::WIDTH_PX - clock::RIGHT_PX,
            lasts: seconds_between(start, debrief.log.last).max(1.0),
            search: seconds_between(start, debrief.area_time.from),
        },
        panels: self::panels_of(debrief),
        tolerance: debrief.tolerances.cross_track.m(),
        altitude,
        growth: growth(debrief, frame)?,
        colours: (0..=u8::MAX)
            .map(level_colour)
            .fold(String::new(), |mut text, [r, g, b]| {
                // Writing to a String cannot fail.
                let _ = write!(text, "{r:02x}{g:02x}{b:02x}");
                text
            }),
    };
    // No name can end the element it stands in.
    Ok(serde_json::to_string(&flight)?.replace('<', "\\u003c"))
}

/// Steps between rounded values, so that errors of rounding do not add up.
#[derive(Default)]
struct Steps([i64; 3]);

impl Steps {
    fn to(&mut self, values: [f64; 3]) -> [i64; 3] {
        let rounded = values.map(whole);
        let steps = [0, 1, 2].map(|i| rounded[i] - self.0[i]);
        self.0 = rounded;
        steps
    }
}

fn whole(value: f64) -> i64 {
    value.round() as i64
}

fn tenth(value: f64) -> f64 {
    (10.0 * value).round() / 10.0
}

/// Ends of the legs, planned, additional and to re-fly.
fn boxes(debrief: &Debrief, frame: &MapFrame<'_>) -> BTreeMap<String, [f64; 4]> {
    let planned = debrief
        .plan
        .legs
        .iter()
        .map(|leg| (&leg.label, leg.start, leg.end));
    let additional = debrief.additional_legs.iter();
    let refly = debrief.refly.legs.iter();
    planned
        .chain(additional.map(|leg| (&leg.label, leg.start, leg.end)))
        .chain(refly.map(|leg| (&leg.label, leg.start, leg.end)))
        .map(|(label, start, end)| {
            let (start, end) = (frame.place(start), frame.place(end));
            (harmless(label), [start.x, start.y, end.x, end.y].map(tenth))
        })
        .collect()
}

fn panels_of(debrief: &Debrief) -> Panels {
    let panels = panels(debrief);
    Panels {
        corners: panels
            .corners
            .into_iter()
            .map(|(leg, at)| (harmless(&leg), [at.x, at.y].map(tenth)))
            .collect(),
        width: panels.size.x,
        height: panels.size.y,
        along: panels.along.m(),
        aside: panels.aside.m(),
    }
}

fn growth(debrief: &Debrief, frame: &MapFrame<'_>) -> Result<Option<Growth>, DrawError> {
    let growth = &debrief.growth;
    if growth.shares.is_empty() {
        return Ok(None);
    }
    let (columns, rows) = (growth.grid.columns, growth.grid.rows);
    let levels: [u8; 256] = std::array::from_fn(|share| match u8::try_from(share) {
        Ok(share) if share <= SHARES => pod_level(f64::from(share) / f64::from(SHARES)),
        _ => OUTSIDE,
    });
    let mut grey = Vec::with_capacity(columns * rows * growth.shares.len());
    for shares in &growth.shares {
        for row in shares.chunks(columns).rev() {
            grey.extend(row.iter().map(|share| levels[usize::from(*share)]));
        }
    }
    let picture = grey_png(&grey, (columns * rows) as u32, growth.shares.len() as u32)?;
    let cell_m = growth.grid.cell_m;
    let size = Coord {
        x: columns as f64 * cell_m,
        y: rows as f64 * cell_m,
    };
    let corner = frame.plane_point(Coord {
        x: growth.grid.origin.x,
        y: growth.grid.origin.y + size.y,
    });
    Ok(Some(Growth {
        x: tenth(corner.x),
        y: tenth(corner.y),
        width: tenth(size.x * frame.px_per_m()),
        height: tenth(size.y * frame.px_per_m()),
        columns,
        rows,
        ends: growth.ends_s.iter().copied().map(tenth).collect(),
        picture: format!("data:image/png;base64,{}", base64(&picture)),
    }))
}

/// What the page may do: nothing but what stands in it. The script is known by its digest, so that no other runs
/// (Content Security Policy Level 3, W3C).
pub fn policy(script: &str) -> String {
    let digest = base64(digest(&SHA256, script.as_bytes()).as_ref());
    format!(
        "default-src 'none'; img-src data:; style-src 'unsafe-inline'; script-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"
    )
}
