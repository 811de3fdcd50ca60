//! One cell: what a spreadsheet holds, and what it becomes in a record.

use serde_json::Value;

use crate::fields::{Leaf, Of};
use crate::place::shown;
use crate::rules;
use haulout_checking::Problem;

/// What stands in a cell.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Cell {
    pub(crate) holds: Holds,
    /// Whether a formula made it.
    pub(crate) formula: bool,
    /// Whether the file keeps no types, so that a number is written as text.
    pub(crate) untyped: bool,
}

/// A value as a spreadsheet keeps it.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Holds {
    Nothing,
    Text(String),
    Number(f64),
    Truth(bool),
    /// A day, and a time of it where there is one: `2026-07-02`, `2026-07-02T06:10:00`.
    Day(String),
    /// A length of time, or a time of no day.
    Span(String),
    /// `#N/A` and the like.
    Error(String),
}

/// The separator of plain values in one cell (recommended by Darwin Core for lists).
const BETWEEN: char = '|';

impl Cell {
    /// A cell of a file without types.
    pub(crate) fn untyped(text: String) -> Self {
        Self { holds: Holds::Text(text), formula: false, untyped: true }
    }

    /// A cell with a type.
    pub(crate) fn typed(holds: Holds, formula: bool) -> Self {
        Self { holds, formula, untyped: false }
    }

    /// Whether it tells nothing: white space alone is nothing.
    pub(crate) fn is_blank(&self) -> bool {
        match &self.holds {
            Holds::Nothing => true,
            Holds::Text(text) => text.trim().is_empty(),
            _ => false,
        }
    }

    /// The cell as text, as exactly as the file keeps it.
    pub(crate) fn text(&self) -> String {
        match &self.holds {
            Holds::Nothing => String::new(),
            Holds::Text(text) | Holds::Day(text) | Holds::Span(text) | Holds::Error(text) => text.clone(),
            Holds::Number(number) => plain(*number),
            Holds::Truth(truth) => truth.to_string().to_uppercase(),
        }
    }

    /// What strikes one about the cell where a value of this kind is meant.
    pub(crate) fn remarks(&self, leaf: &Leaf) -> Vec<Problem> {
        let mut found = Vec::new();
        if self.formula {
            found.push(self.formula_remark());
        }
        match (&self.holds, leaf.of) {
            (Holds::Error(text), _) => {
                found.push(Problem::of(&rules::CELL_ERROR, format!("the spreadsheet shows {}", shown(text))));
            }
            (Holds::Day(day), Of::Text) if leaf.day => {
                found.push(Problem::of(&rules::DATE_CELL, format!("a cell of type date, read as {day}")));
            }
            (Holds::Day(_) | Holds::Span(_), _) => {
                found.push(Problem::of(
                    &rules::CHANGED_TO_DATE,
                    format!("a date or time stands where {} is meant", word(leaf.of)),
                ));
            }
            (Holds::Number(number), Of::Text) if leaf.day => {
                found.push(serial(*number, &plain(*number)));
            }
            (Holds::Number(number), Of::Text) if number.abs() >= 1e15 => found.push(Problem::of(
                &rules::DIGITS_LOST,
                format!("a number of more than 15 digits, {}, stands where text is meant", plain(*number)),
            )),
            (Holds::Number(number), Of::Text) => found.push(Problem::of(
                &rules::NUMBER_FOR_TEXT,
                format!("the number {} was taken as the text {}", plain(*number), shown(&plain(*number))),
            )),
            (Holds::Truth(truth), Of::Text) => found.push(Problem::of(
                &rules::NUMBER_FOR_TEXT,
                format!("the truth value {truth} was taken as the text {}", shown(&self.text())),
            )),
            (Holds::Text(text), Of::Whole | Of::Number) if !self.untyped && is_number(text.trim()) => {
                found.push(Problem::of(
                    &rules::TEXT_FOR_NUMBER,
                    format!("the text {} was taken as a number", shown(text)),
                ));
            }
            (Holds::Text(text), Of::Text) if leaf.day && is_number(text.trim()) && text.trim().len() >= 5 => {
                if let Ok(number) = text.trim().parse() {
                    found.push(serial(number, text.trim()));
                }
            }
            (Holds::Text(text), Of::Truth) if spelled(text).is_some() && !is_exact_truth(text) => {
                found.push(Problem::of(
                    &rules::TRUTH_SPELLED,
                    format!("{} was taken as {}", shown(text), spelled(text) == Some(true)),
                ));
            }
            _ => {}
        }
        found
    }

