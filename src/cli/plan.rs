//! `overflown plan`: a tasking laid out.

use super::preflight::PreflightArgs;
use super::{CliError, ExitStatus, Printer};
use crate::input::shown_path;
use crate::plan::{self, arithmetic, survey};
use crate::preflight;
use crate::report::plan::PlanReport;
use crate::report::{self, File, OutputError};
use crate::tasking;
use std::path::{Path, PathBuf};

/// Arguments of `plan`.
#[derive(Debug, clap::Args)]
pub struct PlanArgs {
    /// What the crew is assigned (TOML, see docs/tasking-file.md).
    #[arg(value_name = "TASKING")]
    tasking: PathBuf,
    /// Folder in which the plan's folder, <sortie>-plan, is made.
    #[arg(long, value_name = "DIR", default_value = "out")]
    out: PathBuf,
    /// Also write the route alone to this file.
    #[arg(long, value_name = "FILE.gpx")]
    route: Option<PathBuf>,
    /// Print the plan as JSON instead of the leg table.
    #[arg(long, group = "figures")]
    json: bool,
    #[command(flatten)]
    preflight: PreflightArgs,
}

/// Lays the tasking out, writes the plan's folder and prints the leg table.
///
/// # Errors
/// When the tasking is refused or a file cannot be written.
pub fn run(args: &PlanArgs, printer: &Printer) -> Result<ExitStatus, CliError> {
    let tasking = tasking::read(&args.tasking)?;
    let plan = plan::lay_out(&tasking, &args.tasking)?;
    let rows = arithmetic::leg_table(&plan, tasking.flight.ground_speed);
    let corners = survey::area_corners(&plan);
    let questions = args.preflight.questions();
    let preflight = preflight::preflight(&tasking, &args.tasking, &plan, &questions);
    let name = format!("{}-plan", tasking.sortie);
    let files = report::plan::files(&PlanReport {
        tasking: &tasking,
        plan: &plan,
        rows: &rows,
        corners: &corners,
        preflight: &preflight,
    })
    .map_err(|error| OutputError {
        path: args.out.join(&name),
        problem: error.to_string(),
        hint: "this is a fault of the program; please report it with the tasking".into(),
        cause: None,
    })?;
    if let Some(route) = &args.route {
        // Where the folder is refused the route is not written either.
        report::folder::check(&args.out, &name, &files, &[])?;
        report::folder::write_file(route, content(&files, "route.gpx"))?;
    }
    let folder = report::folder::write(&args.out, &name, &files, &[])?;
    if args.json {
        printer.data(&String::from_utf8_lossy(content(&files, "plan.json")));
    } else if args.preflight.table {
        printer.result(&report::preflight_text::text(&tasking, &plan, &preflight));
    } else {
        printer.result(&String::from_utf8_lossy(content(&files, "plan.txt")));
    }
    written(printer, &folder, &files, args.route.as_deref());
    Ok(ExitStatus::Done)
}

/// A file of the plan by its name.
fn content<'f>(files: &'f [File], name: &str) -> &'f [u8] {
    let file = files.iter().find(|file| file.name == name);
    file.map_or(&[], |file| &file.bytes)
}

fn written(printer: &Printer, folder: &Path, files: &[File], route: Option<&Path>) {
    let names: Vec<&str> = files.iter().map(|file| file.name).collect();
    printer.note(&format!(
        "written to {}: {}",
        shown_path(folder),
        names.join(", ")
    ));
    if let Some(route) = route {
        printer.note(&format!("route written to {}", shown_path(route)));
    }
}
