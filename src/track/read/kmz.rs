//! KML in a zip archive (KMZ; 12-007r2 and 07-147r2: the first KML file in the archive is the one to be
//! read). Nothing of the archive is written anywhere, and names in it are only shown.

use super::sniff::{self, Format};
use super::source::{Content, Source, decoded_head};
use super::unpacked::{MOST_RATIO, PackedFault, RATIO_FROM_BYTES};
use super::values::bounded;
use super::{ROLE, unknown_encoding};
use super::{ReadSettings, UnknownEncoding, file_name, kml, unreadable};
use crate::input::InputError;
use crate::track::Reading;
use std::io::{self, Cursor, Read};
use std::path::{Path, PathBuf};
use zip::ZipArchive;

/// Largest archive, and largest file out of it, bytes; both are held in memory. Chosen: 256 MiB is a
/// month of a fix a second.
const MOST_BYTES: u64 = 1 << 28;

/// Files in an archive. Chosen: a document with its pictures has a few hundred.
const MOST_FILES: usize = 10_000;

/// What every entry of the directory begins with (the vendor's description of the format, 4.3.12, from memory).
const DIRECTORY_HEADER: &[u8] = b"PK\x01\x02";

const HINT: &str = "pack the log again, or take the .kml file out of the archive";

/// Reads the first KML file in the archive that `source` is.
pub(super) fn read(
    path: &Path,
    mut source: Source,
    settings: ReadSettings,
) -> Result<Reading, InputError> {
    let mut packed = Vec::new();
    source
        .by_ref()
        .take(MOST_BYTES + 1)
        .read_to_end(&mut packed)
        .map_err(|cause| unreadable(path, &cause))?;
    if packed.len() as u64 > MOST_BYTES {
        let problem = format!("the zip archive is larger than {} MiB", MOST_BYTES >> 20);
        return Err(InputError::new(path, None, problem, HINT));
    }
    let archive = source
        .finish(ROLE, file_name(path))
        .map_err(|cause| unreadable(path, &cause))?;
    let (name, text) = first_kml(path, &packed)?;
    // Lines are those of the file in the archive.
    let inside = PathBuf::from(format!("{} ({})", path.display(), bounded(&name)));
    let content =
        Content::begin(Box::new(Cursor::new(text))).map_err(|cause| unreadable(&inside, &cause))?;
    if sniff::format(&decoded_head(&content.head)) != Ok(Format::Kml) {
        let problem = "the file in the archive is no KML";
        return Err(InputError::new(&inside, None, problem, HINT));
    }
    let content =
        Source::new(content).map_err(|UnknownEncoding(name)| unknown_encoding(&inside, &name))?;
    let reading = kml::read(&inside, content, settings)?;
    Ok(Reading {
        sources: vec![archive],
        ..reading
    })
}

/// Name and content of the KML file: the first one that lies in no folder, else the first one.
fn first_kml(path: &Path, packed: &[u8]) -> Result<(String, Vec<u8>), InputError> {
    let refuse = |problem: String| InputError::new(path, None, problem, HINT);
    let damaged = |cause: &dyn std::fmt::Display| {
        refuse(format!(
            "the zip archive cannot be read ({})",
            bounded(&cause.to_string())
        ))
    };
    // Before the directory is taken apart, which needs several times its size in memory.
    let headers = memchr::memmem::find_iter(packed, DIRECTORY_HEADER).take(MOST_FILES + 1);
    if headers.count() > MOST_FILES {
        return Err(refuse(format!(
            "the zip archive holds more than {MOST_FILES} files"
        )));
    }
    let mut archive = ZipArchive::new(Cursor::new(packed)).map_err(|cause| damaged(&cause))?;
    let mut found: Option<(usize, String)> = None;
    for index in 0..archive.len() {
        let entry = archive
            .by_index_raw(index)
            .map_err(|cause| damaged(&cause))?;
        let Ok(name) = entry.name().map(|name| name.into_owned()) else {
            continue;
        };
        let is_kml = name
            .rsplit_once('.')
            .is_some_and(|(_, end)| end.eq_ignore_ascii_case("kml"));
        if is_kml && (found.is_none() || !name.contains('/')) {
            let in_no_folder = !name.contains('/');
            found = Some((index, name));
            if in_no_folder {
                break;
            }
        }
    }
    let (index, name) =
        found.ok_or_else(|| refuse("the zip archive holds no .kml file".to_owned()))?;
    let entry = archive.by_index(index).map_err(|cause| damaged(&cause))?;
    match unpack(entry, packed.len() as u64) {
        Ok(text) => Ok((name, text)),
        Err(cause) if PackedFault::behind(&cause).is_some() => Err(unreadable(path, &cause)),
        Err(cause) => Err(damaged(&cause)),
    }
}

/// Unpacks `entry` of an archive of so many bytes, within limits that go by what really comes out.
fn unpack(mut entry: impl Read, packed: u64) -> io::Result<Vec<u8>> {
    let mut text = Vec::new();
    loop {
        let before = text.len();
        entry
            .by_ref()
            .take(RATIO_FROM_BYTES)
            .read_to_end(&mut text)?;
        let bytes = text.len() as u64;
        if bytes > MOST_BYTES {
            return Err(io::Error::other(PackedFault::Size(MOST_BYTES)));
        }
        if bytes > RATIO_FROM_BYTES && bytes / MOST_RATIO > packed {
            return Err(io::Error::other(PackedFault::Ratio));
        }
        if text.len() == before {
            return Ok(text);
        }
    }
}
