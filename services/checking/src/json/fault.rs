//! Why a text is not a JSON text we take, in words a person can act on.

use crate::catalogue::read;
use crate::problem::Problem;
use crate::words::{grouped, shown};

use super::node::{MAX_DEPTH, MAX_VALUES};
use super::place;

/// What kind of fault a text has, apart from plain syntax.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum FaultKind {
    /// An object names a member twice.
    DuplicateName(String),
    /// `\u0000` in a text or name.
    Nul,
    /// Half of a surrogate pair.
    LoneSurrogate,
    /// A number that is not a finite double.
    NumberOutOfRange,
    /// Containers nested beyond the limit.
    TooDeep,
    /// More values than one record may hold.
    TooManyValues,
    /// The text stops before the value is complete.
    Unfinished,
    /// Anything else the grammar does not allow; the reader's own short words.
    Syntax(String),
}

/// A fault and its place.
#[derive(Debug, Clone)]
pub(crate) struct Fault {
    /// What is wrong.
    pub(crate) kind: FaultKind,
    /// RFC 6901 pointer to where reading stood.
    pub(crate) pointer: String,
    /// Byte offset in the text.
    pub(crate) offset: usize,
    /// What stands there, for the message.
    found: Option<String>,
}

impl Fault {
    /// Puts together what the tree builder and the reader each know of one failure.
    pub(crate) fn new(
        kind: Option<FaultKind>,
        pointer: String,
        text: &str,
        error: &serde_json::Error,
    ) -> Self {
        let kind = kind.unwrap_or_else(|| from_reader(error));
        let reached = offset_of(text, error.line(), error.column());
        let offset = match &kind {
            FaultKind::DuplicateName(_) => place::repeated_name(text, &pointer).unwrap_or(reached),
            FaultKind::Nul | FaultKind::NumberOutOfRange | FaultKind::LoneSurrogate => {
                place::value(text, &pointer).unwrap_or(reached)
            }
            FaultKind::Syntax(_) => word_start(text, reached),
            _ => reached,
        };
        Self { found: word_at(text, offset), kind, pointer, offset }
    }

    /// The problem to report. `line` and `column` are left to the caller.
    pub(crate) fn to_problem(&self) -> Problem {
        let problem = match &self.kind {
            FaultKind::DuplicateName(name) => {
                Problem::of(&read::DUPLICATE_NAME, format!("the field {} is given twice", shown(name)))
            }
            FaultKind::Nul => Problem::of(&read::NUL_CHARACTER, "a text holds the character NUL (\\u0000)"),
            FaultKind::LoneSurrogate => Problem::of(
                &read::LONE_SURROGATE,
                "a text holds half of a surrogate pair (\\ud800 to \\udfff alone)",
            ),
            FaultKind::NumberOutOfRange => Problem::of(
                &read::NUMBER_OUT_OF_RANGE,
                "a number is too large for a double (above about 1.8e308)",
            ),
            FaultKind::TooDeep => Problem::of(
                &read::TOO_DEEP,
                format!("lists and objects are nested more than {MAX_DEPTH} deep"),
            ),
            FaultKind::TooManyValues => Problem::of(
                &read::TOO_MANY_VALUES,
                format!("the record holds more than {} values", grouped(MAX_VALUES as u64)),
            ),
            FaultKind::Unfinished => {
                Problem::of(&read::JSON_UNFINISHED, "the record stops before it is complete")
            }
            FaultKind::Syntax(said) => {
                let text = match &self.found {
                    Some(found) => format!("not JSON: {said}, found {found}"),
                    None => format!("not JSON: {said}"),
                };
                let problem = Problem::of(&read::JSON_SYNTAX, text);
                match syntax_help(said, self.found.as_deref()) {
                    Some(help) => problem.with_help(help),
                    None => problem,
                }
            }
        };
        problem.at(self.pointer.clone())
    }
}

