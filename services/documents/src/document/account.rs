//! The account: places with animals, places with eggs, totals, age classes, journeys.

use super::links::{census, kind_of_gain, kind_of_loss, records};
use super::table::{Cell, Column, Figure, Part, Section, Table};
use haulout_reckoning::Period;
use haulout_reckoning::statement::{AccountRow, Statement};
use std::collections::BTreeMap;

const PLACE: Column = Column::words("placeID", "Place").over();
const SPECIES: Column = Column::words("scientificName", "Species");
const OPENING: Column = Column::sum("opening", "Opening");
const IN: Column = Column::sum("in", "In");
const OUT: Column = Column::sum("out", "Out");
const CLOSING: Column = Column::sum("closing", "Closing");

/// Where a row stands: a centre, or a holding point.
pub(super) fn place(row: &AccountRow) -> &str {
    row.centre_id.as_deref().or(row.point_id.as_deref()).unwrap_or_default()
}

/// A map of counts as parts, without records to show.
fn parts<L: AsRef<str>>(counts: &BTreeMap<L, i64>) -> Cell {
    let part = |(label, count): (&L, &i64)| Part {
        label: spaced(label.as_ref()),
        figure: Figure { count: *count, records: None },
    };
    Cell::Parts(counts.iter().map(part).collect())
}

/// `destroyedByOrder` as it is read: `destroyed by order`.
pub(super) fn spaced(word: &str) -> String {
    let mut text = String::with_capacity(word.len() + 4);
    for (at, letter) in word.char_indices() {
        if letter.is_ascii_uppercase() && at > 0 {
            text.push(' ');
            text.push(letter.to_ascii_lowercase());
        } else {
            text.push(letter);
        }
    }
    text
}

/// Animals at each place.
pub(super) fn animals(statement: &Statement, period: &Period) -> Option<Section> {
    section(statement, period, "animals").map(|table| Section {
        id: "animals",
        title: "Animals in centres and holding points",
        lead: Some(
            "Opening and what came in, less what went out, is the closing. Counted is what the place itself last counted in the period.",
        ),
        table,
        notes: Vec::new(),
    })
}

/// Eggs at each place, apart: they are no heads of a licence.
pub(super) fn eggs(statement: &Statement, period: &Period) -> Option<Section> {
    section(statement, period, "eggs").map(|table| Section {
        id: "eggs",
        title: "Eggs",
        lead: Some("Eggs are counted apart from animals; hatched, they go out here and come in there."),
        table,
        notes: Vec::new(),
    })
}

fn section(statement: &Statement, period: &Period, commodity: &str) -> Option<Table> {
    let rows: Vec<_> = statement.account.rows.iter().filter(|row| row.commodity == commodity).collect();
    let columns = vec![
        PLACE,
        SPECIES,
        OPENING,
        IN,
        OUT,
        CLOSING,
        Column::sum("census", "Counted"),
        Column::words("censusDay", "Counted on").under(),
    ];
    let rows: Vec<_> = rows.into_iter().map(|row| cells(row, period)).collect();
    (!rows.is_empty()).then(|| Table::summed(columns, rows))
}

fn cells(row: &AccountRow, period: &Period) -> Vec<Cell> {
    let place = place(row);
    let moved = |counts: &BTreeMap<String, i64>, kind: fn(&str) -> Option<&'static str>| {
        let part = |(counter, count): (&String, &i64)| Part {
            label: spaced(counter),
            figure: Figure { count: *count, records: Some(records(place, kind(counter), period)) },
        };
        Cell::Parts(counts.iter().map(part).collect())
    };
    let figure = |count| Cell::Count(Figure { count, records: Some(records(place, None, period)) });
    let (counted, on) = row.census.as_ref().map_or((Cell::Nothing, Cell::Nothing), |cell| {
        let records = Some(census(place, &cell.day));
        (Cell::Count(Figure { count: cell.individual_count, records }), Cell::day(&cell.day))
    });
    vec![
        Cell::Words(place.to_owned()),
        Cell::Taxon(row.scientific_name.clone()),
        Cell::count(row.opening),
        moved(&row.gains, kind_of_gain),
        moved(&row.losses, kind_of_loss),
        figure(row.closing),
        counted,
        on,
    ]
}

