//! `overflown plan`: a tasking laid out.

use super::preflight::PreflightArgs;
use super::{CliError, ExitStatus, Printer};
use crate::plan::{self, arithmetic, route_file};
use crate::preflight;
use crate::report::{self, OutputError};
use crate::tasking;
use std::path::PathBuf;

/// Arguments of `plan`.
#[derive(Debug, clap::Args)]
pub struct PlanArgs {
    /// What the crew is assigned (TOML, see docs/tasking-file.md).
    #[arg(value_name = "TASKING")]
    tasking: PathBuf,
    /// Where to write the route; default out/<sortie>-route.gpx.
    #[arg(long, value_name = "FILE.gpx")]
    out: Option<PathBuf>,
    /// Print the plan as JSON instead of the leg table.
    #[arg(long, group = "figures")]
    json: bool,
    #[command(flatten)]
    preflight: PreflightArgs,
}

/// Lays the tasking out, writes the route and prints the leg table.
///
/// # Errors
/// When the tasking is refused or the route cannot be written.
pub fn run(args: &PlanArgs, printer: &Printer) -> Result<ExitStatus, CliError> {
    let tasking = tasking::read(&args.tasking)?;
    let plan = plan::lay_out(&tasking, &args.tasking)?;
    let rows = arithmetic::leg_table(&plan, tasking.flight.ground_speed);
    let path = args
        .out
        .clone()
        .unwrap_or_else(|| PathBuf::from("out").join(format!("{}-route.gpx", tasking.sortie)));
    let description = format!(
        "{}, spacing {:.2} NM",
        plan.pattern.name(),
        plan.spacing.nm()
    );
    let route = route_file::to_gpx(
        &tasking.sortie,
        &description,
        &route_file::plan_points(&plan),
    )
    .map_err(|error| OutputError {
        path: path.clone(),
        problem: format!("the route cannot be written as GPX: {error}"),
        hint: "this is a fault of the program; please report it with the tasking".into(),
        cause: None,
    })?;
    report::folder::write_file(&path, &route)?;
    let preflight =
        preflight::preflight(&tasking, &args.tasking, &plan, &args.preflight.questions());
    if args.json {
        printer.data(&report::plan_text::json(&tasking, &plan, &rows, &preflight));
    } else if args.preflight.table {
        printer.result(&report::preflight_text::text(&tasking, &plan, &preflight));
    } else {
        printer.result(&report::plan_text::leg_table(&tasking, &plan, &rows));
    }
    printer.note(&format!("route written to {}", path.display()));
    Ok(ExitStatus::Done)
}
