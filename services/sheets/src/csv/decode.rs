//! From bytes to texts: UTF-8, or Windows-1252 and said so.

use csv::ByteRecord;
use haulout_checking::{Problem, shared};

use crate::place::{letters, shown};
use crate::rules;

/// What the rows so far were written in. ASCII alone tells nothing.
#[derive(Clone, Copy, PartialEq, Eq, Default)]
enum Written {
    #[default]
    Unknown,
    Utf8,
    Windows1252,
}

/// Decodes the rows of one file. The first row with a letter outside ASCII decides.
#[derive(Default)]
pub(super) struct Decoder {
    written: Written,
    mixed: bool,
}

impl Decoder {
    /// The texts of a row, and what is to be told of it.
    pub(super) fn row(&mut self, row: &ByteRecord) -> (Vec<String>, Option<Problem>) {
        let is_ascii = row.iter().all(<[u8]>::is_ascii);
        let is_utf8 = row.iter().all(|cell| std::str::from_utf8(cell).is_ok());
        let mut problem = None;
        if !is_ascii {
            let now = if is_utf8 { Written::Utf8 } else { Written::Windows1252 };
            match self.written {
                Written::Unknown => {
                    self.written = now;
                    if now == Written::Windows1252 {
                        problem = Some(first_of_1252(row));
                    }
                }
                before if before != now && !self.mixed => {
                    self.mixed = true;
                    let (is, was) = if is_utf8 { ("", " not") } else { (" not", "") };
                    let text = format!("this row is{is} UTF-8, and one before it is{was}");
                    problem = Some(Problem::of(&rules::MIXED_ENCODING, text));
                }
                _ => {}
            }
        }
        if !is_utf8 {
            problem = undefined(row).or(problem);
        }
        let texts = row
            .iter()
            .map(|cell| match std::str::from_utf8(cell) {
                Ok(text) if is_utf8 => text.to_owned(),
                _ => windows_1252(cell),
            })
            .collect();
        (texts, problem)
    }
}

fn windows_1252(cell: &[u8]) -> String {
    encoding_rs::WINDOWS_1252.decode_without_bom_handling(cell).0.into_owned()
}

fn first_of_1252(row: &ByteRecord) -> Problem {
    let sample = row.iter().enumerate().find(|(_, cell)| !cell.is_ascii());
    let (column, cell) = sample.unwrap_or_default();
    let text = shown(&windows_1252(cell));
    let place = letters(column);
    let mut problem = Problem::of(
        &rules::WINDOWS_1252,
        format!("the file is not UTF-8; read as Windows-1252 from here on: column {place}, {text}"),
    );
    problem.column = Some(column as u64 + 1);
    problem
}

/// Five bytes are no letter of Windows-1252 either.
fn undefined(row: &ByteRecord) -> Option<Problem> {
    let bytes = [0x81, 0x8D, 0x8F, 0x90, 0x9D];
    let (column, byte) = row
        .iter()
        .enumerate()
        .find_map(|(column, cell)| Some((column, *cell.iter().find(|byte| bytes.contains(byte))?)))?;
    let text =
        format!("the byte 0x{byte:02X} in column {} is neither UTF-8 nor Windows-1252", letters(column));
    let mut problem = Problem::of(&shared::INVALID_UTF8, text).with_help("Save the file as CSV UTF-8.");
    problem.column = Some(column as u64 + 1);
    Some(problem)
}
