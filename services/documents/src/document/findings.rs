//! What does not add up, is missing or overdue: how many of each rule, and each one.

use super::account::spaced;
use super::links::{Link, record};
use super::table::{Cell, Column, Section, Table};
use haulout_reckoning::findings::RULES;
use haulout_reckoning::statement::Statement;
use haulout_schemas::rule::Severity;
use serde_json::Value;
use std::collections::BTreeMap;

/// How many findings of each rule, the gravest first.
pub(super) fn by_code(statement: &Statement) -> Option<Section> {
    let mut codes: BTreeMap<(usize, &str, &str), i64> = BTreeMap::new();
    for finding in &statement.findings {
        let (severity, code) = (member(finding, "severity"), member(finding, "code"));
        *codes.entry((rank(severity), code, severity)).or_default() += 1;
    }
    let row = |((_, code, severity), count): ((usize, &str, &str), i64)| {
        vec![
            Cell::Words(severity.to_owned()),
            Cell::Words(title(code)),
            Cell::Words(code.to_owned()),
            Cell::count(count),
        ]
    };
    let rows: Vec<_> = codes.into_iter().map(row).collect();
    let columns = vec![
        Column::words("severity", "Severity"),
        Column::words("title", "Finding"),
        Column::words("code", "Rule").under(),
        Column::sum("count", "How many"),
    ];
    Some(Section {
        id: "findings",
        title: "Findings",
        lead: Some(
            "What does not add up, is missing or overdue. A finding asks a question; it accuses nobody.",
        ),
        notes: vec![match rows.is_empty() {
            true => format!("None, judged through {}.", statement.evaluated_through),
            false => format!(
                "Judged through {}. The meaning of each rule, why it matters and how to mend it: /v1/rules or `haulout rules CODE`.",
                statement.evaluated_through
            ),
        }],
        table: Table::summed(columns, rows),
    })
}

/// Each finding, in the order of the statement within its severity.
pub(super) fn each(statement: &Statement) -> Option<Section> {
    let mut findings: Vec<&Value> = statement.findings.iter().collect();
    findings.sort_by_key(|finding| rank(member(finding, "severity")));
    let columns = vec![
        Column::words("severity", "Severity").over(),
        Column::words("title", "Finding"),
        Column::words("code", "Rule").under(),
        Column::words("centreIDs", "Where"),
        Column::words("dueDay", "Due").under(),
        Column::words("parameters", "What"),
        Column::words("records", "Records"),
    ];
    (!findings.is_empty()).then(|| Section {
        id: "findings-each",
        title: "Each finding",
        lead: None,
        table: Table::plain(columns, findings.into_iter().map(cells).collect()),
        notes: Vec::new(),
    })
}

fn cells(finding: &Value) -> Vec<Cell> {
    let list = |name: &str| finding.get(name).and_then(Value::as_array).map_or(&[][..], Vec::as_slice);
    let places: Vec<&str> = list("centreIDs").iter().filter_map(Value::as_str).collect();
    let links: Vec<Link> =
        list("records").iter().map(|one| record(member(one, "authorID"), member(one, "recordID"))).collect();
    let code = member(finding, "code");
    vec![
        Cell::Words(member(finding, "severity").to_owned()),
        Cell::Words(title(code)),
        Cell::Words(code.to_owned()),
        Cell::Words(places.join(", ")),
        finding.get("dueDay").and_then(Value::as_str).map_or(Cell::Nothing, Cell::day),
        Cell::Words(parameters(finding)),
        Cell::Links(links),
    ]
}

fn member<'v>(value: &'v Value, name: &str) -> &'v str {
    value.get(name).and_then(Value::as_str).unwrap_or_default()
}

/// `difference -1, first day 2026-09-30`.
fn parameters(finding: &Value) -> String {
    let parameters = finding.get("parameters").and_then(Value::as_object);
    let told = parameters.into_iter().flatten().map(|(name, value)| {
        // An abbreviation at the end of a name stays one: `lotID`, not `lot i d`.
        let name = name.strip_suffix("ID").map_or_else(|| spaced(name), spaced);
        format!("{name} {}", plain(value))
    });
    told.collect::<Vec<_>>().join(", ")
}

fn plain(value: &Value) -> String {
    match value {
        Value::String(text) => text.clone(),
        Value::Array(items) => items.iter().map(plain).collect::<Vec<_>>().join(" and "),
        other => other.to_string(),
    }
}

/// The gravest first; what local code may add comes last.
pub(super) fn rank(severity: &str) -> usize {
    [Severity::Critical, Severity::Major, Severity::Minor, Severity::Info]
        .iter()
        .position(|known| known.as_str() == severity)
        .unwrap_or(usize::MAX)
}

/// A rule's title; the code itself where this release does not know it.
fn title(code: &str) -> String {
    RULES.iter().find(|rule| rule.code == code).map_or(code, |rule| rule.title).to_owned()
}
