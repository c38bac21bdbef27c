//! `overflown batch`: many sorties at once.

use super::also::{self, AlsoList};
use super::debrief::{self, Flight, PictureArgs};
use super::log::{ChoiceArgs, FormArgs, GateArgs, PartArgs, ReadingArgs};
use super::{CliError, ExitStatus, Printer};
use crate::batch::{BatchError, How, Order, Orders, Outcome, Progress, run as run_all};
use crate::debrief::Debrief;
use crate::input::{InputError, shown_path};
use crate::report::format::{counted, duration};
use crate::units::Length;
use std::path::PathBuf;
use std::thread::available_parallelism;
use std::time::Instant;

/// Debrief many sorties, listed in a table or found in a folder, on all cores; what is done already is kept.
#[derive(Debug, clap::Args)]
pub struct BatchArgs {
    /// A table (CSV) with a row for each sortie and the columns log, tasking, sortie and pilot, of which log is needed; or a
    /// folder in which a log and its tasking have one name but for the ending (see docs/batch.md).
    #[arg(value_name = "MANIFEST|DIR")]
    source: PathBuf,
    /// Folder in which a result folder for each sortie is made, and the tables of all.
    #[arg(long, value_name = "DIR", default_value = "out")]
    out: PathBuf,
    /// Sorties worked on at once [default: as many as there are cores].
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024))]
    threads: Option<u16>,
    /// Debrief also what is done already.
    #[arg(long)]
    again: bool,
    /// Sweep width of inferred plans, such as "0.5 NM" [default: their spacing, as an assumption].
    #[arg(long, value_name = "LENGTH", value_parser = debrief::width)]
    sweep_width: Option<Length>,
    /// Files to write as well, as `debrief` has them: layers, rasters, fixes, pictures, all; several with commas between.
    #[arg(long, value_name = "LIST", value_parser = also::of_debrief)]
    also: Option<AlsoList>,
    #[command(flatten)]
    pictures: PictureArgs,
    #[command(flatten)]
    form: FormArgs,
    #[command(flatten)]
    gates: GateArgs,
    /// Terrain for heights above the ground: a tile (.hgt of one or three arc-seconds, or a GeoTIFF in
    /// latitude and longitude on WGS 84), or a folder of tiles.
    #[arg(long, value_name = "DIR|FILE")]
    terrain: Option<PathBuf>,
    /// End with exit code 1 when strips of any sortie need a re-fly.
    #[arg(long)]
    check: bool,
}

/// Places of the bar that shows how far it is.
const BAR: usize = 24;

impl From<BatchError> for CliError {
    fn from(error: BatchError) -> Self {
        match error {
            BatchError::Input(error) => Self::Input(error),
            BatchError::Output(error) => Self::Output(error),
        }
    }
}

/// Debriefs all sorties, writes their result folders and the tables, and lists what failed.
///
/// # Errors
/// When the manifest or folder is refused, or the folder of the results cannot be written.
pub fn run(args: &BatchArgs, printer: &Printer) -> Result<ExitStatus, CliError> {
    let orders = Orders::read(&args.source, &args.out)?;
    let reading = ReadingArgs {
        choice: ChoiceArgs {
            form: args.form.clone(),
            part: PartArgs::default(),
        },
        gates: args.gates.clone(),
    };
    let options = format!("{reading:?} {:?}", args.sweep_width);
    let cores = available_parallelism().map_or(1, usize::from);
    let how = How {
        out: &args.out,
        threads: args.threads.map_or(cores, usize::from),
        options: &options,
        terrain: args.terrain.as_deref(),
        also: args.also.as_ref().map_or(&[], |list| &list.0),
        paper: args.pictures.paper(),
        again: args.again,
    };
    let began = Instant::now();
    let outcome = run_all(
        &orders,
        &how,
        &|order| debriefed(args, &reading, order),
        &mut |progress| printer.doing(&line(progress, began)),
    )?;
    tell(&orders, &outcome, printer);
    if let Some(error) = outcome.unfinished {
        return Err(error.into());
    }
    Ok(if !outcome.failures.is_empty() {
        ExitStatus::SomeRefused
    } else if args.check && outcome.to_refly.0 > 0 {
        ExitStatus::StripsToRefly
    } else {
        ExitStatus::Done
    })
}

fn debriefed(
    args: &BatchArgs,
    reading: &ReadingArgs,
    order: &Order,
) -> Result<Debrief, InputError> {
    // What is being done of one among many is not said.
    let printer = Printer::new(true);
    let flight = Flight {
        files: &order.logs,
        reading,
        terrain: args.terrain.as_deref(),
        sortie: order.sortie.as_deref(),
        pilot: order.pilot.as_deref(),
        kept: also::kept(args.also.as_ref()),
    };
    match &order.tasking {
        Some(tasking) => flight.debriefed(tasking, &printer),
        None => flight.inferred(args.sweep_width, &printer),
    }
}

/// `[#####-------------------] 4 of 20, 1 failed, 2:10 min to go`
fn line(progress: &Progress, began: Instant) -> String {
    let filled = progress.of(BAR);
    let failed = match progress.failed {
        0 => String::new(),
        failed => format!(", {failed} failed"),
    };
    let to_go = progress
        .to_go(began.elapsed())
        .map_or_else(String::new, |time| {
            format!(", {} to go", duration(time.as_secs_f64()))
        });
    format!(
        "[{}{}] {} of {}{failed}{to_go}",
        "#".repeat(filled),
        "-".repeat(BAR - filled),
        progress.over(),
        progress.all
    )
}

/// Says what became of all, in the order asked for.
fn tell(orders: &Orders, outcome: &Outcome, printer: &Printer) {
    for failure in &outcome.failures {
        printer.error(failure, &failure.error.hint);
    }
    for sorties in &outcome.same_log {
        let called = sorties
            .iter()
            .map(|number| orders.called(&orders.orders[*number]));
        let called: Vec<String> = called.collect();
        printer.note(&format!(
            "resting on the same track log: {}",
            called.join(", ")
        ));
    }
    if !orders.unpaired.is_empty() {
        let files = orders.unpaired.iter().map(|file| shown_path(file));
        let files: Vec<String> = files.collect();
        printer.note(&format!(
            "in no pair of log and tasking: {}",
            files.join(", ")
        ));
    }
    let Progress {
        all,
        kept,
        debriefed,
        failed,
    } = outcome.progress;
    let mut text = format!(
        "{}: {debriefed} debriefed, {kept} kept as done before, {failed} failed\n",
        counted(all, "sortie")
    );
    let (with, strips) = outcome.to_refly;
    text.push_str(&format!(
        "to fly again: {} of {}\n",
        counted(strips, "strip"),
        counted(with, "sortie")
    ));
    printer.result(&text);
    let tables: Vec<String> = outcome
        .tables
        .iter()
        .map(|table| shown_path(table))
        .collect();
    if !tables.is_empty() {
        printer.note(&format!("written: {}", tables.join(", ")));
    }
}
