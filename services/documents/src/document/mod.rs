//! What a statement says, laid out for no format in particular: titled sections with tables of typed
//! cells. A new section is one function that returns a [`Section`], and its line in [`Document::of`].

mod account;
mod basis;
mod beside;
mod findings;
mod in_hand;
mod links;
mod table;
mod words;

pub use links::Link;
pub(crate) use links::encoded;
pub use table::{Cell, Column, Figure, Part, Section, Shown, Table};

use chrono::{DateTime, NaiveDate, Utc};
use haulout_reckoning::Period;
use haulout_reckoning::statement::Statement;
use serde::Serialize;

/// A statement, laid out.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Document {
    /// `Statement 2026-Q3`.
    pub title: String,
    /// The days that are accounted for, in words.
    pub days: String,
    /// The instant of knowledge as the statement writes it, RFC 3339 in UTC.
    pub as_known_at: String,
    /// The same as an instant; files carry it as the date of their making.
    #[serde(skip)]
    pub made: DateTime<Utc>,
    /// Why the figures must not be relied on, in a database whose calendar is set by hand.
    pub demonstration: Option<&'static str>,
    /// What was asked and on what the answer rests.
    pub facts: Vec<Fact>,
    /// The few figures that are looked for first.
    pub headline: Vec<Headline>,
    /// The sections, in the order of reading.
    pub sections: Vec<Section>,
    /// SHA-256 under which two hubs compare the account.
    pub account_digest: String,
    /// SHA-256 under which they compare the findings.
    pub findings_digest: String,
    /// The lines of the signature block.
    pub signature: [&'static str; 3],
}

/// A word and what it stands for.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Fact {
    /// The word.
    pub label: &'static str,
    /// What it stands for.
    pub value: String,
}

/// A figure that is looked for first.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Headline {
    /// What is counted.
    pub label: &'static str,
    /// How many.
    pub count: i64,
    /// What else to know of it.
    pub note: String,
}

/// A statement whose period or instant cannot be read: made by hand, not by a hub.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("the statement's {member} `{value}` cannot be read; let a hub make the statement")]
pub struct Unreadable {
    /// `question.period` or `basis.asKnownAt`.
    pub member: &'static str,
    /// As written.
    pub value: String,
}

impl Document {
    /// Lays a statement out.
    ///
    /// # Errors
    /// [`Unreadable`].
    pub fn of(statement: &Statement) -> Result<Self, Unreadable> {
        let period = Period::parse(&statement.question.period).map_err(|_| Unreadable {
            member: "question.period",
            value: statement.question.period.clone(),
        })?;
        let known = &statement.basis.as_known_at;
        let made = DateTime::parse_from_rfc3339(known)
            .map_err(|_| Unreadable { member: "basis.asKnownAt", value: known.clone() })?
            .with_timezone(&Utc);
        let sections = [
            account::animals(statement, &period),
            account::eggs(statement, &period),
            account::totals(statement),
            account::stages(statement),
            account::transit(statement),
            beside::deaths(statement),
            beside::necropsies(statement),
            in_hand::routine(statement),
            in_hand::title(statement),
            beside::relocations(statement, &period),
            beside::nests(statement, &period),
            beside::permits(statement),
            beside::licences(statement),
            basis::nights(statement),
            basis::late(statement),
            findings::by_code(statement),
            findings::each(statement),
            words::accepted(statement),
            words::signed(statement),
            basis::chains(statement),
        ];
        Ok(Self {
            title: format!("Statement {}", statement.question.period),
            days: format!("{} to {}, both days inclusive", long(period.first), long(period.last)),
            as_known_at: known.clone(),
            made,
            demonstration: statement.basis.demonstration.then_some(
                "A demonstration: the calendar of this database is set by hand. Nothing here may be relied on.",
            ),
            facts: basis::facts(statement),
            headline: basis::headline(statement),
            sections: sections.into_iter().flatten().collect(),
            account_digest: statement.account_digest.clone(),
            findings_digest: statement.findings_digest.clone(),
            signature: ["Office", "Place and day", "Signature and seal"],
        })
    }

    /// The name of a file without its ending: `statement-2026-Q3`.
    pub fn file_name(&self) -> String {
        self.title.to_lowercase().replace("-q", "-Q").replace("..", "-to-").replace(' ', "-")
    }
}

/// `1 July 2026`.
fn long(day: NaiveDate) -> String {
    day.format("%-d %B %Y").to_string()
}
