//! What the offices said by the instant of knowledge: findings that were accepted, and who signed.

use super::links::record;
use super::table::{Cell, Column, Section, Table};
use haulout_reckoning::statement::{Office, Statement};

/// The findings that the authority accepted, and why.
pub(super) fn accepted(statement: &Statement) -> Option<Section> {
    let rows: Vec<Vec<Cell>> = statement
        .acceptances
        .iter()
        .map(|word| {
            let names = word.records.iter();
            vec![
                Cell::Words(word.code.clone()),
                Cell::Links(
                    names.map(|name| record(name.author_id.as_str(), name.record_id.as_str())).collect(),
                ),
                Cell::Words(word.reason.clone()),
                Cell::Words(office(&word.by).to_owned()),
                Cell::Words(word.accepted_at.clone()),
            ]
        })
        .collect();
    let columns = vec![
        Column::words("code", "Rule"),
        Column::words("records", "Records"),
        Column::words("reason", "Accepted because"),
        Column::words("by", "By"),
        Column::words("acceptedAt", "on").under(),
    ];
    section(
        "accepted",
        "Findings accepted",
        "An accepted finding stays a finding; nobody is asked again.",
        columns,
        rows,
    )
}

/// Who signed the same question off.
pub(super) fn signed(statement: &Statement) -> Option<Section> {
    let rows: Vec<Vec<Cell>> = statement
        .sign_offs
        .iter()
        .map(|signed| {
            let same = match (signed.same_figures, signed.same_findings) {
                (true, true) => "these figures and findings",
                (true, false) => "these figures, other findings",
                (false, _) => "other figures: the journal has grown since",
            };
            vec![
                Cell::Words(office(&signed.by).to_owned()),
                Cell::Words(signed.signed_at.clone()),
                Cell::Words(same.to_owned()),
                Cell::Words(signed.as_known_at.clone()),
                Cell::Words(signed.note.clone().unwrap_or_default()),
            ]
        })
        .collect();
    let columns = vec![
        Column::words("by", "Signed off by"),
        Column::words("signedAt", "on").under(),
        Column::words("same", "What was signed"),
        Column::words("asKnownAt", "as known at").under(),
        Column::words("note", "Remark"),
    ];
    section("signed", "Sign-offs", "Digests of what was read are kept with each sign-off.", columns, rows)
}

fn section(
    id: &'static str,
    title: &'static str,
    lead: &'static str,
    columns: Vec<Column>,
    rows: Vec<Vec<Cell>>,
) -> Option<Section> {
    (!rows.is_empty()).then(|| Section {
        id,
        title,
        lead: Some(lead),
        notes: Vec::new(),
        table: Table::plain(columns, rows),
    })
}

fn office(by: &Office) -> &str {
    by.party_id.as_deref().unwrap_or(&by.role)
}
