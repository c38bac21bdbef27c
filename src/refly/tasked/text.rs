//! The text of the tasking file. Every quantity is read back as the very number that it was written from.

use super::Task;
use crate::characters::{harmless, is_harmful};
use crate::coverage::Looks;
use crate::detection::Scanners;
use crate::geodesy::Position;
use crate::refly::{Refly, ReflyLeg};
use crate::tasking::{LookLimits, POSITION_ERROR};
use crate::units::{Length, Speed};

/// Most characters of a name that " re-fly" is added to; a sortie has at most 80.
const LONGEST_NAME: usize = 73;
/// Greatest spread of a sweep width that a tasking takes; a table may doubt a width altogether.
const WIDEST_SPREAD: f64 = 0.99;

/// The file.
pub(super) fn text(refly: &Refly, task: &Task<'_>) -> String {
    let name: String = task.of.chars().take(LONGEST_NAME).collect();
    let mut lines = vec![
        format!(
            "# {} leg(s) over the holes of {}, worked out by overflown {}.",
            refly.legs.len(),
            comment(task.of),
            env!("CARGO_PKG_VERSION")
        ),
        "# A planning aid, not for navigation: the crew checks positions, heights, terrain, airspace, \
         weather and fuel."
            .to_owned(),
        "# The date is that of the last sortie: set it to the day of the flight.".to_owned(),
        format!("sortie = {}", quoted(&format!("{name} re-fly"))),
        format!("date = {}", task.date),
    ];
    if let Some(corners) = task.area {
        lines.extend(["".to_owned(), "[area]".to_owned(), "corners = [".to_owned()]);
        // To the last digit, so that it is the very area that was searched.
        lines.extend(
            corners
                .iter()
                .map(|at| format!("    [{}, {}],", at.lat(), at.lon())),
        );
        lines.push("]".to_owned());
    }
    lines.extend(pattern(&refly.legs, task));
    lines.extend(["".to_owned(), "[flight]".to_owned()]);
    lines.push(format!("ground_speed = {}", speed(refly.ground_speed)));
    lines.extend(
        task.altitude
            .map(|altitude| format!("altitude = {}", length(altitude))),
    );
    lines.extend(task.base.map(|base| format!("base = {}", place(base))));
    lines.extend(["".to_owned(), "[detection]".to_owned()]);
    lines.extend(
        task.search_object
            .map(|object| format!("search_object = {}", quoted(object))),
    );
    lines.extend(detection(task.looks));
    lines.push(String::new());
    lines.join("\n")
}

fn pattern(legs: &[ReflyLeg], task: &Task<'_>) -> Vec<String> {
    let labels: Vec<String> = legs.iter().map(|leg| quoted(&leg.label)).collect();
    let mut lines = vec![
        String::new(),
        "[pattern]".to_owned(),
        "kind = \"legs\"".to_owned(),
        format!("spacing = {}", length(task.looks.spacing)),
        format!("labels = [{}]", labels.join(", ")),
    ];
    if legs.iter().any(|leg| leg.altitude.is_some()) {
        let altitudes: Vec<String> = legs
            .iter()
            .map(|leg| leg.altitude.or(task.altitude))
            .map(|altitude| altitude.map_or_else(|| "\"none\"".to_owned(), length))
            .collect();
        lines.push(format!("altitudes = [{}]", altitudes.join(", ")));
    }
    lines.push("lines = [".to_owned());
    for leg in legs {
        let mends = match leg.mends.as_slice() {
            [] => "to raise the POD".to_owned(),
            mends => format!("strip {}", comment(&mends.join(", "))),
        };
        lines.push(format!(
            "    [{}, {}],  # {}: {:.2} NM, {mends}",
            place(leg.start),
            place(leg.end),
            leg.label,
            leg.length.nm()
        ));
    }
    lines.push("]".to_owned());
    lines
}