/// Sorts the reader's error by its words: it offers no other handle. The parsing suite in the
/// tests notices when a new release words them differently.
fn from_reader(error: &serde_json::Error) -> FaultKind {
    let text = error.to_string();
    let said = text.split(" at line ").next().unwrap_or_default();
    match said {
        "lone leading surrogate in hex escape" | "unexpected end of hex escape" => FaultKind::LoneSurrogate,
        "number out of range" => FaultKind::NumberOutOfRange,
        "recursion limit exceeded" => FaultKind::TooDeep,
        _ if error.is_eof() => FaultKind::Unfinished,
        "control character (\\u0000-\\u001F) found while parsing a string" => {
            FaultKind::Syntax("a raw line end, tab or other control character in a text".to_owned())
        }
        "expected ident" => FaultKind::Syntax("expected true, false or null".to_owned()),
        "expected value" => FaultKind::Syntax("expected a value".to_owned()),
        "trailing comma" => FaultKind::Syntax("a comma before the closing bracket".to_owned()),
        "trailing characters" => FaultKind::Syntax("text after the end of the record".to_owned()),
        "key must be a string" => FaultKind::Syntax("expected a field name in quotes".to_owned()),
        other => FaultKind::Syntax(other.replace('`', "")),
    }
}

fn syntax_help(said: &str, found: Option<&str>) -> Option<&'static str> {
    if said.starts_with("text after") {
        return Some("One line holds one record. Put a line end between two records.");
    }
    if said.starts_with("a raw line end") {
        return Some("Write a line end as \\n and a tab as \\t inside a text.");
    }
    if said.starts_with("a comma before") {
        return Some("Remove the last comma.");
    }
    let help = match found.map(|word| word.trim_matches('"')) {
        Some("NaN" | "nan" | "Infinity" | "None" | "undefined" | "NULL" | "Null") => {
            "Leave the field out when there is no value; JSON has no NaN, Infinity or None."
        }
        Some("True" | "False" | "TRUE" | "FALSE") => "Write true and false in lower case.",
        Some(word) if word.starts_with(['\'', '\u{2018}', '\u{201c}', '\u{201d}', '\u{2019}']) => {
            "Use straight double quotes \" around names and texts."
        }
        Some(word) if word.starts_with(['+', '.']) || starts_like_octal(word) => {
            "Write numbers as 5, 0.5 or -5: no plus sign, no leading zero, no bare point."
        }
        Some(word) if word.starts_with('/') => "JSON has no comments.",
        _ => return None,
    };
    Some(help)
}

fn starts_like_octal(word: &str) -> bool {
    let digits = word.trim_start_matches(['-', '0']);
    word.len() > digits.len() && digits.starts_with(|c: char| c.is_ascii_digit())
}

/// Where the word or number begins that an offset lies in.
fn word_start(text: &str, offset: usize) -> usize {
    let part = |byte: &u8| byte.is_ascii_alphanumeric() || matches!(byte, b'-' | b'+' | b'.');
    if !text.as_bytes().get(offset).is_some_and(part) {
        return offset;
    }
    let before = text.as_bytes()[..offset].iter().rev().take_while(|byte| part(byte)).count();
    offset - before
}

/// The word that stands at an offset, shortened and made visible.
fn word_at(text: &str, offset: usize) -> Option<String> {
    let mut from = offset.min(text.len());
    while !text.is_char_boundary(from) {
        from -= 1;
    }
    let rest = text.get(from..)?;
    let first = rest.chars().next()?;
    let word: String = if first.is_alphanumeric() || matches!(first, '-' | '+' | '.') {
        rest.chars().take_while(|c| c.is_alphanumeric() || matches!(c, '-' | '+' | '.')).take(24).collect()
    } else {
        first.to_string()
    };
    Some(shown(&word))
}

/// The byte offset of a 1-based line and column as the reader counts them.
fn offset_of(text: &str, line: usize, column: usize) -> usize {
    let before: usize = text.split_inclusive('\n').take(line.saturating_sub(1)).map(str::len).sum();
    (before + column.saturating_sub(1)).min(text.len())
}
