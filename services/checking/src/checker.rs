//! One line in, one answer out: the same function for a hub and for the offline check.

use std::fmt;
use std::sync::Arc;

use chrono::NaiveDate;
use haulout_schemas::names::Names;
use haulout_schemas::{Kind, Record};

use crate::catalogue::{read, schema};
use crate::json::canonical::{self, Digest};
use crate::json::node::Node;
use crate::problem::Problem;
use crate::reading::cut::{Content, Entry, Place};
use crate::rules;
use crate::schema::{SchemaFault, Schemas, gate};
use crate::words::grouped;

/// What the rules may know beyond the record.
#[derive(Clone, Default)]
pub struct Settings {
    /// The day on which the check is made, in the region's time zone; without it no date is
    /// judged to lie in the future.
    pub today: Option<NaiveDate>,
    /// The name list; without it no name is judged.
    pub names: Option<Arc<Names>>,
}

impl Settings {
    /// The shipped name list, and a day.
    #[must_use]
    pub fn standard(today: Option<NaiveDate>) -> Self {
        Self { today, names: Some(Arc::new(Names::standard().clone())) }
    }
}

/// Checks records against the published schema and the rules.
///
/// It is cheap to clone and may be used from many threads.
#[derive(Clone)]
pub struct Checker {
    schemas: Arc<Schemas>,
    settings: Settings,
}

impl fmt::Debug for Checker {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Checker").finish_non_exhaustive()
    }
}

impl Checker {
    /// Makes the validators of all kinds ready. Do it once and keep it.
    ///
    /// # Errors
    ///
    /// [`SchemaFault`] when a published schema is itself no valid schema.
    pub fn new(settings: Settings) -> Result<Self, SchemaFault> {
        Ok(Self { schemas: Arc::new(Schemas::published()?), settings })
    }

    /// The same checker for another day or name list; shares the validators.
    #[must_use]
    pub fn with_settings(&self, settings: Settings) -> Self {
        Self { schemas: Arc::clone(&self.schemas), settings }
    }

    /// Checks the text of one record, without its line end. `line` is 1-based.
    #[must_use]
    pub fn check_line(&self, text: &[u8], line: u64) -> CheckedLine {
        self.check_text(text, line, Place { line, column: 1 }, Purpose::Keep)
    }

    /// Checks what a stream was cut into.
    pub(crate) fn check_entry(&self, entry: &Entry, limit: usize, purpose: Purpose) -> CheckedLine {
        let problem = match &entry.content {
            Content::Text(text) => {
                let mut checked = self.check_text(text, entry.line, entry.from, purpose);
                if !entry.ended {
                    checked.explain_cut();
                }
                return checked;
            }
            Content::TooLong(length) => Problem::of(
                &read::LINE_TOO_LONG,
                format!(
                    "the record has {} bytes; at most {} are taken",
                    grouped(*length),
                    grouped(limit as u64)
                ),
            ),
            Content::Missing => Problem::of(
                &read::JSON_SYNTAX,
                "not JSON: a record is missing between two commas of the array",
            )
            .with_help("Remove the extra comma."),
        };
        CheckedLine::refuse(entry.line, Identity::default(), vec![entry.from.mark(problem, entry.line)])
    }

