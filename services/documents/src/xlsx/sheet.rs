//! A section as a sheet: title, heading row, rows, sums.

use crate::document::{Cell, Section, Table};
use chrono::Datelike;
use rust_xlsxwriter::utility::{column_number_to_name, row_col_to_cell};
use rust_xlsxwriter::{ExcelDateTime, Formula, Worksheet, XlsxError};
use std::fmt::Write;

use super::fields::{Field, fields};
use super::formats::Formats;
use super::front::exact;

/// The row of the headings, counted from zero; it and those above stay when the sheet is scrolled.
const HEAD: u32 = 3;
/// The widest column, in characters.
const WIDEST: usize = 56;
/// The most characters that a cell takes, less what the remark about the rest needs.
const LONGEST: usize = 32_000;

pub(super) fn write(sheet: &mut Worksheet, section: &Section, formats: &Formats) -> Result<(), XlsxError> {
    sheet.set_name(tab(section.id))?;
    sheet.set_screen_gridlines(false);
    sheet.write_string_with_format(0, 0, section.title, &formats.title)?;
    sheet.write_string_with_format(1, 0, section.lead.unwrap_or_default(), &formats.lead)?;
    let table = &section.table;
    let fields = fields(table);
    let after = HEAD + 1 + count(table.rows.len());
    for (at, field) in (0_u16..).zip(&fields) {
        let format = if table.is_numeric(field.column()) { &formats.head_number } else { &formats.head };
        sheet.write_string_with_format(HEAD, at, field.title(table), format)?;
        sheet.set_column_width(at, f64::from(count(width(table, field))))?;
    }
    for (row, cells) in (HEAD + 1..).zip(&table.rows) {
        for (at, field) in (0_u16..).zip(&fields) {
            if let Some(cell) = cells.get(field.column()) {
                write_cell(sheet, (row, at), field, cells, cell, formats)?;
            }
        }
        balance(sheet, row, table, &fields, cells, formats)?;
    }
    let mut next = after;
    if let (Some(total), false) = (&table.total, table.rows.is_empty()) {
        write_total(sheet, after, &fields, total, formats)?;
        next += 1;
    }
    for (row, note) in (next + 1..).zip(&section.notes) {
        sheet.write_string_with_format(row, 0, note, &formats.lead)?;
    }
    if let Some(last) = count(fields.len()).checked_sub(1).and_then(|last| u16::try_from(last).ok()) {
        sheet.autofilter(HEAD, 0, (after - 1).max(HEAD), last)?;
    }
    sheet.set_freeze_panes(HEAD + 1, 0)?;
    sheet.set_repeat_rows(HEAD, HEAD)?;
    Ok(())
}

fn write_cell(
    sheet: &mut Worksheet,
    (row, at): (u32, u16),
    field: &Field<'_>,
    cells: &[Cell],
    cell: &Cell,
    formats: &Formats,
) -> Result<(), XlsxError> {
    if let Some(number) = field.number(cells) {
        match field {
            Field::Sum { parts: 1.., .. } => {
                let parts = if let Field::Sum { parts, .. } = field { *parts } else { 0 };
                let (first, last) = (row_col_to_cell(row, at - parts), row_col_to_cell(row, at - 1));
                let formula = Formula::new(format!("=SUM({first}:{last})")).set_result(number.to_string());
                sheet.write_formula_with_format(row, at, formula, &formats.number)?;
            }
            Field::Part { .. } => {
                sheet.write_number_with_format(row, at, exact(number), &formats.part)?;
            }
            _ => {
                sheet.write_number_with_format(row, at, exact(number), &formats.number)?;
            }
        }
        return Ok(());
    }
    match cell {
        Cell::Words(text) => sheet.write_string_with_format(row, at, fitting(text), &formats.words)?,
        Cell::Taxon(name) => sheet.write_string_with_format(row, at, fitting(name), &formats.taxon)?,
        Cell::Links(links) => {
            let texts: Vec<&str> = links.iter().map(|link| link.text.as_str()).collect();
            sheet.write_string_with_format(row, at, fitting(&texts.join("\n")), &formats.words)?
        }
        Cell::Share(share) => sheet.write_number_with_format(row, at, *share, &formats.share)?,
        Cell::Day(day) => {
            let (year, month) = (u16::try_from(day.year()), u8::try_from(day.month()));
            let (Ok(year), Ok(month), Ok(date)) = (year, month, u8::try_from(day.day())) else {
                return Ok(());
            };
            let date = ExcelDateTime::from_ymd(year, month, date)?;
            sheet.write_datetime_with_format(row, at, &date, &formats.day)?
        }
        Cell::Nothing | Cell::Count(_) | Cell::Parts(_) => sheet,
    };
    Ok(())
}

