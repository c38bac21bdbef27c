//! `overflown debrief`: a track log against its tasking.

use super::also::{self, AlsoList};
use super::log::{LogArgs, ReadingArgs, all_called, over};
use super::{CliError, ExitStatus, Printer};
use crate::backdrop::Backdrop;
use crate::debrief::{Debrief, debrief_keeping};
use crate::infer::{Given, Tasked};
use crate::input::{InputError, shown_path};
use crate::measure::Kept;
use crate::plan;
use crate::report::drawing::Paper;
use crate::report::palette::Theme;
use crate::report::{self, OutputError, backdrop_words, refly_words};
use crate::tasking::{self, Tasking, quantity};
use crate::units::Length;
use std::path::{Path, PathBuf};

/// Arguments of `debrief`.
#[derive(Debug, clap::Args)]
pub struct DebriefArgs {
    #[command(flatten)]
    log: LogArgs,
    /// What the crew was assigned (TOML, see docs/tasking-file.md) [default: the pattern that the flight itself
    /// fits best, written to inferred.toml; it cannot show a wrong area or a missed first or last leg].
    #[arg(long, value_name = "TASKING")]
    tasking: Option<PathBuf>,
    /// Sweep width of an inferred plan, such as "0.5 NM" [default: its spacing, as an assumption].
    #[arg(long, value_name = "LENGTH", value_parser = width, conflicts_with = "tasking")]
    sweep_width: Option<Length>,
    /// Folder in which the result folder, called after the sortie, is made.
    #[arg(long, value_name = "DIR", default_value = "out")]
    out: PathBuf,
    /// Files to write as well: layers (layers.geojson, layers.kml), rasters (pod.tif,
    /// exposure.tif), fixes (fixes.csv), pictures (more of them, and as SVG), all; several with commas between (see docs/report.md).
    #[arg(long, value_name = "LIST", value_parser = also::of_debrief)]
    also: Option<AlsoList>,
    #[command(flatten)]
    pictures: PictureArgs,
    /// A map to lie below that of the report, for orientation only: a GeoTIFF, an MBTiles file with pictures as
    /// tiles, or a PNG or JPEG picture with a world file beside it.
    #[arg(long, value_name = "FILE")]
    backdrop: Option<PathBuf>,
    /// Reference system of the backdrop where its file does not tell it, such as EPSG:32632 [default: what the file
    /// tells; for a world file whose values can be degrees EPSG:4326].
    #[arg(long, value_name = "EPSG:N", value_parser = epsg, requires = "backdrop")]
    backdrop_crs: Option<u32>,
    /// End with exit code 1 when strips need a re-fly.
    #[arg(long)]
    check: bool,
    /// Print the debrief as JSON instead of the report.
    #[arg(long)]
    json: bool,
}

/// How pictures are drawn.
#[derive(Clone, Copy, Debug, clap::Args)]
pub(super) struct PictureArgs {
    /// Colours of the pictures (PNG and SVG files); those of report.html follow the reader's screen.
    #[arg(long, value_enum, value_name = "THEME", default_value_t = PictureTheme::Light)]
    picture_theme: PictureTheme,
    /// Width of the pictures, pixels, 300 to 8000; lines and letters grow with it [default: what suits each].
    #[arg(long, value_name = "PIXELS", value_parser = clap::value_parser!(u32).range(300..=8000))]
    picture_width: Option<u32>,
}

impl PictureArgs {
    pub(super) fn paper(self) -> Paper {
        Paper {
            theme: self.picture_theme.into(),
            width: self.picture_width,
        }
    }
}

/// Colours of pictures.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
enum PictureTheme {
    /// For paper.
    Light,
    /// For a dark screen.
    Dark,
}

impl From<PictureTheme> for Theme {
    fn from(theme: PictureTheme) -> Self {
        match theme {
            PictureTheme::Light => Self::Light,
            PictureTheme::Dark => Self::Dark,
        }
    }
}

/// Reads, debriefs, writes the result folder and prints the report.
///
/// # Errors
/// When an input is refused or a result cannot be written.
pub fn run(args: &DebriefArgs, printer: &Printer) -> Result<ExitStatus, CliError> {
    let opened = args
        .backdrop
        .as_deref()
        .map(|file| Backdrop::open(file, args.backdrop_crs))
        .transpose()?;
    let mut result = analyse(args, printer)?;
    if let Some(backdrop) = opened {
        printer.doing("drawing the backdrop");
        let ground = report::ground_of_map(&result);
        let picture = backdrop.under(&result.coverage.raster.frame, ground)?;
        result = result.with_backdrop(picture);
    }
    printer.doing("drawing up the report");
    let also = args.also.as_ref().map_or(&[][..], |list| &list.0);
    let paper = args.pictures.paper();
    let files = report::all_files(&result, also, paper).map_err(|error| OutputError {
        path: args.out.join(&result.sortie),
        problem: error.to_string(),
        hint: "this is a fault of the program; please report it with the log and the tasking"
            .into(),
        cause: None,
    })?;
    let folder = report::folder::write(&args.out, &result.sortie, &files, &report::sometimes())?;
    if args.json {
        let json = files.iter().find(|file| file.name == "debrief.json");
        printer.data(
            &json
                .map(|f| String::from_utf8_lossy(&f.bytes))
                .unwrap_or_default(),
        );
    } else {
        printer.result(&report::text::report(
            &result,
            report::text::Style::Coloured,
        ));
    }
    let names: Vec<&str> = files.iter().map(|file| file.name).collect();
    printer.note(&format!(
        "written to {}: {}{}",
        shown_path(&folder),
        names.join(", "),
        refly_words::none_of(&result.refly)
    ));
    if let Some(picture) = &result.backdrop
        && let Some(partly) = backdrop_words::partly(&picture.about)
    {
        printer.note(&format!("backdrop {}: {partly}", picture.about.name));
    }
    if let Some(words) = report::also::left_out(&result, also) {
        printer.note(words);
    }
    Ok(if args.check && result.strips_to_refly() > 0 {
        ExitStatus::StripsToRefly
    } else {
        ExitStatus::Done
    })
}

