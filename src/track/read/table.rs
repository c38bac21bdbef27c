//! Tables: values separated by commas, semicolons or tabs (RFC 4180 and its like), with a header that names
//! the columns, or with columns that the user names.
//!
//! A row must have as many fields as the header: a decimal comma between commas would else put every value
//! into the column after its own. Where the separator is no comma, decimal commas are read.

use super::begun::Begun;
use super::columns::Columns;
use super::header::{Header, Parts, recognise};
use super::instant::{Instant, instant};
use super::limits::{self, RowByRow};
use super::source::Source;
use super::values::{self, Zone, bounded, height, moment, number, place};
use super::xml::{self, Fault};
use super::{ROLE, ReadSettings, file_name, unreadable};
use crate::input::InputError;
use crate::track::formula;
use crate::track::{Finding, Fix, HeightKind, Ledger, LocalTime, LogTrack, Reading};
use chrono::{DateTime, Utc};
use csv::{ByteRecord, ErrorKind, ReaderBuilder, Terminator};
use std::io::{Chain, Read};
use std::path::Path;
use std::sync::Arc;

/// How columns are given, for hints.
const GIVE_COLUMNS: &str = "name the columns in the first line (time, lat, lon, altitude (ft)), or give their \
                            numbers: --columns \"time=1,lat=2,lon=3,height=4 ft\"";

/// How an order of dates is given, for hints.
const GIVE_ORDER: &str = "write dates as 2026-05-01, or give the order with the columns: --columns \
                          \"time=1 dmy,lat=2,lon=3\" or mdy";

/// Bytes in which the separator is looked for.
const HEAD_BYTES: u64 = 4096;

/// A line feed ends the last row too, whether the file does so or not.
type Rows = csv::Reader<RowByRow<Chain<Chain<std::io::Cursor<Vec<u8>>, Source>, &'static [u8]>>>;

/// Reads a table from `source`.
pub(super) fn read(
    path: &Path,
    mut source: Source,
    settings: ReadSettings,
    columns: Option<Columns>,
) -> Result<Reading, InputError> {
    let mut head = Vec::new();
    source
        .by_ref()
        .take(HEAD_BYTES)
        .read_to_end(&mut head)
        .map_err(|cause| unreadable(path, &cause))?;
    let separator = separator(&head);
    let mut rows = ReaderBuilder::new()
        .delimiter(separator)
        .has_headers(false)
        .flexible(true)
        .comment(Some(b'#'))
        .terminator(Terminator::Any(b'\n'))
        .from_reader(RowByRow::new(
            std::io::Cursor::new(head)
                .chain(source)
                .chain(b"\n".as_slice()),
        ));
    let mut table = Table {
        path,
        decimal_commas: separator != b',',
        local: settings.local,
        header: columns.map(Header::given),
        fields: None,
        part: None,
        tracks: Vec::new(),
        begun: Begun::default(),
        segments: Vec::new(),
        fixes: Vec::new(),
        ledger: Ledger::default(),
        rows: 0,
    };
    if let Err(stop) = table.read(&mut rows) {
        let fault = match stop {
            Stop::Refused(error) => return Err(error),
            Stop::Fault(fault) => fault,
        };
        let good = table.fixes.len() + table.segments.iter().map(Vec::len).sum::<usize>();
        let (line, what) = xml::settle(path, fault, good, settings)?;
        table.ledger.add(line, Finding::Truncated, what);
    }
    let source = rows
        .into_inner()
        .into_inner()
        .into_inner()
        .0
        .into_inner()
        .1
        .finish(ROLE, file_name(path))
        .map_err(|cause| unreadable(path, &cause))?;
    if table.rows == 0 {
        let problem = "the table has no row under its header";
        return Err(InputError::new(path, None, problem, GIVE_COLUMNS));
    }
    table.end_track();
    let height_kind = table.header.map(|header| header.height_kind);
    Ok(Reading::of_tracks(
        source,
        table.tracks,
        table.segments,
        height_kind.unwrap_or(HeightKind::Unknown),
        table.ledger,
    ))
}

/// The separator of the first line that is no comment: a tab if there is one, else a semicolon, else a
/// comma. Where there are semicolons commas are in numbers.
fn separator(head: &[u8]) -> u8 {
    let first = head
        .split(|&byte| byte == b'\n')
        .find(|line| !line.trim_ascii().is_empty() && !line.starts_with(b"#"))
        .unwrap_or_default();
    let mut quoted = false;
    let outside: Vec<u8> = first
        .iter()
        .copied()
        .filter(|&byte| {
            quoted ^= byte == b'"';
            !quoted
        })
        .collect();
    [b'\t', b';']
        .into_iter()
        .find(|separator| outside.contains(separator))
        .unwrap_or(b',')
}

