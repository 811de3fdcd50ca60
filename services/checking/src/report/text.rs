//! The report for a terminal: no colours, no width assumed.

use std::io::{self, Write};

use haulout_schemas::published::VERSION;

use super::summary::{ELSEWHERE, Group, Summary};
use crate::counts::Counts;
use crate::problem::{Problem, Severity};
use crate::words::{counted, grouped, shown};

/// What a check by itself cannot tell; the same sentence in every report.
pub(super) const NOT_CHECKED: &str = "Not checked here: whose records these are, what a hub already holds, and whatever rests on several records.";

pub(super) fn write(out: &mut dyn Write, summary: &Summary, counts: &Counts) -> io::Result<()> {
    for severity in [Severity::Error, Severity::Warning, Severity::Info] {
        let groups = summary.groups(severity);
        if groups.is_empty() {
            continue;
        }
        writeln!(out, "{}\n", heading(severity))?;
        for (code, place, group) in groups {
            write_group(out, code, place, group)?;
        }
    }
    writeln!(out, "{}", read_line(counts))?;
    for (kind, count) in &counts.by_kind {
        writeln!(out, "  {:>12}  {kind}", grouped(*count))?;
    }
    writeln!(out, "{}", problems_line(counts))?;
    writeln!(out, "{}", verdict(counts))?;
    writeln!(out, "Schema {VERSION}. {NOT_CHECKED}")
}

fn write_group(out: &mut dyn Write, code: &str, place: &str, group: &Group) -> io::Result<()> {
    writeln!(out, "  {}: {}", title(code, place), counted(group.count, "time", "times"))?;
    for sample in &group.samples {
        writeln!(out, "    {}{}", position(sample), sample.message)?;
    }
    if group.more() > 0 {
        writeln!(out, "    and {} more", grouped(group.more()))?;
    }
    let mut told: Vec<&str> = Vec::new();
    for help in group.samples.iter().filter_map(|sample| sample.help.as_deref()) {
        if !told.contains(&help) {
            writeln!(out, "    Help: {help}")?;
            told.push(help);
        }
    }
    writeln!(out)
}

pub(super) fn heading(severity: Severity) -> &'static str {
    match severity {
        Severity::Error => "Errors: a hub refuses these records",
        Severity::Warning => "Warnings: accepted, but look at them",
        Severity::Info => "Remarks: accepted",
    }
}

/// A group's code and field.
pub(super) fn title(code: &str, place: &str) -> String {
    match place {
        "" => code.to_owned(),
        ELSEWHERE => format!("{code} at other fields"),
        // Field names come from the file.
        place => format!("{code} at {}", shown(place).trim_matches('"')),
    }
}

/// Where a problem stands, as editors and terminals make it clickable: `night.ndjson:12:40: `.
pub(super) fn position(problem: &Problem) -> String {
    let file = problem.file.as_deref().map(|name| shown(name).trim_matches('"').to_owned());
    let number = problem.file_line.or(problem.line);
    let mut parts: Vec<String> = Vec::new();
    parts.extend(file);
    match (parts.is_empty(), number) {
        (true, Some(line)) => parts.push(format!("line {line}")),
        (false, Some(line)) => parts.push(line.to_string()),
        (_, None) => {}
    }
    if let (Some(_), Some(column)) = (number, problem.column) {
        parts.push(column.to_string());
    }
    let mut text = parts.join(":");
    if let (Some(_), Some(record)) = (problem.file_line, problem.line) {
        text.push_str(&format!(" (record {record})"));
    }
    if !text.is_empty() {
        text.push_str(": ");
    }
    text
}

pub(super) fn read_line(counts: &Counts) -> String {
    let files = counted(counts.files, "file", "files");
    let lines = counted(counts.lines, "line", "lines");
    let blank = match counts.blank {
        0 => String::new(),
        blank => format!(", {} of them blank", grouped(blank)),
    };
    let records = counted(counts.records, "record", "records");
    format!("Read {files}, {lines}{blank}: {records}, {} valid.", grouped(counts.valid))
}

pub(super) fn problems_line(counts: &Counts) -> String {
    let problems = counts.problems;
    format!(
        "{}, {}, {}.",
        counted(problems.error, "error", "errors"),
        counted(problems.warning, "warning", "warnings"),
        counted(problems.info, "remark", "remarks")
    )
}

pub(super) fn verdict(counts: &Counts) -> String {
    let refused = counts.records - counts.valid;
    if counts.records == 0 {
        return "Result: there is no record here.".to_owned();
    }
    if counts.is_valid() {
        return "Result: valid. No reason found to refuse a record.".to_owned();
    }
    if refused == 0 {
        return "Result: not valid. The records read are right, but the file is not.".to_owned();
    }
    format!(
        "Result: not valid. {} of {} would be refused.",
        grouped(refused),
        counted(counts.records, "record", "records")
    )
}
