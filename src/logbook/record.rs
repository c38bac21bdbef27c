//! What a training review keeps of a sortie.

use crate::training::flight::VERSION;
use crate::training::{Flight, Measure, Tolerances};

/// The figures of a sortie for a review: a text of its own and single values, neither of which the logbook looks into.
#[derive(Clone, Debug, PartialEq)]
pub struct Record {
    /// All that the review needs, as JSON.
    pub json: String,
    /// Number of the form of that text.
    pub version: u32,
    /// Measures by name; `None` where one is not known.
    pub values: Vec<(&'static str, Option<f64>)>,
}

impl Default for Record {
    /// Of nothing.
    fn default() -> Self {
        Self {
            json: "{}".to_owned(),
            version: 0,
            values: Vec::new(),
        }
    }
}

impl Record {
    /// Of a flight.
    ///
    /// # Errors
    /// Only if serialisation itself fails, which for this type it does not.
    pub fn of(flight: &Flight, tolerances: &Tolerances) -> Result<Self, serde_json::Error> {
        let value = |measure: Measure| (measure.id(), measure.of(flight, tolerances).flight);
        Ok(Self {
            json: serde_json::to_string(flight)?,
            version: VERSION,
            values: Measure::ALL.into_iter().map(value).collect(),
        })
    }
}
