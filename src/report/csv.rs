//! `legs.csv`: one row per planned search leg and passage (RFC 4180).

use crate::characters::harmless;
use crate::debrief::Debrief;
use crate::measure::{LegReport, Pass};
use crate::units::Length;
use chrono::{DateTime, SecondsFormat, SubsecRound, Utc};
use std::fmt::Write;

const HEADER: &str = "leg,state,flown_share,unrecorded_share,pass,direction,entered_utc,left_utc,\
xte_mean_m,xte_sd_m,xte_rms_m,xte_p95_m,xte_max_m,xte_max_along_nm,within_tolerance,\
established_after_nm,ground_speed_mean_kt,height_mean_ft,crosswind_kt\r\n";

/// The table. Numbers carry their unit in the column's name; what is not known is empty.
#[must_use]
pub fn legs_csv(debrief: &Debrief) -> String {
    let mut text = HEADER.to_owned();
    for leg in &debrief.legs {
        if leg.passes.is_empty() {
            row(&mut text, leg, 0, None);
        }
        for (i, pass) in leg.passes.iter().enumerate() {
            row(&mut text, leg, i + 1, Some(&debrief.passes[*pass]));
        }
    }
    text
}

/// What a spreadsheet takes for the beginning of a formula (common practice, no source), the wide forms of the
/// signs included.
const FORMULA: [char; 8] = [
    '=', '+', '-', '@', '\u{FF1D}', '\u{FF0B}', '\u{FF0D}', '\u{FF20}',
];

/// A text as a field of a table: in quotation marks where RFC 4180 asks for them, with an apostrophe before what
/// a spreadsheet would work out, and without characters that do harm.
#[must_use]
pub fn text_cell(text: &str) -> String {
    let formula = text.trim_start().starts_with(FORMULA);
    let cell = if formula { "'" } else { "" }.to_owned() + &harmless(text);
    if cell.contains([',', '"']) {
        format!("\"{}\"", cell.replace('"', "\"\""))
    } else {
        cell
    }
}

fn row(text: &mut String, leg: &LegReport, number: usize, pass: Option<&Pass>) {
    // Writing to a String cannot fail.
    let _ = write!(
        text,
        "{},{},{:.4},{:.4},",
        text_cell(&leg.leg),
        leg.state.name(),
        leg.flown_share,
        leg.unrecorded_share
    );
    let Some(pass) = pass else {
        let _ = write!(text, "{number}{}\r\n", ",".repeat(14));
        return;
    };
    let t = &pass.tracking;
    let direction = if pass.reversed {
        "reversed"
    } else {
        "as planned"
    };
    let optional = |value: Option<f64>| value.map_or_else(String::new, |v| format!("{v:.2}"));
    let _ = write!(
        text,
        "{number},{direction},{},{},{:.1},{:.1},{:.1},{:.1},{:.1},{:.3},{:.4},{},{:.1},{},{}\r\n",
        to_the_second(pass.entered),
        to_the_second(pass.left),
        t.mean.m(),
        t.sd.m(),
        t.rms.m(),
        t.p95.m(),
        t.max.m(),
        t.max_along.nm(),
        t.within_tolerance,
        optional(pass.established_after.map(Length::nm)),
        pass.handling.ground_speed_mean.kt(),
        optional(pass.handling.height_mean.map(Length::ft)),
        optional(pass.crosswind.map(|w| w.kt())),
    );
}

/// Rounded, as in every report: half a second later is the next second.
fn to_the_second(time: DateTime<Utc>) -> String {
    time.round_subsecs(0)
        .to_rfc3339_opts(SecondsFormat::Secs, true)
}