/// How the ground is looked at; what a tasking takes by default is left out.
fn detection(looks: &Looks) -> Vec<String> {
    let Looks {
        sweep_width,
        sweep_width_low: low,
        sweep_width_high: high,
        ..
    } = *looks;
    // A table doubts a width to one side more than to the other; a tasking knows one spread, the wider.
    let less = 1.0 - low.m() / sweep_width.m();
    let more = high.m() / sweep_width.m() - 1.0;
    let spread = less.max(more).min(WIDEST_SPREAD);
    let percent = (spread * 1e6).round() / 1e4;
    let LookLimits {
        lowest,
        highest,
        slowest,
        fastest,
    } = looks.limits;
    let view = looks.look().view;
    let blind = (view.blind_m > 0.0).then_some(looks.blind_strip);
    let error = (looks.position_error != POSITION_ERROR).then_some(looks.position_error);
    let key = |key: &str, value: Option<String>| value.map(|value| format!("{key} = {value}"));
    [
        key("sweep_width", Some(length(sweep_width))),
        key(
            "sweep_width_spread",
            (percent > 0.0).then(|| format!("\"{percent} %\"")),
        ),
        key("search_height", looks.search_height.map(length)),
        key("law", Some(quoted(looks.law.name()))),
        key(
            "scanners",
            match view.scanners {
                Scanners::Both => None,
                Scanners::Left => Some("\"left\"".to_owned()),
                Scanners::Right => Some("\"right\"".to_owned()),
            },
        ),
        key("blind_strip", blind.map(length)),
        key("lowest", lowest.map(length)),
        key("highest", highest.map(length)),
        key("slowest", slowest.map(speed)),
        key("fastest", fastest.map(speed)),
        key("position_error", error.map(length)),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// A place as in a route: 1e-7 degrees are 11 mm.
fn place(at: Position) -> String {
    let round = |deg: f64| (deg * 1e7).round() / 1e7;
    format!("[{}, {}]", round(at.lat()), round(at.lon()))
}

/// In miles or feet where that is short and the very same number, else in metres.
fn length(length: Length) -> String {
    let nm = (length.nm() * 1e3).round() / 1e3;
    let ft = length.ft().round();
    if Length::from_nm(nm) == length {
        format!("\"{nm} NM\"")
    } else if Length::from_ft(ft) == length {
        format!("\"{ft} ft\"")
    } else {
        format!("\"{} m\"", length.m())
    }
}

/// In knots where that is short and the very same number, else in metres per second.
fn speed(speed: Speed) -> String {
    let kt = (speed.kt() * 10.0).round() / 10.0;
    if Speed::from_kt(kt) == speed {
        format!("\"{kt} kt\"")
    } else {
        format!("\"{} m/s\"", speed.mps())
    }
}

/// A TOML text.
fn quoted(text: &str) -> String {
    let mut quoted = String::from('"');
    for c in text.chars() {
        match c {
            '"' | '\\' => quoted.extend(['\\', c]),
            c if is_harmful(c) => quoted.push('\u{FFFD}'),
            c => quoted.push(c),
        }
    }
    quoted.push('"');
    quoted
}

/// Fit for a comment, which is one line.
fn comment(text: &str) -> String {
    harmless(text)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tasking::quantity;

    /// What is written is read back to the last bit, whatever it is.
    #[test]
    fn quantities_come_back_as_they_were() {
        let mut odd = 0.1;
        for i in 0..2_000 {
            odd = (odd * 1.618_033_988_75 + 0.37) % 5_000.0 + 1e-3;
            for m in [odd, 1852.0 * f64::from(i) / 100.0, 0.3048 * f64::from(i)] {
                let (l, s) = (Length::from_m(m), Speed::from_mps(m));
                let bare = |text: String| text.trim_matches('"').to_owned();
                assert_eq!(quantity::length(&bare(length(l))).unwrap(), l);
                assert_eq!(quantity::speed(&bare(speed(s))).unwrap(), s);
            }
        }
        assert_eq!(length(Length::from_nm(0.5)), "\"0.5 NM\"");
        assert_eq!(length(Length::from_ft(2500.0)), "\"2500 ft\"");
        assert_eq!(length(Length::from_m(150.0)), "\"150 m\"");
        assert_eq!(speed(Speed::from_kt(90.0)), "\"90 kt\"");
    }

    #[test]
    fn texts_are_toml() {
        for text in [
            "plain",
            "a \"red\" tent \\ tarpaulin",
            "two\nlines\u{7f}\t",
            "Zelt, weiß",
        ] {
            let table = format!("x = {}", quoted(text));
            let table: toml::Table = toml::from_str(&table).unwrap();
            assert_eq!(table["x"].as_str(), Some(text));
        }
    }
}
