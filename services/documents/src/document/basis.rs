//! What was asked, the figures that are looked for first, who posted which night, on what it rests.

use super::findings::rank;
use super::table::{Cell, Column, Section, Table};
use super::{Fact, Headline};
use haulout_reckoning::statement::{NIGHT_LATE, Notice, PartyNights, Statement};
use serde_json::Value;

/// What was asked and on what the answer rests.
pub(super) fn facts(statement: &Statement) -> Vec<Fact> {
    let (question, basis) = (&statement.question, &statement.basis);
    let fact = |label, value: &str| Fact { label, value: value.to_owned() };
    let mut facts = vec![fact("Period", &question.period), fact("As known at", &basis.as_known_at)];
    facts.extend(statement.remarks.iter().map(|remark| fact("Know first", remark.words())));
    match &question.centre_id {
        Some(place) => facts.push(fact("Place", place)),
        None => facts.push(fact("Places", "all of the region")),
    }
    match &question.scientific_name {
        Some(name) => facts.push(fact("Species", name)),
        None => facts.push(fact("Species", "all")),
    }
    facts.extend([
        fact("Findings judged through", &statement.evaluated_through),
        fact("Account digest", &statement.account_digest),
        fact("Findings digest", &statement.findings_digest),
        fact("Rules of posting", &basis.posting_rules),
        fact("Rule set", &basis.rule_set),
        fact("Software", &format!("Haulout {}", basis.release)),
    ]);
    facts
}

/// The figures that are looked for first.
pub(super) fn headline(statement: &Statement) -> Vec<Headline> {
    let rows = |commodity| statement.account.rows.iter().filter(move |row| row.commodity == commodity);
    let places = |commodity| {
        let mut places: Vec<&str> =
            rows(commodity).filter(|row| row.closing != 0).map(super::account::place).collect();
        places.dedup();
        match places.len() {
            1 => "at one place".to_owned(),
            many => format!("at {many} places"),
        }
    };
    let deaths = &statement.account.deaths;
    let findings = &statement.findings;
    let severity = |one: &Value| one.get("severity").and_then(Value::as_str).map(rank);
    let grave = findings.iter().filter(|one| severity(one).is_some_and(|rank| rank < 2)).count();
    let road: i64 = statement.account.transit.iter().map(|row| row.closing).sum();
    let whole = |count: usize| i64::try_from(count).unwrap_or(i64::MAX);
    vec![
        Headline {
            label: "Animals at the close",
            count: rows("animals").map(|row| row.closing).sum(),
            note: places("animals"),
        },
        Headline {
            label: "Eggs at the close",
            count: rows("eggs").map(|row| row.closing).sum(),
            note: places("eggs"),
        },
        Headline { label: "On the road", count: road, note: "at the close".to_owned() },
        Headline {
            label: "Deaths in care",
            count: deaths.within48h + deaths.in_care,
            note: format!("{} of them within 48 hours", deaths.within48h),
        },
        Headline {
            label: "Findings",
            count: whole(findings.len()),
            note: format!("{grave} critical or major"),
        },
    ]
}

/// Who posted which night, and what came late.
pub(super) fn nights(statement: &Statement) -> Option<Section> {
    let parties = &statement.completeness.parties;
    let row = |party: &PartyNights| {
        vec![
            Cell::Words(party.place_id.clone()),
            Cell::count(party.nights),
            Cell::count(i64::try_from(party.posted).unwrap_or(i64::MAX)),
            Cell::Words(spans(&party.missing)),
        ]
    };
    let columns = vec![
        Column::words("placeID", "Place"),
        Column::sum("nights", "Nights"),
        Column::sum("posted", "Posted"),
        Column::words("missing", "Missing"),
    ];
    (!parties.is_empty()).then(|| Section {
        id: "nights",
        title: "Nights posted",
        lead: Some("Until a night is posted, its figures rest on the books alone."),
        table: Table::summed(columns, parties.iter().map(row).collect()),
        notes: Vec::new(),
    })
}

/// Which nights came late.
pub(super) fn late(statement: &Statement) -> Option<Section> {
    let notices = &statement.completeness.notices;
    let row = |notice: &Notice| {
        vec![
            Cell::Words(notice.place_id.clone()),
            Cell::day(&notice.day),
            Cell::Words(notice.known_from.clone()),
        ]
    };
    let columns = vec![
        Column::words("placeID", "Place").over(),
        Column::words("day", "Night of"),
        Column::words("knownFrom", "Known at"),
    ];
    (!notices.is_empty()).then(|| Section {
        id: "late",
        title: "Nights posted late",
        lead: Some(NIGHT_LATE.meaning),
        table: Table::plain(columns, notices.iter().map(row).collect()),
        notes: Vec::new(),
    })
}

/// Days as spans: `2026-07-03 to 2026-07-05, 2026-08-01`.
fn spans(days: &[String]) -> String {
    let mut spans: Vec<(&str, &str)> = Vec::new();
    for day in days {
        let follows = |last: &str| {
            let last: Option<chrono::NaiveDate> = last.parse().ok();
            last.and_then(|last| last.succ_opt()).is_some_and(|next| next.to_string() == *day)
        };
        match spans.last_mut() {
            Some((_, last)) if follows(last) => *last = day,
            _ => spans.push((day, day)),
        }
    }
    let word = |(first, last): &(&str, &str)| {
        if first == last { (*first).to_owned() } else { format!("{first} to {last}") }
    };
    spans.iter().map(word).collect::<Vec<_>>().join(", ")
}

/// The head of each party's chain.
pub(super) fn chains(statement: &Statement) -> Option<Section> {
    let row = |(party, head): (&String, &haulout_reckoning::statement::ChainHead)| {
        vec![Cell::Words(party.clone()), Cell::count(head.sequence), Cell::Words(head.link.clone())]
    };
    let columns = vec![
        Column::words("party", "Party"),
        Column::sum("sequence", "Records"),
        Column::words("link", "Newest link (SHA-256)"),
    ];
    let rows: Vec<_> = statement.basis.chain_heads.iter().map(row).collect();
    (!rows.is_empty()).then(|| Section {
        id: "chains",
        title: "What it rests on",
        lead: Some("The records that each party's chain held at the instant of knowledge."),
        table: Table::summed(columns, rows),
        notes: Vec::new(),
    })
}
