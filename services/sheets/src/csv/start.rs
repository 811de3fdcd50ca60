//! What the first bytes of a CSV file tell: its mark, its separator, where its header begins.

use csv::ReaderBuilder;
use haulout_checking::{Problem, shared};
use haulout_schemas::Kind;

use crate::header::{Plan, name_of};

/// The beginning of a CSV file.
pub(super) struct Start {
    /// Whether it has a byte order mark.
    pub(super) marked: bool,
    /// What stands between cells.
    pub(super) separator: u8,
    /// Bytes before the table.
    pub(super) skip: usize,
    /// Lines before the table.
    pub(super) lines: u64,
}

impl Start {
    /// Looks at the first bytes.
    ///
    /// # Errors
    ///
    /// The problem of a file in UTF-16 or UTF-32.
    pub(super) fn of(text: &[u8]) -> Result<Self, Box<Problem>> {
        let wide = match text {
            [0xFF, 0xFE, ..] | [0xFE, 0xFF, ..] => true,
            [first, second, ..] => *first == 0 || *second == 0,
            _ => false,
        };
        if wide {
            let text = "the file is in UTF-16 or UTF-32; sheets are read in UTF-8";
            return Err(Box::new(Problem::of(&shared::UTF_16, text).with_help("Save it as CSV UTF-8.")));
        }
        let marked = text.starts_with(b"\xEF\xBB\xBF");
        let skip = if marked { 3 } else { 0 };
        let text = text.get(skip..).unwrap_or_default();
        if let Some((separator, length)) = said(text) {
            return Ok(Self { marked, separator, skip: skip + length, lines: 1 });
        }
        let mut best = (known(text, b','), b',');
        for separator in [b';', b'\t'] {
            let count = known(text, separator);
            if count > best.0 {
                best = (count, separator);
            }
        }
        Ok(Self { marked, separator: best.1, skip, lines: 0 })
    }
}

/// A first line `sep=;`, as some spreadsheets write it: the separator, and the bytes of the line.
fn said(text: &[u8]) -> Option<(u8, usize)> {
    let [b's' | b'S', b'e' | b'E', b'p' | b'P', b'=', separator, rest @ ..] = text else {
        return None;
    };
    let ends = [&b"\r\n"[..], b"\n", b"\r"].into_iter().find(|ends| rest.starts_with(ends))?;
    b",;\t|".contains(separator).then(|| (*separator, 5 + ends.len()))
}

/// How many names of fields the first row has when it is parted in this way.
fn known(text: &[u8], separator: u8) -> usize {
    let mut lines =
        ReaderBuilder::new().delimiter(separator).has_headers(false).flexible(true).from_reader(text);
    let filled =
        lines.byte_records().flatten().find(|row| row.iter().any(|cell| !cell.trim_ascii().is_empty()));
    let headers: Vec<String> = filled
        .iter()
        .flat_map(|row| row.iter().map(|cell| name_of(&String::from_utf8_lossy(cell)).to_owned()))
        .take(crate::sheet::MOST_COLUMNS)
        .collect();
    let plans: Vec<Vec<bool>> = Kind::ALL.iter().map(|kind| Plan::of(*kind, &headers).1).collect();
    (0..headers.len()).filter(|column| plans.iter().any(|known| known.get(*column) == Some(&true))).count()
}
