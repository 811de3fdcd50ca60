//! Danger to people: an animal that is still loose, an incident after which nothing was done.

use super::deaths::dies;
use super::judging::{Judging, days_after, parameters};
use super::sequence::surely_before;
use haulout_schemas::records::ending::{Incident, IncidentEvent, IncidentSeverity, LossEvent};
use haulout_schemas::rule::{Layer, Rule, Severity, Threshold};
use haulout_schemas::text::OrganismId;
use haulout_schemas::{Body, Record};

/// It is still out there. Parameters: `organismID`.
pub(super) static LOOSE: Rule = Rule {
    code: "dangerous-escape",
    layer: Layer::Finding,
    severity: Severity::Critical,
    title: "Dangerous animal at large",
    meaning: "An incident tells that an animal escaped which may hurt people, and no record tells that it was found, brought in or is dead. Animals that the incident does not name are not judged.",
    why: "People near water do not know of it; every hour it goes further.",
    mend: "Warn those who live there and the authority, as local codes say; a trained crew looks for it. Back: `loss` found, or the `rescue` of whoever took it in.",
    source: "common practice",
    thresholds: &[],
};

/// People were hurt, and nobody says what was done. Parameters: `event`, `severity`.
pub(super) static NOT_FOLLOWED: Rule = Rule {
    code: "incident-not-followed",
    layer: Layer::Finding,
    severity: Severity::Major,
    title: "Serious incident not followed up",
    meaning: "After a serious or fatal incident, or an attack on people outside, the record names no measures by the deadline, and no order of the authority is about it. Bites and near misses treated on the spot are exempt.",
    why: "What hurt somebody once and is not looked into hurts again.",
    mend: "Look into it, then revise the incident with the `measures`; or the authority writes the `order` that is about it.",
    source: "common practice",
    thresholds: &[Threshold { name: "days", value: 7, unit: "day", source: "common practice" }],
};

/// Whether the key's animal is loose.
pub(super) fn loose(judging: &mut Judging<'_>) {
    let own = judging.own();
    let animal = OrganismId::from(judging.key.id());
    for one in &own {
        let record = &one.record;
        let Some(incident) = incident(record) else { continue };
        if incident.event != IncidentEvent::DangerousEscape
            || record.envelope.organism_id.as_ref() != Some(&animal)
        {
            continue;
        }
        let over = own.iter().any(|other| {
            ends(&other.record, &animal)
                && !surely_before(&other.record.envelope.event_date, &record.envelope.event_date)
        });
        if !over {
            let told = parameters([("organismID", animal.as_str().into())]);
            judging.find(&LOOSE, [record], None, told);
        }
    }
}

/// Whether by a record the animal is no longer at large.
fn ends(record: &Record, animal: &OrganismId) -> bool {
    let own = record.envelope.organism_id.as_ref() == Some(animal);
    match &record.body {
        Some(Body::Loss(loss)) => own && loss.event == LossEvent::Found,
        Some(Body::Rescue(_)) => own,
        _ => dies(record, animal),
    }
}

/// Whether the incident of the key was followed up.
pub(super) fn followed(judging: &mut Judging<'_>) {
    let own = judging.own();
    let Some((author, id)) = judging.key.within() else { return };
    let itself = own
        .iter()
        .map(|one| &one.record)
        .find(|record| record.envelope.author_id == author && record.envelope.record_id.as_str() == id);
    let Some((record, incident)) = itself.and_then(|record| Some((record, incident(record)?))) else {
        return;
    };
    let grave = matches!(incident.severity, IncidentSeverity::Serious | IncidentSeverity::Fatal)
        || incident.event == IncidentEvent::Attack;
    let about = own.iter().any(|one| match &one.record.body {
        Some(Body::Order(order)) => {
            judging.by_authority(&one.record)
                && order
                    .about
                    .as_ref()
                    .is_some_and(|named| named.author_id == author && named.record_id.as_str() == id)
        }
        _ => false,
    });
    if !grave || incident.measures.is_some() || about {
        return;
    }
    let due = days_after(record.envelope.event_date.day(), judging.threshold(&NOT_FOLLOWED, "days"));
    if judging.passed(due) {
        let told = parameters([
            ("event", incident.event.as_str().into()),
            ("severity", incident.severity.as_str().into()),
        ]);
        judging.find(&NOT_FOLLOWED, [record], Some(due), told);
    }
}

fn incident(record: &Record) -> Option<&Incident> {
    match &record.body {
        Some(Body::Incident(incident)) => Some(incident),
        _ => None,
    }
}
