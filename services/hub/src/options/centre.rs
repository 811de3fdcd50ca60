//! One centre's part of the region's view: the centre, its licences and its units.

use haulout_placement::view::{Centre, Crew, LengthLimit, LicenceLine, Unit};
use haulout_reckoning::region::Party;
use haulout_schemas::envelope::Envelope;
use haulout_schemas::records::authority::{Licence, LicenceStatus};
use haulout_schemas::records::standing::{
    Arrangement, Capacity, CapacityEvent, Readiness, ReadinessEvent, UnitKind,
};
use haulout_schemas::text::PartyId;
use haulout_schemas::{Body, EventDate, Kind};
use haulout_store::{Records, RoomState};
use std::collections::BTreeMap;
use std::sync::Arc;

use super::coming::Coming;
use super::floor::Floor;
use super::view::{instant_of, today};

/// What a part is made of. While none of it changes, nor the day, nor the region file, the part stands.
#[derive(Debug)]
pub(super) struct Sources {
    floor: Records,
    capacity: Records,
    readiness: Records,
    /// Of each authority.
    licences: Vec<Records>,
    coming: Coming,
}

impl Sources {
    /// Those of a centre.
    pub fn of(state: &RoomState, party: &Party, authorities: &[&PartyId], coming: Option<&Coming>) -> Self {
        let by = |kind| state.standing.by(kind, &party.party_id);
        Self {
            floor: state.floors.get(party.party_id.as_str()).cloned().unwrap_or_default(),
            capacity: by(Kind::Capacity),
            readiness: by(Kind::Readiness),
            licences: authorities.iter().map(|one| state.standing.by(Kind::Licence, one)).collect(),
            coming: coming.cloned().unwrap_or_default(),
        }
    }
}

/// Lists that no record changed are shared; an empty one is made on the spot.
fn same(one: &Records, other: &Records) -> bool {
    Arc::ptr_eq(one, other) || one.is_empty() && other.is_empty()
}

/// What a part was made of.
#[derive(Debug)]
pub(super) struct Part {
    sources: Sources,
    floor: Arc<Floor>,
}

/// A part as it is put into the view.
pub(super) struct Made {
    pub part: Part,
    /// None where nobody knows where the centre lies.
    pub centre: Option<Centre>,
    pub units: Vec<Unit>,
}

impl Part {
    /// Made of its sources; the floor of an earlier part serves where its records are the same.
    pub fn made(state: &RoomState, party: &Party, sources: Sources, before: Option<&Self>) -> Made {
        let held = before.filter(|before| same(&before.sources.floor, &sources.floor));
        let floor = held.map_or_else(
            || Arc::new(Floor::of(&sources.floor, state, party)),
            |before| Arc::clone(&before.floor),
        );
        let making = Making { state, party, sources: &sources };
        let (mut centre, mut units) = (making.centre(&floor), making.units(&floor));
        sources.coming.settle(centre.as_mut(), &mut units);
        Made { part: Self { sources, floor }, centre, units }
    }

    /// Whether it would be made the same of these.
    pub fn stands(&self, sources: &Sources) -> bool {
        let licences = self.sources.licences.iter().zip(&sources.licences);
        same(&self.sources.floor, &sources.floor)
            && same(&self.sources.capacity, &sources.capacity)
            && same(&self.sources.readiness, &sources.readiness)
            && licences.into_iter().all(|(one, other)| same(one, other))
            && self.sources.coming == sources.coming
    }
}

struct Making<'a> {
    state: &'a RoomState,
    party: &'a Party,
    sources: &'a Sources,
}

