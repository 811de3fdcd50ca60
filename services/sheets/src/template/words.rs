//! What a template says of a column.

use crate::columns::{Column, Need};
use crate::fields::Of;

/// Under the name in the header.
pub(super) fn short_need(need: &Need) -> &'static str {
    match need {
        Need::Always => "required",
        Need::OneOf(_) => "one of these",
        Need::When(_) => "sometimes required",
        Need::Within(_) => "required with its group",
        Need::Never => "optional",
    }
}

/// In a sentence.
pub(super) fn need(column: &Column) -> String {
    match &column.need {
        Need::Always => "Required.".to_owned(),
        Need::OneOf(names) => format!("Required: exactly one of {}.", names.join(" and ")),
        Need::When(case) => format!("Required where {case}."),
        Need::Within(group) => format!("Required where anything of {group} is filled."),
        Need::Never => "Optional.".to_owned(),
    }
}

/// What a cell holds.
pub(super) fn form(column: &Column) -> String {
    let Some(leaf) = &column.leaf else {
        return "JSON object, such as {\"shift\":\"evening\"}".to_owned();
    };
    let one = match leaf.of {
        _ if !leaf.words.is_empty() => "a word of the list",
        Of::Text if leaf.day => "date as text: 2026-07-02",
        Of::Text if !leaf.written.is_empty() => &leaf.written,
        Of::Text => "text",
        Of::Whole => "whole number",
        Of::Number => "number",
        Of::Truth => "true or false",
    };
    let one = one.trim_end_matches('.').replace('`', "");
    if column.list { format!("{one}; several parted by \" | \"") } else { one }
}

/// The words, or the bounds.
pub(super) fn allowed(column: &Column) -> String {
    let Some(leaf) = &column.leaf else {
        return String::new();
    };
    if !leaf.words.is_empty() {
        let words: Vec<&str> = leaf.words.iter().map(|(word, _)| word.as_str()).collect();
        return words.join(", ");
    }
    match (leaf.bounds, leaf.longest) {
        ((Some(least), Some(most)), _) => format!("{least} to {most}"),
        ((Some(least), None), _) => format!("at least {least}"),
        ((None, Some(most)), _) => format!("at most {most}"),
        (_, Some(longest)) if !leaf.day => format!("at most {longest} characters"),
        _ => String::new(),
    }
}

/// The first lines of a meaning, without the list of words that may follow it.
pub(super) fn meaning(column: &Column) -> String {
    let lines: Vec<&str> = column.meaning.lines().take_while(|line| !line.starts_with('`')).collect();
    lines.join(" ").replace('`', "")
}

/// How to fill the sheet, for whoever opens it without this project at hand.
pub(super) const GUIDE: [&str; 6] = [
    "One row, one record. Leave a cell blank where there is nothing to say. Columns may be left out, moved or added from this list.",
    "Dates are text: 2026-07-02, or with a time and its offset 2026-07-02T06:10+05:30. Numbers have a point for decimals and no unit.",
    "Several plain values stand in one cell, parted by \" | \". Entries of a list are numbered: add lines.4.individualCount for a fourth line.",
    "An empty list is told by [] in a column of the list's own name, such as lines. Fields of your own go into extensions, as JSON.",
    "No names of people. Rows in which only kind and schemaVersion stand are passed over.",
    "Check the filled sheet, offline:  haulout check FILE.xlsx",
];
