//! What a workbook may be before a library opens it: a zip of XML, bounded packed and unpacked.

use std::io::{self, Cursor, Read};

use haulout_checking::Problem;
use zip::ZipArchive;

use crate::place::shown;
use crate::rules;

/// The most bytes of a workbook.
const PACKED: u64 = 64 << 20;
/// The most bytes of all its sheets, unpacked.
const SHEETS: u64 = 512 << 20;
/// The most bytes of its shared texts, which are held in memory.
const TEXTS: u64 = 64 << 20;
/// The most bytes of any other part.
const PART: u64 = 8 << 20;
/// The most parts.
const PARTS: usize = 2_000;
/// The largest number that a part may announce: readers make room for it beforehand.
const ANNOUNCED: u64 = 10_000_000;

/// The bytes of a workbook that is within bounds, or why it is not.
pub(super) fn bounded(reader: impl Read) -> io::Result<Result<Vec<u8>, Box<Problem>>> {
    let mut bytes = Vec::new();
    reader.take(PACKED + 1).read_to_end(&mut bytes)?;
    if bytes.len() as u64 > PACKED {
        return Ok(Err(too_large(format!("the workbook has more than {} MiB", PACKED >> 20))));
    }
    if bytes.starts_with(&[0xD0, 0xCF, 0x11, 0xE0]) {
        return Ok(Err(unreadable("it has a password, or the older form .xls")));
    }
    Ok(look_through(&bytes).map(|()| bytes))
}

fn look_through(bytes: &[u8]) -> Result<(), Box<Problem>> {
    let mut archive = ZipArchive::new(Cursor::new(bytes)).map_err(|error| unreadable(&error.to_string()))?;
    if archive.len() > PARTS {
        return Err(too_large(format!("the workbook has more than {PARTS} parts")));
    }
    let mut sheets = 0;
    for index in 0..archive.len() {
        let mut part = archive.by_index(index).map_err(|error| unreadable(&error.to_string()))?;
        let name = part.name().map_err(|error| unreadable(&error.to_string()))?.to_ascii_lowercase();
        // Pictures and the like are never unpacked.
        if !name.ends_with(".xml") && !name.ends_with(".rels") {
            continue;
        }
        let most = if name.contains("worksheets/") {
            SHEETS - sheets
        } else if name.ends_with("sharedstrings.xml") {
            TEXTS
        } else {
            PART
        };
        // Counted, since what the archive says of the size may be false.
        let length = measure(&mut part, most, &name)?;
        if name.contains("worksheets/") {
            sheets += length;
        }
    }
    Ok(())
}

/// Unpacks a part without keeping it, and looks for what a reader would stumble over.
fn measure(part: &mut impl Read, most: u64, name: &str) -> Result<u64, Box<Problem>> {
    let mut length = 0;
    let mut window = Vec::new();
    let mut chunk = vec![0; 64 << 10];
    loop {
        let count = part.read(&mut chunk).map_err(|error| unreadable(&error.to_string()))?;
        if count == 0 {
            return Ok(length);
        }
        length += count as u64;
        if length > most {
            return Err(too_large(format!(
                "the part {} unpacks to more than {} MiB",
                shown(name),
                most >> 20
            )));
        }
        let fresh = chunk.get(..count).unwrap_or_default();
        if fresh.contains(&0) {
            return Err(unreadable("a part of it is not in UTF-8"));
        }
        window.extend_from_slice(fresh);
        let attribute: &[u8] = if name.contains("worksheets/") { b"si" } else { b"uniqueCount" };
        if announces_too_much(&window, attribute) {
            return Err(unreadable("it announces more shared texts or formulas than it can hold"));
        }
        // An attribute may lie across two chunks.
        let keep = window.len().saturating_sub(64);
        window.drain(..keep);
    }
}

/// Whether an attribute of this name holds a number that no workbook needs, or hides it behind more
/// white space than any program writes.
fn announces_too_much(text: &[u8], name: &[u8]) -> bool {
    memchr::memmem::find_iter(text, name).any(|at| {
        let behind = text.get(at + name.len()..).unwrap_or_default();
        let mut rest = behind.trim_ascii_start();
        if behind.len() - rest.len() > 16 {
            return true;
        }
        rest = rest.strip_prefix(b"=").unwrap_or_default().trim_ascii_start();
        let [b'"' | b'\'', rest @ ..] = rest else {
            return false;
        };
        let digits = rest.iter().take_while(|byte| byte.is_ascii_digit());
        digits.fold(0_u64, |sum, digit| sum.saturating_mul(10).saturating_add(u64::from(digit - b'0')))
            > ANNOUNCED
    })
}

fn too_large(text: String) -> Box<Problem> {
    Box::new(Problem::of(&rules::WORKBOOK_TOO_LARGE, text))
}

fn unreadable(why: &str) -> Box<Problem> {
    Box::new(Problem::of(&rules::WORKBOOK_DAMAGED, format!("this is no workbook that can be read ({why})")))
}
