//! What stands beside the account: deaths and their shares, necropsies, what was done without keeping,
//! the law's papers.

use super::links::records;
use super::table::{Cell, Column, Figure, Section, Table};
use haulout_reckoning::Period;
use haulout_reckoning::statement::{ApartLine, LicenceScope, PermitLine, Proportion, SpeciesLine, Statement};
use haulout_schemas::profile::Appendix;

/// Deaths, and what share they are of those they are counted of.
pub(super) fn deaths(statement: &Statement) -> Option<Section> {
    let deaths = &statement.account.deaths;
    let mortality = &statement.mortality;
    let row = |what: &str, count: i64, share: Option<&Proportion>, of: &str| {
        let mut cells = vec![Cell::Words(what.to_owned()), Cell::count(count)];
        match share {
            Some(share) => cells.extend([
                Cell::count(share.of),
                Cell::Words(of.to_owned()),
                Cell::Share(share.rate),
                Cell::Share(share.low),
                Cell::Share(share.high),
            ]),
            None => cells.extend(std::iter::repeat_n(Cell::Nothing, 5)),
        }
        cells
    };
    let mut rows = vec![
        row("Before rescue", deaths.before_rescue, None, ""),
        row("On the way", deaths.in_transit, None, ""),
        row(
            "Within 48 hours of arrival",
            deaths.within48h,
            mortality.within48h.as_ref(),
            "that came in the period",
        ),
        row("Later, in care", deaths.in_care, mortality.later.as_ref(), "in care"),
    ];
    if let Some(together) = &mortality.together {
        rows.push(row("In care in all", together.count, Some(together), "in care"));
    }
    if deaths.destroyed_by_order != 0 {
        rows.push(row("Put to death by order", deaths.destroyed_by_order, None, ""));
    }
    Some(Section {
        id: "deaths",
        title: "Deaths of animals",
        lead: Some(
            "Four figures that are never mixed; what was put to death by order is in none of them and in no share. The interval is the exact 95 % interval of a share (Clopper and Pearson 1934).",
        ),
        table: Table::plain(
            vec![
                Column::words("when", "When"),
                Column { summed: false, ..Column::sum("count", "Deaths") },
                Column { summed: false, ..Column::sum("of", "Of") },
                Column::words("ofWhat", "Of those").under(),
                Column::words("rate", "Share"),
                Column::words("low", "Interval from"),
                Column::words("high", "Interval to"),
            ],
            rows,
        ),
        notes: vec![format!(
            "{} animals were in care at some time of the period; {} of them came in it.",
            mortality.in_care, mortality.arrived
        )],
    })
}

/// How many of the dead were looked into.
pub(super) fn necropsies(statement: &Statement) -> Option<Section> {
    let told = statement.necropsies.as_ref()?;
    let row = |what: &str, count: i64| vec![Cell::Words(what.to_owned()), Cell::count(count)];
    let mut rows = vec![
        row("Carcasses", told.deaths),
        row("Examined", told.done),
        row("Said to be impossible", told.not_possible),
    ];
    rows.extend(told.reasons.iter().map(|one| {
        let words = format!("Impossible because: {}", one.because);
        vec![Cell::Words(words), Cell::count(one.individual_count)]
    }));
    rows.push(row("Neither examined nor told why not", told.open));
    Some(Section {
        id: "necropsies",
        title: "Necropsies",
        lead: Some("Of the carcasses of animals that died in the period."),
        table: Table::plain(
            vec![
                Column::words("what", "What"),
                Column { summed: false, ..Column::sum("individualCount", "Carcasses") },
            ],
            rows,
        ),
        notes: Vec::new(),
    })
}

fn apart(lines: &[ApartLine], kind: &'static str, period: &Period) -> Option<Table> {
    let row = |line: &ApartLine| {
        let records = Some(records(&line.centre_id, Some(kind), period));
        vec![
            Cell::Words(line.centre_id.clone()),
            Cell::Taxon(line.scientific_name.clone()),
            Cell::Count(Figure { count: i64::try_from(line.records).unwrap_or(i64::MAX), records }),
            Cell::count(i64::try_from(line.individual_count).unwrap_or(i64::MAX)),
        ]
    };
    let columns = vec![
        Column::words("centreID", "Whose crew"),
        Column::words("scientificName", "Species"),
        Column::sum("records", "Records"),
        Column::sum("individualCount", "Counted"),
    ];
    (!lines.is_empty()).then(|| Table::summed(columns, lines.iter().map(row).collect()))
}

