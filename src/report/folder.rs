//! Writing results whole or not at all.
//!
//! Files go into a temporary folder beside the result folder, which is then moved into place with
//! one rename. A result folder of an earlier run is replaced; a folder that holds anything else is
//! left alone.

use super::OutputError;
use std::ffi::OsString;
use std::io;
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
    let target = parent.join(name);
    check(parent, name, files, sometimes)?;
    std::fs::create_dir_all(parent).map_err(|e| cannot_write(parent, e))?;
    let staging = tempfile::Builder::new()
        .prefix(".overflown-")
        .tempdir_in(parent)
        .map_err(|e| cannot_write(parent, e))?;
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

/// Writes one file whole or not at all, replacing an earlier one.
///
/// # Errors
/// When the file or its folder cannot be written.
pub fn write_file(path: &Path, bytes: &[u8]) -> Result<(), OutputError> {
    let staged = staged(path, bytes)?;
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
    let staged = staged(path, bytes)?;
    staged.persist_noclobber(path).map_err(|e| match e.error {
        error if error.kind() == io::ErrorKind::AlreadyExists => there(),
        error => cannot_write(path, error),
    })?;
    Ok(())
}

/// The content in a temporary file beside the place where it is to be.
fn staged(
    path: &Path,
    bytes: &[u8],
) -> Result<tempfile::NamedTempFile<std::fs::File>, OutputError> {
    let parent = match path.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    };
    std::fs::create_dir_all(parent).map_err(|e| cannot_write(parent, e))?;
    // Created like any other file, so that others may read it as usual.
    let staged = tempfile::Builder::new()
        .prefix(".overflown-")
        .make_in(parent, |path| std::fs::File::create_new(path))
        .map_err(|e| cannot_write(path, e))?;
    std::fs::write(staged.path(), bytes).map_err(|e| cannot_write(path, e))?;
    Ok(staged)
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

fn cannot_write(path: &Path, cause: io::Error) -> OutputError {
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
    fn a_file_in_the_way_is_an_error() {
        let root = tempfile::tempdir().unwrap();
        let blocked = root.path().join("blocked");
        std::fs::write(&blocked, "").unwrap();
        let error = write(&blocked, "a", &file("one"), &[]).unwrap_err();
        assert!(error.to_string().contains("blocked"), "{error}");
        assert_eq!(std::fs::read_dir(root.path()).unwrap().count(), 1);
    }
}
