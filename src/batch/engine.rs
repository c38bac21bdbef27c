//! All sorties, some at a time.
//!
//! Each thread has a pool of its own for what within a sortie runs side by side. In one pool for all a thread that waits for a
//! part of its sortie would begin another sortie meanwhile, and hold both.

use super::failure::Failure;
use super::orders::Orders;
use super::place::Place;
use super::progress::Progress;
use super::record::{self, Known, Record};
use super::row::{self, Row};
use super::seen::Tiles;
use super::sortie::{Debriefing, End, How, Work, no_threads};
use super::summary;
use crate::input::InputError;
use crate::report::OutputError;
use crate::track::read::ROLE as TRACK;
use rayon::{ThreadPool, ThreadPoolBuilder};
use std::collections::BTreeMap;
use std::io;
use std::path::PathBuf;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::mpsc::{SyncSender, sync_channel};
use std::thread::Builder;

/// How a batch ended.
#[derive(Debug)]
pub struct Outcome {
    /// How many sorties became what.
    pub progress: Progress,
    /// Those that could not be debriefed, in the order asked for.
    pub failures: Vec<Failure>,
    /// Sorties with strips to fly again, and how many strips that are.
    pub to_refly: (usize, usize),
    /// Sorties that rest on one log, as numbers from 0, for each such log.
    pub same_log: Vec<Vec<usize>>,
    /// The tables, in the folder of the results.
    pub tables: Vec<PathBuf>,
    /// Why not all were begun, or the tables of them not written: the disk is full, or a table or the record cannot be written.
    pub unfinished: Option<OutputError>,
}

/// Why a batch could not be begun.
#[derive(Debug, thiserror::Error)]
pub enum BatchError {
    /// An input of all sorties was refused.
    #[error(transparent)]
    Input(#[from] InputError),
    /// The folder of the results cannot be written.
    #[error(transparent)]
    Output(#[from] OutputError),
}

/// Debriefs all sorties; `told` hears of every one that is over.
///
/// # Errors
/// When the folder of the results cannot be written or is in use, the terrain cannot be read, or threads cannot be had. What fails
/// for one sortie is in the outcome, and so is what cannot be written in the end.
pub fn run(
    orders: &Orders,
    how: &How<'_>,
    debriefing: &Debriefing<'_>,
    told: &mut dyn FnMut(&Progress),
) -> Result<Outcome, BatchError> {
    let tiles = Tiles::at(how.terrain)?;
    let place = Place::take(how.out)?;
    let (known, record) = record::open(&place)?;
    let work = Work {
        how,
        place: &place,
        tiles: &tiles,
        known: &known,
        debriefing,
    };
    let mut ends = Ends {
        orders,
        record,
        progress: Progress {
            all: orders.orders.len(),
            ..Progress::default()
        },
        done: Vec::new(),
        failures: Vec::new(),
        broken_off: None,
    };
    told(&ends.progress);
    work_on_all(&work, &mut ends, told)?;
    Ok(ends.over(&place, &known))
}

/// What the sorties have become.
struct Ends<'a> {
    orders: &'a Orders,
    record: Record<'a>,
    progress: Progress,
    /// Numbers of those that are done.
    done: Vec<usize>,
    failures: Vec<Failure>,
    broken_off: Option<String>,
}

/// Works on all sorties with the threads asked for.
fn work_on_all(
    work: &Work<'_>,
    ends: &mut Ends<'_>,
    told: &mut dyn FnMut(&Progress),
) -> Result<(), OutputError> {
    let all = &ends.orders.orders;
    let threads = work.how.threads.clamp(1, all.len().max(1));
    // Where there are fewer sorties than threads, each may use several.
    let each = (work.how.threads / threads).max(1);
    let pools: Vec<ThreadPool> = (0..threads)
        .map(|_| ThreadPoolBuilder::new().num_threads(each).build())
        .collect::<Result<_, _>>()
        .map_err(|error| no_threads(work.how, io::Error::other(error)))?;
    let (next, stop) = (AtomicUsize::new(0), AtomicBool::new(false));
    std::thread::scope(|scope| {
        let (send, ended) = sync_channel(threads);
        for pool in &pools {
            let send: SyncSender<(usize, End)> = send.clone();
            let (next, stop) = (&next, &stop);
            let work_off = move || {
                while !stop.load(Ordering::Relaxed) {
                    let number = next.fetch_add(1, Ordering::Relaxed);
                    let Some(order) = all.get(number) else { break };
                    let end = pool.install(|| work.on(order));
                    if send.send((number, end)).is_err() {
                        break;
                    }
                }
            };
            if let Err(cause) = Builder::new().spawn_scoped(scope, work_off) {
                stop.store(true, Ordering::Relaxed);
                return Err(no_threads(work.how, cause));
            }
        }
        drop(send);
        for (number, end) in ended {
            ends.take(number, end);
            if ends.broken_off.is_some() {
                stop.store(true, Ordering::Relaxed);
            }
            told(&ends.progress);
        }
        Ok(())
    })
}

impl Ends<'_> {
    fn take(&mut self, number: usize, end: End) {
        match end {
            End::Kept => self.progress.kept += 1,
            End::Debriefed(done) => {
                self.progress.debriefed += 1;
                if let Err(error) = self.record.add(&done) {
                    // The next run would not know what this one did.
                    self.broken_off = Some(reason(&error));
                }
            }
            End::Failed(fault) => {
                self.progress.failed += 1;
                let full = fault.is_of_a_full_disk();
                let failure = fault.told(self.orders, number);
                if full {
                    self.broken_off = Some(failure.error.to_string());
                }
                self.failures.push(failure);
                return;
            }
        }
        self.done.push(number);
    }