fn analyse(args: &DebriefArgs, printer: &Printer) -> Result<Debrief, CliError> {
    let (files, reading) = (args.log.files.as_slice(), &args.log.reading);
    let flight = Flight {
        files,
        reading,
        terrain: args.log.terrain.as_deref(),
        sortie: None,
        pilot: None,
        kept: also::kept(args.also.as_ref()),
    };
    Ok(match &args.tasking {
        Some(tasking) => flight.debriefed(tasking, printer)?,
        None => flight.inferred(args.sweep_width, printer)?,
    })
}

/// A flight as it is named on the command line.
pub(super) struct Flight<'a> {
    /// Its log, in one file or several.
    pub(super) files: &'a [PathBuf],
    /// How that is read.
    pub(super) reading: &'a ReadingArgs,
    /// The terrain below it.
    pub(super) terrain: Option<&'a Path>,
    /// What the sortie is called in the place of what its tasking says.
    pub(super) sortie: Option<&'a str>,
    /// Who flew, in the place of what the tasking says.
    pub(super) pilot: Option<&'a str>,
    /// Which of its fixes are kept.
    pub(super) kept: Kept,
}

impl Flight<'_> {
    /// Reads the log and debriefs it against the pattern that it fits best itself; errors name it as it was given.
    ///
    /// # Errors
    /// When it is refused, or no pattern is recognised in it.
    pub(super) fn inferred(
        &self,
        sweep_width: Option<Length>,
        printer: &Printer,
    ) -> Result<Debrief, InputError> {
        printer.doing("reading the log");
        let track = over(self.reading.load(self.files, None)?, self.terrain)?;
        let log = all_called(self.files);
        printer.doing("looking for a pattern");
        let given = Given {
            log: &track.sources[0].name,
            sortie: self.sortie,
            sweep_width,
        };
        let mut plan = Tasked::of(&track, &log, given)?;
        self.rename(&mut plan.tasking);
        printer.doing("debriefing");
        let result = debrief_keeping(self.kept, &track, &log, &plan.tasking, &plan.plan).map_err(
            |error| {
                let file = log.clone();
                InputError { file, ..error }
            },
        )?;
        Ok(result.with_inference(plan))
    }

    /// Reads the log and debriefs it against a tasking; errors name all as they were given.
    ///
    /// # Errors
    /// When either is refused.
    pub(super) fn debriefed(
        &self,
        tasking_file: &Path,
        printer: &Printer,
    ) -> Result<Debrief, InputError> {
        let mut tasking = tasking::read(tasking_file)?;
        self.rename(&mut tasking);
        let plan = plan::lay_out(&tasking, tasking_file)?;
        printer.doing("reading the log");
        let gap_limit_s = tasking.tolerances.recording_gap_s;
        let track = over(self.reading.load(self.files, gap_limit_s)?, self.terrain)?;
        printer.doing("debriefing");
        debrief_keeping(self.kept, &track, &all_called(self.files), &tasking, &plan).map_err(
            |error| {
                // The debrief knows the tasking by its name alone; the user gave the way to it.
                if error.file == Path::new(&tasking.source.name) {
                    InputError {
                        file: tasking_file.to_owned(),
                        ..error
                    }
                } else {
                    error
                }
            },
        )
    }

    fn rename(&self, tasking: &mut Tasking) {
        if let Some(sortie) = self.sortie {
            sortie.clone_into(&mut tasking.sortie);
        }
        if let Some(pilot) = self.pilot {
            tasking.pilot = Some(pilot.to_owned());
        }
    }
}

/// The number of an EPSG code, with or without the name before it.
fn epsg(text: &str) -> Result<u32, String> {
    let number = match text.get(..5) {
        Some(name) if name.eq_ignore_ascii_case("EPSG:") => &text[5..],
        _ => text,
    };
    number
        .parse()
        .map_err(|_| "expected an EPSG code, such as EPSG:32632".to_owned())
}

/// A sweep width.
pub(super) fn width(text: &str) -> Result<Length, String> {
    quantity::length(text)
        .map_err(|error| format!("{error}; expected {}", error.accepted))
        .and_then(|width| match width {
            width if width.m() > 0.0 => Ok(width),
            _ => Err("must be more than zero".to_owned()),
        })
}
