//! The review for the terminal and as `review.txt`: at most 100 columns.

use super::words;
use crate::cautions;
use crate::characters::visible;
use crate::report::format::{counted, crosswind, day_and_minute, nm_figure, or_none};
use crate::report::table::{Align::Left, Align::Right, table};
use crate::report::wrap::hanging;
use crate::training::review::LegAt;
use crate::training::{Review, Tolerances};
use crate::units::{Length, Speed};

/// The report.
#[must_use]
pub fn report(review: &Review) -> String {
    let mut text = hanging("", &format!("Training review: {}", review.pilot));
    text.push_str(&hanging("", &words::days(review)));
    text.push('\n');
    for part in [
        practise(review),
        measures(review),
        others(review),
        flights(review),
        legs(review),
        notes(&review.remarks, &review.tolerances),
    ] {
        text.push_str(&part);
        text.push('\n');
    }
    // No name that a file gives steers the terminal.
    let lines: Vec<String> = text.trim_end().lines().map(visible).collect();
    lines.join("\n") + "\n"
}

fn practise(review: &Review) -> String {
    let latest = counted(review.latest, "latest flight");
    let mut text = format!("To practise next, from the {latest}\n");
    if review.practise.is_empty() {
        text.push_str(&hanging("  ", words::NOTHING));
        return text;
    }
    let causes = review.practise.iter().filter_map(|i| review.causes.get(*i));
    for (number, cause) in (1..).zip(causes) {
        text.push_str(&hanging(&format!("  {number}. "), &cause.practise));
        text.push_str(&hanging("     Seen: ", &words::seen(cause)));
        if let Some(place) = &cause.shown_by {
            text.push_str(&hanging("     Shows best: ", &words::place(place)));
        }
    }
    let more = review.causes.len().saturating_sub(review.practise.len());
    if more > 0 {
        let rest = (0..review.causes.len()).filter(|i| !review.practise.contains(i));
        for cause in rest.filter_map(|i| review.causes.get(i)) {
            text.push_str(&hanging("  Seen as well: ", &words::seen(cause)));
        }
    }
    text
}

fn measures(review: &Review) -> String {
    let rows: Vec<Vec<String>> = review
        .measures
        .iter()
        .map(|measured| {
            let measure = measured.measure;
            let known = || measured.values.iter().filter_map(|values| values.flight);
            let shown = |value: Option<f64>| or_none(value, |v| words::value(measure, v));
            vec![
                measure.name().to_owned(),
                words::unit(measure).to_owned(),
                words::good(measure, measured.most()),
                shown(known().next()),
                shown(known().next_back()),
                words::slope(measure, &measured.trend),
                words::change(measured.change).to_owned(),
            ]
        })
        .collect();
    let columns = [
        ("measure", Left),
        ("", Left),
        ("good", Right),
        ("first", Right),
        ("latest", Right),
        ("a flight (95 %)", Right),
        ("so", Left),
    ];
    format!("Flight by flight\n{}", table(&columns, &rows))
}

fn others(review: &Review) -> String {
    let rows: Vec<Vec<String>> = review
        .measures
        .iter()
        .filter_map(|measured| {
            let spread = measured.others?;
            let measure = measured.measure;
            let back = |x: f64| words::shortfall(measure, x);
            Some(vec![
                measure.name().to_owned(),
                words::unit(measure).to_owned(),
                back(spread.lower),
                back(spread.middle),
                back(spread.upper),
                spread.pilots.to_string(),
            ])
        })
        .collect();
    if rows.is_empty() {
        return "Other pilots: fewer than three in the logbook, so none are shown.\n".to_owned();
    }
    let columns = [
        ("measure", Left),
        ("", Left),
        ("best quarter", Right),
        ("middle", Right),
        ("last quarter", Right),
        ("pilots", Right),
    ];
    format!(
        "Other pilots, by the middle of their flights\n{}",
        table(&columns, &rows)
    )
}

fn flights(review: &Review) -> String {
    let rows: Vec<Vec<String>> = review
        .flights
        .iter()
        .map(|flight| {
            vec![
                visible(&flight.sortie),
                day_and_minute(flight.started),
                flight.pattern.name().to_owned(),
                nm_figure(Length::from_m(flight.spacing_m), 2),
                or_none(flight.wind, words::wind),
                flight.legs.len().to_string(),
            ]
        })
        .collect();
    let columns = [
        ("flight", Left),
        ("began (UTC)", Left),
        ("pattern", Left),
        ("S, NM", Right),
        ("wind found", Left),
        ("legs flown", Right),
    ];
    format!("Flights\n{}", table(&columns, &rows))
}

fn legs(review: &Review) -> String {
    let leg = |at: LegAt| {
        let flight = review.flights.get(at.flight)?;
        let leg = flight.legs.get(at.leg)?;
        let wind = or_none(leg.crosswind_mps, |w| crosswind(Speed::from_mps(w)));
        Some(format!(
            "leg {} of {}: XTE within {:.0} m over 95 % of the way, mean {:+.0} m; wind across: {wind}",
            leg.label, flight.sortie, leg.p95_m, leg.mean_m
        ))
    };
    let mut text = String::new();
    for (what, at) in [
        ("  Best: ", review.best),
        ("  Farthest off: ", review.worst),
    ] {
        if let Some(words) = at.and_then(leg) {
            text.push_str(&hanging(what, &words));
        }
    }
    if text.is_empty() {
        text
    } else {
        format!("Legs\n{text}")
    }
}

/// Remarks, what it was judged by, and cautions.
pub(in crate::report) fn notes(remarks: &[String], tolerances: &Tolerances) -> String {
    let mut text = "Bear in mind\n".to_owned();
    let judged = format!("Judged by the tolerances called \"{}\".", tolerances.name);
    let all = remarks.iter().map(String::as_str).chain([judged.as_str()]);
    for words in all.chain(cautions::TRAINING) {
        text.push_str(&hanging("  - ", words));
    }
    text
}
