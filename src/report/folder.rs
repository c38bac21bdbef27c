//! Writing results whole or not at all.
//!
//! Files go into a temporary folder beside the result folder, which is then moved into place with
//! one rename. A result folder of an earlier run is replaced; a folder that holds anything else is
//! left alone.

use super::OutputError;
use crate::characters::{FOLDER_NAMES, is_folder_name};
use crate::tasking::quantity::shown;
use std::ffi::OsString;
use std::io::{self, Read};
use std::path::{Path, PathBuf};

/// A file to be written.
#[derive(Debug)]
pub struct File {
    /// Its name in the result folder.
    pub name: &'static str,
    /// Its content.
    pub bytes: Vec<u8>,
}

/// Writes `files` as the folder `parent/name`, creating `parent` where needed. `sometimes` are names of files
/// that an earlier run may have written and this one does not: they go away with the rest of its result.
///
/// # Errors
/// When the folder cannot be created or written, or already holds files other than these;
/// nothing is left behind then.
pub fn write(
    parent: &Path,
    name: &str,
    files: &[File],
    sometimes: &[&str],
) -> Result<PathBuf, OutputError> {
    write_by_way_of(parent, parent, name, files, sometimes)
}

/// As [`write()`], with the files put together in the folder `work`, which must be on the same medium.
///
/// # Errors
/// As [`write()`] has them.
pub fn write_by_way_of(
    work: &Path,
    parent: &Path,
    name: &str,
    files: &[File],
    sometimes: &[&str],
) -> Result<PathBuf, OutputError> {
    let target = parent.join(name);
    check(parent, name, files, sometimes)?;
    std::fs::create_dir_all(work).map_err(|e| cannot_write(work, e))?;
    let staging = tempfile::Builder::new()
        .prefix(".overflown-")
        .tempdir_in(work)
        .map_err(|e| cannot_write(work, e))?;
    let fresh = staging.path().join("new");
    std::fs::create_dir(&fresh).map_err(|e| cannot_write(&fresh, e))?;
    for file in files {
        let path = fresh.join(file.name);
        std::fs::write(&path, &file.bytes).map_err(|e| cannot_write(&target.join(file.name), e))?;
    }
    let old = staging.path().join("old");
    let replaced = target.exists();
    if replaced {
        std::fs::rename(&target, &old).map_err(|e| cannot_write(&target, e))?;
    }
    if let Err(error) = std::fs::rename(&fresh, &target) {
        if replaced {
            // Put the earlier result back; the error reported is the one that matters.
            let _ = std::fs::rename(&old, &target);
        }
        return Err(cannot_write(&target, error));
    }
    // The temporary folder, with the earlier result in it, goes away here.
    Ok(target)
}

/// Writes one file whole or not at all, replacing an earlier one of the same kind: one that begins alike as far as
/// the name of this program, or, of JSON, the first key. Another file is left alone.
///
/// # Errors
/// When another file is there, or the file or its folder cannot be written.
pub fn write_file(path: &Path, bytes: &[u8]) -> Result<(), OutputError> {
    if is_foreign(path, beginning(bytes)).map_err(|e| cannot_write(path, e))? {
        return Err(OutputError {
            path: path.to_owned(),
            problem: "already there, and not a file that is written here".into(),
            hint: "name another file, or move that one away".into(),
            cause: None,
        });
    }
    replace_file(path, bytes)
}

/// Writes one file whole or not at all, replacing whatever file is there.
///
/// # Errors
/// When the file or its folder cannot be written.
pub fn replace_file(path: &Path, bytes: &[u8]) -> Result<(), OutputError> {
    replace_file_by_way_of(folder_of(path), path, bytes)
}

/// As [`replace_file`], with the file put together in the folder `work`, which must be on the same medium.
///
/// # Errors
/// As [`replace_file`] has them.
pub fn replace_file_by_way_of(work: &Path, path: &Path, bytes: &[u8]) -> Result<(), OutputError> {
    let staged = staged(work, path, bytes)?;
    staged
        .persist(path)
        .map_err(|e| cannot_write(path, e.error))?;
    Ok(())
}

/// Writes one file whole or not at all, where none is yet.
///
/// # Errors
/// When there is one, or the file or its folder cannot be written.
pub fn write_new_file(path: &Path, bytes: &[u8]) -> Result<(), OutputError> {
    let there = || OutputError {
        path: path.to_owned(),
        problem: "already there, and is not overwritten".into(),
        hint: "give another name with --out, or add --overwrite".into(),
        cause: None,
    };
    if path.symlink_metadata().is_ok() {
        return Err(there());
    }
    let staged = staged(folder_of(path), path, bytes)?;
    staged.persist_noclobber(path).map_err(|e| match e.error {
        error if error.kind() == io::ErrorKind::AlreadyExists => there(),
        error => cannot_write(path, error),
    })?;
    Ok(())
}

