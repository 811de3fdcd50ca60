//! Jaws, limbs and eyes bound, with their times: nobody may forget a band on an animal.

use haulout_reckoning::Key;
use haulout_schemas::envelope::Envelope;
use haulout_schemas::records::health::{BindingSite, TreatmentEvent};
use haulout_schemas::text::{LotId, OrganismId};
use haulout_schemas::{Body, Record};
use haulout_store::{AsOf, Configuration, JourneyNow, Scope};
use schemars::JsonSchema;
use serde::Serialize;
use serde_with::skip_serializing_none;
use std::collections::BTreeSet;

use super::super::told::Told;
use super::super::unread;
use super::moment;
use crate::hub::Hub;
use crate::web::Problem;

/// A binding.
#[skip_serializing_none]
#[derive(Debug, Serialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Binding {
    /// The animal or lot.
    pub subject: String,
    /// What is bound.
    pub site: Option<BindingSite>,
    /// Since when, in the region's time.
    pub on: String,
    /// Until when; absent while it is on.
    pub off: Option<String>,
}

/// What was recorded of the animals and lots that travel, at either end. Whoever may see the journey
/// may know what its animals wear and which papers they have.
///
/// # Errors
/// A problem where the database cannot be read.
pub async fn of_animals(hub: &Hub, journey: &JourneyNow, told: &Told) -> Result<Vec<Record>, Problem> {
    let mut keys: BTreeSet<Key> = BTreeSet::new();
    for (_, dispatch) in told.dispatches() {
        for line in &dispatch.lines {
            keys.extend(line.organism_id.as_ref().map(Key::animal));
            keys.extend(line.lot_id.as_ref().map(Key::lot));
        }
    }
    for (frame, _) in told.records() {
        keys.extend(frame.organism_id.as_ref().map(Key::animal));
        keys.extend(frame.lot_id.as_ref().map(Key::lot));
    }
    for one in &journey.reservations {
        let member = |name: &str| one.reservation.request.get(name).and_then(serde_json::Value::as_str);
        keys.extend(member("organismID").map(|id| Key::animal(&OrganismId::from(id))));
        keys.extend(member("lotID").map(|id| Key::lot(&LotId::from(id))));
    }
    let mut records: Vec<Record> = Vec::new();
    for key in keys {
        for stored in hub.store.under(&Scope::Region, &key, AsOf::NOW).await? {
            let record = Record::parse(&stored.canonical).map_err(unread)?;
            if !records.contains(&record) {
                records.push(record);
            }
        }
    }
    records.sort_by_cached_key(|record| record.envelope.event_date.start().earliest());
    Ok(records)
}

/// What was recorded of the animals and what names the journey, each once, oldest first.
pub fn seen<'a>(told: &'a Told, of_animals: &'a [Record]) -> Vec<(&'a Envelope, &'a Body)> {
    let own = of_animals.iter().filter_map(|record| Some((&record.envelope, record.body.as_ref()?)));
    let mut seen: Vec<(&Envelope, &Body)> = own.collect();
    for (frame, body) in told.records() {
        let known = |(other, _): &(&Envelope, &Body)| {
            other.author_id == frame.author_id && other.record_id == frame.record_id
        };
        if !seen.iter().any(known) {
            seen.push((frame, body));
        }
    }
    seen.sort_by_cached_key(|(frame, _)| frame.event_date.start().earliest());
    seen
}

/// The bindings, oldest first; an `off` closes the last one of its site that is on.
pub fn of(configuration: &Configuration, seen: &[(&Envelope, &Body)]) -> Vec<Binding> {
    let mut bindings: Vec<Binding> = Vec::new();
    for (frame, body) in seen {
        let Body::Treatment(treatment) = body else { continue };
        let animal = frame.organism_id.as_ref().map(ToString::to_string);
        let subject = animal.or_else(|| frame.lot_id.as_ref().map(ToString::to_string)).unwrap_or_default();
        let at = moment(configuration, &frame.event_date);
        match treatment.event {
            TreatmentEvent::BindingOn => {
                bindings.push(Binding { subject, site: treatment.binding_site, on: at, off: None });
            }
            TreatmentEvent::BindingOff => {
                let on = bindings.iter_mut().rev().find(|one| {
                    one.subject == subject && one.site == treatment.binding_site && one.off.is_none()
                });
                if let Some(on) = on {
                    on.off = Some(at);
                }
            }
            _ => {}
        }
    }
    bindings
}
