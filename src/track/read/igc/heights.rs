//! Which of the two heights of a fix record is the height of the fix, one choice for the whole log.
//!
//! Pressure altitude is above 1013.25 hPa; GNSS altitude is above the WGS 84 ellipsoid. The header
//! records ALG and ALP say otherwise where they stand (FAI Sporting Code, Section 7H, 3.2.3, known from
//! a second-hand note): `GEO` the geoid, `ELL` the ellipsoid, `NIL` none; `ISA` or `MSL`; `NKM` not
//! known.

use super::super::values;
use crate::track::{Fix, HeightKind, Ledger};
use crate::units::Length;

/// The two heights of a fix as they stand in the record.
pub(super) struct Recorded {
    pressure: String,
    /// Nothing where the fix has two dimensions.
    gnss: Option<String>,
}

/// Which of them is taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Choice {
    Gnss,
    Pressure,
    Neither,
}

/// What is known of the heights of a log.
#[derive(Default)]
pub(super) struct Heights {
    gnss_datum: Option<HeightKind>,
    pressure_datum: Option<HeightKind>,
    without_gnss: bool,
    gnss_seen: bool,
    pressure_seen: bool,
}

impl Heights {
    pub(super) fn gnss_datum(&mut self, value: &str) {
        self.without_gnss = value == "NIL";
        self.gnss_datum = match value {
            "GEO" => Some(HeightKind::MeanSeaLevel),
            "ELL" => Some(HeightKind::Ellipsoid),
            _ => Some(HeightKind::Unknown),
        };
    }

    pub(super) fn pressure_datum(&mut self, value: &str) {
        self.pressure_datum = match value {
            "ISA" => Some(HeightKind::Pressure),
            "MSL" => Some(HeightKind::MeanSeaLevel),
            _ => Some(HeightKind::Unknown),
        };
    }

    /// Notes the heights of one fix.
    pub(super) fn recorded(&mut self, pressure: &str, gnss: &str, three_d: bool) -> Recorded {
        self.gnss_seen |= three_d && is_there(gnss);
        self.pressure_seen |= is_there(pressure);
        Recorded {
            pressure: pressure.to_owned(),
            gnss: three_d.then(|| gnss.to_owned()),
        }
    }

    /// GNSS altitude where the log has any, else pressure altitude, else none: recorders without one
    /// of them write noughts throughout.
    pub(super) fn settle(&self) -> (HeightKind, Choice) {
        if self.gnss_seen && !self.without_gnss {
            let kind = self.gnss_datum.unwrap_or(HeightKind::Ellipsoid);
            (kind, Choice::Gnss)
        } else if self.pressure_seen {
            let kind = self.pressure_datum.unwrap_or(HeightKind::Pressure);
            (kind, Choice::Pressure)
        } else {
            (HeightKind::Unknown, Choice::Neither)
        }
    }
}

/// Whether the column holds a height, and not only noughts.
fn is_there(column: &str) -> bool {
    metres(column).is_some_and(|metres| metres != 0.0)
}

/// Five digits, the first of them a minus sign below the datum.
fn metres(column: &str) -> Option<f64> {
    let digits = column.strip_prefix('-').unwrap_or(column);
    let are_digits = digits.bytes().all(|byte| byte.is_ascii_digit());
    are_digits.then(|| column.parse().ok())?
}

/// The height of a fix, or none with an entry in the ledger where the column is no height.
pub(super) fn height(
    recorded: Recorded,
    choice: Choice,
    fix: &Fix,
    ledger: &mut Ledger,
) -> Option<Length> {
    let column = match choice {
        Choice::Gnss => recorded.gnss?,
        Choice::Pressure => recorded.pressure,
        Choice::Neither => return None,
    };
    let raw = || format!("{}: {}", fix.recorded(), values::bounded(&column));
    values::height(metres(&column), raw, fix.line, ledger)
}
