//! The questions of `plan` about the arithmetic beside the plan, and how they are written.

use crate::preflight::Questions;
use crate::tasking::quantity::{self, QuantityError, shown};
use crate::units::Length;

/// Arguments that ask for more than the plan.
#[derive(Debug, clap::Args)]
pub struct PreflightArgs {
    /// Print the arithmetic beside the plan instead of the leg table: start points, distance and time,
    /// expected POD, spacing for a POD, the same area at other latitudes.
    #[arg(long, group = "figures")]
    pub(super) table: bool,
    /// POD to find the spacing for, more than 0 and less than 1 [default: that of the tasking, else
    /// 0.5, 0.7, 0.8 and 0.9].
    #[arg(long, value_name = "POD", value_parser = pod, allow_hyphen_values = true, requires = "figures")]
    pod: Option<f64>,
    /// Time on scene to find the area, the spacing and the number of crews for, such as "2 h".
    #[arg(long, value_name = "TIME", value_parser = time, allow_hyphen_values = true, requires = "figures")]
    time: Option<f64>,
    /// How far outside the corner the run to the first leg begins, such as "0.5 NM".
    #[arg(long, value_name = "LENGTH", value_parser = offset, allow_hyphen_values = true, requires = "figures")]
    corner_offset: Option<Length>,
}

impl PreflightArgs {
    /// What is asked.
    pub(super) const fn questions(&self) -> Questions {
        Questions {
            pod: self.pod,
            time_s: self.time,
            corner_offset: self.corner_offset,
        }
    }
}

fn said(error: QuantityError) -> String {
    format!("{error}; expected {}", error.accepted)
}

fn pod(text: &str) -> Result<f64, String> {
    text.trim()
        .parse()
        .ok()
        .filter(|pod| *pod > 0.0 && *pod < 1.0)
        .ok_or_else(|| {
            format!(
                "{} is not a POD; expected a number more than 0 and less than 1, such as 0.8 for 80 %",
                shown(text)
            )
        })
}

fn time(text: &str) -> Result<f64, String> {
    let seconds = quantity::duration_s(text).map_err(said)?;
    if seconds > 0.0 {
        Ok(seconds)
    } else {
        Err(format!(
            "a time of {} is not more than zero; expected one such as \"2 h\" or \"90 min\"",
            shown(text)
        ))
    }
}

fn offset(text: &str) -> Result<Length, String> {
    let length = quantity::length(text).map_err(said)?;
    if length.m() >= 0.0 {
        Ok(length)
    } else {
        Err(format!(
            "a distance outside of {} is less than zero; expected one such as \"0.5 NM\"",
            shown(text)
        ))
    }
}
