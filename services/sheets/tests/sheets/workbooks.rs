//! What spreadsheets keep in workbooks, and what hostile ones hold.

use crate::flat::{Cells, flat};
use crate::house::{Kept, good, run};
use haulout_sheets::Kind;
use rust_xlsxwriter::{ExcelDateTime, Format, Formula, Workbook, Worksheet};
use std::io::{Cursor, Write};

/// A workbook of one rescue, with one cell written by the caller: under a header, in row 2.
fn with(header: &str, write: impl FnOnce(&mut Worksheet, u16)) -> Kept {
    let cells: Cells = flat(&good(Kind::Rescue)[0]);
    let mut book = Workbook::new();
    let page = book.add_worksheet().set_name("rescue").unwrap();
    let mut column = 0;
    for (name, value) in cells.iter().filter(|(name, _)| *name != header) {
        page.write_string(0, column, name).unwrap();
        match value.as_f64() {
            Some(number) => page.write_number(1, column, number).unwrap(),
            None => page.write_string(1, column, crate::flat::text(value)).unwrap(),
        };
        column += 1;
    }
    page.write_string(0, column, header).unwrap();
    write(page, column);
    run("night.xlsx", &book.save_to_buffer().unwrap()).0
}

#[test]
fn dates_numbers_and_truths_are_told() {
    let day = Format::new().set_num_format("dd/mm/yyyy");
    let date = |text: &str| ExcelDateTime::parse_from_str(text).unwrap();
    let kept = with("eventDate", |page, at| {
        page.write_datetime_with_format(1, at, date("2026-07-02"), &day).unwrap();
    });
    assert_eq!(kept.codes(), ["date-cell"]);
    assert_eq!(kept.records()[0]["eventDate"], "2026-07-02");
    // A time without an offset is no time: the checker refuses what was read.
    let kept = with("eventDate", |page, at| {
        page.write_datetime_with_format(1, at, date("2026-07-02T06:10"), &day).unwrap();
    });
    assert_eq!(kept.codes(), ["wrong-pattern", "date-cell"]);
    assert!(kept.problem("wrong-pattern").message.contains("2026-07-02T06:10"));
    let kept = with("eventDate", |page, at| {
        page.write_number(1, at, 46_205).unwrap();
    });
    assert_eq!(kept.codes(), ["wrong-pattern", "serial-date"]);
    let kept = with("localID", |page, at| {
        page.write_datetime_with_format(1, at, date("2026-04-03"), &day).unwrap();
    });
    assert_eq!(kept.codes(), ["changed-to-date"]);
    let kept = with("localID", |page, at| {
        page.write_number(1, at, 7).unwrap();
    });
    assert_eq!((kept.codes(), &kept.records()[0]["localID"]), (vec!["number-for-text".into()], &"7".into()));
    let kept = with("localID", |page, at| {
        page.write_number(1, at, 1e16).unwrap();
    });
    assert_eq!(kept.codes(), ["digits-lost"]);
    let kept = with("localID", |page, at| {
        page.write_string(1, at, "007").unwrap();
    });
    assert_eq!((kept.codes(), &kept.records()[0]["localID"]), (vec![], &"007".into()));
    let kept = with("documentedCount", |page, at| {
        page.write_string(1, at, "280").unwrap();
    });
    assert_eq!(
        (kept.codes(), &kept.records()[0]["documentedCount"]),
        (vec!["text-for-number".into()], &280.into())
    );
    let kept = with("documentedCount", |page, at| {
        page.write_string(1, at, "about 280").unwrap();
    });
    assert_eq!(kept.codes(), ["wrong-type"]);
    let kept = with("documentedCount", |page, at| {
        page.write_boolean(1, at, true).unwrap();
    });
    assert_eq!(kept.codes(), ["wrong-type"]);
}

#[test]
fn formulas_and_errors_are_told() {
    let kept = with("documentedCount", |page, at| {
        page.write_formula(1, at, Formula::new("=200+80").set_result("280")).unwrap();
    });
    assert_eq!((kept.codes(), &kept.records()[0]["documentedCount"]), (vec!["formula".into()], &280.into()));
    let kept = with("documentedCount", |page, at| {
        page.write_formula(1, at, Formula::new("=NA()").set_result("#N/A")).unwrap();
    });
    assert!(kept.codes().contains(&"cell-error".to_owned()), "{:?}", kept.codes());
}

#[test]
fn problems_name_sheet_cell_and_header() {
    let kept = with("sex", |page, at| {
        page.write_string(1, at, "femal").unwrap();
    });
    let problem = kept.problem("not-in-list");
    assert!(problem.message.starts_with("sheet \"rescue\", cell "), "{}", problem.message);
    assert!(problem.message.contains("2 (sex): "), "{}", problem.message);
    assert_eq!(problem.line, Some(2));
}

