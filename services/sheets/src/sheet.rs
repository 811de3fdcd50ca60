//! One sheet: its header, its rows, and their problems led back to the cells.

use std::collections::{BTreeMap, BTreeSet};

use haulout_checking::{
    CheckedLine, Checker, Counts, Problem, Refused, Sink, StreamError, StreamOptions, shared,
};
use haulout_schemas::Kind;

use crate::cell::{Cell, Holds};
use crate::header::{self, Plan};
use crate::place::{letters, shown};
use crate::row::{self, Made};
use crate::rules;

/// The widest sheet: what a workbook can hold.
pub(crate) const MOST_COLUMNS: usize = 16_384;

/// Unknown columns of one sheet for which the nearest name is sought: a sheet of noise has thousands.
const GUESSES: usize = 50;

/// Columns that a template fills beforehand: a row with nothing else is blank.
const GIVEN: [&str; 2] = ["kind", "schemaVersion"];

/// A file being checked.
pub(crate) struct Run<'r> {
    checker: &'r Checker,
    options: &'r StreamOptions,
    sink: &'r mut dyn Sink,
    /// What was read so far.
    pub(crate) counts: Counts,
}

impl<'r> Run<'r> {
    pub(crate) fn new(checker: &'r Checker, options: &'r StreamOptions, sink: &'r mut dyn Sink) -> Self {
        Self { checker, options, sink, counts: Counts { files: 1, ..Counts::default() } }
    }

    /// The name that problems give for the file.
    pub(crate) fn file(&self) -> Option<&str> {
        self.options.file.as_deref()
    }

    /// Tells a problem with the file or a sheet of it.
    pub(crate) fn problem(&mut self, problem: Problem) -> Result<(), StreamError> {
        let problem = match &self.options.file {
            Some(file) => problem.in_file(file),
            None => problem,
        };
        self.counts.add_problem(&problem);
        self.sink.file(problem).map_err(StreamError::Sink)
    }

    fn line(&mut self, line: CheckedLine) -> Result<(), StreamError> {
        let line = match &self.options.file {
            Some(file) => line.in_file(file),
            None => line,
        };
        self.counts.add_line(&line);
        self.sink.line(line).map_err(StreamError::Sink)
    }
}

/// A sheet whose header was read.
pub(crate) struct Sheet {
    /// Its name in the workbook; none where the file is the sheet.
    name: Option<String>,
    /// The kind that its name says.
    named: Option<Kind>,
    headers: Vec<String>,
    /// The first column of each header.
    first: BTreeMap<String, usize>,
    kind_column: Option<usize>,
    plans: BTreeMap<Kind, (Plan, Vec<bool>)>,
    /// Unknown columns, with what was probably meant.
    meant: BTreeMap<usize, Option<String>>,
    used: BTreeSet<usize>,
    told: BTreeSet<usize>,
    header_row: u64,
    rows: u64,
    blank: u64,
}

/// One row of a sheet.
pub(crate) struct Row {
    /// Counted from 1.
    pub(crate) number: u64,
    /// Line of the file, where it is another.
    pub(crate) file_line: Option<u64>,
    pub(crate) cells: Vec<Cell>,
}

impl Sheet {
    /// Takes the header; none where neither it nor the name says of which kind the rows are.
    pub(crate) fn open(name: Option<&str>, stem: &str, header_row: u64, headers: &[Cell]) -> Option<Self> {
        let headers: Vec<String> =
            headers.iter().map(|cell| header::name_of(&cell.text()).to_owned()).collect();
        let mut first = BTreeMap::new();
        for (column, header) in headers.iter().enumerate() {
            first.entry(header.clone()).or_insert(column);
        }
        let kind_column = first.get("kind").copied();
        let named = stem.trim().to_ascii_lowercase().parse().ok();
        (kind_column.is_some() || named.is_some()).then(|| Self {
            name: name.map(str::to_owned),
            named,
            headers,
            first,
            kind_column,
            plans: BTreeMap::new(),
            meant: BTreeMap::new(),
            used: BTreeSet::new(),
            told: BTreeSet::new(),
            header_row,
            rows: 0,
            blank: 0,
        })
    }

    /// Rows in which nothing stands.
    pub(crate) fn add_blank(&mut self, run: &mut Run<'_>, rows: u64) {
        self.blank += rows;
        run.counts.add_blank(rows);
    }

    /// Judges one row.
    pub(crate) fn row(&mut self, run: &mut Run<'_>, row: &Row) -> Result<(), StreamError> {
        let filled: Vec<usize> = (0..row.cells.len())
            .filter(|column| row.cells.get(*column).is_some_and(|cell| !cell.is_blank() || cell.formula))
            .collect();
        let header = |column: usize| self.headers.get(column).map_or("", String::as_str);
        if filled.iter().all(|column| GIVEN.contains(&header(*column))) {
            self.add_blank(run, 1);
            return Ok(());
        }
        self.rows += 1;
        let written =
            self.kind_column.and_then(|column| row.cells.get(column)).filter(|cell| !cell.is_blank());
        let written = written.map(Cell::text);
        let kind = match &written {
            Some(text) => text.parse().ok(),
            None => self.named,
        };
        // Of a row of no known kind only the frame can be told, which all kinds share.
        let of = kind.or(self.named).unwrap_or(Kind::Rescue);
        let headers = &self.headers;
        let first = &self.first;
        let (plan, known) = self.plans.entry(of).or_insert_with(|| {
            let single: Vec<String> = headers
                .iter()
                .enumerate()
                .map(
                    |(column, name)| {
                        if first.get(name) == Some(&column) { name.clone() } else { String::new() }
                    },
                )
                .collect();
            Plan::of(of, &single)
        });
        let mut made =
            row::make(plan, &row.cells, written.is_none().then_some(self.named).flatten().map(Kind::as_str));
        let stray: Vec<usize> =
            filled.into_iter().filter(|column| !known.get(*column).copied().unwrap_or(false)).collect();
        if kind.is_some() {
            self.strays(&stray, of, &mut made);
        }
        let line = run.checker.check_line(made.json.as_bytes(), row.number);
        run.line(self.answer(row, line, made))
    }

