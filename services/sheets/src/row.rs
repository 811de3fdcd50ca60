//! A row becomes the JSON text of a record, and a pointer into the record leads back to its cell.

use haulout_checking::Problem;
use serde_json::Value;

use crate::cell::{Cell, Holds, quoted};
use crate::fields::{Leaf, Of};
use crate::header::{Inner, Node, Plan};
use crate::rules;

/// What a row became.
#[derive(Debug, Default)]
pub(crate) struct Made {
    /// The record as JSON.
    pub(crate) json: String,
    /// Which cell each value of the record came from: RFC 6901 pointer, column counted from zero.
    pub(crate) cells: Vec<(String, usize)>,
    /// What struck while reading, each with its column.
    pub(crate) remarks: Vec<(usize, Problem)>,
}

/// Makes the record of a row.
pub(crate) fn make(plan: &Plan, cells: &[Cell], kind: Option<&str>) -> Made {
    let mut made = Made::default();
    let mut row = Row { cells, made: &mut made };
    let mut json = row.object(&plan.members, "").unwrap_or_else(|| "{}".to_owned());
    // The name of the sheet says what a blank cell does not.
    if let Some(kind) = kind {
        let rest = json.get(1..).unwrap_or("}");
        let comma = if rest == "}" { "" } else { "," };
        json = format!("{{\"kind\":{}{comma}{rest}", quoted(kind));
    }
    made.json = json;
    made
}

struct Row<'r> {
    cells: &'r [Cell],
    made: &'r mut Made,
}

impl Row<'_> {
    fn filled(&self, column: usize) -> Option<Cell> {
        self.cells.get(column).filter(|cell| !cell.is_blank()).cloned()
    }

    /// The object of these members; none where all of its cells are blank.
    fn object(&mut self, members: &[(String, Node)], at: &str) -> Option<String> {
        let mut parts = Vec::new();
        for (name, node) in members {
            let pointer = format!("{at}/{name}");
            if let Some(json) = self.node(node, &pointer) {
                parts.push(format!("{}:{json}", quoted(name)));
            }
        }
        (!parts.is_empty()).then(|| format!("{{{}}}", parts.join(",")))
    }

    fn node(&mut self, node: &Node, pointer: &str) -> Option<String> {
        match node {
            Node::Plain(column, leaf) => self.plain(*column, leaf, pointer),
            Node::List { whole, entries, leaf } => {
                let one = whole.and_then(|column| self.list(column, leaf, pointer));
                let mut parts = Vec::new();
                for column in entries.values() {
                    let at = format!("{pointer}/{}", parts.len());
                    parts.extend(self.plain(*column, leaf, &at));
                }
                let many = (!parts.is_empty()).then(|| format!("[{}]", parts.join(",")));
                self.one_of(*whole, one, many)
            }
            Node::Group { whole, inner } => {
                let one = whole.and_then(|column| self.json(column, pointer));
                let many = match inner {
                    Inner::Object(members) => self.object(members, pointer),
                    Inner::Entries(entries) => {
                        let mut parts = Vec::new();
                        for members in entries.values() {
                            let at = format!("{pointer}/{}", parts.len());
                            let before = self.made.cells.len();
                            match self.object(members, &at) {
                                Some(json) => parts.push(json),
                                // A blank entry is no entry: the next one takes its place.
                                None => self.made.cells.truncate(before),
                            }
                        }
                        (!parts.is_empty()).then(|| format!("[{}]", parts.join(",")))
                    }
                };
                self.one_of(*whole, one, many)
            }
        }
    }

    fn plain(&mut self, column: usize, leaf: &Leaf, pointer: &str) -> Option<String> {
        self.made.cells.push((pointer.to_owned(), column));
        self.unresolved(column);
        let cell = self.filled(column)?;
        self.remark(column, &cell, leaf);
        Some(cell.json(leaf))
    }

    fn list(&mut self, column: usize, leaf: &Leaf, pointer: &str) -> Option<String> {
        self.made.cells.push((pointer.to_owned(), column));
        self.unresolved(column);
        let cell = self.filled(column)?;
        // A text may be several numbers, so only a cell of another type strikes.
        if !matches!(cell.holds, Holds::Text(_)) || leaf.of == Of::Text {
            self.remark(column, &cell, leaf);
        }
        Some(cell.list(leaf))
    }

    fn json(&mut self, column: usize, pointer: &str) -> Option<String> {
        self.made.cells.push((pointer.to_owned(), column));
        self.unresolved(column);
        let cell = self.filled(column)?;
        let text = cell.text();
        let looks = text.trim_start().starts_with(['{', '[']);
        // Judged here only so far that the cell cannot end its own value and begin another.
        if looks && is_one_value(&text) {
            return Some(text.trim().to_owned());
        }
        let problem = Problem::of(&rules::NOT_JSON_CELL, "the cell does not hold the JSON that is meant");
        self.made.remarks.push((column, problem));
        None
    }

    fn one_of(&mut self, whole: Option<usize>, one: Option<String>, many: Option<String>) -> Option<String> {
        if let (Some(column), Some(_), Some(_)) = (whole, &one, &many) {
            let text = "the field is told in this cell and in columns of its own";
            self.made.remarks.push((column, Problem::of(&rules::CELLS_IN_CONFLICT, text)));
        }
        one.or(many)
    }

    /// A formula without a result is blank, but not in silence.
    fn unresolved(&mut self, column: usize) {
        if let Some(cell) = self.cells.get(column).filter(|cell| cell.formula && cell.is_blank()) {
            let problems = cell.remarks(&Leaf::default());
            self.made.remarks.extend(problems.into_iter().map(|problem| (column, problem)));
        }
    }

    fn remark(&mut self, column: usize, cell: &Cell, leaf: &Leaf) {
        let problems = cell.remarks(leaf);
        self.made.remarks.extend(problems.into_iter().map(|problem| (column, problem)));
    }
}

/// Whether a text is exactly one JSON value, within the depth that a reader follows.
fn is_one_value(text: &str) -> bool {
    serde_json::from_str::<Value>(text).is_ok()
}

impl Made {
    /// The column of a value: the cell itself, else one inside of it, else the one around it.
    pub(crate) fn column_of(&self, pointer: &str) -> Option<usize> {
        if pointer.is_empty() {
            return None;
        }
        let exact = self.cells.iter().find(|(at, _)| at == pointer);
        let inside = || {
            self.cells
                .iter()
                .find(|(at, _)| at.strip_prefix(pointer).is_some_and(|rest| rest.starts_with('/')))
        };
        let around = || {
            let is_around = |at: &str| pointer.strip_prefix(at).is_some_and(|rest| rest.starts_with('/'));
            self.cells.iter().filter(|(at, _)| is_around(at)).max_by_key(|(at, _)| at.len())
        };
        exact.or_else(inside).or_else(around).map(|(_, column)| *column)
    }
}
