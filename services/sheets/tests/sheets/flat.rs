//! Records as cells, by the description of the columns and not by the reader: an example is written
//! the way a person would, and as JSON cells only where columns cannot tell it.

use serde_json::Value;
use std::collections::BTreeMap;

/// A cell: its text, and what it is.
pub type Cells = BTreeMap<String, Value>;

/// The cells of a record; none where a sheet cannot tell it (null, a number as text).
pub fn flat(record: &Value) -> Cells {
    let mut cells = Cells::new();
    for (name, value) in record.as_object().unwrap() {
        put(name, value, &mut cells);
    }
    cells
}

fn put(path: &str, value: &Value, cells: &mut Cells) {
    match value {
        _ if path == "extensions" => {
            cells.insert(path.into(), value.to_string().into());
        }
        Value::Object(members) if !members.is_empty() => {
            for (name, member) in members {
                put(&format!("{path}.{name}"), member, cells);
            }
        }
        Value::Array(items) if items.is_empty() => {
            cells.insert(path.into(), "[]".into());
        }
        Value::Array(items) if items.iter().all(Value::is_object) => {
            for (index, item) in items.iter().enumerate() {
                put(&format!("{path}.{}", index + 1), item, cells);
            }
        }
        Value::Array(items) if items.iter().all(|item| plain(item).is_some()) => {
            let texts: Vec<String> = items.iter().filter_map(plain).collect();
            if texts.iter().all(|text| !text.contains('|') && text.trim() == text && !text.is_empty()) {
                cells.insert(path.into(), texts.join(" | ").into());
            } else {
                for (index, text) in texts.iter().enumerate() {
                    cells.insert(format!("{path}.{}", index + 1), text.clone().into());
                }
            }
        }
        Value::Object(_) | Value::Array(_) => {
            cells.insert(path.into(), value.to_string().into());
        }
        other => {
            cells.insert(path.into(), other.clone());
        }
    }
}

fn plain(value: &Value) -> Option<String> {
    match value {
        Value::String(text) => Some(text.clone()),
        Value::Number(number) => Some(number.to_string()),
        _ => None,
    }
}

pub fn text(value: &Value) -> String {
    match value {
        Value::String(text) => text.clone(),
        other => other.to_string(),
    }
}

/// All headers of some rows.
pub fn headers(rows: &[Cells]) -> Vec<String> {
    let mut headers: Vec<String> = rows.iter().flat_map(|row| row.keys().cloned()).collect();
    headers.sort();
    headers.dedup();
    headers
}

pub fn csv_of(rows: &[Cells], separator: u8) -> Vec<u8> {
    let headers = headers(rows);
    let mut out = csv::WriterBuilder::new().delimiter(separator).from_writer(Vec::new());
    out.write_record(&headers).unwrap();
    for row in rows {
        out.write_record(headers.iter().map(|header| row.get(header).map(text).unwrap_or_default())).unwrap();
    }
    out.into_inner().unwrap()
}

pub fn xlsx_of(sheet: &str, rows: &[Cells]) -> Vec<u8> {
    let headers = headers(rows);
    let mut book = rust_xlsxwriter::Workbook::new();
    let page = book.add_worksheet().set_name(sheet).unwrap();
    for (column, header) in (0_u16..).zip(&headers) {
        page.write_string(0, column, header).unwrap();
        for (number, row) in (1_u32..).zip(rows) {
            match row.get(header) {
                None => {}
                Some(Value::Number(value)) => {
                    page.write_number(number, column, value.as_f64().unwrap()).unwrap();
                }
                Some(Value::Bool(value)) => {
                    page.write_boolean(number, column, *value).unwrap();
                }
                Some(value) => {
                    page.write_string(number, column, text(value)).unwrap();
                }
            }
        }
    }
    book.save_to_buffer().unwrap()
}