/// Each species over all places.
pub(super) fn totals(statement: &Statement) -> Option<Section> {
    let columns = vec![
        SPECIES,
        Column::words("commodity", "Counted as").under(),
        OPENING,
        IN,
        OUT,
        CLOSING,
        Column::sum("openingInTransit", "On the road before"),
        Column::sum("closingInTransit", "On the road after"),
    ];
    let row = |total: &haulout_reckoning::statement::Total| {
        vec![
            Cell::Taxon(total.scientific_name.clone()),
            Cell::Words(total.commodity.to_owned()),
            Cell::count(total.opening),
            parts(&total.gains),
            parts(&total.losses),
            Cell::count(total.closing),
            Cell::count(total.opening_in_transit),
            Cell::count(total.closing_in_transit),
        ]
    };
    let rows: Vec<_> = statement.totals.iter().map(row).collect();
    let notes = statement.trial_balance.iter().map(|trial| {
        if trial.out_of_balance.is_empty() {
            format!(
                "Over all accounts, what one gained another lost: zero for each of {} commodities.",
                trial.commodities
            )
        } else {
            let named = trial.out_of_balance.iter().map(|(name, sum)| format!("{name} {sum:+}"));
            format!("THE TRIAL BALANCE IS NOT ZERO: {}", named.collect::<Vec<_>>().join(", "))
        }
    });
    (!rows.is_empty()).then(|| Section {
        id: "totals",
        title: "Each species, over all places",
        lead: Some("Moves between two places stand in both columns: out of one, into the other."),
        // Animals and eggs are never added together, so there is no line of totals.
        table: Table::plain(columns, rows),
        notes: notes.collect(),
    })
}

/// The closing by age class.
pub(super) fn stages(statement: &Statement) -> Option<Section> {
    let columns = vec![
        PLACE,
        SPECIES,
        Column::words("commodity", "Counted as").under(),
        Column { summed: false, ..CLOSING },
        Column { summed: false, ..Column::sum("stages", "By age class") },
    ];
    let row = |row: &AccountRow| {
        vec![
            Cell::Words(place(row).to_owned()),
            Cell::Taxon(row.scientific_name.clone()),
            Cell::Words(row.commodity.to_owned()),
            Cell::count(row.closing),
            parts(&row.stages),
        ]
    };
    let rows: Vec<_> = statement.account.rows.iter().filter(|row| !row.stages.is_empty()).map(row).collect();
    (!rows.is_empty()).then(|| Section {
        id: "stages",
        title: "Closing by age class",
        lead: Some("As recorded on arrival, hatching and departure; shown and never balanced."),
        table: Table::plain(columns, rows),
        notes: Vec::new(),
    })
}

/// What was on the road.
pub(super) fn transit(statement: &Statement) -> Option<Section> {
    let columns = vec![
        Column::words("consignmentID", "Journey"),
        SPECIES,
        Column::words("commodity", "Counted as").under(),
        Column { summed: false, ..OPENING },
        Column { summed: false, ..IN },
        Column { summed: false, ..OUT },
        Column { summed: false, ..CLOSING },
    ];
    let row = |row: &haulout_reckoning::statement::TransitRow| {
        vec![
            Cell::Words(row.consignment_id.clone()),
            Cell::Taxon(row.scientific_name.clone()),
            Cell::Words(row.commodity.to_owned()),
            Cell::count(row.opening),
            parts(&row.gains),
            parts(&row.losses),
            Cell::count(row.closing),
        ]
    };
    let rows: Vec<_> = statement.account.transit.iter().map(row).collect();
    (!rows.is_empty()).then(|| Section {
        id: "transit",
        title: "On the road",
        lead: Some(
            "A journey that both ends have settled closes at zero; any other closing is a discrepancy.",
        ),
        table: Table::plain(columns, rows),
        notes: Vec::new(),
    })
}
