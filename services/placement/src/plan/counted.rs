//! What a sound plan keeps beside the rules: units of rows, stated figures, shared water, crews and
//! vehicles. Counted from the file, not from the model.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{NaiveDate, TimeDelta};
use haulout_schemas::records::standing::Arrangement;

use super::feasible::{Breach, Checker};
use super::units::Laid;
use crate::journey::Journey;
use crate::request::Request;

impl Checker<'_> {
    /// Units of rows: as many as there are, none twice but where they are shared.
    pub fn rows(&self, own: &[&Laid]) -> Vec<Breach> {
        let mut breaches = Vec::new();
        let mut taken: BTreeMap<(usize, u32), usize> = BTreeMap::new();
        for one in own {
            let unit = &self.file.view.units[one.unit_at];
            let empty = unit.standing_empty();
            if unit.units > 1 && empty > 0 {
                let numbers: BTreeSet<u32> = one.numbers.iter().copied().collect();
                let right = numbers.len() == one.numbers.len()
                    && u32::try_from(numbers.len()) == Ok(one.units)
                    && numbers.iter().all(|number| (1..=empty).contains(number));
                if !right {
                    let units =
                        format!("units {:?} of {} empty ones of {}", one.numbers, empty, unit.unit_id);
                    breaches.push(self.breach("unit-numbers", one.request, units));
                }
            } else if one.units != 1 || !one.numbers.is_empty() {
                let units = format!("{} is one unit", unit.unit_id);
                breaches.push(self.breach("unit-numbers", one.request, units));
            }
            for number in one.numbers.iter().chain(one.numbers.is_empty().then_some(&0)) {
                let before = taken.insert((one.unit_at, *number), one.request);
                if before.is_some() && unit.arrangement == Arrangement::Isolating && empty > 0 {
                    let twice = format!("{} takes one batch, and has one", unit.unit_id);
                    breaches.push(self.breach("room", one.request, twice));
                }
            }
        }
        breaches
    }

    /// The cap that the file states for it there.
    pub fn cap(&self, one: &Laid) -> Option<u32> {
        let unit = &self.file.view.units[one.unit_at];
        let caps = self.requests[one.request].caps.iter();
        let mut own = caps.filter(|cap| cap.centre_id == unit.centre_id && cap.unit_id == unit.unit_id);
        own.next().map(|cap| cap.cap)
    }

    fn size(&self, one: &Laid) -> Option<u32> {
        let unit = &self.file.view.units[one.unit_at];
        let sizes = self.requests[one.request].sizes.iter();
        let mut own = sizes.filter(|size| size.centre_id == unit.centre_id && size.unit_id == unit.unit_id);
        own.next().map(|size| size.size)
    }

    /// Caps and sizes that the file states.
    pub fn figures(&self, own: &[&Laid]) -> Vec<Breach> {
        let mut breaches = Vec::new();
        for one in own {
            let unit = &self.file.view.units[one.unit_at];
            let together =
                own.iter().filter(|other| other.unit_at == one.unit_at && other.numbers == one.numbers);
            let each = |other: &Laid| u64::from(other.count.div_ceil(other.units.max(1)));
            let present = if unit.standing_empty() > 0 { 0 } else { u64::from(unit.heads()) };
            if let Some(free) = unit.free_size {
                let sizes: Option<Vec<u64>> = together
                    .map(|other| self.size(other).map(|size| u64::from(size) * each(other)))
                    .collect();
                match sizes.map(|sizes| sizes.into_iter().sum::<u64>()) {
                    Some(needed) if needed <= u64::from(free) => {}
                    Some(needed) => {
                        let words = format!("{} has {free} free, {needed} needed", unit.unit_id);
                        breaches.push(self.breach("size", one.request, words));
                    }
                    None => {
                        let words = format!("what an animal takes up of {} is not stated", unit.unit_id);
                        breaches.push(self.breach("size", one.request, words));
                    }
                }
            } else if let Some(cap) = self.cap(one) {
                let heads = present + together.map(|other| each(other)).sum::<u64>();
                if heads > u64::from(cap) {
                    let words = format!("{} would hold {heads}, its cap is {cap}", unit.unit_id);
                    breaches.push(self.breach("cap", one.request, words));
                }
            }
        }
        breaches
    }

    /// One water, one batch, but for the vet's yes on both sides.
    pub fn water(&self, own: &[&Laid]) -> Vec<Breach> {
        let mut breaches = Vec::new();
        for (at, one) in own.iter().enumerate() {
            let Some(water) = &self.file.view.units[one.unit_at].water_circuit else { continue };
            for other in &own[at + 1..] {
                let same = self.file.view.units[other.unit_at].water_circuit.as_ref() == Some(water);
                let (first, second) = (&self.requests[one.request], &self.requests[other.request]);
                let one_batch = first.batch_id.is_some() && first.batch_id == second.batch_id;
                let yes = |one: &Request, other: &Request| match &other.batch_id {
                    Some(batch) => one.may_redate_batch_ids.iter().any(|agreed| agreed == batch),
                    None => false,
                };
                let agreed = yes(first, second) && yes(second, first);
                if same && one.request != other.request && !one_batch && !agreed {
                    let words = format!("{} would be on the water {water} too", second.request_id);
                    breaches.push(self.breach("water-circuit", one.request, words));
                }
            }
        }
        breaches
    }

    /// Crews and vehicles of each night.
    pub fn night(&self, centre: usize, own: &[&Laid]) -> Vec<Breach> {
        let mut breaches = Vec::new();
        let stands = &self.file.view.centres[centre];
        let mut nights: BTreeMap<NaiveDate, BTreeMap<usize, (u64, u64)>> = BTreeMap::new();
        for one in own {
            let request = &self.requests[one.request];
            let (journey, window) = self.way(one, centre);
            let noon_to_noon = window.arrival - TimeDelta::hours(12);
            let trip = trip(request, &stands.centre_id, journey.as_ref());
            let night = nights.entry(noon_to_noon.date_naive()).or_default();
            night.insert(one.request, (u64::from(request.crew), trip));
        }
        for night in nights.values() {
            let (crews, minutes) =
                night.values().fold((0, 0), |(crews, minutes), one| (crews + one.0, minutes + one.1));
            let last = night.keys().next_back().copied().unwrap_or(0);
            for (code, used, there) in [
                ("crews-tonight", crews, stands.crews_tonight),
                ("vehicle-minutes", minutes, stands.vehicle_minutes),
            ] {
                if there.is_some_and(|there| used > u64::from(there)) {
                    let words = format!("{} has {:?}, {used} needed", stands.called(), there.unwrap_or(0));
                    breaches.push(self.breach(code, last, words));
                }
            }
        }
        breaches
    }
}

/// Minutes that a vehicle of the centre is away for a request: as stated, else there and back.
pub(crate) fn trip(request: &Request, centre_id: &str, journey: Option<&Journey>) -> u64 {
    let road = journey.map_or(0, |journey| 2 * u64::from(journey.minutes));
    request.trip_minutes.get(centre_id).map_or(road, |trip| u64::from(*trip))
}