    /// Writes the tables.
    fn over(mut self, place: &Place, known: &Known) -> Outcome {
        self.done.sort_unstable();
        self.failures.sort_by_key(|failure| failure.order);
        let all = &self.orders.orders;
        let mut rows: Vec<Row> = Vec::with_capacity(self.done.len());
        let mut to_refly = (0, 0);
        let mut logs: BTreeMap<String, Vec<usize>> = BTreeMap::new();
        for number in &self.done {
            let name = all[*number].name.as_deref().unwrap_or_default();
            let Some(done) = self.record.of(name).or_else(|| known.of(name)) else {
                continue;
            };
            let strips = done.row.whole(row::STRIPS_TO_REFLY).unwrap_or(0);
            to_refly.0 += usize::from(strips > 0);
            to_refly.1 += strips as usize;
            let tracks = done.inputs.into_iter().filter(|i| i.role == TRACK);
            for track in tracks {
                let of_this = logs.entry(track.sha256).or_default();
                if of_this.last() != Some(number) {
                    of_this.push(*number);
                }
            }
            rows.push(done.row);
        }
        let mut same_log: Vec<Vec<usize>> = logs.into_values().filter(|n| n.len() > 1).collect();
        same_log.sort();
        same_log.dedup();
        let names = self.done.iter().filter_map(|n| all[*n].name.as_deref());
        let tables = summary::write(place, self.orders, &rows, &self.failures);
        // Also where the tables cannot be written what is done stays done.
        let ordered = self.record.put_in_order(known, names);
        let left = self.progress.all - self.progress.over();
        let broken_off = self
            .broken_off
            .map(|reason| broken_off(place, left, &reason));
        let (tables, unwritten) = match (tables, ordered) {
            (Ok(tables), ordered) => (tables, ordered.err()),
            (Err(error), _) => (Vec::new(), Some(error)),
        };
        Outcome {
            progress: self.progress,
            failures: self.failures,
            to_refly,
            same_log,
            tables,
            unfinished: broken_off.or(unwritten),
        }
    }
}

fn broken_off(place: &Place, left: usize, reason: &str) -> OutputError {
    let begun = match left {
        0 => String::new(),
        left => format!(", and {left} of the sorties were not begun"),
    };
    OutputError {
        path: place.out.clone(),
        problem: format!("no more can be written{begun}: {reason}"),
        hint: "what is done stays done: make room, and give the same command again to go on".into(),
        cause: None,
    }
}

/// An error with what the system said.
fn reason(error: &OutputError) -> String {
    match &error.cause {
        Some(cause) => format!("{error}: {cause}"),
        None => error.to_string(),
    }
}
