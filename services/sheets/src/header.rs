//! The header row: which column is which field.

use std::collections::BTreeMap;

use haulout_schemas::Kind;

use crate::columns;
use crate::fields::{self, Field, Form, Leaf};

/// The most entries of one list that headers may number: as many as the schema takes anywhere.
const MOST_ENTRIES: u64 = 5000;

/// What the columns of a sheet mean for one kind: a tree with columns at its leaves.
#[derive(Debug, Default)]
pub(crate) struct Plan {
    pub(crate) members: Vec<(String, Node)>,
}

/// A field with its columns, counted from zero.
#[derive(Debug)]
pub(crate) enum Node {
    /// One cell, one plain value.
    Plain(usize, &'static Leaf),
    /// Plain values in one cell, and in numbered columns.
    List { whole: Option<usize>, entries: BTreeMap<u64, usize>, leaf: &'static Leaf },
    /// An object or a list: in one cell as JSON, or in columns of its own.
    Group { whole: Option<usize>, inner: Inner },
}

/// The columns of an object or a list of objects.
#[derive(Debug)]
pub(crate) enum Inner {
    Object(Vec<(String, Node)>),
    Entries(BTreeMap<u64, Vec<(String, Node)>>),
}

/// The name in a header cell: its first line. Templates write behind it when it is needed.
pub(crate) fn name_of(header: &str) -> &str {
    header.lines().map(str::trim).find(|line| !line.is_empty()).unwrap_or_default()
}

impl Plan {
    /// The plan of the headers for a kind, and which of them name a field of it.
    pub(crate) fn of(kind: Kind, headers: &[String]) -> (Self, Vec<bool>) {
        let mut plan = Self::default();
        let known = headers
            .iter()
            .enumerate()
            .map(|(column, header)| place(&mut plan.members, fields::of(kind), header, column).is_some())
            .collect();
        (plan, known)
    }
}

/// Puts a column where its header says; none where the kind has no such field.
fn place(
    members: &mut Vec<(String, Node)>,
    fields: &'static [Field],
    path: &str,
    column: usize,
) -> Option<()> {
    let (name, rest) = path.split_once('.').map_or((path, None), |(name, rest)| (name, Some(rest)));
    let field = fields.iter().find(|field| field.name == name)?;
    let at = match members.iter().position(|(member, _)| member == name) {
        Some(at) => at,
        None => {
            // Judged before it is put in, so that an unknown path leaves nothing behind.
            reachable(field, rest)?;
            members.push((name.to_owned(), empty(field, column)));
            members.len() - 1
        }
    };
    let (_, node) = members.get_mut(at)?;
    match (node, &field.form, rest) {
        (Node::Plain(..), Form::Plain(_), None) => Some(()),
        (Node::List { whole, .. }, _, None) | (Node::Group { whole, .. }, _, None) => {
            *whole = Some(column);
            Some(())
        }
        (Node::List { entries, .. }, _, Some(rest)) => {
            entries.insert(number(rest)?, column);
            Some(())
        }
        (Node::Group { inner: Inner::Object(members), .. }, Form::Object(fields), Some(rest)) => {
            place(members, fields, rest, column)
        }
        (Node::Group { inner: Inner::Entries(entries), .. }, Form::Numbered(fields, _), Some(rest)) => {
            let (entry, rest) = rest.split_once('.')?;
            let entry = number(entry)?;
            let inner = fields.iter().find(|field| field.name == rest.split('.').next().unwrap_or(rest))?;
            reachable(inner, rest.split_once('.').map(|(_, rest)| rest))?;
            place(entries.entry(entry).or_default(), fields, rest, column)
        }
        _ => None,
    }
}

/// Whether a path leads anywhere below a field.
fn reachable(field: &Field, rest: Option<&str>) -> Option<()> {
    let below = |fields: &[Field], path: &str| {
        let (name, rest) = path.split_once('.').map_or((path, None), |(name, rest)| (name, Some(rest)));
        reachable(fields.iter().find(|field| field.name == name)?, rest)
    };
    match (&field.form, rest) {
        (_, None) => Some(()),
        (Form::Plain(_) | Form::Open, Some(_)) => None,
        (Form::List(_), Some(rest)) => number(rest).map(|_| ()),
        (Form::Object(fields), Some(rest)) => below(fields, rest),
        (Form::Numbered(fields, _), Some(rest)) => {
            let (entry, rest) = rest.split_once('.')?;
            number(entry)?;
            below(fields, rest)
        }
    }
}

fn empty(field: &'static Field, column: usize) -> Node {
    match &field.form {
        Form::Plain(leaf) => Node::Plain(column, leaf),
        Form::List(leaf) => Node::List { whole: None, entries: BTreeMap::new(), leaf },
        Form::Object(_) | Form::Open => Node::Group { whole: None, inner: Inner::Object(Vec::new()) },
        Form::Numbered(..) => Node::Group { whole: None, inner: Inner::Entries(BTreeMap::new()) },
    }
}

/// The number of an entry, counted from 1 and written without zeros in front.
fn number(text: &str) -> Option<u64> {
    let number: u64 = text.parse().ok()?;
    ((1..=MOST_ENTRIES).contains(&number) && number.to_string() == text).then_some(number)
}

/// The column name nearest to a header that is none, among those of the kinds.
pub(crate) fn nearest(header: &str, kinds: &[Kind]) -> Option<String> {
    let wanted = fold(header);
    let mut best: Option<(f64, String)> = None;
    for kind in kinds {
        for column in columns::of(*kind) {
            let other = fold(&column.name);
            let last = column.name.rsplit('.').next().map(fold).unwrap_or_default();
            let alike = strsim::normalized_damerau_levenshtein(&wanted, &other).max(
                if wanted.len() >= 4 && (other.ends_with(&wanted) || last == wanted) { 0.9 } else { 0.0 },
            );
            // One slip in five letters is still recognised (common practice).
            if alike >= 0.6 && best.as_ref().is_none_or(|(most, _)| alike > *most) {
                best = Some((alike, column.name));
            }
        }
    }
    best.map(|(_, name)| name)
}

fn fold(word: &str) -> String {
    word.chars().filter(|letter| letter.is_alphanumeric()).flat_map(char::to_lowercase).take(100).collect()
}
