//! `class.csv`: one row a pilot and measure (RFC 4180).

use crate::report::csv::text_cell;
use crate::report::review::csv::si;
use crate::training::Class;
use crate::training::review::Change;
use std::fmt::Write;

const HEADER: &str = "pilot,flights,measure,unit,latest,most_good,beyond,change,change_a_flight,change_low,change_high\r\n";

/// The table. `most_good` and the change are of the shortfall: the size of a value, or what is missing of a share.
#[must_use]
pub fn csv(class: &Class) -> String {
    let mut text = HEADER.to_owned();
    for (index, member) in class.pilots.iter().enumerate() {
        for compared in &class.measures {
            let Some(standing) = compared.pilots.get(index) else {
                continue;
            };
            let number = |value: Option<f64>| value.map_or_else(String::new, |v| format!("{v:.4}"));
            let change = match standing.change {
                Change::TooFew => "too-few",
                Change::NotClear => "not-clear",
                Change::Better => "better",
                Change::Worse => "worse",
            };
            // Writing to a String cannot fail.
            let _ = write!(
                text,
                "{},{},{},{},{},{},{},{change},{},{},{}\r\n",
                text_cell(&member.pilot),
                standing.flights.iter().flatten().count(),
                compared.measure.id(),
                si(compared.measure),
                number(standing.latest),
                number(standing.most),
                standing
                    .beyond
                    .map_or("", |beyond| if beyond { "yes" } else { "no" }),
                number(standing.trend.slope),
                number(standing.trend.interval.map(|(low, _)| low)),
                number(standing.trend.interval.map(|(_, high)| high)),
            );
        }
    }
    text
}
