//! `review.csv`: one row a value, of a flight or of a leg (RFC 4180).

use crate::report::csv::text_cell;
use crate::training::Review;
use crate::training::measures::{Measure, Unit};
use chrono::SecondsFormat;
use std::fmt::Write;

const HEADER: &str = "sortie,started_utc,pattern,measure,unit,leg,value\r\n";

/// The unit of the values of a measure, as in the names of columns and keys.
#[must_use]
pub const fn si(measure: Measure) -> &'static str {
    match measure.unit() {
        Unit::Metres | Unit::Height => "m",
        Unit::Speed => "mps",
        Unit::Share => "share",
    }
}

/// The table. A row without a leg is of the whole flight; what is not known has no row.
#[must_use]
pub fn csv(review: &Review) -> String {
    let mut text = HEADER.to_owned();
    for (index, flight) in review.flights.iter().enumerate() {
        for measured in &review.measures {
            let Some(values) = measured.values.get(index) else {
                continue;
            };
            let unit = si(measured.measure);
            let of_flight = values.flight.map(|value| ("", value));
            let of_legs = values
                .parts
                .iter()
                .map(|(leg, value)| (leg.as_str(), *value));
            for (leg, value) in of_flight.into_iter().chain(of_legs) {
                // Writing to a String cannot fail.
                let _ = write!(
                    text,
                    "{},{},{},{},{unit},{},{value:.4}\r\n",
                    text_cell(&flight.sortie),
                    flight.started.to_rfc3339_opts(SecondsFormat::Secs, true),
                    text_cell(flight.pattern.name()),
                    measured.measure.id(),
                    text_cell(leg),
                );
            }
        }
    }
    text
}