    fn check_text(&self, bytes: &[u8], line: u64, from: Place, purpose: Purpose) -> CheckedLine {
        let (bytes, marked) = match bytes.strip_prefix(b"\xEF\xBB\xBF") {
            Some(rest) => (rest, true),
            None => (bytes, false),
        };
        let from = Place { column: from.column + if marked { 3 } else { 0 }, ..from };
        let text = match std::str::from_utf8(bytes) {
            Ok(text) => text,
            Err(error) => {
                let problem = invalid_utf8(bytes, error.valid_up_to());
                let problem = from.past(bytes, error.valid_up_to()).mark(problem, line);
                return CheckedLine::refuse(line, Identity::default(), vec![problem]);
            }
        };
        if text.trim_ascii().is_empty() {
            let problem = Problem::of(&read::BLANK_LINE, "there is no record here");
            return CheckedLine::refuse(line, Identity::default(), vec![problem]);
        }
        let read = match Node::read(text) {
            Ok(read) => read,
            Err(fault) => {
                let problem = from.past(bytes, fault.offset).mark(fault.to_problem(), line);
                return CheckedLine::refuse(line, Identity::default(), vec![problem]);
            }
        };
        let refuse = |problems| CheckedLine::refuse(line, Identity::of(&read.node), problems);
        let placed = |found: Vec<Located>| -> Vec<Problem> {
            found
                .into_iter()
                .map(|Located { problem, offset }| match offset {
                    Some(offset) => from.past(bytes, offset).mark(problem, line),
                    None => problem,
                })
                .collect()
        };
        let schema = match gate::kind_of(&read.node, text, &self.schemas) {
            Ok(schema) => schema,
            Err(found) => return refuse(placed(vec![*found])),
        };
        if !schema.accepts(&read.node) {
            let found = schema.explain(&read.node, text, &self.schemas);
            return refuse(placed(found));
        }
        let record = match Record::read(&read.node) {
            Ok(record) => record,
            Err(error) => return refuse(vec![not_a_record(&error)]),
        };
        let mut problems = placed(rules::judge(&read, &record, text, &self.settings));
        if marked {
            problems.insert(0, byte_order_mark());
        }
        for problem in &mut problems {
            problem.line = Some(line);
        }
        CheckedLine::Accepted(Box::new(Accepted {
            line,
            record,
            kept: (purpose == Purpose::Keep).then(|| Kept::of(&read.node)),
            problems,
        }))
    }
}

/// A byte order mark was met and passed over.
pub(crate) fn byte_order_mark() -> Problem {
    Problem::of(&read::BYTE_ORDER_MARK, "the text begins with a byte order mark, which was passed over")
}

/// A schema-valid record that the types do not take: the checker's fault, told as such, and the
/// other lines go on.
fn not_a_record(error: &serde_json::Error) -> Problem {
    Problem::of(
        &schema::NOT_REPRESENTABLE,
        format!("the record follows the schema but cannot be taken over: {error}"),
    )
}

fn invalid_utf8(bytes: &[u8], at: usize) -> Problem {
    let byte = bytes.get(at).copied().unwrap_or_default();
    Problem::of(&read::INVALID_UTF8, format!("the byte 0x{byte:02X} is not UTF-8"))
}

impl Place {
    /// The place an offset further in a text that starts here.
    fn past(self, text: &[u8], offset: usize) -> Self {
        let before = &text[..offset.min(text.len())];
        match memchr::memrchr(b'\n', before) {
            Some(line_end) => Self {
                line: self.line + memchr::memchr_iter(b'\n', before).count() as u64,
                column: (before.len() - line_end) as u64,
            },
            None => Self { line: self.line, column: self.column + before.len() as u64 },
        }
    }

    /// The problem of a line, put here.
    fn mark(self, mut problem: Problem, line: u64) -> Problem {
        problem.column = Some(self.column);
        problem.file_line = (self.line != line).then_some(self.line);
        problem
    }
}

/// A problem and the byte offset in the record's text where it stands.
pub(crate) struct Located {
    pub(crate) problem: Problem,
    pub(crate) offset: Option<usize>,
}

/// The answer to one line.
#[derive(Debug, Clone)]
pub enum CheckedLine {
    /// It is a record; what problems it has do not refuse it.
    Accepted(Box<Accepted>),
    /// It is refused, for at least one `error`.
    Refused(Refused),
}

/// A record and what a hub keeps of it.
#[derive(Debug, Clone)]
pub struct Accepted {
    /// 1-based line, or place in the array.
    pub line: u64,
    /// The record.
    pub record: Record,
    /// The form in which it is kept; none where it was only judged.
    pub kept: Option<Kept>,
    /// Warnings and remarks.
    pub problems: Vec<Problem>,
}

/// The form in which a record is kept and handed on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Kept {
    /// RFC 8785 canonical JSON of the record as sent: what the journal keeps.
    pub canonical: String,
    /// SHA-256 of `canonical`.
    pub record_hash: Digest,
    /// SHA-256 of the canonical record without `schemaVersion`: two records are the same when
    /// this agrees.
    pub content_hash: Digest,
}

