//! `overflown review --class`: several pilots beside each other.

use super::{ReviewArgs, of_folders, of_logbook, of_one_pattern, once_each, wanted, write};
use crate::characters::visible;
use crate::cli::{CliError, ExitStatus, Printer};
use crate::input::InputError;
use crate::logbook::{Filter, Logbook};
use crate::report;
use crate::training::flight::{anonymise, in_order};
use crate::training::{Class, Flight, Review, Tolerances, review};
use std::collections::BTreeMap;

/// Name of the result folder.
const NAME: &str = "Review class";

/// Reads the flights, reviews them pilot by pilot, writes the result folder and prints the report.
///
/// # Errors
/// As the review of one pilot has them, and where there are not several.
pub(super) fn run(
    args: &ReviewArgs,
    tolerances: &Tolerances,
    printer: &Printer,
) -> Result<ExitStatus, CliError> {
    let mut flights = if args.folders.is_empty() {
        of_pilots(args)?
    } else if args.pilot.is_empty() {
        of_folders(&args.folders)?
    } else {
        return Err(CliError::Usage {
            problem: "with --class, folders say themselves whose flights they are".into(),
            hint: "leave --pilot out, or take the flights of a logbook".into(),
        });
    };
    wanted(&mut flights, args);
    of_one_pattern(&flights, args.pattern)?;
    let mut pilots = by_pilot(flights)?;
    if let [(one, _)] = pilots.as_slice() {
        return Err(CliError::Usage {
            problem: format!("all flights are of {one}"),
            hint: "a class is of two pilots or more; leave --class out for a review of one".into(),
        });
    }
    for (_, flights) in &pilots {
        once_each(flights)?;
    }
    if args.anonymise {
        nameless(&mut pilots);
    }
    let reviews: Vec<Review> = pilots
        .into_iter()
        .map(|(pilot, flights)| review(&pilot, flights, &[], tolerances))
        .collect();
    let class = Class::of(&reviews, tolerances);
    let text = report::class::text::report(&class);
    write(args, NAME, report::class::files(&class), &text, printer)
}

/// The flights of the pilots asked for, or of all, in the logbook.
fn of_pilots(args: &ReviewArgs) -> Result<Vec<Flight>, InputError> {
    let logbook = Logbook::open(&args.logbook)?;
    if args.pilot.is_empty() {
        let entries = logbook.records(&Filter::default())?;
        let flights = entries.iter().map(|entry| super::flight(&logbook, entry));
        return flights.collect();
    }
    let mut names = args.pilot.clone();
    names.sort_unstable();
    names.dedup();
    let mut flights = Vec::new();
    for name in &names {
        flights.extend(of_logbook(&logbook, name)?);
    }
    Ok(flights)
}

/// The flights of each pilot, in the order of names.
fn by_pilot(flights: Vec<Flight>) -> Result<Vec<(String, Vec<Flight>)>, CliError> {
    let mut pilots: BTreeMap<String, Vec<Flight>> = BTreeMap::new();
    for flight in flights {
        let Some(pilot) = flight.pilot.clone() else {
            return Err(CliError::Usage {
                problem: format!("nothing says who flew {}", visible(&flight.sortie)),
                hint: "name the `pilot` in its tasking and debrief it again, or keep it in a logbook with --pilot".into(),
            });
        };
        pilots.entry(pilot).or_default().push(flight);
    }
    Ok(pilots.into_iter().collect())
}

/// Pilots by number, in the order of their first flights, so that not even the order of their names is told.
fn nameless(pilots: &mut [(String, Vec<Flight>)]) {
    for (_, flights) in pilots.iter_mut() {
        in_order(flights);
    }
    pilots.sort_by_key(|(_, flights)| flights.first().map(|flight| flight.started));
    for (number, (pilot, flights)) in (1..).zip(pilots) {
        *pilot = format!("Pilot {number}");
        anonymise(flights);
    }
}
