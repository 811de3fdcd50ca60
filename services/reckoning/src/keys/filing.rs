//! Which keys each record is filed under, from the record alone.

use super::{Key, place_of};
use crate::posting::{entries, postings};
use haulout_schemas::envelope::{Envelope, SubjectLine};
use haulout_schemas::names::Names;
use haulout_schemas::records::authority::Order;
use haulout_schemas::records::ending::MortalityEvent;
use haulout_schemas::records::health::{AssessmentEvent, Quarantine, ResultOutcome, TreatmentEvent};
use haulout_schemas::records::identity::Link;
use haulout_schemas::records::keeping::{Housing, MarkType};
use haulout_schemas::records::transfer::Crate;
use haulout_schemas::text::{ConsignmentId, LocalId, LotId, OrganismId, PartyId};
use haulout_schemas::vocabulary::Source;
use haulout_schemas::{Body, Record};
use std::collections::BTreeSet;

/// Version of the filing: raised when [`keys`] files a record under other keys than before, so that a
/// database filed by an older release asks for `haulout rebuild`.
pub const FILING_VERSION: &str = "2";

/// Every key under which a record must be found again, sorted, each once. A withdrawn record tells
/// nothing and has none; whoever replaces a revision touches the keys of both the old one and the new.
pub fn keys(record: &Record, names: &Names) -> Vec<Key> {
    let mut filing = Filing { frame: &record.envelope, keys: BTreeSet::new() };
    if let Some(body) = &record.body {
        filing.body(body);
        filing.stock(record, names);
    }
    filing.keys.into_iter().collect()
}

struct Filing<'a> {
    frame: &'a Envelope,
    keys: BTreeSet<Key>,
}