fn folder_of(path: &Path) -> &Path {
    match path.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    }
}

/// The content in a temporary file in `parent`, on the way to the place where it is to be.
fn staged(
    parent: &Path,
    path: &Path,
    bytes: &[u8],
) -> Result<tempfile::NamedTempFile<std::fs::File>, OutputError> {
    std::fs::create_dir_all(parent).map_err(|e| cannot_write(parent, e))?;
    // Created like any other file, so that others may read it as usual.
    let staged = tempfile::Builder::new()
        .prefix(".overflown-")
        .make_in(parent, |path| std::fs::File::create_new(path))
        .map_err(|e| cannot_write(path, e))?;
    std::fs::write(staged.path(), bytes).map_err(|e| cannot_write(path, e))?;
    Ok(staged)
}

/// What every file of a kind begins with.
fn beginning(bytes: &[u8]) -> &[u8] {
    const MADE_BY: &[u8] = b"creator=\"overflown";
    let head = &bytes[..bytes.len().min(512)];
    let end = match memchr::memmem::find(head, MADE_BY) {
        Some(at) => at + MADE_BY.len(),
        None if head.starts_with(b"{") => memchr::memchr(b':', head).unwrap_or(bytes.len()),
        None => bytes.len(),
    };
    &bytes[..end]
}

/// Whether something else than a file with this beginning is there.
fn is_foreign(path: &Path, beginning: &[u8]) -> io::Result<bool> {
    match std::fs::metadata(path) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(false),
        Err(error) => return Err(error),
        // Pipes and terminals cannot be read back; folders are no files.
        Ok(metadata) if !metadata.is_file() => return Ok(true),
        Ok(_) => {}
    }
    let mut there = Vec::new();
    let mut file = std::fs::File::open(path)?.take(beginning.len() as u64);
    file.read_to_end(&mut there)?;
    // An empty file, as some programs make before they ask for one to be written, holds nothing to lose.
    Ok(!there.is_empty() && there != beginning)
}

/// Whether the folder `parent/name` is free for `files`: not there yet, or holding no others but those that are
/// there `sometimes`.
///
/// # Errors
/// When it holds other files, or cannot be read.
pub fn check(
    parent: &Path,
    name: &str,
    files: &[File],
    sometimes: &[&str],
) -> Result<(), OutputError> {
    let target = parent.join(name);
    if !is_folder_name(name) {
        return Err(OutputError {
            path: parent.to_owned(),
            problem: format!("{} cannot be the name of the result folder", shown(name)),
            hint: FOLDER_NAMES.into(),
            cause: None,
        });
    }
    let entries = match std::fs::read_dir(&target) {
        Ok(entries) => entries,
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(()),
        Err(error) => return Err(cannot_write(&target, error)),
    };
    let foreign: Option<OsString> = entries
        .filter_map(Result::ok)
        .map(|entry| entry.file_name())
        .find(|name| {
            let mut own = files
                .iter()
                .map(|file| file.name)
                .chain(sometimes.iter().copied());
            !own.any(|own| name.as_os_str() == own)
        });
    match foreign {
        None => Ok(()),
        Some(name) => Err(OutputError {
            path: target,
            problem: format!(
                "already there, and holds \"{}\", which is none of the files to be written",
                name.to_string_lossy().escape_debug()
            ),
            hint: "move that folder away, or choose another with --out".into(),
            cause: None,
        }),
    }
}

