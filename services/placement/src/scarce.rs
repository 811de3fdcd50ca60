//! Scarce room: how many units could take such an animal once more, were the option taken.

use std::collections::HashMap;

use crate::answer::PlacementOption;
use crate::case::AtCentre;
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
    /// Counts a centre that is an option by its `unit`.
    pub fn count(&mut self, here: &AtCentre<'_>, unit: (usize, &Unit)) {
        let now = open_units(here);
        let after = after(here, unit);
        self.region = self.region.saturating_add(now);
        self.of_centres.insert(here.centre.centre_id.clone(), (now, after));
    }

    /// Tells each option how many are left in the region once it is taken.
    pub fn tell(&self, options: &mut [PlacementOption]) {
        for option in options {
            let (now, after) = self.of_centres.get(&option.centre_id).copied().unwrap_or_default();
            option.units_left = self.region.saturating_sub(now).saturating_add(after);
        }
    }
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
    let next = AtCentre::with_units(here.asked, here.centre_at, &centre, units).quietly();
    open_units(&next)
}
