//! Entries as text.

use crate::characters::visible;
use crate::logbook::{Entry, LegEntry, Values};
use crate::report::format::{counted, day_and_minute, figure, or_none, percent};
use crate::report::review::words;
use crate::report::table::{Align::Left, Align::Right, table};
use crate::training::Measure;

/// The entries as a table, with how many there are.
#[must_use]
pub fn list(entries: &[Entry]) -> String {
    let rows: Vec<Vec<String>> = entries
        .iter()
        .map(|entry| {
            vec![
                entry.id.to_string(),
                entry.sortie.clone(),
                entry.pilot.clone(),
                day_and_minute(entry.started),
                entry.pattern.name().to_owned(),
                entry.planned_legs.to_string(),
            ]
        })
        .collect();
    let columns = [
        ("number", Right),
        ("sortie", Left),
        ("pilot", Left),
        ("search began (UTC)", Left),
        ("pattern", Left),
        ("legs", Right),
    ];
    let count = match entries.len() {
        1 => "1 entry".to_owned(),
        many => format!("{many} entries"),
    };
    format!("{}\n{count}\n", table(&columns, &rows))
}

/// One entry with its legs and measures.
#[must_use]
pub fn show(entry: &Entry, legs: &[LegEntry], values: &Values) -> String {
    let mut text = format!(
        "Entry {}: {}, {}, flown by {}\n",
        entry.id,
        visible(&entry.sortie),
        entry.date,
        visible(&entry.pilot)
    );
    let facts = [
        ("pattern", entry.pattern.name().to_owned()),
        (
            "planned",
            counted(entry.planned_legs as usize, "search leg"),
        ),
        (
            "searched",
            format!(
                "{} to {} UTC",
                day_and_minute(entry.started),
                day_and_minute(entry.ended)
            ),
        ),
        (
            "debriefed by",
            format!("version {}", visible(&entry.program_version)),
        ),
        ("added", format!("{} UTC", day_and_minute(entry.added_at))),
    ];
    for (name, fact) in facts {
        text.push_str(&format!("  {name:<14}{fact}\n"));
    }
    let rows: Vec<Vec<String>> = legs.iter().map(leg).collect();
    let columns = [
        ("leg", Left),
        ("state", Left),
        ("flown", Right),
        ("XTE mean, m", Right),
        ("sd, m", Right),
        ("95 %, m", Right),
        ("within tolerance", Right),
    ];
    text.push_str("\nLegs\n");
    text.push_str(&table(&columns, &rows));
    let rows: Vec<Vec<String>> = values
        .iter()
        .filter_map(|(measure, by_entry)| {
            let value = by_entry.get(&entry.id)?;
            Some(match Measure::called(measure) {
                Some(known) => vec![
                    known.name().to_owned(),
                    format!("{} {}", words::value(known, *value), words::unit(known)),
                ],
                None => vec![measure.clone(), value.to_string()],
            })
        })
        .collect();
    if !rows.is_empty() {
        text.push_str("\nMeasures\n");
        text.push_str(&table(&[("measure", Left), ("value", Right)], &rows));
    }
    text
}

fn leg(leg: &LegEntry) -> Vec<String> {
    let metres = |value: Option<f64>| or_none(value, |metres| figure(metres, 0));
    vec![
        leg.leg.clone(),
        leg.state.replace('-', " "),
        percent(leg.flown_share),
        metres(leg.xte_mean_m),
        metres(leg.xte_sd_m),
        metres(leg.xte_p95_m),
        or_none(leg.within_tolerance, percent),
    ]
}
