//! The times and positions of one `Track`, as they pair up.

use super::super::values::{self, Zone, bounded, height, moment, number, place, xsd_time};
use crate::geodesy::Position;
use crate::track::{Finding, Fix, Ledger, LocalTime};
use chrono::{DateTime, Utc};

/// What a `<coord>` gives, or why it gives none, with the raw value.
type Place = Result<(Position, Option<Altitude>), (Finding, String)>;

/// Metres if it is a number, and the raw value.
type Altitude = (Option<f64>, String);

/// What a `<when>` gives, and the raw value.
struct When {
    line: u32,
    time: Result<(DateTime<Utc>, Zone), Finding>,
    raw: String,
}

struct Coord {
    line: u32,
    place: Place,
    /// How many `<when>` stand before it.
    times_before: usize,
}

impl Coord {
    /// Its text, as far as it was understood.
    fn raw(&self) -> String {
        match &self.place {
            Err((_, raw)) => raw.clone(),
            Ok((position, altitude)) => {
                let (lat, lon) = (position.lat(), position.lon());
                match altitude {
                    Some((_, altitude)) => bounded(&format!("{lon} {lat} {altitude}")),
                    None => format!("{lon} {lat}"),
                }
            }
        }
    }
}

/// The times and places of one `Track`.
#[derive(Default)]
pub(super) struct Pairs {
    /// Line of the `Track`.
    begin: u32,
    /// Line of the element being read.
    pub(super) line: u32,
    pub(super) mode: Option<String>,
    times: Vec<When>,
    places: Vec<Coord>,
}

impl Pairs {
    /// A track that begins on a line, with the `altitudeMode` of those around it, if there is one.
    pub(super) fn at(begin: u32, mode: Option<String>) -> Self {
        Self {
            begin,
            mode,
            ..Self::default()
        }
    }

    /// Times found, good or bad.
    pub(super) const fn times(&self) -> usize {
        self.times.len()
    }

    pub(super) fn pairs(&self) -> usize {
        self.times.len().min(self.places.len())
    }

    pub(super) fn add_time(&mut self, text: &str) {
        let line = self.line;
        self.times.push(When {
            line,
            time: xsd_time(text),
            raw: bounded(text),
        });
    }

    pub(super) fn add_place(&mut self, text: &str) {
        self.places.push(Coord {
            line: self.line,
            place: coordinates(text).map_err(|finding| (finding, bounded(text))),
            times_before: self.times.len(),
        });
    }

    /// The fixes. Of a track that was broken off, those at its beginning are paired.
    pub(super) fn finish(
        self,
        broken_off: bool,
        local: Option<LocalTime>,
        ledger: &mut Ledger,
    ) -> Vec<Fix> {
        let heights = self.heights_count(ledger);
        let Self { times, places, .. } = self;
        let mut fixes = Vec::with_capacity(places.len());
        let mut both = |time: When, coord: Coord, ledger: &mut Ledger| {
            fixes.extend(fix(&time, &coord, (heights, local), ledger));
        };
        if times.len() == places.len() || broken_off {
            for (time, coord) in times.into_iter().zip(places) {
                both(time, coord, ledger);
            }
        } else if times.is_empty() {
            for coord in places {
                ledger.add(coord.line, Finding::NoTime, coord.raw());
            }
        } else if in_turn(&places, times.len()) {
            // One of a pair is missing here and there: what stands right behind its time has that time.
            let mut times = times.into_iter().enumerate().peekable();
            for coord in places {
                let mut own = None;
                while let Some((_, time)) = times.next_if(|(i, _)| *i < coord.times_before) {
                    if let Some(alone) = own.replace(time) {
                        unpaired_time(&alone, ledger);
                    }
                }
                match own {
                    Some(time) => both(time, coord, ledger),
                    None => {
                        let raw = format!("a position without a time: {}", coord.raw());
                        ledger.add(coord.line, Finding::Unpaired, raw);
                    }
                }
            }
            for (_, time) in times {
                unpaired_time(&time, ledger);
            }
        } else {
            let raw = format!("{} times for {} positions", times.len(), places.len());
            for coord in places {
                ledger.add(
                    coord.line,
                    Finding::Unpaired,
                    format!("{raw}: {}", coord.raw()),
                );
            }
        }
        fixes
    }

