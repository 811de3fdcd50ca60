//! A centre as it stands with everyone of a plan but one: what that one's place is judged on.

use super::feasible::Checker;
use super::units::Laid;
use crate::view::{Occupant, RegionView, Roads, Unit};

impl Checker<'_> {
    /// The centre, first of its region, as it stands with everyone of the plan but one; the place of
    /// departure and that of the team, where they are centres, come after it.
    pub fn ground(
        &self,
        centre: usize,
        own: &[&Laid],
        at: usize,
        due: u32,
        standing: impl Fn(&Laid) -> Occupant,
    ) -> RegionView {
        let view = &self.file.view;
        let one = own[at];
        let mut stands = view.centres[centre].clone();
        stands.due_today = stands.due_today.saturating_add(due);
        let id = &view.centres[centre].centre_id;
        let of_centre = self.units_of(centre);
        let request = &self.requests[one.request];
        // Where it departs, and where its team does.
        let departs = view.centres.iter();
        let departs =
            departs.filter(|other| other.centre_id != *id && request.departs_from(&other.centre_id));
        let concerned = |place: &String| place == id || request.departs_from(place);
        let travel = view.roads.travel.iter().filter(|line| concerned(&line.from) || concerned(&line.to));
        let mut ground = RegionView {
            centres: std::iter::once(stands).chain(departs.cloned()).collect(),
            units: of_centre.iter().map(|unit_at| view.units[*unit_at].clone()).collect(),
            points: view.points.clone(),
            roads: Roads { travel: travel.cloned().collect(), ..view.roads.clone() },
            standstills: view.standstills.clone(),
            settings: view.settings.clone(),
        };
        let position = |unit_at: usize| {
            let mut units = of_centre.iter();
            units.position(|other| *other == unit_at).unwrap_or(0)
        };
        let row = |unit: &Unit| unit.units > 1 && unit.standing_empty() > 0;
        let mut beside = Vec::new();
        for (other_at, other) in own.iter().enumerate().filter(|(other_at, _)| *other_at != at) {
            let stands = standing(other);
            let shares = other.unit_at == one.unit_at
                && other.numbers.iter().any(|number| one.numbers.contains(number));
            if shares {
                beside.push((other_at, stands));
                continue;
            }
            let unit = &mut ground.units[position(other.unit_at)];
            if row(&view.units[other.unit_at]) {
                let free = unit.free_units.unwrap_or_else(|| view.units[other.unit_at].standing_empty());
                unit.free_units = Some(free.saturating_sub(other.units));
            }
            unit.reserved.push(stands);
        }
        let unit = &mut ground.units[position(one.unit_at)];
        if row(&view.units[one.unit_at]) {
            if beside.is_empty() {
                // Its own units of the row, and no more.
                unit.free_units = Some(one.units);
            } else {
                let everyone = unit.everyone().cloned().collect::<Vec<_>>();
                unit.units = 1;
                unit.free_units = None;
                unit.quarantine = None;
                unit.occupants.clear();
                unit.expected.clear();
                unit.reserved = beside.into_iter().map(|(_, stands)| stands).collect();
                // The row's other units hold them; they count for the centre.
                ground.centres[0].unhoused.extend(everyone);
            }
        }
        ground
    }

    pub fn standing(&self, one: &Laid) -> Occupant {
        let request = &self.requests[one.request];
        Occupant {
            organism_id: request.organism_id.clone(),
            lot_id: request.lot_id.clone(),
            reservation_id: None,
            scientific_name: request.scientific_name.clone(),
            individual_count: one.count,
            length: request.length.clone(),
            sex: request.sex,
            life_stage: request.life_stage,
            batch_id: request.batch_id.clone(),
        }
    }

    /// Someone who shares a unit, as the rules of space see it for another: where the file states how many
    /// of its animals a unit holds, no space is measured for them, and they are counted as the other's own.
    pub fn measured(&self, one: &Laid, for_whom: &Laid) -> Occupant {
        let stands = self.standing(one);
        if self.cap(one).is_none() {
            return stands;
        }
        let request = &self.requests[for_whom.request];
        Occupant {
            scientific_name: request.scientific_name.clone(),
            length: request.length.clone(),
            ..stands
        }
    }
}