/// Caught and freed the same day.
pub(super) fn relocations(statement: &Statement, period: &Period) -> Option<Section> {
    Some(Section {
        id: "relocations",
        title: "Relocations",
        lead: Some("Caught and freed the same day; no centre ever held them."),
        table: apart(&statement.relocations, "relocation", period)?,
        notes: Vec::new(),
    })
}

/// Nests left in place.
pub(super) fn nests(statement: &Statement, period: &Period) -> Option<Section> {
    Some(Section {
        id: "nests",
        title: "Nests left in place",
        lead: None,
        table: apart(&statement.nests, "nest", period)?,
        notes: Vec::new(),
    })
}

/// Permits, and what is left of them.
pub(super) fn permits(statement: &Statement) -> Option<Section> {
    let row = |permit: &PermitLine| {
        vec![
            Cell::Words(permit.permit_number.clone()),
            Cell::Words(permit.permit_type.to_owned()),
            permit.valid_through.as_deref().map_or(Cell::Nothing, Cell::day),
            Cell::Words(permit.species.join(", ")),
            Cell::Words(permit.holder_ids.join(", ")),
            Cell::count(permit.quantity),
            Cell::count(permit.used_before),
            Cell::count(permit.used),
            Cell::count(permit.used_in_all),
            Cell::count(permit.left),
        ]
    };
    let number = |id, title| Column { summed: false, ..Column::sum(id, title) };
    let columns = vec![
        Column::words("permitNumber", "Permit"),
        Column::words("permitType", "Permit type").under(),
        Column::words("validThrough", "Valid through").under(),
        Column::words("species", "Species"),
        Column::words("holderIDs", "Held by").under(),
        number("quantity", "Allowed"),
        number("usedBefore", "Used before these records"),
        number("used", "Used in the period"),
        number("usedInAll", "Used in all"),
        number("left", "Left"),
    ];
    (!statement.permits.is_empty()).then(|| Section {
        id: "permits",
        title: "Permits used and left",
        lead: Some("Valid in the period, or used in it; counted through its last day."),
        table: Table::plain(columns, statement.permits.iter().map(row).collect()),
        notes: Vec::new(),
    })
}

/// The law's word on each centre and species.
pub(super) fn licences(statement: &Statement) -> Option<Section> {
    let row = |line: &SpeciesLine| {
        vec![
            Cell::Words(line.centre_id.clone()),
            Cell::Taxon(line.scientific_name.clone()),
            Cell::Words(scope(line.licence).to_owned()),
            Cell::Words(line.licence_numbers.join(", ")),
            line.heads_limit.map_or(Cell::Nothing, Cell::count),
            line.treaty_appendix.map_or(Cell::Nothing, |one| Cell::Words(appendix(one).to_owned())),
            line.treaty_as_of.as_ref().map_or(Cell::Nothing, |day| Cell::Words(day.clone())),
        ]
    };
    let columns = vec![
        Column::words("centreID", "Centre").over(),
        Column::words("scientificName", "Species"),
        Column::words("licence", "Licence"),
        Column::words("licenceNumbers", "Licence numbers").under(),
        Column { summed: false, ..Column::sum("headsLimit", "Most heads") },
        Column::words("treatyAppendix", "Treaty appendix"),
        Column::words("treatyAsOf", "List of").under(),
    ];
    (!statement.species.is_empty()).then(|| Section {
        id: "licences",
        title: "Licences and treaty listing",
        lead: Some(
            "Whether a licence in force on the last day covers the species; the appendix is that of the treaty on trade in endangered species (CITES), as of the day of the list that the profile was taken from.",
        ),
        table: Table::plain(columns, statement.species.iter().map(row).collect()),
        notes: Vec::new(),
    })
}

const fn scope(licence: LicenceScope) -> &'static str {
    match licence {
        LicenceScope::Within => "within",
        LicenceScope::Outside => "OUTSIDE the licence",
        LicenceScope::NoneKnown => "NO LICENCE known",
    }
}

const fn appendix(appendix: Appendix) -> &'static str {
    match appendix {
        Appendix::I => "I",
        Appendix::II => "II",
        Appendix::III => "III",
        Appendix::ByPopulation => "I or II, by population",
        Appendix::NotListed => "not listed",
    }
}