#[test]
fn sheets_without_records_are_named() {
    let mut book = Workbook::new();
    let page = book.add_worksheet().set_name("Sums").unwrap();
    page.write_string(0, 0, "Species").unwrap();
    book.add_worksheet().set_name("Blank").unwrap();
    let (kept, counts) = run("night.xlsx", &book.save_to_buffer().unwrap());
    assert_eq!(kept.codes(), ["sheet-not-read", "sheet-without-kind"]);
    assert!(kept.files[0].message.contains("\"Sums\""));
    assert!(!counts.is_valid());
}

/// A workbook of hand-written XML.
fn book(sheet: &str, strings: &str) -> Vec<u8> {
    let parts = [
        (
            "[Content_Types].xml",
            r#"<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"/>"#.to_owned(),
        ),
        (
            "_rels/.rels",
            r#"<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="r1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/officeDocument" Target="xl/workbook.xml"/></Relationships>"#
                .to_owned(),
        ),
        (
            "xl/workbook.xml",
            r#"<workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"><sheets><sheet name="rescue" sheetId="1" r:id="r1"/></sheets></workbook>"#
                .to_owned(),
        ),
        (
            "xl/_rels/workbook.xml.rels",
            r#"<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="r1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet" Target="worksheets/sheet1.xml"/></Relationships>"#
                .to_owned(),
        ),
        ("xl/worksheets/sheet1.xml", sheet.to_owned()),
        ("xl/sharedStrings.xml", strings.to_owned()),
    ];
    let mut zip = zip::ZipWriter::new(Cursor::new(Vec::new()));
    for (name, text) in parts {
        zip.start_file(name, zip::write::SimpleFileOptions::default()).unwrap();
        zip.write_all(text.as_bytes()).unwrap();
    }
    zip.finish().unwrap().into_inner()
}

const STRINGS: &str = r#"<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"/>"#;

fn sheet(rows: &str) -> String {
    format!(
        r#"<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>{rows}</sheetData></worksheet>"#
    )
}

const HEAD: &str = r#"<row r="1"><c r="A1" t="inlineStr"><is><t>kind</t></is></c><c r="B1" t="inlineStr"><is><t>notes</t></is></c></row>"#;

#[test]
fn hostile_workbooks_are_answered() {
    let row = |cell: &str| sheet(&format!("{HEAD}{cell}"));
    let codes = |bytes: &[u8]| run("night.xlsx", bytes).0.codes();
    // A million empty rows cost nothing.
    let empty: String = (2..1_000_000).map(|row| format!("<row r=\"{row}\"/>")).collect();
    assert_eq!(codes(&book(&row(&empty), STRINGS)), ["sheet-empty"]);
    // Cells at the far corner, and beyond it.
    let far = r#"<row r="1048576"><c r="XFD1048576" t="inlineStr"><is><t>x</t></is></c></row>"#;
    assert!(codes(&book(&row(far), STRINGS)).contains(&"cell-without-header".to_owned()));
    let beyond = r#"<row r="2"><c r="XFE2" t="inlineStr"><is><t>x</t></is></c></row>"#;
    assert!(codes(&book(&row(beyond), STRINGS)).contains(&"workbook-damaged".to_owned()));
    // Entities are not unfolded.
    let laughs = format!(
        "<!DOCTYPE x [<!ENTITY a \"ha\"><!ENTITY b \"&a;&a;&a;&a;\">]>{}",
        row(r#"<row r="2"><c r="B2" t="inlineStr"><is><t>&b;</t></is></c></row>"#)
    );
    let found = run("night.xlsx", &book(&laughs, STRINGS)).0;
    assert!(
        found
            .lines
            .iter()
            .flat_map(|line| line.problems())
            .chain(&found.files)
            .all(|p| !p.message.contains("haha"))
    );
    // What would make a reader take all memory at once.
    let strings = r#"<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" uniqueCount="99999999999999"/>"#;
    assert_eq!(codes(&book(&row(""), strings)), ["workbook-damaged"]);
    let shared = r#"<row r="2"><c r="B2"><f t="shared" si="99999999999" ref="B2:B3">1</f><v>1</v></c></row>"#;
    assert_eq!(codes(&book(&row(shared), STRINGS)), ["workbook-damaged"]);
    // A bomb: 80 MiB of shared texts in some 80 KiB.
    let strings = format!("<sst>{}</sst>", " ".repeat(80 << 20));
    let bomb = book(&row(""), &strings);
    assert!(bomb.len() < 1 << 20);
    assert_eq!(codes(&bomb), ["workbook-too-large"]);
    // No workbook at all.
    assert_eq!(codes(b"kind,notes\n"), ["workbook-damaged"]);
    assert_eq!(codes(&[0xD0, 0xCF, 0x11, 0xE0, 0, 0]), ["workbook-damaged"]);
    assert_eq!(codes(b""), ["workbook-damaged"]);
}

#[test]
fn a_formula_without_a_result_is_told() {
    let row = format!(
        r#"{HEAD}<row r="2"><c r="A2" t="inlineStr"><is><t>rescue</t></is></c><c r="B2"><f>1+1</f></c></row>"#
    );
    let (kept, _) = run("night.xlsx", &book(&sheet(&row), STRINGS));
    assert!(kept.codes().contains(&"formula-without-result".to_owned()), "{:?}", kept.codes());
}