    fn formula_remark(&self) -> Problem {
        match self.holds {
            Holds::Nothing => {
                Problem::of(&rules::FORMULA_WITHOUT_RESULT, "a formula without a result was taken as blank")
            }
            _ => Problem::of(
                &rules::FORMULA,
                format!("a formula; its last result {} was read", shown(&self.text())),
            ),
        }
    }

    /// The JSON text of the cell as a plain value.
    pub(crate) fn json(&self, leaf: &Leaf) -> String {
        match (&self.holds, leaf.of) {
            (Holds::Number(number), Of::Whole | Of::Number | Of::Truth) => plain(*number),
            (Holds::Truth(truth), Of::Whole | Of::Number | Of::Truth) => truth.to_string(),
            (Holds::Text(text), of) => text_as(text, of),
            _ => quoted(&self.text()),
        }
    }

    /// The JSON text of the cell as a list of plain values.
    pub(crate) fn list(&self, leaf: &Leaf) -> String {
        let Holds::Text(text) = &self.holds else {
            return format!("[{}]", self.json(leaf));
        };
        if text.trim() == "[]" {
            return "[]".to_owned();
        }
        let parts: Vec<String> = text.split(BETWEEN).map(|part| text_as(part.trim(), leaf.of)).collect();
        format!("[{}]", parts.join(","))
    }
}

fn text_as(text: &str, of: Of) -> String {
    let bare = text.trim();
    match of {
        Of::Whole | Of::Number if is_number(bare) => bare.to_owned(),
        Of::Truth => spelled(text).map_or_else(|| quoted(text), |truth| truth.to_string()),
        _ => quoted(text),
    }
}

/// A text in JSON.
pub(crate) fn quoted(text: &str) -> String {
    Value::from(text).to_string()
}

/// A number as JSON writes it: whole ones without a fraction, no exponent below 2^53.
pub(crate) fn plain(number: f64) -> String {
    // Whole numbers of this size are exact in an i64.
    #[allow(clippy::cast_possible_truncation)]
    if number.fract() == 0.0 && number.abs() < 9.007_199_254_740_992e15 {
        (number as i64).to_string()
    } else {
        serde_json::Number::from_f64(number)
            .map_or_else(|| quoted(&number.to_string()), |number| number.to_string())
    }
}

/// Whether a text is a number as JSON writes it: no zeros in front, no plus, a point for decimals.
pub(crate) fn is_number(text: &str) -> bool {
    let starts = text.bytes().next().is_some_and(|first| first == b'-' || first.is_ascii_digit());
    starts && text.len() <= 400 && serde_json::from_str::<serde_json::Number>(text).is_ok()
}

fn spelled(text: &str) -> Option<bool> {
    match text.trim().to_ascii_lowercase().as_str() {
        "true" => Some(true),
        "false" => Some(false),
        _ => None,
    }
}

fn is_exact_truth(text: &str) -> bool {
    matches!(text, "true" | "false")
}

/// A number in a date column is told with the day that it would be, and never taken for it.
fn serial(number: f64, text: &str) -> Problem {
    let day = (1.0..2_958_466.0).contains(&number).then(|| crate::days::of_serial(number, false)).flatten();
    let said =
        day.map_or_else(String::new, |day| format!("; as a day number of a spreadsheet it would be {day}"));
    Problem::of(&rules::SERIAL_DATE, format!("the number {text} stands where a date is meant{said}"))
}

fn word(of: Of) -> &'static str {
    match of {
        Of::Text => "text",
        Of::Whole => "a whole number",
        Of::Number => "a number",
        Of::Truth => "true or false",
    }
}