    /// Cells that no field of the kind takes up.
    fn strays(&mut self, stray: &[usize], kind: Kind, made: &mut Made) {
        for column in stray {
            let name = self.headers.get(*column).map_or("", String::as_str);
            let problem = if name.is_empty() {
                Problem::of(&rules::CELL_WITHOUT_HEADER, "the column of this cell has no header")
            } else if self.first.get(name) != Some(column) {
                Problem::of(
                    &rules::COLUMN_TWICE,
                    format!("a column {} stands further to the left", shown(name)),
                )
            } else {
                self.used.insert(*column);
                let guess = self.meant.len() < GUESSES;
                let meant = self
                    .meant
                    .entry(*column)
                    .or_insert_with(|| guess.then(|| header::nearest(name, &[kind])).flatten());
                let problem = Problem::of(
                    &shared::UNKNOWN_FIELD,
                    format!("a record of kind {kind} has no field {}", shown(name)),
                );
                match meant {
                    Some(meant) => problem.with_help(format!("Did you mean `{meant}`? Correct the header.")),
                    None => problem,
                }
            };
            made.remarks.push((*column, problem));
        }
    }

    /// The checker's answer with every problem at its cell, and the remarks on the cells.
    fn answer(&mut self, row: &Row, mut line: CheckedLine, made: Made) -> CheckedLine {
        for problem in line.problems_mut() {
            let column = problem.pointer.as_deref().and_then(|pointer| made.column_of(pointer));
            self.put(row, column, problem);
        }
        let mut refused = false;
        for (column, mut problem) in made.remarks {
            // Spreadsheets write every truth value in capitals: once a column is enough.
            if problem.code == rules::TRUTH_SPELLED.code && !self.told.insert(column) {
                continue;
            }
            refused |= problem.refuses();
            problem.pointer =
                made.cells.iter().find(|(_, at)| *at == column).map(|(pointer, _)| pointer.clone());
            self.put(row, Some(column), &mut problem);
            line.problems_mut().push(problem);
        }
        match line {
            // What the record would lose, or what a spreadsheet has changed, is not a record to keep.
            CheckedLine::Accepted(accepted) if refused => {
                let line = CheckedLine::Accepted(accepted);
                CheckedLine::Refused(Refused {
                    line: row.number,
                    identity: line.identity(),
                    problems: line.problems().to_vec(),
                })
            }
            line => line,
        }
    }

    fn put(&self, row: &Row, column: Option<usize>, problem: &mut Problem) {
        problem.line = Some(row.number);
        problem.file_line = row.file_line;
        problem.column = column.map(|column| column as u64 + 1);
        let sheet = self.name.as_ref().map(|name| format!("sheet {}", shown(name)));
        let cell = column.map(|column| {
            let header = self.headers.get(column).filter(|header| !header.is_empty());
            let header = header.map(|header| format!(" ({header})")).unwrap_or_default();
            format!("cell {}{}{header}", letters(column), row.number)
        });
        let place: Vec<String> = sheet.into_iter().chain(cell).collect();
        if !place.is_empty() {
            problem.message = format!("{}: {}", place.join(", "), problem.message);
        }
    }

    /// What is to be said of the whole sheet.
    pub(crate) fn close(self, run: &mut Run<'_>) -> Result<(), StreamError> {
        let within = self.name.as_ref().map(|name| format!("sheet {}: ", shown(name))).unwrap_or_default();
        let kinds: Vec<Kind> = match self.named {
            Some(kind) => vec![kind],
            None => Kind::ALL.to_vec(),
        };
        let mut told = 0;
        for (column, name) in self.headers.iter().enumerate() {
            let once = self.first.get(name) == Some(&column);
            let single = std::slice::from_ref(name);
            if name.is_empty()
                || !once
                || self.used.contains(&column)
                || kinds.iter().any(|kind| Plan::of(*kind, single).1 == [true])
            {
                continue;
            }
            let text = format!(
                "{within}the column {} is no field of the records here; its cells are blank",
                shown(name)
            );
            let mut problem = Problem::of(&rules::UNKNOWN_COLUMN, text).on_line(self.header_row);
            problem.column = Some(column as u64 + 1);
            told += 1;
            if told <= GUESSES
                && let Some(meant) = header::nearest(name, &kinds)
            {
                problem = problem.with_help(format!("Did you mean `{meant}`? Correct the header."));
            }
            run.problem(problem)?;
        }
        if self.rows == 0 {
            run.problem(Problem::of(&rules::SHEET_EMPTY, format!("{within}there is no row of a record")))?;
        } else if self.blank > 0 {
            let text = format!("{within}blank rows passed over: {}", self.blank);
            run.problem(Problem::of(&rules::BLANK_ROWS, text))?;
        }
        Ok(())
    }
}

/// Whether a row can be a header: something stands in it.
pub(crate) fn is_filled(cells: &[Cell]) -> bool {
    cells.iter().any(|cell| !cell.is_blank() && !matches!(cell.holds, Holds::Error(_)))
}