impl Filing<'_> {
    fn add(&mut self, key: Key) {
        self.keys.insert(key);
    }

    fn animal(&mut self, id: Option<&OrganismId>) {
        self.keys.extend(id.map(Key::animal));
    }

    fn lot(&mut self, id: Option<&LotId>) {
        self.keys.extend(id.map(Key::lot));
    }

    fn consignment(&mut self, id: Option<&ConsignmentId>) {
        self.keys.extend(id.map(Key::consignment));
    }

    fn order(&mut self, number: Option<&LocalId>) {
        self.keys.extend(number.map(|number| Key::order(number.as_str())));
    }

    fn mark(&mut self, number: Option<&LocalId>) {
        self.keys.extend(number.map(|number| Key::mark(number.as_str())));
    }

    /// Under its own key, where others may name it: a rescue that is linked, a death that is examined,
    /// an incident that an order is about.
    fn itself(&mut self) {
        self.add(Key::record(&self.frame.author_id, self.frame.record_id.as_str()));
    }

    fn subject(&mut self) {
        self.animal(self.frame.organism_id.as_ref());
        self.lot(self.frame.lot_id.as_ref());
    }

    fn units(&mut self) {
        self.keys.extend(place_of(self.frame).map(Key::units));
    }

    /// The stock of every place that the record posts to, and who is where in it.
    fn stock(&mut self, record: &Record, names: &Names) {
        for entry in entries(&postings(record, names)) {
            if let Some(place) = entry.account.place() {
                let place = PartyId::from(place);
                self.add(Key::place(&place));
                self.add(Key::units(&place));
            }
        }
    }

    fn crates(&mut self, crates: &[Crate]) {
        self.keys.extend(crates.iter().map(|one| Key::crate_number(one.crate_id.as_str())));
    }

    fn lines<'l>(&mut self, lines: impl IntoIterator<Item = &'l SubjectLine>) {
        for line in lines {
            self.animal(line.organism_id.as_ref());
            self.lot(line.lot_id.as_ref());
        }
    }

    #[allow(clippy::too_many_lines, reason = "one arm for each kind")]
    fn body(&mut self, body: &Body) {
        match body {
            Body::Rescue(rescue) => {
                self.itself();
                self.subject();
                if self.frame.organism_id.is_some() {
                    self.add(Key::likeness(self.frame.event_date.day()));
                }
                self.consignment(rescue.consignment_id.as_ref());
                for reference in &rescue.incident_references {
                    self.add(Key::incident(reference.as_str()));
                }
                for meanwhile in meanwhile_ids(self.frame, rescue.source, rescue.local_id.as_ref()) {
                    self.animal(Some(&meanwhile));
                }
            }
            Body::Tally(tally) => {
                self.itself();
                self.subject();
                tally.lines.iter().for_each(|line| self.lot(line.lot_id.as_ref()));
            }
            // What the clinic sees and the keepers do for a lot changes no finding; a lot's certificate does,
            // and whether it may travel is looked up for its driver's page.
            Body::Assessment(assessment) => {
                self.animal(self.frame.organism_id.as_ref());
                if matches!(assessment.event, AssessmentEvent::Certificate | AssessmentEvent::BeforeTransport)
                {
                    self.lot(self.frame.lot_id.as_ref());
                }
            }
            // A lot's drugs and bindings are judged, and its recoveries looked up; its procedures are not.
            Body::Treatment(treatment) => {
                self.animal(self.frame.organism_id.as_ref());
                if treatment.event != TreatmentEvent::Procedure {
                    self.lot(self.frame.lot_id.as_ref());
                }
            }
            Body::Care(_) => self.animal(self.frame.organism_id.as_ref()),
            Body::Outlook(_) => self.subject(),
            Body::Quarantine(quarantine) => self.quarantine(quarantine),
            Body::Housing(housing) => self.housing(housing),
            Body::Marking(marking) => {
                self.subject();
                self.mark(marking.mark_number.as_ref());
                self.mark(marking.replaced_number.as_ref());
                if marking.mark_type == MarkType::NaturalPattern {
                    self.add(Key::patterns());
                }
            }
            Body::Clutch(clutch) => {
                self.subject();
                self.lot(clutch.hatchlings_lot_id.as_ref());
                self.consignment(clutch.consignment_id.as_ref());
            }
            Body::Determination(determination) => {
                self.subject();
                self.lot(determination.to_lot_id.as_ref());
                self.consignment(determination.consignment_id.as_ref());
                self.units();
            }
            Body::Regrouping(regrouping) => {
                self.lines(regrouping.from.iter().chain(&regrouping.to));
                self.units();
            }
            Body::Custody(custody) => {
                self.subject();
                self.add(Key::case(custody.case_number.as_str()));
                self.order(custody.order_number.as_ref());
            }
            Body::Mortality(mortality) => {
                self.itself();
                self.subject();
                self.consignment(mortality.consignment_id.as_ref());
                self.order(mortality.order_number.as_ref());
                self.keys.extend(mortality.death_of.as_ref().map(Key::referred));
                if mortality.event == MortalityEvent::Necropsy && mortality.agent.is_some() {
                    self.add(Key::disease());
                }
            }
            Body::Loss(loss) => {
                self.subject();
                self.consignment(loss.consignment_id.as_ref());
            }
            Body::Dispatch(dispatch) => {
                self.consignment(Some(&dispatch.consignment_id));
                self.order(dispatch.order_number.as_ref());
                self.crates(&dispatch.crates);
                for line in &dispatch.lines {
                    self.animal(line.organism_id.as_ref());
                    self.lot(line.lot_id.as_ref());
                    self.lot(line.from_lot.as_ref());
                    self.keys.extend(line.crate_id.as_ref().map(|id| Key::crate_number(id.as_str())));
                }
            }
            Body::Receipt(receipt) => {
                self.itself();
                self.consignment(Some(&receipt.consignment_id));
                self.crates(&receipt.crates);
                for line in &receipt.lines {
                    self.animal(line.organism_id.as_ref());
                    self.lot(line.lot_id.as_ref());
                }
            }
            Body::Settlement(settlement) => {
                self.consignment(Some(&settlement.consignment_id));
                self.itself();
            }
            Body::Release(release) => {
                self.subject();
                self.mark(release.mark_number.as_ref());
                self.keys.extend(release.permit_number.as_ref().map(|number| Key::permit(number.as_str())));
            }
            Body::Sighting(sighting) => {
                self.subject();
                self.mark(sighting.mark_number.as_ref());
            }
            Body::Capacity(capacity) => {
                self.units();
                if let Some(place) = place_of(self.frame) {
                    self.keys.insert(Key::unit(place, capacity.unit_id.as_str()));
                    self.keys.extend(
                        capacity.water_circuit.as_ref().map(|circuit| Key::circuit(place, circuit.as_str())),
                    );
                }
            }
            Body::Licence(licence) => self.add(Key::place(&licence.holder_id)),
            Body::Permit(permit) => self.add(Key::permit(permit.permit_number.as_str())),
            Body::Order(order) => self.orders(order),
            Body::Census(census) => {
                self.keys.extend(place_of(self.frame).map(Key::place));
                census.lines.iter().for_each(|line| self.animal(line.organism_id.as_ref()));
                if census.opening == Some(true) {
                    self.units();
                    census.lines.iter().for_each(|line| self.lot(line.lot_id.as_ref()));
                }
            }
            Body::Incident(_) => {
                self.itself();
                self.animal(self.frame.organism_id.as_ref());
            }
            Body::Adjustment(_) => self.subject(),
            Body::Link(link) => self.link(link),
            // A sample that shows an agent is a case from which others are traced; all others change nothing.
            Body::Result(result) => {
                if result.outcome == ResultOutcome::Positive && result.agent.is_some() {
                    self.itself();
                    self.subject();
                    self.add(Key::disease());
                }
            }
            Body::Refusal(_)
            | Body::Nest(_)
            | Body::Relocation(_)
            | Body::Readiness(_)
            | Body::Biosecurity(_) => {}
        }
    }

    fn quarantine(&mut self, quarantine: &Quarantine) {
        self.subject();
        self.units();
        let Some(place) = place_of(self.frame) else { return };
        self.keys.insert(Key::batch(place, quarantine.batch_id.as_str()));
        self.keys.extend(quarantine.unit_id.as_ref().map(|unit| Key::unit(place, unit.as_str())));
        self.keys
            .extend(quarantine.water_circuit.as_ref().map(|circuit| Key::circuit(place, circuit.as_str())));
    }

    fn housing(&mut self, housing: &Housing) {
        self.subject();
        self.units();
        self.order(housing.order_number.as_ref());
        if let Some(place) = place_of(self.frame) {
            self.keys.extend(housing.units.iter().map(|housed| Key::unit(place, housed.unit_id.as_str())));
        }
    }

    fn orders(&mut self, order: &Order) {
        self.order(Some(&order.order_number));
        self.keys.extend(order.about.as_ref().map(Key::referred));
        order.organism_ids.iter().for_each(|id| self.animal(Some(id)));
        order.lot_ids.iter().for_each(|id| self.lot(Some(id)));
        self.keys.extend(order.case_number.as_ref().map(|number| Key::case(number.as_str())));
    }

    fn link(&mut self, link: &Link) {
        self.keys.extend(link.counted.as_ref().map(Key::referred));
        if let Some(other) = &link.not_counted {
            self.add(Key::record(&other.author_id, other.record_id.as_str()));
            let place = other.centre_id.as_ref().or(other.point_id.as_ref());
            self.keys.extend(place.map(Key::units));
        }
        link.organism_ids.iter().for_each(|id| self.animal(Some(id)));
    }
}

/// The numbers under which a readmitted animal was known before its old identity was found out: the
/// local number itself where it is a whole identifier, and the party's own number made of it.
pub(crate) fn meanwhile_ids(frame: &Envelope, source: Source, local: Option<&LocalId>) -> Vec<OrganismId> {
    let (Source::Released | Source::Escaped, Some(local)) = (source, local) else { return Vec::new() };
    let mut ids = vec![OrganismId(format!("{}:{local}", frame.author_id))];
    if local.as_str().contains([':', '-']) {
        ids.push(OrganismId(local.as_str().to_owned()));
    }
    ids
}