impl Making<'_> {
    fn centre(&self, floor: &Floor) -> Option<Centre> {
        let (latitude, longitude) = (self.party.latitude?, self.party.longitude?);
        let party = self.party;
        let ready = today(self.state, &self.sources.readiness).rev().find_map(|(frame, body)| match body {
            Body::Readiness(ready) if ready.event == ReadinessEvent::Tonight && self.is_own(frame) => {
                Some((&frame.event_date, ready))
            }
            _ => None,
        });
        let (since, ready): (Option<&EventDate>, Option<&Readiness>) = ready.unzip();
        Some(Centre {
            centre_id: party.party_id.to_string(),
            name: Some(party.name.clone()),
            latitude,
            longitude,
            licences: self.licences(),
            crews: ready
                .map(|ready| {
                    ready.crews.iter().map(|crew| Crew { skill: crew.skill, people: crew.people }).collect()
                })
                .unwrap_or_default(),
            crews_tonight: None,
            vehicle_minutes: None,
            vet_level: ready.and_then(|ready| ready.vet_level),
            arrivals_per_day: ready.and_then(|ready| ready.arrivals_per_day),
            arrived_today: floor.arrived_today,
            due_today: 0,
            unhoused: floor.unhoused.clone(),
            heads: None,
            basin: party.basin.clone(),
            status_as_of: since.map(|date| instant_of(self.state, date.end())),
        })
    }

    /// Licences in force today; only the authority's own version counts.
    fn licences(&self) -> Vec<LicenceLine> {
        let mut newest: BTreeMap<&str, &Licence> = BTreeMap::new();
        for (_, body) in self.sources.licences.iter().flat_map(|records| today(self.state, records)) {
            if let Body::Licence(licence) = body
                && licence.holder_id == self.party.party_id
                && licence.valid_from.is_none_or(|first| first.0 <= self.state.today)
            {
                newest.insert(licence.licence_number.as_str(), licence);
            }
        }
        newest
            .into_values()
            .filter(|licence| matches!(licence.status, LicenceStatus::InForce | LicenceStatus::UnderRenewal))
            .flat_map(|licence| {
                licence.lines.iter().map(|line| LicenceLine {
                    licence_number: Some(licence.licence_number.to_string()),
                    scope: vec![line.scientific_name.to_string()],
                    activities: Vec::new(),
                    heads_limit: line.heads_limit,
                    valid_through: licence.valid_through.map(|day| day.0),
                    status: licence.status,
                })
            })
            .collect()
    }

    fn units(&self, floor: &Floor) -> Vec<Unit> {
        let mut newest: BTreeMap<&str, (&EventDate, &Capacity)> = BTreeMap::new();
        for (frame, body) in today(self.state, &self.sources.capacity) {
            if let Body::Capacity(capacity) = body
                && self.is_own(frame)
            {
                newest.insert(capacity.unit_id.as_str(), (&frame.event_date, capacity));
            }
        }
        newest
            .into_iter()
            .filter(|(_, (_, capacity))| capacity.event == CapacityEvent::Stated)
            .map(|(id, (date, capacity))| Unit {
                unit_id: id.to_owned(),
                centre_id: self.party.party_id.to_string(),
                unit_kind: capacity.unit_kind.unwrap_or(UnitKind::Pen),
                units: capacity.units.unwrap_or(1),
                arrangement: capacity.arrangement.unwrap_or(Arrangement::Isolating),
                land_square_metre: capacity.land_square_metre,
                water_square_metre: capacity.water_square_metre,
                depth_metre: capacity.depth_metre,
                length_limit: capacity
                    .length_limit_metre
                    .as_ref()
                    .map(|limit| LengthLimit { metre: limit.value, measure: limit.measure }),
                heads_limit: capacity.heads_limit,
                suits: capacity.suits.iter().map(ToString::to_string).collect(),
                stays: capacity.stays.clone(),
                longest_side_metre: capacity.longest_side_metre,
                heated: capacity.heated,
                lowest_celsius: capacity.lowest_celsius,
                highest_celsius: capacity.highest_celsius,
                water_type: capacity.water_type,
                // An incubator that nobody vouches for is not offered to eggs.
                keeps_orientation: capacity.keeps_orientation,
                water_circuit: capacity.water_circuit.as_ref().map(ToString::to_string),
                occupants: floor.in_unit(id).to_vec(),
                expected: Vec::new(),
                reserved: Vec::new(),
                quarantine: floor.quarantine(id).cloned(),
                free_units: None,
                free_size: None,
                capacity_as_of: Some(instant_of(self.state, date.end())),
            })
            .collect()
    }

    fn is_own(&self, frame: &Envelope) -> bool {
        frame.centre_id.as_ref().is_none_or(|centre| *centre == self.party.party_id)
    }
}
