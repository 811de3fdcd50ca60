//! How the routine of the days in care was kept, and whose the animals are.

use super::table::{Cell, Column, Section, Table};
use haulout_reckoning::statement::{RoutineLine, Statement, TitleLine};

/// A column of figures that are not added up.
const fn number(id: &'static str, title: &'static str) -> Column {
    Column { summed: false, ..Column::sum(id, title) }
}

/// The routine of each centre, as shares of what a record tells.
pub(super) fn routine(statement: &Statement) -> Option<Section> {
    let columns = vec![
        Column::words("centreID", "Centre").over(),
        Column::words("routine", "What was to be done"),
        Column::words("counted", "Counted in").under(),
        number("due", "Due"),
        number("withoutRecord", "Without a record"),
        number("kept", "Kept"),
        Column::words("rate", "Share of those with a record"),
        Column::words("low", "Interval from"),
        Column::words("high", "Interval to"),
        Column::words("leftOut", "Units not asked, by why"),
    ];
    let rows: Vec<_> = statement.routine.iter().flatten().map(cells).collect();
    (!rows.is_empty()).then(|| Section {
        id: "routine",
        title: "Routine",
        lead: Some(
            "Common practice for still indoor water, and the days of a quarantine. A share is of what a record tells: what no record tells may have been done all the same.",
        ),
        table: Table::plain(columns, rows),
        notes: Vec::new(),
    })
}

fn cells(line: &RoutineLine) -> Vec<Cell> {
    let share = line.share.as_ref();
    let of = |figure: Option<f64>| figure.map_or(Cell::Nothing, Cell::Share);
    let left_out =
        line.left_out.iter().map(|(why, units)| format!("{}: {units}", super::account::spaced(why)));
    vec![
        Cell::Words(line.centre_id.clone()),
        Cell::Words(line.routine.words().to_owned()),
        Cell::Words(line.routine.counted().to_owned()),
        Cell::count(line.due),
        Cell::count(line.without_record),
        Cell::count(line.kept),
        of(share.map(|share| share.rate)),
        of(share.map(|share| share.low)),
        of(share.map(|share| share.high)),
        Cell::Words(left_out.collect::<Vec<_>>().join(", ")),
    ]
}

/// Title beside custody: whose the animals of each row are, and what is lent.
pub(super) fn title(statement: &Statement) -> Option<Section> {
    let columns = vec![
        Column::words("placeID", "Place").over(),
        Column::words("scientificName", "Species"),
        Column::words("commodity", "Counted as").under(),
        number("inHand", "In hand"),
        number("own", "Own"),
        number("ofOwner", "Of an owner"),
        number("onLoanIn", "On loan from another centre"),
        number("onLoanOut", "On loan to others"),
        number("loanOverdue", "of these overdue"),
    ];
    let row = |line: &TitleLine| {
        vec![
            Cell::Words(line.place_id.clone()),
            Cell::Taxon(line.scientific_name.clone()),
            Cell::Words(line.commodity.to_owned()),
            Cell::count(line.in_hand),
            Cell::count(line.own),
            Cell::count(line.of_owner),
            Cell::count(line.on_loan_in),
            Cell::count(line.on_loan_out),
            Cell::count(line.loan_overdue),
        ]
    };
    let rows: Vec<_> = statement.title.iter().flatten().map(row).collect();
    (!rows.is_empty()).then(|| Section {
        id: "title",
        title: "Whose the animals are",
        lead: Some(
            "In hand is the closing; it is what is a place's own, what belongs to an owner and what is on loan from another centre, each counted once. What a place lent to others it has not in hand.",
        ),
        // Animals and eggs are never added together, so there is no line of totals.
        table: Table::plain(columns, rows),
        notes: Vec::new(),
    })
}
