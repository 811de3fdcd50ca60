//! What the columns of a statement's CSV mean, for programmes: the W3C's metadata vocabulary for tabular
//! data (CSV on the Web, 2015).

use crate::document::encoded;
use haulout_reckoning::statement::Statement;
use serde_json::{Value, json};

/// The media type of the metadata.
pub const MEDIA_TYPE: &str = "application/csvm+json";

/// The address of the same statement in another format, `csv` or `csvw`, seen from its own: the same
/// question at the same instant.
pub fn address(statement: &Statement, format: &str) -> String {
    let question = &statement.question;
    let mut address = format!(
        "{}?format={format}&asKnownAt={}",
        encoded(&question.period),
        encoded(&statement.basis.as_known_at)
    );
    for (name, value) in [("centreID", &question.centre_id), ("scientificName", &question.scientific_name)] {
        if let Some(value) = value {
            address.push_str(&format!("&{name}={}", encoded(value)));
        }
    }
    address
}

/// The metadata of the CSV at an address.
///
/// # Errors
/// A `serde_json` error where it cannot be written.
pub fn csvw(statement: &Statement, csv: &str) -> Result<Vec<u8>, serde_json::Error> {
    let mut bytes = serde_json::to_vec_pretty(&metadata(statement, csv))?;
    bytes.push(b'\n');
    Ok(bytes)
}

fn metadata(statement: &Statement, csv: &str) -> Value {
    json!({
        "@context": ["http://www.w3.org/ns/csvw", { "@language": "en" }],
        "url": csv,
        "dc:title": format!("Statement {}: the account, one figure a line", statement.question.period),
        "dc:description": "Animals and eggs that centres and holding points opened with, took in, gave out and closed with; journeys apart; whose they are, and how the routine was kept. A text that begins with =, +, -, @ or a tab is preceded by an apostrophe, so that no spreadsheet takes it for a formula.",
        "dc:issued": statement.basis.as_known_at,
        "dialect": {
            "encoding": "utf-8",
            "lineTerminators": ["\r\n"],
            "delimiter": ",",
            "quoteChar": "\"",
            "doubleQuote": true,
            "header": true,
            "headerRowCount": 1,
        },
        "tableSchema": {
            "columns": columns(),
            "primaryKey": ["place", "scientificName", "commodity", "line", "counterAccount"],
        },
    })
}

/// The columns, in the order of the file; their names are those of its first line.
fn columns() -> Value {
    let word = |words: &str| json!({ "base": "string", "format": words });
    json!([
        column(
            "period",
            "The period as asked: a year, quarter, month or first..last day",
            &json!("string"),
            true
        ),
        column("asKnownAt", "The instant of knowledge, inclusive", &json!("dateTime"), true),
        column(
            "place",
            "The centre or holding point, or transit/ and the number of a journey",
            &json!("string"),
            true
        ),
        column(
            "scientificName",
            "The accepted scientific name; none in lines of the routine",
            &json!("string"),
            false
        ),
        column(
            "commodity",
            "What is counted: animals or eggs, which are never added together; of the routine, what was due",
            &word("animals|eggs|batches|days|spans of 3 days|spans of 30 days"),
            true
        ),
        column(
            "line",
            "What the figure is: opening plus in less out is the closing; census is what the place itself last counted; stage is a part of the closing; title is whose the animals of the closing are; routine is what was due and done",
            &word("opening|in|out|closing|census|stage|title|routine"),
            true
        ),
        column(
            "counterAccount",
            "Of in and out: where from or where to; of census: the day of the count; of stage: the age class; of title: own, ofOwner or onLoanIn, parts of the closing, or onLoanOut, loanOverdue, which are not; of routine: which, and whether due, kept or without a record",
            &json!("string"),
            false
        ),
        column(
            "individualCount",
            "The figure, in what the commodity says; below zero only where the books are wrong",
            &json!("integer"),
            true
        ),
    ])
}

fn column(name: &str, means: &str, datatype: &Value, required: bool) -> Value {
    json!({ "name": name, "titles": name, "dc:description": means, "datatype": datatype, "required": required })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::tests::statement;
    use haulout_reckoning::statement::csv;

    /// The W3C's model: columns are matched by their place, and titles must equal the header's cells.
    #[test]
    fn the_columns_are_those_of_the_file() {
        let statement = statement();
        let table = csv(&statement);
        let header: Vec<&str> = table.lines().next().unwrap().split(',').collect();
        let described = metadata(&statement, "statement.csv");
        let columns = described["tableSchema"]["columns"].as_array().unwrap();
        let titles: Vec<&str> = columns.iter().map(|column| column["titles"].as_str().unwrap()).collect();
        assert_eq!(titles, header);
    }

    #[test]
    fn the_address_asks_the_same_question() {
        let mut statement = statement();
        statement.question.centre_id = Some("meruva.desharu".into());
        statement.question.scientific_name = Some("Lissemys punctata".into());
        assert_eq!(
            address(&statement, "csv"),
            "2026-Q3?format=csv&asKnownAt=2026-10-01T18%3A29%3A59.999999Z&centreID=meruva.desharu&scientificName=Lissemys%20punctata"
        );
    }
}