    /// Whether the altitudes are heights. If they are not and something was recorded in them, the
    /// ledger says so once for the track.
    fn heights_count(&self, ledger: &mut Ledger) -> bool {
        let recorded = |coord: &Coord| matches!(&coord.place, Ok((_, Some((metres, _)))) if *metres != Some(0.0));
        let recorded = || self.places.iter().any(recorded);
        altitudes_are_heights(self.mode.as_deref(), recorded, self.begin, ledger)
    }
}

/// Whether altitudes of this `altitudeMode` are heights. If they are not and something was recorded in them,
/// the ledger says so once.
pub(super) fn altitudes_are_heights(
    mode: Option<&str>,
    recorded: impl FnOnce() -> bool,
    line: u32,
    ledger: &mut Ledger,
) -> bool {
    if mode == Some("absolute") {
        return true;
    }
    if recorded() {
        // 12-007r2: clampToGround is the default, and means that altitudes are not looked at.
        let raw = mode.map_or_else(
            || "no altitudeMode, which means clampToGround".to_owned(),
            |mode| format!("altitudeMode {mode}"),
        );
        ledger.add(line, Finding::BadHeight, bounded(&raw));
    }
    false
}

fn unpaired_time(time: &When, ledger: &mut Ledger) {
    let raw = format!("a time without a position: {}", time.raw);
    ledger.add(time.line, Finding::Unpaired, raw);
}

/// Whether times and positions stand in turn, rather than all times, or some of them, first. Chosen: more
/// than three quarters of them do; of times and positions in twos it would be half.
fn in_turn(places: &[Coord], times: usize) -> bool {
    let mut direct = 0;
    let mut before = 0;
    for coord in places {
        direct += usize::from(coord.times_before > before);
        before = coord.times_before;
    }
    4 * direct > 3 * times.max(places.len())
}

fn fix(
    time: &When,
    coord: &Coord,
    (heights, local): (bool, Option<LocalTime>),
    ledger: &mut Ledger,
) -> Option<Fix> {
    let line = coord.line;
    let whole = || values::point([("when", Some(&time.raw)), ("coord", Some(&coord.raw()))]);
    let (position, altitude) = match &coord.place {
        Ok((position, altitude)) => (*position, altitude.as_ref()),
        Err((finding, _)) => {
            ledger.add(line, *finding, whole());
            return None;
        }
    };
    let (at, finding) = match time.time {
        Err(finding) => {
            ledger.add(time.line, finding, whole());
            return None;
        }
        Ok((at, zone)) => moment(at, zone, local),
    };
    if let Some(finding) = finding {
        ledger.add(time.line, finding, whole());
    }
    let height = altitude
        .filter(|_| heights)
        .and_then(|(metres, _)| height(*metres, whole, line, ledger));
    Some(Fix {
        time: at,
        position,
        height: height.into(),
        line,
        file: 0,
    })
}

/// `longitude latitude altitude`, separated by spaces; the altitude may be missing. That it is 0 then is
/// for drawing: nothing was recorded.
fn coordinates(text: &str) -> Result<(Position, Option<Altitude>), Finding> {
    let mut parts = text.split_ascii_whitespace();
    let (lon, lat) = parts.next().zip(parts.next()).ok_or(Finding::Unreadable)?;
    let altitude = parts.next().map(|raw| (number(raw), raw.to_owned()));
    if parts.next().is_some() {
        return Err(Finding::Unreadable);
    }
    let (lon, lat) = number(lon).zip(number(lat)).ok_or(Finding::Unreadable)?;
    Ok((place(lat, lon)?, altitude))
}
