//! Bindings that are on: nobody may forget a band on an animal.

use super::{Floor, Line, Task, Told, When};
use crate::findings::{BOUND, is_still_on};
use crate::subject::Subject;
use chrono::Days;
use haulout_schemas::records::health::{BindingSite, TreatmentEvent};
use haulout_schemas::{Body, Record};
use haulout_welfare::grounds::Grounds;

const CAUTION: &str = "a bound animal cannot cool itself by gaping, spit out water or ease its limbs; take bands off with the people and the distance that the handling card names";

pub(super) fn tell(floor: &Floor<'_>, told: &mut Told) {
    let days = floor.asked.world.settings.threshold(&BOUND, "days");
    for record in floor.records() {
        let Some(Body::Treatment(treatment)) = &record.body else { continue };
        let Some(subject) = Subject::of_frame(&record.envelope) else { continue };
        // Who was sent on wears it elsewhere.
        let mut bearers =
            floor.everyone().filter(|(_, one)| Subject::of_occupant(one).as_ref() == Some(&subject));
        let (TreatmentEvent::BindingOn, Some((unit, bearer))) = (treatment.event, bearers.next()) else {
            continue;
        };
        let filed = floor.filed(&subject.key());
        let about: Vec<&Record> = filed.iter().map(|one| &one.record).collect();
        if !is_still_on(record, &about) {
            continue;
        }
        let on = record.envelope.event_date.day();
        let last = on.checked_add_days(Days::new(days.unsigned_abs()));
        let when = if last.is_some_and(|last| last <= floor.at()) { When::Overdue } else { When::Due };
        let line = Line::new(
            Task::Binding,
            format!("look at it and take the binding off: {}", site(treatment.binding_site)),
            Grounds::common_practice(),
        )
        .in_unit(unit)
        .about(bearer)
        .because(format!(
            "bound {}; no record tells that it was taken off",
            record.envelope.event_date.as_str()
        ))
        .caution(CAUTION);
        told.add(when, Line { since: Some(on), individual_count: None, ..line });
    }
}

const fn site(site: Option<BindingSite>) -> &'static str {
    match site {
        Some(BindingSite::Jaws) => "jaws",
        Some(BindingSite::Limbs) => "limbs",
        Some(BindingSite::Eyes) => "eyes covered",
        None => "not said what is bound",
    }
}