/// The error of a file or folder that the system does not let be written.
pub(crate) fn cannot_write(path: &Path, cause: io::Error) -> OutputError {
    OutputError {
        path: path.to_owned(),
        problem: "cannot be written".into(),
        hint: "choose a folder that can be written with --out".into(),
        cause: Some(cause),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn file(text: &str) -> [File; 1] {
        [File {
            name: "report.txt",
            bytes: text.into(),
        }]
    }

    #[test]
    fn replaces_its_own_and_nothing_else() {
        let root = tempfile::tempdir().unwrap();
        let written = write(root.path(), "a", &file("one"), &[]).unwrap();
        write(root.path(), "a", &file("two"), &[]).unwrap();
        assert_eq!(
            std::fs::read_to_string(written.join("report.txt")).unwrap(),
            "two"
        );
        std::fs::write(written.join("notes.md"), "mine").unwrap();
        let error = write(root.path(), "a", &file("three"), &["plan.md"]).unwrap_err();
        assert!(error.problem.contains("notes.md"), "{error}");
        assert_eq!(
            std::fs::read_to_string(written.join("report.txt")).unwrap(),
            "two"
        );
        let left: Vec<_> = std::fs::read_dir(root.path()).unwrap().collect();
        assert_eq!(left.len(), 1, "a temporary folder was left behind");
    }

    #[test]
    fn a_file_that_is_there_sometimes_goes_with_the_rest() {
        let root = tempfile::tempdir().unwrap();
        let written = write(root.path(), "a", &file("one"), &["more.txt"]).unwrap();
        std::fs::write(written.join("more.txt"), "of the run before").unwrap();
        assert!(write(root.path(), "a", &file("two"), &[]).is_err());
        write(root.path(), "a", &file("two"), &["more.txt"]).unwrap();
        let names: Vec<_> = std::fs::read_dir(written).unwrap().collect();
        assert_eq!(names.len(), 1);
    }

    #[test]
    fn no_name_leads_out_of_the_folder() {
        let root = tempfile::tempdir().unwrap();
        let out = root.path().join("out");
        for name in [
            "..", "../x", "/tmp/x", "a/b", "a\\b", "NUL", "a\0b", "", ".",
        ] {
            let error = write(&out, name, &file("one"), &[]).unwrap_err();
            assert!(error.problem.contains("cannot be the name"), "{error}");
        }
        assert!(!out.exists(), "something was written");
    }

    #[test]
    fn a_file_of_others_is_not_written_over() {
        let root = tempfile::tempdir().unwrap();
        let path = root.path().join("track.gpx");
        let gpx = |creator: &str, rest: &str| {
            format!("<gpx creator=\"{creator} 0.1\"><trk>{rest}").into_bytes()
        };
        std::fs::write(&path, gpx("recorder", "flown")).unwrap();
        let error = write_file(&path, &gpx("overflown", "new")).unwrap_err();
        assert!(error.problem.contains("already there"), "{error}");
        assert_eq!(std::fs::read(&path).unwrap(), gpx("recorder", "flown"));
        std::fs::write(&path, b"").unwrap();
        for rest in ["one", "two"] {
            write_file(&path, &gpx("overflown", rest)).unwrap();
            assert_eq!(std::fs::read(&path).unwrap(), gpx("overflown", rest));
        }
        let json = root.path().join("truth.json");
        write_file(&json, b"{\n  \"seed\": 1}").unwrap();
        write_file(&json, b"{\n  \"seed\": 2}").unwrap();
        assert!(write_file(&json, b"{\n  \"other\": 2}").is_err());
        assert!(write_file(root.path(), b"{}").is_err(), "a folder");
        assert_eq!(std::fs::read_dir(root.path()).unwrap().count(), 2);
    }

    /// What a link leads to stays as it is, whether the link stands for the result folder or for a file in it.
    #[cfg(unix)]
    #[test]
    fn links_are_replaced_and_not_followed() {
        use std::os::unix::fs::symlink;
        let root = tempfile::tempdir().unwrap();
        let (out, other) = (root.path().join("out"), root.path().join("other"));
        std::fs::create_dir_all(&out).unwrap();
        std::fs::create_dir_all(&other).unwrap();
        let kept = other.join("report.txt");
        std::fs::write(&kept, "mine").unwrap();
        symlink(&other, out.join("a")).unwrap();
        write(&out, "a", &file("one"), &[]).unwrap();
        std::fs::remove_file(out.join("a/report.txt")).unwrap();
        symlink(&kept, out.join("a/report.txt")).unwrap();
        write(&out, "a", &file("two"), &[]).unwrap();
        assert_eq!(std::fs::read_to_string(&kept).unwrap(), "mine");
        assert_eq!(
            std::fs::read_to_string(out.join("a/report.txt")).unwrap(),
            "two"
        );
        assert!(!out.join("a/report.txt").is_symlink() && !out.join("a").is_symlink());
    }

    #[test]
    fn a_file_in_the_way_is_an_error() {
        let root = tempfile::tempdir().unwrap();
        let blocked = root.path().join("blocked");
        std::fs::write(&blocked, "").unwrap();
        let error = write(&blocked, "a", &file("one"), &[]).unwrap_err();
        assert!(error.to_string().contains("blocked"), "{error}");
        assert_eq!(std::fs::read_dir(root.path()).unwrap().count(), 1);
    }
}
