//! `overflown rehearse`: flies a tasking before it is flown, and writes the log it would leave.

mod arguments;
mod summary;

use super::{CliError, ExitStatus, Printer};
use crate::plan::{self, Plan};
use crate::report::OutputError;
use crate::simulate::{self, Fault, Settings, SimulateError, Truth, Wind, gpx_out};
use crate::tasking::{self, Course, Tasking};
use crate::track::Fix;
pub use arguments::Arguments;
use arguments::WindArgument;
use std::fs::File;
use std::io::{self, BufWriter, Write};
use std::path::{Path, PathBuf};
use tempfile::NamedTempFile;

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
    let track = write_track(&out, &tasking.sortie, &rehearsal.fixes)?;
    // Both files are complete before either is put in its place.
    if let Some(path) = &arguments.truth {
        let truth = write_truth(path, &rehearsal.truth)?;
        put_in_place(truth, path)?;
    }
    put_in_place(track, &out)?;

    printer.result(&summary::text(&rehearsal));
    printer.note(&format!("written: {}", out.display()));
    if let Some(path) = &arguments.truth {
        printer.note(&format!("written: {}", path.display()));
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
    settings.start = arguments.start.unwrap_or(settings.start);
    settings.rate_hz = arguments.rate.unwrap_or(settings.rate_hz);
    if let Some(wind) = &arguments.wind {
        settings.wind = true_wind(wind, plan)?;
    }
    settings.faults = faults(arguments);
    Ok(settings)
}

fn true_wind(wind: &WindArgument, plan: &Plan) -> Result<Wind, CliError> {
    let from = match wind.from {
        Course::True(bearing) => bearing,
        Course::Magnetic(deg) => plan
            .declination
            .as_ref()
            .map(|declination| declination.true_from_magnetic(deg))
            .ok_or_else(|| CliError::Usage {
                problem:
                    "no declination is known for the day, so a magnetic wind direction cannot \
                          be used"
                        .into(),
                hint: "give the wind from true north, such as \"240 T at 12 kt\"".into(),
            })?,
    };
    Ok(Wind {
        from,
        speed: wind.speed,
    })
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

fn write_track(path: &Path, sortie: &str, fixes: &[Fix]) -> Result<NamedTempFile, CliError> {
    let name = format!("{sortie} (simulated)");
    write_beside(path, |to| gpx_out::write(to, &name, fixes))
}

fn write_truth(path: &Path, truth: &Truth) -> Result<NamedTempFile, CliError> {
    write_beside(path, |to| {
        serde_json::to_writer_pretty(&mut *to, truth)?;
        to.write_all(b"\n")
    })
}

/// Writes a temporary file in the folder of `path`, whole and flushed.
fn write_beside(
    path: &Path,
    write: impl FnOnce(&mut BufWriter<&File>) -> io::Result<()>,
) -> Result<NamedTempFile, CliError> {
    let folder = match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    let written = || -> io::Result<NamedTempFile> {
        std::fs::create_dir_all(folder)?;
        // Created like any other file, so that it gets the usual permissions.
        let file = tempfile::Builder::new()
            .prefix(".overflown-")
            .make_in(folder, |path| File::create_new(path))?;
        let mut to = BufWriter::new(file.as_file());
        write(&mut to)?;
        to.flush()?;
        drop(to);
        Ok(file)
    };
    written().map_err(|cause| not_written(path, cause))
}

fn put_in_place(file: NamedTempFile, path: &Path) -> Result<(), CliError> {
    file.persist(path)
        .map(drop)
        .map_err(|error| not_written(path, error.error))
}

fn not_written(path: &Path, cause: io::Error) -> CliError {
    CliError::Output(OutputError {
        path: path.to_owned(),
        problem: "cannot be written".into(),
        hint: "name a file in a folder that can be written to".into(),
        cause: Some(cause),
    })
}
