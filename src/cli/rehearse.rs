//! `overflown rehearse`: flies a tasking before it is flown, and writes the log it would leave.

mod arguments;
mod summary;

use super::{CliError, ExitStatus, Printer};
use crate::input::shown_path;
use crate::plan::{self, Plan};
use crate::report::{self, OutputError};
use crate::simulate::{self, Fault, Settings, SimulateError, Truth, Wind, gpx_out};
use crate::tasking::{self, Course, Tasking};
use crate::track::Fix;
use crate::units::Bearing;
pub use arguments::Arguments;
use std::io;
use std::path::{Path, PathBuf};

impl From<SimulateError> for CliError {
    fn from(error: SimulateError) -> Self {
        Self::Usage {
            problem: error.to_string(),
            hint: error.hint(),
        }
    }
}

pub(super) fn run(arguments: &Arguments, printer: &Printer) -> Result<ExitStatus, CliError> {
    let tasking = tasking::read(&arguments.tasking)?;
    let plan = plan::lay_out(&tasking, &arguments.tasking)?;
    let settings = settings(arguments, &tasking, &plan)?;
    let rehearsal = simulate::simulate(&plan, &settings, arguments.seed)?;

    let out = arguments
        .out
        .clone()
        .unwrap_or_else(|| PathBuf::from(format!("out/{}-rehearsal.gpx", tasking.sortie)));
    // Both files are complete before either is written.
    let made = |bytes: io::Result<Vec<u8>>| bytes.map_err(|cause| not_made(&out, cause));
    let track = made(track_bytes(&tasking.sortie, &rehearsal.fixes))?;
    let truth = made(truth_bytes(&rehearsal.truth))?;
    if let Some(path) = &arguments.truth {
        report::folder::write_file(path, &truth)?;
    }
    report::folder::write_file(&out, &track)?;

    printer.result(&summary::text(&rehearsal));
    printer.note(&format!("written: {}", shown_path(&out)));
    if let Some(path) = &arguments.truth {
        printer.note(&format!("written: {}", shown_path(path)));
    }
    Ok(ExitStatus::Done)
}

fn settings(arguments: &Arguments, tasking: &Tasking, plan: &Plan) -> Result<Settings, CliError> {
    let mut settings = Settings::for_tasking(tasking);
    settings.airspeed = arguments.airspeed.unwrap_or(settings.airspeed);
    settings.bank_deg = arguments.bank.unwrap_or(settings.bank_deg);
    settings.wander = arguments.wander.unwrap_or(settings.wander);
    settings.gust = arguments.gust.unwrap_or(settings.gust);
    settings.wind_share = arguments.wind_known.unwrap_or(settings.wind_share);
    let manner = &mut settings.manner;
    manner.drift_learnt_s = arguments.drift_learnt.unwrap_or(manner.drift_learnt_s);
    manner.rejoin_s = arguments.rejoin.unwrap_or(manner.rejoin_s);
    manner.past_end = arguments.past_end.unwrap_or(manner.past_end);
    manner.short = arguments.short.unwrap_or(manner.short);
    settings.start = arguments.start.unwrap_or(settings.start);
    settings.rate_hz = arguments.rate.unwrap_or(settings.rate_hz);
    if let Some(wind) = &arguments.wind {
        settings.wind = Wind {
            from: true_direction(wind.from, plan)?,
            speed: wind.speed,
        };
    }
    settings.faults = faults(arguments);
    if let Some(shift) = &arguments.shifted {
        settings.faults.push(Fault::Shifted {
            by: shift.by,
            towards: true_direction(shift.towards, plan)?,
        });
    }
    if let Some(drift) = &arguments.carried {
        settings.faults.push(Fault::Carried {
            at: drift.by,
            towards: true_direction(drift.towards, plan)?,
        });
    }
    Ok(settings)
}

/// A direction from true north, with the declination of the plan.
fn true_direction(course: Course, plan: &Plan) -> Result<Bearing, CliError> {
    match course {
        Course::True(bearing) => Ok(bearing),
        Course::Magnetic(deg) => plan
            .declination
            .as_ref()
            .map(|declination| declination.true_from_magnetic(deg))
            .ok_or_else(|| CliError::Usage {
                problem:
                    "no declination is known for the day, so a magnetic direction cannot be used"
                        .into(),
                hint: "give the direction from true north, such as \"240 T\"".into(),
            }),
    }
}

fn faults(arguments: &Arguments) -> Vec<Fault> {
    let mut faults: Vec<Fault> = Vec::new();
    faults.extend(
        arguments
            .order
            .iter()
            .map(|order| Fault::Order(order.0.clone())),
    );
    faults.extend(arguments.skip_leg.iter().copied().map(Fault::SkipLeg));
    faults.extend(arguments.twice.iter().copied().map(Fault::FlyTwice));
    faults.extend(arguments.extra_after.iter().copied().map(Fault::ExtraAfter));
    faults.extend(arguments.interleave.then_some(Fault::Interleave));
    faults.extend(arguments.corner_survey.then_some(Fault::CornerSurvey));
    faults.extend(arguments.mirrored.then_some(Fault::Mirrored));
    faults.extend(arguments.turned.clone());
    let with_values = [
        &arguments.cut_leg,
        &arguments.bias,
        &arguments.orbit,
        &arguments.dropout,
        &arguments.excursion,
    ];
    faults.extend(with_values.into_iter().flatten().cloned());
    faults
}

fn track_bytes(sortie: &str, fixes: &[Fix]) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    gpx_out::write(&mut bytes, &format!("{sortie} (simulated)"), fixes)?;
    Ok(bytes)
}

fn truth_bytes(truth: &Truth) -> io::Result<Vec<u8>> {
    let mut bytes = serde_json::to_vec_pretty(truth)?;
    bytes.push(b'\n');
    Ok(bytes)
}

fn not_made(path: &Path, cause: io::Error) -> CliError {
    CliError::Output(OutputError {
        path: path.to_owned(),
        problem: "the simulated flight cannot be put into a file".into(),
        hint: "report this as a defect".into(),
        cause: Some(cause),
    })
}
