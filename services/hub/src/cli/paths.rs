//! Files named on the command line: files, folders of them, `-` for standard input.

use std::fs::{self, File};
use std::io::{self, Read};
use std::path::{Path, PathBuf};

use haulout_sheets::SheetForm;

use super::Failure;

/// What a folder's records end with; files named outright may end with anything.
const ENDINGS: [&str; 3] = [".ndjson", ".jsonl", ".json"];

/// What lies beside a sheet while it is open in a spreadsheet program, and is none.
const LOCKS: [&str; 2] = ["~$", ".~lock."];

/// The files of some paths: folders are walked, in the order of names.
///
/// # Errors
/// When a path is not there, or a folder holds no records.
pub fn expand(paths: &[PathBuf]) -> Result<Vec<PathBuf>, Failure> {
    let mut files = Vec::new();
    for path in paths {
        if path.as_os_str() == "-" || !path.is_dir() {
            files.push(path.clone());
            continue;
        }
        let before = files.len();
        walk(path, &mut files)?;
        if files.len() == before {
            return Err(Failure::new(format!(
                "{} holds no file of records ({}, .csv, also with .gz or .zst; .xlsx)",
                path.display(),
                ENDINGS.join(", ")
            )));
        }
    }
    Ok(files)
}

fn walk(folder: &Path, files: &mut Vec<PathBuf>) -> Result<(), Failure> {
    let unread = |error| Failure::new(format!("cannot read the folder {}", folder.display())).because(error);
    let mut entries = fs::read_dir(folder).map_err(unread)?.collect::<Result<Vec<_>, _>>().map_err(unread)?;
    entries.sort_by_key(fs::DirEntry::file_name);
    for entry in entries {
        let path = entry.path();
        let kind = entry.file_type().map_err(unread)?;
        if kind.is_dir() {
            walk(&path, files)?;
        } else if kind.is_file() && holds_records(&path) {
            files.push(path);
        }
    }
    Ok(())
}

fn holds_records(path: &Path) -> bool {
    let name = path.file_name().map(|name| name.to_string_lossy().to_ascii_lowercase()).unwrap_or_default();
    if LOCKS.iter().any(|lock| name.starts_with(lock)) {
        return false;
    }
    let bare = name.strip_suffix(".gz").or_else(|| name.strip_suffix(".zst")).unwrap_or(&name);
    ENDINGS.iter().any(|ending| bare.ends_with(ending)) || SheetForm::of_name(&name).is_some()
}

/// Opens a file, or standard input.
///
/// # Errors
/// When it cannot be opened.
pub fn open(path: &Path) -> Result<Box<dyn Read + Send>, Failure> {
    if path.as_os_str() == "-" {
        return Ok(Box::new(io::stdin()));
    }
    match File::open(path) {
        Ok(file) => Ok(Box::new(file)),
        Err(error) => Err(Failure::new(format!("cannot open {}", path.display())).because(error)),
    }
}
