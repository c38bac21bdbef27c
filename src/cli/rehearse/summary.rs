//! What was simulated, as a short table.

use crate::simulate::Rehearsal;
use crate::simulate::truth::{PassKind, TrueMove, TruePass};
use crate::units::Bearing;
use chrono::{DateTime, Utc};
use std::fmt::Write;

/// The table, ending with a line feed.
pub(super) fn text(rehearsal: &Rehearsal) -> String {
    let truth = &rehearsal.truth;
    let hours = (truth.to - truth.from).as_seconds_f64() / 3600.0;
    let mut text = format!(
        "Simulated flight, seed {}: {} to {} UTC ({hours:.1} h), {:.1} NM, {} fixes\n\
         True airspeed {:.0} kt, wind {:03.0} T at {:.0} kt\n\n",
        truth.seed,
        truth.from.format("%Y-%m-%d %H:%M:%S"),
        truth.to.format("%Y-%m-%d %H:%M:%S"),
        truth.distance.nm(),
        rehearsal.fixes.len(),
        truth.airspeed.kt(),
        truth.wind_from.deg(),
        truth.wind_speed.kt(),
    );
    let mut line = |parts: std::fmt::Arguments| {
        // Writing to a String cannot fail.
        let _ = writeln!(text, "{parts}");
    };
    line(format_args!(
        "{:<17} {:<10} {:<8} {:<8} {:>13} {:>10} {:>8} {:>8}",
        "leg", "flown", "from UTC", "to UTC", "along NM", "mean XTE m", "SD m", "GS kt"
    ));
    for pass in &truth.passes {
        line(format_args!("{}", row(pass)));
    }
    line(format_args!(
        "\nXTE: right of the leg in the direction flown is positive."
    ));
    for leg in &truth.skipped {
        line(format_args!("leg {leg}: not flown"));
    }
    for d in &truth.dropouts {
        let seconds = (d.to - d.from).as_seconds_f64();
        let (along, at) = (d.along_from.nm(), clock(d.from));
        line(format_args!(
            "leg {}: receiver silent for {seconds:.0} s from {at} at {along:.2} NM",
            d.leg
        ));
    }
    for o in &truth.orbits {
        let (along, at) = (o.along.nm(), clock(o.from));
        line(format_args!(
            "leg {}: {} circle(s) from {at} at {along:.2} NM",
            o.leg, o.turns
        ));
    }
    for e in &truth.excursions {
        let (along, at) = (e.along_from.nm(), clock(e.from));
        line(format_args!(
            "leg {}: left at {at} at {along:.2} NM, {:.0} s outside the area",
            e.leg, e.outside_s
        ));
    }
    if let Some(moved) = &truth.moved {
        line(format_args!("{}", whole_pattern(moved)));
    }
    if let Some(survey) = &truth.corner_survey {
        let (from, to) = (clock(survey.from), clock(survey.to));
        line(format_args!(
            "corners of the area flown over from {from} to {to}"
        ));
    }
    text
}

/// How the pattern was flown elsewhere; the table above is then about the legs as moved.
fn whole_pattern(moved: &TrueMove) -> String {
    let mut parts = Vec::new();
    if moved.mirrored {
        parts.push("mirrored".to_owned());
    }
    if moved.turned_deg != 0.0 {
        let side = if moved.turned_deg > 0.0 {
            "right"
        } else {
            "left"
        };
        parts.push(format!("turned {:.1}° {side}", moved.turned_deg.abs()));
    }
    let polar = |east: f64, north: f64| {
        let towards = Bearing::from_deg(east.atan2(north).to_degrees());
        (
            east.hypot(north),
            format!("towards {:03.0} T", towards.deg()),
        )
    };
    let (shift_nm, towards) = polar(moved.shifted_east.nm(), moved.shifted_north.nm());
    if shift_nm > 0.0 {
        parts.push(format!("shifted {shift_nm:.2} NM {towards}"));
    }
    let (drift_kt, towards) = polar(moved.carried_east.kt(), moved.carried_north.kt());
    if drift_kt > 0.0 {
        parts.push(format!("carried at {drift_kt:.1} kt {towards}"));
    }
    format!(
        "the whole pattern {}; the table is about the legs as moved",
        parts.join(", ")
    )
}

fn row(pass: &TruePass) -> String {
    let how = match (pass.kind, pass.reversed) {
        (PassKind::Planned, false) => "as planned",
        (PassKind::Planned, true) => "reversed",
        (PassKind::Again, _) => "again",
        (PassKind::Additional, _) => "additional",
    };
    let entered = pass.entered.map_or_else(|| "-".into(), clock);
    let number = |value: Option<f64>| value.map_or_else(|| "-".into(), |v| format!("{v:.0}"));
    let along = match (pass.flown.first(), pass.flown.last()) {
        (Some(first), Some(last)) => format!("{:.2} - {:.2}", first.from.nm(), last.to.nm()),
        _ => "-".into(),
    };
    format!(
        "{:<17} {how:<10} {entered:<8} {:<8} {along:>13} {:>10} {:>8} {:>8}",
        pass.leg,
        clock(pass.left),
        number(pass.xte_mean.map(|x| x.m())),
        number(pass.xte_sd.map(|x| x.m())),
        number(pass.ground_speed.map(|v| v.kt())),
    )
}

fn clock(time: DateTime<Utc>) -> String {
    time.format("%H:%M:%S").to_string()
}