/// The closing as what it is: the opening and what came in, less what went out. Written only where
/// the statement's own figure is the same, as it always is.
fn balance(
    sheet: &mut Worksheet,
    row: u32,
    table: &Table,
    fields: &[Field<'_>],
    cells: &[Cell],
    formats: &Formats,
) -> Result<(), XlsxError> {
    let find = |id: &str| {
        let of = |field: &Field<'_>| table.columns.get(field.column()).is_some_and(|column| column.id == id);
        (0_u16..)
            .zip(fields)
            .find(|(_, field)| !matches!(field, Field::Part { .. }) && of(field))
            .and_then(|(at, field)| Some((at, field.number(cells)?)))
    };
    let (Some(opening), Some(gains), Some(losses), Some(closing)) =
        (find("opening"), find("in"), find("out"), find("closing"))
    else {
        return Ok(());
    };
    if opening.1 + gains.1 - losses.1 == closing.1 {
        let [opening, gains, losses] = [opening.0, gains.0, losses.0].map(|at| row_col_to_cell(row, at));
        let formula = Formula::new(format!("={opening}+{gains}-{losses}")).set_result(closing.1.to_string());
        sheet.write_formula_with_format(row, closing.0, formula, &formats.number)?;
    }
    Ok(())
}

fn write_total(
    sheet: &mut Worksheet,
    row: u32,
    fields: &[Field<'_>],
    total: &[Cell],
    formats: &Formats,
) -> Result<(), XlsxError> {
    for (at, field) in (0_u16..).zip(fields) {
        match field.number(total) {
            Some(number) => {
                let column = column_number_to_name(at);
                let formula = format!("=SUM({column}{}:{column}{row})", HEAD + 2);
                let formula = Formula::new(formula).set_result(number.to_string());
                sheet.write_formula_with_format(row, at, formula, &formats.total)?;
            }
            None if at == 0 => {
                sheet.write_string_with_format(row, at, "Total", &formats.total_words)?;
            }
            None => {
                sheet.write_blank(row, at, &formats.total_words)?;
            }
        }
    }
    Ok(())
}

/// `findings-each` as `Findings each`.
fn tab(id: &str) -> String {
    let spaced = id.replace('-', " ");
    let mut letters = spaced.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// A text that a cell can hold.
fn fitting(text: &str) -> String {
    let mut kept: String = text.chars().take(LONGEST).collect();
    if kept.len() < text.len() {
        let left = text.chars().count() - LONGEST;
        // Writing into a String cannot fail.
        let _ = write!(kept, " ... ({left} more characters: see the statement as JSON)");
    }
    kept
}

/// Characters of the longest line of a column, within bounds.
fn width(table: &Table, field: &Field<'_>) -> usize {
    let lines = |cell: &Cell| match cell {
        Cell::Words(text) | Cell::Taxon(text) => text.chars().count(),
        Cell::Links(links) => links.iter().map(|link| link.text.chars().count()).max().unwrap_or_default(),
        Cell::Day(_) => 10,
        _ => 7,
    };
    let cells = table.rows.iter().filter_map(|row| row.get(field.column()));
    let widest = if matches!(field, Field::Part { .. }) { 9 } else { cells.map(lines).max().unwrap_or(7) };
    let word = field.title(table).split(' ').map(str::len).max().unwrap_or_default();
    widest.max(word).clamp(7, WIDEST) + 2
}

fn count(length: usize) -> u32 {
    u32::try_from(length).unwrap_or(u32::MAX)
}
