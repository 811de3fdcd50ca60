//! A template filled with the examples of its kind is valid, in both forms.

use calamine::{Data, Reader};
use haulout_sheets::{Kind, SheetForm, nearest_kind, template};
use serde_json::Value;
use std::io::Cursor;

use crate::flat::{flat, headers, text};
use crate::house::{canonical, good, run};

/// The first row, each name without the word under it.
fn header_of(book: &[u8], sheet: &str) -> Vec<String> {
    let mut book = calamine::Xlsx::new(Cursor::new(book.to_vec())).unwrap();
    let range = book.worksheet_range(sheet).unwrap();
    range
        .rows()
        .next()
        .unwrap()
        .iter()
        .map(|cell| cell.to_string().lines().next().unwrap().to_owned())
        .collect()
}

#[test]
fn both_forms_have_the_same_columns_and_what_is_needed_first() {
    for kind in Kind::ALL {
        let csv = String::from_utf8(template(*kind, SheetForm::Csv).unwrap()).unwrap();
        assert_eq!(csv.matches("\r\n").count(), 1, "{kind}");
        let names: Vec<String> = csv.trim_end().split(',').map(str::to_owned).collect();
        let book = template(*kind, SheetForm::Xlsx).unwrap();
        assert_eq!(header_of(&book, kind.as_str()), names, "{kind}");
        assert_eq!(template(*kind, SheetForm::Xlsx).unwrap(), book, "{kind}: the same bytes");
        // What no minimal example can do without stands before everything else but its alternatives.
        let minimal = &good(*kind)[0];
        let first: Vec<&String> = names.iter().take(minimal.as_object().unwrap().len() + 8).collect();
        for (name, value) in minimal.as_object().unwrap() {
            if !value.is_object() && !value.is_array() {
                assert!(first.contains(&name), "{kind}: {name} is not among {first:?}");
            }
        }
    }
}

#[test]
fn an_empty_template_says_that_it_is_empty() {
    for form in ["rescue.csv", "rescue.xlsx"] {
        let bytes = template(Kind::Rescue, SheetForm::of_name(form).unwrap()).unwrap();
        let (kept, counts) = run(form, &bytes);
        assert_eq!(counts.records, 0);
        assert_eq!(kept.problem("sheet-empty").severity, haulout_checking::Severity::Warning);
        // Its own sheets that explain are no sheets that were missed.
        assert_eq!(kept.codes(), ["sheet-empty"]);
    }
}

#[test]
fn a_filled_csv_template_is_valid() {
    for kind in Kind::ALL {
        let header = String::from_utf8(template(*kind, SheetForm::Csv).unwrap()).unwrap();
        let mut names: Vec<String> = header.trim_end().split(',').map(str::to_owned).collect();
        let records = good(*kind);
        let rows: Vec<_> = records.iter().map(flat).collect();
        // An example may have more entries than a template shows, or an empty list: added as told.
        names.extend(headers(&rows).into_iter().filter(|name| !names.contains(name)).collect::<Vec<_>>());
        let mut out = csv::Writer::from_writer(Vec::new());
        out.write_record(&names).unwrap();
        for row in &rows {
            out.write_record(names.iter().map(|name| row.get(name).map(text).unwrap_or_default())).unwrap();
        }
        let (kept, _) = run("filled.csv", &out.into_inner().unwrap());
        assert_eq!(kept.records(), records.iter().map(canonical).collect::<Vec<_>>(), "{kind}");
        assert!(kept.codes().is_empty(), "{kind}: {:?}", kept.codes());
    }
}

#[test]
fn a_filled_workbook_of_the_templates_header_is_valid() {
    for kind in Kind::ALL {
        let template = template(*kind, SheetForm::Xlsx).unwrap();
        let mut names = header_of(&template, kind.as_str());
        let records = good(*kind);
        let rows: Vec<_> = records.iter().map(flat).collect();
        names.extend(headers(&rows).into_iter().filter(|name| !names.contains(name)).collect::<Vec<_>>());
        let mut book = rust_xlsxwriter::Workbook::new();
        let page = book.add_worksheet().set_name(kind.as_str()).unwrap();
        for (column, name) in (0_u16..).zip(&names) {
            page.write_string(0, column, format!("{name}\nrequired")).unwrap();
            for (row, cells) in (1..).zip(&rows) {
                match cells.get(name) {
                    // The name of the sheet says the kind.
                    _ if name == "kind" => {}
                    None => {}
                    Some(Value::Number(number)) => {
                        page.write_number(row, column, number.as_f64().unwrap()).unwrap();
                    }
                    Some(Value::Bool(truth)) => {
                        page.write_boolean(row, column, *truth).unwrap();
                    }
                    Some(other) => {
                        page.write_string(row, column, text(other)).unwrap();
                    }
                }
            }
        }
        let (kept, _) = run("filled.xlsx", &book.save_to_buffer().unwrap());
        assert_eq!(kept.records(), records.iter().map(canonical).collect::<Vec<_>>(), "{kind}");
        assert!(kept.codes().is_empty(), "{kind}: {:?}", kept.codes());
    }
}

#[test]
fn every_column_is_explained() {
    for kind in Kind::ALL {
        let bytes = template(*kind, SheetForm::Xlsx).unwrap();
        let names = header_of(&bytes, kind.as_str());
        let mut book = calamine::Xlsx::new(Cursor::new(bytes)).unwrap();
        let about = book.worksheet_range("Columns").unwrap();
        let rows: Vec<&[Data]> =
            about.rows().skip_while(|row| row[0] != Data::String("Column".into())).skip(1).collect();
        let told: Vec<String> = rows.iter().map(|row| row[0].to_string()).collect();
        assert_eq!(told, names, "{kind}");
        for row in rows {
            assert!(row[1..=2].iter().all(|cell| !cell.to_string().is_empty()), "{kind}: {row:?}");
        }
    }
}

#[test]
fn the_nearest_kind() {
    assert_eq!(nearest_kind("recsue"), Some(Kind::Rescue));
    assert_eq!(nearest_kind("Census"), Some(Kind::Census));
    assert_eq!(nearest_kind("xyzzy"), None);
}
