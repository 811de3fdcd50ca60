//! Tables. Every cell names its column (`data-column`), so that a programme can read the page too.

use super::words;
use crate::document::{Cell, Column, Figure, Section, Shown, Table};
use maud::{Markup, html};

pub(super) fn table(section: &Section) -> Markup {
    let table = &section.table;
    let beside: Vec<usize> = at(table, Shown::Beside);
    let over = at(table, Shown::Over).first().copied();
    html! {
        table data-table=(section.id) {
            thead { tr { @for at in &beside { (head(table, *at)) } } }
            @for rows in table.groups() {
                tbody {
                    @if let Some(name) = over.and_then(|at| rows.first()?.get(at)) {
                        tr { th colspan=(beside.len()) scope="rowgroup" { (cell(name)) } }
                    }
                    @for cells in rows { (row(table, &beside, cells, false)) }
                }
            }
            @if let Some(total) = &table.total { tfoot { (row(table, &beside, total, true)) } }
        }
    }
}

fn at(table: &Table, shown: Shown) -> Vec<usize> {
    table.columns.iter().enumerate().filter(|(_, column)| column.shown == shown).map(|(at, _)| at).collect()
}

fn head(table: &Table, at: usize) -> Markup {
    let number = table.is_numeric(at).then_some("number");
    html! { @if let Some(column) = table.columns.get(at) { th scope="col" class=[number] { (column.title) } } }
}

fn row(table: &Table, beside: &[usize], cells: &[Cell], total: bool) -> Markup {
    html! {
        tr { @for (place, at) in beside.iter().enumerate() { @if let (Some(column), Some(one)) = (table.columns.get(*at), cells.get(*at)) {
            td class=(class(table, *at, one)) data-column=(column.id) data-label=(column.title) {
                @if total && place == 0 { "Total" } @else { (cell(one)) }
                @for (column, one) in under(table, cells, *at) { (small(column, one)) }
            }
        } } }
    }
}

/// The columns that stand under one.
fn under<'d>(table: &'d Table, cells: &'d [Cell], at: usize) -> impl Iterator<Item = (&'d Column, &'d Cell)> {
    let following = table.columns.iter().zip(cells).skip(at + 1);
    following.take_while(|(column, _)| column.shown == Shown::Under).filter(|(_, cell)| {
        !matches!(cell, Cell::Nothing) && !matches!(cell, Cell::Words(text) if text.is_empty())
    })
}

fn small(column: &Column, one: &Cell) -> Markup {
    html! { span.under data-column=(column.id) data-word=(column.title) { (cell(one)) } }
}

fn class(table: &Table, at: usize, cell: &Cell) -> &'static str {
    match cell {
        Cell::Nothing => "nothing",
        _ if table.is_numeric(at) => "number",
        _ => "words",
    }
}

fn cell(cell: &Cell) -> Markup {
    html! { @match cell {
        Cell::Nothing => {}
        Cell::Words(text) => (words(text)),
        Cell::Taxon(name) => span.taxon { (name) },
        Cell::Count(figure) => (self::figure(figure)),
        Cell::Parts(parts) => {
            div {
                data value=(cell.number().unwrap_or_default()) { (cell.number().unwrap_or_default()) }
                @if !parts.is_empty() { ul.parts { @for part in parts {
                    li data-part=(part.label) { (part.label) " " (self::figure(&part.figure)) }
                } } }
            }
        }
        Cell::Share(share) => (percent(*share)),
        Cell::Day(day) => time datetime=(day) { (day) },
        Cell::Links(links) => ul.links { @for link in links { li { a href=(link.to) { (link.text) } } } },
    } }
}

fn figure(figure: &Figure) -> Markup {
    html! { @match &figure.records {
        Some(records) => a href=(records) { (figure.count) },
        None => (figure.count),
    } }
}

/// Two decimals of a hundred, as the four of the share give.
fn percent(share: f64) -> String {
    format!("{:.2} %", share * 100.0)
}
