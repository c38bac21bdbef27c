//! Magnetic declination from the World Magnetic Model.
//!
//! Reference: *The US/UK World Magnetic Model for 2025-2030: Technical Report*, NCEI / BGS,
//! DOI 10.25923/prbc-s316, through the crate `world_magnetic_model` (WMM2020 and WMM2025).
//! Declination is positive east: true = magnetic + declination.

use super::Position;
use crate::units::{Bearing, Length};
use chrono::{Datelike, NaiveDate};
use serde::{Deserialize, Serialize};
use world_magnetic_model::time::Date;
use world_magnetic_model::uom::si::{angle::degree, f32 as si, length::meter};
use world_magnetic_model::{Error as WmmError, GeomagneticField, WarningZone};

/// Declination at one place on one day, with its uncertainty.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Declination {
    /// Degrees, east positive.
    pub declination_deg: f64,
    /// One standard deviation, degrees (error model of the report); `None` if it was given by hand.
    pub uncertainty_deg: Option<f64>,
    /// The day it holds for.
    pub date: NaiveDate,
    /// The place it holds for.
    pub at: Position,
    /// Where it comes from: `WMM2025`, `WMM2020` or `tasking`.
    pub source: String,
    /// Said when a compass is unreliable there (horizontal intensity under 6000 nT).
    pub warning: Option<String>,
}

/// Why there is no declination.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum MagneticError {
    /// The date is outside the models at hand.
    #[error(
        "{date} is outside the World Magnetic Model at hand, which holds from {first} to {last}"
    )]
    Date {
        /// The date asked for.
        date: NaiveDate,
        /// First day covered.
        first: String,
        /// Last day covered.
        last: String,
    },
    /// The place or height is outside the model.
    #[error("the World Magnetic Model does not hold at {at}")]
    Place {
        /// The place asked for.
        at: Position,
    },
}

impl Declination {
    /// The model's declination at `at`, `height` above the ellipsoid, on `date`.
    ///
    /// # Errors
    /// When the date is outside the models (2020 to 2029) or the height outside -1 to 850 km.
    pub fn from_model(
        at: Position,
        height: Length,
        date: NaiveDate,
    ) -> Result<Self, MagneticError> {
        let out_of_dates = |first: String, last: String| MagneticError::Date { date, first, last };
        let day = Date::from_ordinal_date(date.year(), date.ordinal() as u16)
            .map_err(|_| out_of_dates("2020-01-01".into(), "2029-12-31".into()))?;
        let field = GeomagneticField::new(
            si::Length::new::<meter>(height.m() as f32),
            si::Angle::new::<degree>(at.lat() as f32),
            si::Angle::new::<degree>(at.lon() as f32),
            day,
        )
        .map_err(|error| match error {
            WmmError::DateOutsideOfValidityRange { min_date, max_date } => {
                out_of_dates(min_date.to_string(), max_date.to_string())
            }
            _ => MagneticError::Place { at },
        })?;
        Ok(Self {
            declination_deg: f64::from(field.declination().get::<degree>()),
            uncertainty_deg: Some(f64::from(field.declination_uncertainty().get::<degree>())),
            date,
            at,
            source: if date.year() >= 2025 {
                "WMM2025"
            } else {
                "WMM2020"
            }
            .into(),
            warning: field.declination_warning().map(|zone| {
                match zone {
                    WarningZone::BlackoutZone => {
                        "magnetic blackout zone: a compass cannot be relied on here"
                    }
                    WarningZone::CautionZone => {
                        "magnetic caution zone: a compass may be inaccurate here"
                    }
                }
                .into()
            }),
        })
    }

    /// A magnetic course as a true one.
    #[must_use]
    pub fn true_from_magnetic(&self, magnetic_deg: f64) -> Bearing {
        Bearing::from_deg(magnetic_deg + self.declination_deg)
    }

    /// A true course as a magnetic one, degrees [0, 360).
    #[must_use]
    pub fn magnetic_from_true(&self, course: Bearing) -> f64 {
        crate::units::wrap_360(course.deg() - self.declination_deg)
    }
}
