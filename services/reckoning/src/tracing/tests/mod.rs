//! Tracing over the basin's quarter, worked by hand.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing)]

mod crates;
mod picture;
mod quarter;
mod units;

use super::{Exposed, Question, Start, Traced, trace};
use crate::effective::Effective;
use crate::findings::Held;
use crate::findings::tests::{day, record};
use haulout_schemas::names::Names;
use serde_json::{Value, json};
use std::sync::Arc;

/// The answer to a question over records.
pub(super) fn traced(records: &[Arc<Effective>], question: &Question) -> Traced {
    let held = Held::through(records, Names::standard(), question.through);
    trace(&held, Names::standard(), question)
}

pub(super) fn lot(id: &str) -> Start {
    Start::Lot(id.into())
}

pub(super) fn animal(id: &str) -> Start {
    Start::Animal(id.into())
}

pub(super) fn ask(start: Start, through: &str) -> Question {
    Question::from(start, day(through))
}

/// `day remove carrier`, a line for each that may have been exposed.
pub(super) fn told(traced: &Traced) -> Vec<String> {
    traced.exposed.iter().map(|one| format!("{} {} {}", one.first_day, one.remove, one.who)).collect()
}

pub(super) fn of<'t>(traced: &'t Traced, who: &str) -> &'t Exposed {
    traced
        .exposed
        .iter()
        .find(|one| one.who.to_string() == who)
        .unwrap_or_else(|| panic!("{who} is not exposed"))
}

/// `from > shared > to`, a line for each contact of the chain.
pub(super) fn chain(exposed: &Exposed) -> Vec<String> {
    let contacts = exposed.chain.iter();
    contacts.map(|one| format!("{} {} > {} > {}", one.day, one.from, one.shared.as_str(), one.to)).collect()
}

/// `state place unit count`, a line for each.
pub(super) fn whereabouts(exposed: &Exposed) -> Vec<String> {
    let text = |text: &Option<String>| text.clone().unwrap_or_else(|| "-".to_owned());
    let now = exposed.now.iter();
    now.map(|now| {
        let place = now.place_id.as_ref().map(ToString::to_string);
        format!("{} {} {} {}", now.state.as_str(), text(&place), text(&now.unit_id), now.count)
    })
    .collect()
}

/// An animal or lot housed in a unit of its centre.
pub(super) fn housed(
    author: &str,
    id: &str,
    date: &str,
    subject: Value,
    unit: &str,
    count: u32,
) -> Arc<Effective> {
    let mut rest = json!({"event": "housed", "units": [{"unitID": unit, "individualCount": count}]});
    for (member, value) in subject.as_object().unwrap() {
        rest[member] = value.clone();
    }
    record("housing", author, id, date, rest)
}