impl Kept {
    fn of(node: &Node<'_>) -> Self {
        let (canonical, content_hash) = canonical::record(node, "schemaVersion");
        Self { record_hash: Digest::of(&canonical), content_hash, canonical }
    }
}

/// What the answers are for. The judgement is the same for both.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Purpose {
    /// Accepted records are kept or handed on: they come with their canonical form and hashes.
    #[default]
    Keep,
    /// Only the problems are wanted: the canonical form, a tenth of the work, is left out.
    Judge,
}

/// A line that is no record.
#[derive(Debug, Clone)]
pub struct Refused {
    /// 1-based line, or place in the array.
    pub line: u64,
    /// As far as it could be read.
    pub identity: Identity,
    /// Why; at least one is an `error`.
    pub problems: Vec<Problem>,
}

/// What identifies a record, as far as it could be read.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Identity {
    /// The writer's identifier.
    pub record_id: Option<String>,
    /// The revision.
    pub revision: Option<u16>,
    /// The party that writes.
    pub author_id: Option<String>,
    /// What it tells of.
    pub kind: Option<Kind>,
}

impl Identity {
    /// The longest identifier repeated from a refused line, in bytes; the schema's own limit is 64.
    const LONGEST: usize = 200;

    fn of(node: &Node<'_>) -> Self {
        let text = |name: &str| {
            node.get(name)
                .and_then(Node::as_str)
                .filter(|text| text.len() <= Self::LONGEST)
                .map(str::to_owned)
        };
        Self {
            record_id: text("recordID"),
            revision: match node.get("revision") {
                Some(Node::Number(number)) => number
                    .as_f64()
                    .filter(|value| value.fract() == 0.0 && (0.0..=65535.0).contains(value))
                    .map(|value| value as u16),
                _ => None,
            },
            author_id: text("authorID"),
            kind: node.get("kind").and_then(Node::as_str).and_then(|kind| kind.parse().ok()),
        }
    }
}

impl CheckedLine {
    fn refuse(line: u64, identity: Identity, mut problems: Vec<Problem>) -> Self {
        for problem in &mut problems {
            problem.line = Some(line);
        }
        Self::Refused(Refused { line, identity, problems })
    }

    /// The line, or place in the array.
    #[must_use]
    pub fn line(&self) -> u64 {
        match self {
            Self::Accepted(accepted) => accepted.line,
            Self::Refused(refused) => refused.line,
        }
    }

    /// What identifies the record, as far as it could be read.
    #[must_use]
    pub fn identity(&self) -> Identity {
        match self {
            Self::Accepted(accepted) => Identity {
                record_id: Some(accepted.record.envelope.record_id.to_string()),
                revision: Some(accepted.record.envelope.revision),
                author_id: Some(accepted.record.envelope.author_id.to_string()),
                kind: Some(accepted.record.kind()),
            },
            Self::Refused(refused) => refused.identity.clone(),
        }
    }

    /// All problems of the line.
    #[must_use]
    pub fn problems(&self) -> &[Problem] {
        match self {
            Self::Accepted(accepted) => &accepted.problems,
            Self::Refused(refused) => &refused.problems,
        }
    }

    /// All problems of the line, to be changed or added to: a hub adds its own.
    pub fn problems_mut(&mut self) -> &mut Vec<Problem> {
        match self {
            Self::Accepted(accepted) => &mut accepted.problems,
            Self::Refused(refused) => &mut refused.problems,
        }
    }

    /// The same answer, its problems naming a file.
    #[must_use]
    pub fn in_file(mut self, file: &str) -> Self {
        for problem in self.problems_mut() {
            problem.file = Some(file.to_owned());
        }
        self
    }

    /// A record that stops at the end of the file was cut with it.
    fn explain_cut(&mut self) {
        for problem in self.problems_mut() {
            if problem.code == "json-unfinished" {
                problem.message = "the file stops in the middle of this record".to_owned();
                problem.help = Some("The file was cut on its way. Fetch or send it again.".to_owned());
            }
        }
    }
}
