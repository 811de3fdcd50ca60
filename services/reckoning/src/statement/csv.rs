//! The account as a tidy table: one figure a line (RFC 4180: CRLF, quotes doubled).

use super::Statement;
use std::fmt::Write;

/// The header of the table.
const HEADER: &str =
    "period,asKnownAt,place,scientificName,commodity,line,counterAccount,individualCount\r\n";

/// The statement's account as CSV, one figure a line. Lines are `opening`, `in`, `out`, `closing`,
/// `census` and `stage`; of `routine`, which names no species, the commodity says what is counted.
pub fn csv(statement: &Statement) -> String {
    let mut table = HEADER.to_owned();
    let mut line = |place: &str, name: &str, commodity: &str, line: &str, counter: &str, count: i64| {
        let cells =
            [&statement.question.period, &statement.basis.as_known_at, place, name, commodity, line, counter];
        for cell in cells {
            table.push_str(&quoted(cell));
            table.push(',');
        }
        let _ = write!(table, "{count}\r\n");
    };
    for row in &statement.account.rows {
        let place = super::place(row);
        let (name, commodity) = (row.scientific_name.as_str(), row.commodity);
        line(place, name, commodity, "opening", "", row.opening);
        row.gains.iter().for_each(|(counter, count)| line(place, name, commodity, "in", counter, *count));
        row.losses.iter().for_each(|(counter, count)| line(place, name, commodity, "out", counter, *count));
        line(place, name, commodity, "closing", "", row.closing);
        if let Some(census) = &row.census {
            line(place, name, commodity, "census", &census.day, census.individual_count);
        }
        row.stages.iter().for_each(|(stage, count)| line(place, name, commodity, "stage", stage, *count));
    }
    for row in &statement.account.transit {
        let place = format!("transit/{}", row.consignment_id);
        let (name, commodity) = (row.scientific_name.as_str(), row.commodity);
        line(&place, name, commodity, "opening", "", row.opening);
        row.gains.iter().for_each(|(counter, count)| line(&place, name, commodity, "in", counter, *count));
        row.losses.iter().for_each(|(counter, count)| line(&place, name, commodity, "out", counter, *count));
        line(&place, name, commodity, "closing", "", row.closing);
    }
    for row in statement.title.iter().flatten() {
        let (place, name, commodity) = (row.place_id.as_str(), row.scientific_name.as_str(), row.commodity);
        for (whose, count) in [
            ("own", row.own),
            ("ofOwner", row.of_owner),
            ("onLoanIn", row.on_loan_in),
            ("onLoanOut", row.on_loan_out),
            ("loanOverdue", row.loan_overdue),
        ] {
            line(place, name, commodity, "title", whose, count);
        }
    }
    for row in statement.routine.iter().flatten() {
        let place = row.centre_id.as_str();
        for (what, count) in [("due", row.due), ("withoutRecord", row.without_record), ("kept", row.kept)] {
            line(
                place,
                "",
                row.routine.counted(),
                "routine",
                &format!("{} {what}", row.routine.code()),
                count,
            );
        }
    }
    table
}

/// A cell that no spreadsheet takes for a formula: a leading `=`, `+`, `-`, `@` or tab is set off by an apostrophe.
fn quoted(cell: &str) -> String {
    let guarded = match cell.bytes().next() {
        Some(b'=' | b'+' | b'-' | b'@' | b'\t') => format!("'{cell}"),
        _ => cell.to_owned(),
    };
    if guarded.contains([',', '"', '\r', '\n']) {
        format!("\"{}\"", guarded.replace('"', "\"\""))
    } else {
        guarded
    }
}
