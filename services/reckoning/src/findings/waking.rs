//! Which keys must be judged again when some were touched.

use super::Records;
use super::descent::{ancestors, descendants};
use super::exposure::CaseLookups;
use crate::keys::{Family, Key, place_of};
use crate::subject::Subject;
use chrono::NaiveDate;
use haulout_schemas::{Body, Record};
use std::collections::BTreeSet;

/// The keys to judge again after records under `touched` came, were revised or withdrawn: the touched
/// keys themselves and those whose rules look at what is filed under them. `touched` holds the keys of
/// the new revision and of the one it replaced; `records` and `cases` answer as things stand now.
pub fn woken(
    touched: impl IntoIterator<Item = Key>,
    records: &dyn Records,
    cases: &CaseLookups,
) -> BTreeSet<Key> {
    let mut waking = Waking { records, woken: BTreeSet::new(), seen: BTreeSet::new() };
    let touched: BTreeSet<Key> = touched.into_iter().collect();
    for key in &touched {
        waking.touch(key);
        waking.woken.insert(key.clone());
    }
    waking.woken.extend(cases.woken(&touched).cloned());
    waking.woken
}

struct Waking<'r> {
    records: &'r dyn Records,
    woken: BTreeSet<Key>,
    /// Subjects, units and circuits whose relations were followed already.
    seen: BTreeSet<Key>,
}

impl Waking<'_> {
    fn touch(&mut self, key: &Key) {
        match key.family() {
            Some(Family::Animal | Family::Lot) => {
                if let Some(subject) = Subject::of_key(key) {
                    self.subject(&subject);
                }
            }
            Some(Family::Order) => self.order(key),
            Some(Family::Record) => self.record(key),
            Some(Family::Unit | Family::Circuit) => self.room(key),
            Some(Family::Likeness) => self.woken.extend(month_before(key)),
            _ => {}
        }
    }

    /// Cases and batches of all that the subject comes from, releases of all that came of it, the
    /// marks of every number of an animal, the rooms in which it was a newcomer.
    fn subject(&mut self, subject: &Subject) {
        if !self.seen.insert(subject.key()) {
            return;
        }
        let above = ancestors(subject, self.records);
        let below = descendants(subject, self.records);
        for one in above.union(&below) {
            self.woken.insert(one.key());
            for filed in self.records.of(&one.key()) {
                self.relations(&filed.record);
            }
        }
    }

    /// The keys under which a record about a subject is judged beside the subject's own.
    fn relations(&mut self, record: &Record) {
        let place = place_of(&record.envelope);
        match &record.body {
            Some(Body::Custody(custody)) => {
                self.woken.insert(Key::case(custody.case_number.as_str()));
            }
            Some(Body::Quarantine(quarantine)) => {
                self.woken.extend(place.map(|place| Key::batch(place, quarantine.batch_id.as_str())));
                for unit in
                    quarantine.unit_id.iter().zip(place).map(|(unit, place)| Key::unit(place, unit.as_str()))
                {
                    self.room(&unit);
                }
                for circuit in quarantine
                    .water_circuit
                    .iter()
                    .zip(place)
                    .map(|(id, place)| Key::circuit(place, id.as_str()))
                {
                    self.room(&circuit);
                }
            }
            Some(Body::Housing(housing)) => {
                for unit in housing
                    .units
                    .iter()
                    .zip(place.into_iter().cycle())
                    .map(|(unit, place)| Key::unit(place, unit.unit_id.as_str()))
                {
                    self.room(&unit);
                }
            }
            Some(Body::Marking(marking)) => {
                let numbers = [&marking.mark_number, &marking.replaced_number].into_iter().flatten();
                self.woken.extend(numbers.map(|number| Key::mark(number.as_str())));
            }
            Some(Body::Release(release)) => {
                self.woken.extend(release.mark_number.iter().map(|number| Key::mark(number.as_str())));
            }
            Some(Body::Sighting(sighting)) => {
                self.woken.extend(sighting.mark_number.iter().map(|number| Key::mark(number.as_str())));
            }
            Some(Body::Rescue(rescue)) => {
                self.likeness(record);
                self.woken.extend(
                    rescue.incident_references.iter().map(|reference| Key::incident(reference.as_str())),
                );
            }
            _ => {}
        }
    }

    /// What rests on an order: the stays in its place's units, and the cases of what it lets travel or die.
    fn order(&mut self, key: &Key) {
        for one in self.records.of(key) {
            match &one.record.body {
                Some(Body::Housing(_)) => self.woken.extend(place_of(&one.record.envelope).map(Key::units)),
                Some(Body::Dispatch(dispatch)) => {
                    let subjects = dispatch
                        .lines
                        .iter()
                        .flat_map(|line| [Subject::taken(line), Subject::travelling(line)]);
                    for subject in subjects.flatten() {
                        self.subject(&subject);
                    }
                }
                Some(Body::Mortality(_)) => {
                    if let Some(subject) = Subject::of_frame(&one.record.envelope) {
                        self.subject(&subject);
                    }
                }
                _ => {}
            }
        }
    }

    /// What rests on whether a rescue is counted: its animal or lot and its incidents.
    fn record(&mut self, key: &Key) {
        for one in self.records.of(key) {
            let frame = &one.record.envelope;
            if Key::record(&frame.author_id, frame.record_id.as_str()) == *key
                && let Some(Body::Rescue(rescue)) = &one.record.body
            {
                self.likeness(&one.record);
                self.woken.extend(frame.organism_id.iter().map(Key::animal));
                self.woken.extend(frame.lot_id.iter().map(Key::lot));
                self.woken.extend(
                    rescue.incident_references.iter().map(|reference| Key::incident(reference.as_str())),
                );
            }
        }
    }

    /// The months in which an arrival is compared: its own, and the one before, whose arrivals look ahead.
    fn likeness(&mut self, rescue: &Record) {
        let own = Key::likeness(rescue.envelope.event_date.day());
        self.woken.extend(month_before(&own));
        self.woken.insert(own);
    }

    /// The batches of a unit or circuit and of all that shares water with it.
    fn room(&mut self, key: &Key) {
        if !self.seen.insert(key.clone()) {
            return;
        }
        for one in self.records.of(key) {
            let Some(place) = place_of(&one.record.envelope) else { continue };
            match &one.record.body {
                Some(Body::Quarantine(quarantine)) => {
                    self.woken.insert(Key::batch(place, quarantine.batch_id.as_str()));
                    if let Some(circuit) = &quarantine.water_circuit {
                        self.room(&Key::circuit(place, circuit.as_str()));
                    }
                    if let Some(unit) = &quarantine.unit_id {
                        self.room(&Key::unit(place, unit.as_str()));
                    }
                }
                Some(Body::Capacity(capacity)) => {
                    self.room(&Key::unit(place, capacity.unit_id.as_str()));
                    if let Some(circuit) = &capacity.water_circuit {
                        self.room(&Key::circuit(place, circuit.as_str()));
                    }
                }
                _ => {}
            }
        }
    }
}

/// The key of the month before that of a key.
fn month_before(key: &Key) -> Option<Key> {
    let first: NaiveDate = format!("{}-01", key.id()).parse().ok()?;
    Some(Key::likeness(first.pred_opt()?))
}
