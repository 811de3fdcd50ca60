//! Scarce room: how many units could take such an animal once more, were the option taken.

use std::collections::HashMap;

use crate::answer::PlacementOption;
use crate::case::{AtCentre, List};
use crate::judging::open_units;
use crate::view::{Centre, Occupant, Unit};

/// Units that are open for the request, before and after each option is taken.
#[derive(Debug, Default)]
pub(crate) struct OpenUnits {
    region: u32,
    /// By centre: open units now, and were its option taken.
    of_centres: HashMap<String, (u32, u32)>,
}

impl OpenUnits {
    /// Adds a centre's open units, before and after its option is taken.
    pub fn add(&mut self, centre_id: &str, (now, after): (u32, u32)) {
        self.region = self.region.saturating_add(now);
        self.of_centres.insert(centre_id.to_owned(), (now, after));
    }

    /// Tells each option how many are left in the region once it is taken.
    pub fn tell(&self, options: &mut [PlacementOption]) {
        for option in options {
            let (now, after) = self.of_centres.get(&option.centre_id).copied().unwrap_or_default();
            option.units_left = self.region.saturating_sub(now).saturating_add(after);
        }
    }
}

/// Open units of a centre now, and once the place in the unit is taken.
pub(crate) fn around(here: &AtCentre<'_>, unit: (usize, &Unit)) -> (u32, u32) {
    (open_units(here), after(here, unit))
}

/// Open units of the centre with the place kept for the request.
fn after(here: &AtCentre<'_>, (unit_at, unit): (usize, &Unit)) -> u32 {
    let request = here.asked.request;
    let kept = Occupant {
        organism_id: None,
        lot_id: None,
        reservation_id: None,
        scientific_name: request.scientific_name.clone(),
        individual_count: request.individual_count,
        length: request.length.clone(),
        sex: request.sex,
        life_stage: request.life_stage,
        // The next one comes with another batch.
        batch_id: None,
    };
    let mut taken = unit.clone();
    taken.free_units = taken.free_units.map(|free| free.saturating_sub(1));
    taken.reserved.push(kept);
    let due_today = here.centre.due_today.saturating_add(request.individual_count);
    let centre = Centre { due_today, ..here.centre.clone() };
    let units =
        here.units.iter().map(|(at, one)| (*at, if *at == unit_at { &taken } else { *one })).collect();
    let next = AtCentre::with_units(here.asked, here.centre_at, &centre, List::Owned(units)).quietly();
    open_units(&next)
}