/// Why reading stopped before the end.
enum Stop {
    Refused(InputError),
    Fault(Fault),
}

struct Table<'a> {
    path: &'a Path,
    local: Option<LocalTime>,
    decimal_commas: bool,
    /// The columns, once they are known.
    header: Option<Header>,
    /// Number of fields in the first row.
    fields: Option<usize>,
    /// What the columns say of track and segment in the row read last.
    part: Option<[String; 3]>,
    tracks: Vec<LogTrack>,
    begun: Begun,
    segments: Vec<Vec<Fix>>,
    /// The segment being read.
    fixes: Vec<Fix>,
    ledger: Ledger,
    /// Rows under the header.
    rows: usize,
}

impl Table<'_> {
    fn read(&mut self, rows: &mut Rows) -> Result<(), Stop> {
        let mut record = ByteRecord::new();
        // A row whose last field ends with a line feed: a quotation mark that is never closed, if no row
        // comes after it.
        let mut held: Option<(u32, ByteRecord)> = None;
        loop {
            let line_before = rows.position().line();
            limits::lines(to_line(line_before), &self.ledger)
                .map_err(|excess| Stop::Fault(xml::refused(to_line(line_before), excess)))?;
            rows.get_mut().begin();
            let read = rows
                .read_byte_record(&mut record)
                .map_err(|error| Stop::Fault(fault(error, to_line(line_before))))?;
            match (held.take(), read) {
                (Some((line, row)), true) => self.row(line, &row).map_err(Stop::Refused)?,
                (Some((line, _)), false) => {
                    return Err(Stop::Fault(Fault::Broken {
                        // No line feed ended that row.
                        line: line + 1,
                        what: "a quotation mark that is opened here is never closed".to_owned(),
                    }));
                }
                (None, true) => {}
                (None, false) => return Ok(()),
            }
            // The reader stands behind the line feed that ends the row.
            let inside = memchr::memchr_iter(b'\n', record.as_slice()).count() as u64;
            let line = to_line(rows.position().line().saturating_sub(inside + 1));
            if record
                .iter()
                .next_back()
                .is_some_and(|field| field.ends_with(b"\n"))
            {
                held = Some((line, record.clone()));
            } else if record.iter().any(|field| !field.trim_ascii().is_empty()) {
                self.row(line, &record).map_err(Stop::Refused)?;
            }
        }
    }

    fn row(&mut self, line: u32, record: &ByteRecord) -> Result<(), InputError> {
        let fields: Vec<String> = record
            .iter()
            .map(|field| String::from_utf8_lossy(field).trim().to_owned())
            .collect();
        let Some(expected) = self.fields else {
            self.fields = Some(fields.len());
            return self.first(line, &fields);
        };
        self.rows += 1;
        if expected > fields.len() || fields[expected..].iter().any(|field| !field.is_empty()) {
            let raw = format!(
                "{} fields for {expected}: {}",
                fields.len(),
                fields.join("|")
            );
            self.ledger.add(line, Finding::Unreadable, bounded(&raw));
            return Ok(());
        }
        self.point(line, &fields)
    }

    /// The first row: the header, unless the columns are given and numbers stand in it.
    fn first(&mut self, line: u32, fields: &[String]) -> Result<(), InputError> {
        let refuse =
            |problem: String| InputError::new(self.path, Some(line), problem, GIVE_COLUMNS);
        if let Some(header) = &self.header {
            let last = header.columns.last();
            if last >= fields.len() {
                let problem = format!(
                    "column {} is to be read, but there are {} in the first row",
                    last + 1,
                    fields.len()
                );
                return Err(refuse(problem));
            }
            let lat = &fields[header.columns.lat];
            if self.number(lat).is_none() {
                return Ok(());
            }
            self.rows += 1;
            return self.point(line, fields);
        }
        let header = recognise(fields).map_err(refuse)?;
        if let Some(name) = &header.without_unit {
            let raw = format!("{name}: neither m nor ft is given, see --columns");
            self.ledger.add(line, Finding::BadHeight, bounded(&raw));
        }
        self.header = Some(header);
        Ok(())
    }

    fn point(&mut self, line: u32, fields: &[String]) -> Result<(), InputError> {
        let Some((columns, parts)) = self.header.as_ref().map(|h| (h.columns, h.parts)) else {
            return Ok(());
        };
        self.enter(line, parts, fields);
        let (lat, lon) = (&fields[columns.lat], &fields[columns.lon]);
        let position = self
            .number(lat)
            .zip(self.number(lon))
            .ok_or(Finding::Unreadable)
            .and_then(|(lat, lon)| place(lat, lon));
        let position = match position {
            Ok(position) => position,
            Err(finding) => {
                self.ledger.add(line, finding, whole(columns, fields));
                return Ok(());
            }
        };
        let Some(time) = self.time(line, columns, fields)? else {
            return Ok(());
        };
        let height = columns.height.and_then(|(column, unit)| {
            let raw = &fields[column];
            if raw.is_empty() {
                return None;
            }
            let metres = self.number(raw).map(|number| number * unit.metres());
            height(metres, || whole(columns, fields), line, &mut self.ledger)
        });
        self.fixes.push(Fix {
            time,
            position,
            height: height.into(),
            line,
            file: 0,
        });
        Ok(())
    }

    /// Begins a new track or segment if the row says that it is of another one than the row before.
    fn enter(&mut self, line: u32, parts: Parts, fields: &[String]) {
        let part = [parts.number, parts.name, parts.segment].map(|column| {
            column.map_or_else(String::new, |column| {
                formula::unguarded(&fields[column]).to_owned()
            })
        });
        let same_track = self
            .part
            .as_ref()
            .is_some_and(|last| last[..2] == part[..2]);
        if !same_track {
            if self.part.is_some() {
                self.end_track();
            }
            let begun = Begun::at(line, &self.segments, &self.ledger);
            self.begun = begun.named(Some(part[1].clone()));
        } else if self.part.as_ref() != Some(&part) {
            self.end_segment();
        }
        self.part = Some(part);
    }

    fn end_segment(&mut self) {
        if !self.fixes.is_empty() {
            self.segments.push(std::mem::take(&mut self.fixes));
        }
    }

    fn end_track(&mut self) {
        self.end_segment();
        let begun = std::mem::take(&mut self.begun);
        self.tracks.push(begun.end(&self.segments, &self.ledger));
    }

    fn time(
        &mut self,
        line: u32,
        columns: Columns,
        fields: &[String],
    ) -> Result<Option<DateTime<Utc>>, InputError> {
        let own = fields[columns.time].as_str();
        let mut found = instant(own, columns.order);
        let mut raw = own.to_owned();
        if let (Some(date), Instant::Unreadable | Instant::WhichOrder) = (columns.date, found) {
            raw = format!("{} {own}", fields[date]);
            found = instant(&raw, columns.order);
        }
        Ok(match found {
            Instant::At(time, zone) => {
                let zone = match zone {
                    Zone::None if columns.utc => Zone::Utc,
                    zone => zone,
                };
                let (time, finding) = moment(time, zone, self.local);
                if let Some(finding) = finding {
                    self.ledger.add(line, finding, whole(columns, fields));
                }
                Some(time)
            }
            Instant::WhichOrder => {
                let problem = format!(
                    "the date in \"{}\" does not begin with its year, so that day and month may be \
                     mistaken for each other",
                    bounded(&raw)
                );
                return Err(InputError::new(self.path, Some(line), problem, GIVE_ORDER));
            }
            Instant::Unreadable => {
                let finding = if raw.trim().is_empty() {
                    Finding::NoTime
                } else {
                    Finding::BadTime
                };
                self.ledger.add(line, finding, whole(columns, fields));
                None
            }
        })
    }

    fn number(&self, text: &str) -> Option<f64> {
        if self.decimal_commas && !text.contains('.') {
            number(&text.replacen(',', ".", 1))
        } else {
            number(text)
        }
    }
}

/// All that was recorded of a point, for the ledger.
fn whole(columns: Columns, fields: &[String]) -> String {
    let field = |column: usize| fields.get(column).map(String::as_str);
    values::point([
        ("date", columns.date.and_then(field)),
        ("time", field(columns.time)),
        ("lat", field(columns.lat)),
        ("lon", field(columns.lon)),
        (
            "height",
            columns.height.and_then(|(column, _)| field(column)),
        ),
    ])
}

fn to_line(line: u64) -> u32 {
    u32::try_from(line).unwrap_or(u32::MAX)
}

/// What the crate ran into: the medium, since it takes any bytes for a record.
fn fault(error: csv::Error, line: u32) -> Fault {
    let what = error.to_string();
    match error.into_kind() {
        ErrorKind::Io(cause) => xml::medium_fault(&Arc::new(cause), line),
        _ => Fault::Broken {
            line,
            what: bounded(&what),
        },
    }
}
