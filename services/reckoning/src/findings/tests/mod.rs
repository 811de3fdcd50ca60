//! Tables of hand-worked records: for each rule what must fire and what must not.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing)]

mod care;
mod clinic;
mod consignments;
mod counts;
mod crates;
mod custody;
mod duplicates;
mod exposure;
mod fitness;
mod further;
mod histories;
mod identity;
mod incidents;
mod journeys;
mod law;
mod lengths;
mod lots;
mod orderless;
mod outlooks;
mod papers;
mod planted;
mod quarantine;
mod quarter;
mod reports;
mod settings;
mod shrinking;
mod story;

use super::{Finding, Parameter, RuleSettings, World, evaluate_all};
use crate::effective::Effective;
use crate::region::Region;
use chrono::NaiveDate;
use haulout_schemas::Record;
use haulout_schemas::names::Names;
use haulout_schemas::profile::Profiles;
use serde_json::{Value, json};
use std::sync::{Arc, LazyLock};

pub(crate) static REGION: LazyLock<Region> = LazyLock::new(|| {
    let centre = |name: &str| json!({"partyID": format!("meruva.{name}"), "role": "centre", "name": name, "latitude": 25.0, "longitude": 80.0});
    let mut parties: Vec<Value> =
        ["kolvani", "desharu", "ombari", "velitha", "thulmar", "saivera"].map(centre).to_vec();
    for (name, role) in [
        ("police", "agency"),
        ("range", "agency"),
        ("coordination", "coordination"),
        ("authority", "authority"),
    ] {
        parties.push(json!({"partyID": format!("meruva.{name}"), "role": role, "name": name}));
    }
    let point = |name: &str, keeper: &str| {
        json!({"pointID": format!("meruva.{name}"), "name": name, "keeperID": format!("meruva.{keeper}"),
               "latitude": 25.1, "longitude": 80.1, "longestHours": 48})
    };
    let region = json!({"region": "meruva", "name": "Meruva basin", "timeZone": "Asia/Kolkata", "parties": parties,
        "points": [point("yard", "police"), point("office", "range")]});
    Region::parse(&region.to_string()).unwrap()
});

static SETTINGS: LazyLock<RuleSettings> = LazyLock::new(RuleSettings::standard);

/// The standard rules, judged through a day.
pub(crate) fn world(through: &str) -> World<'static> {
    World {
        evaluated_through: day(through),
        settings: &SETTINGS,
        names: Names::standard(),
        profiles: Profiles::standard(),
        region: &REGION,
    }
}

pub(crate) fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

/// A record of a centre: kind, author (without the region), identifier, date, and the rest. The place
/// is the author's own unless `centreID` or `pointID` is given; `null` takes a default away.
pub(crate) fn record(kind: &str, author: &str, id: &str, date: &str, rest: Value) -> Arc<Effective> {
    let author = format!("meruva.{author}");
    let mut whole = json!({"kind": kind, "authorID": author, "recordID": id, "revision": 1, "schemaVersion": "1.0",
        "eventDate": date, "centreID": author});
    if rest.get("pointID").is_some() {
        whole["centreID"] = Value::Null;
    }
    for (member, value) in rest.as_object().unwrap() {
        whole[member] = value.clone();
    }
    whole.as_object_mut().unwrap().retain(|_, value| !value.is_null());
    let record = Record::parse(&whole.to_string()).unwrap_or_else(|problem| panic!("{whole}: {problem}"));
    Arc::new(Effective { record, known_from: 0 })
}

/// One living animal taken in.
pub(crate) fn rescue(author: &str, id: &str, date: &str, animal: &str, name: &str) -> Arc<Effective> {
    record(
        "rescue",
        author,
        id,
        date,
        json!({"organismID": animal, "scientificName": name, "event": "fromWild",
        "source": "wild", "individualCount": 1, "countMethod": "counted"}),
    )
}

/// A lot taken in.
pub(crate) fn lot(author: &str, id: &str, date: &str, lot: &str, name: &str, count: u32) -> Arc<Effective> {
    record(
        "rescue",
        author,
        id,
        date,
        json!({"lotID": lot, "scientificName": name, "event": "fromWild",
        "source": "wild", "individualCount": count, "countMethod": "counted"}),
    )
}

/// The findings of one code.
pub(crate) fn found(code: &str, records: &[Arc<Effective>], through: &str) -> Vec<Finding> {
    let world = world(through);
    evaluate_all(records, &world).into_iter().filter(|finding| finding.code == code).collect()
}

/// All codes found, sorted.
pub(crate) fn codes(records: &[Arc<Effective>], through: &str) -> Vec<String> {
    evaluate_all(records, &world(through)).into_iter().map(|finding| finding.code).collect()
}

/// A finding's number.
pub(crate) fn number(finding: &Finding, name: &str) -> i64 {
    match finding.parameters.get(name) {
        Some(Parameter::Number(number)) => *number,
        other => panic!("{name} is {other:?} in {finding:?}"),
    }
}

/// A finding's text.
pub(crate) fn text<'f>(finding: &'f Finding, name: &str) -> &'f str {
    match finding.parameters.get(name) {
        Some(Parameter::Text(text)) => text,
        other => panic!("{name} is {other:?} in {finding:?}"),
    }
}

/// Record identifiers of a finding.
pub(crate) fn rests_on(finding: &Finding) -> Vec<&str> {
    finding.records.iter().map(|name| name.record_id.as_str()).collect()
}

/// Exactly one finding.
pub(crate) fn only(mut findings: Vec<Finding>) -> Finding {
    assert_eq!(findings.len(), 1, "{findings:#?}");
    findings.remove(0)
}
