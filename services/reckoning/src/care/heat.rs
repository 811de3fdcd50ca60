//! Heat in the cool season: held for those that need it, never for those that rest.

use super::water::done;
use super::{Floor, Line, Task, Told, When, is_egg};
use chrono::NaiveDate;
use haulout_schemas::profile::Profile;
use haulout_schemas::records::standing::WaterType;
use haulout_welfare::grounds::Grounds;
use haulout_welfare::routine::WINTER;
use std::collections::BTreeSet;

/// A unit in which animals are.
pub(super) struct Inhabited<'a> {
    pub(super) id: &'a str,
    /// What its water is, as stated.
    pub(super) water: Option<WaterType>,
    /// The day since which somebody of those in it has been there.
    pub(super) since: NaiveDate,
    /// The names in it.
    names: BTreeSet<&'a str>,
}

/// Units in which animals are, eggs left out; those stated as incubators too.
pub(super) fn units_with_water<'a>(floor: &Floor<'a>) -> Vec<Inhabited<'a>> {
    let units = floor.there.units.iter().filter_map(|unit| {
        let animals = || unit.occupants.iter().filter(|one| !is_egg(one));
        let since = animals().map(|one| one.since).min()?;
        let stated = floor.units.get(unit.unit_id.as_str());
        Some(Inhabited {
            id: &unit.unit_id,
            water: stated.and_then(|capacity| capacity.water_type),
            since,
            names: animals().map(|one| one.scientific_name.as_str()).collect(),
        })
    });
    units.collect()
}

pub(super) fn tell(floor: &Floor<'_>, told: &mut Told) {
    for unit in units_with_water(floor) {
        let profiles: Vec<&Profile> = unit.names.iter().filter_map(|name| floor.profile(name)).collect();
        let (resting, awake): (Vec<&Profile>, Vec<&Profile>) =
            profiles.into_iter().partition(|profile| floor.rests(profile));
        for profile in &resting {
            let line = Line::new(Task::Heat, format!("leave {} to its rest", profile.scientific_name), Grounds::profile(&profile.seasonal_rest.source))
                .in_unit(Some(unit.id))
                .because("healthy animals of the species rest in this season: they are neither fed nor warmed through it")
                .caution("the sick and the weak do not rest: ask the veterinarian about each");
            told.add(When::NotDue, Line { scientific_name: Some(profile.scientific_name.clone()), ..line });
        }
        if floor.is_cool() && unit.water == Some(WaterType::Static) && !awake.is_empty() {
            held(floor, unit.id, &awake, !resting.is_empty(), told);
        }
    }
}

/// Whether the water of a unit was read on the day, and lay in the band.
fn held(floor: &Floor<'_>, unit: &str, awake: &[&Profile], beside_resting: bool, told: &mut Told) {
    let readings: Vec<f64> = done(floor, unit)
        .into_iter()
        .filter(|done| done.on == floor.at())
        .filter_map(|done| done.water_celsius)
        .map(|celsius| celsius.degrees())
        .collect();
    let (low, high) = (WINTER.low_c, WINTER.high_c);
    let good = |reading: &f64| (low..=high).contains(reading);
    let names: Vec<&str> = awake.iter().map(|profile| profile.scientific_name.as_str()).collect();
    let line = |what: String| {
        let line =
            Line::new(Task::Heat, what, Grounds::common_practice()).in_unit(Some(unit)).because(format!(
                "{} in still water in the cool season: {low:.0} to {high:.0} degrees C",
                names.join(", ")
            ));
        if beside_resting {
            line.caution("others in the unit rest in this season and must not be warmed: part them, with the veterinarian")
        } else {
            line.caution("warm slowly; go by the species' profile where it is narrower, and keep people clear of bare heaters")
        }
    };
    if readings.is_empty() {
        told.add(
            When::Due,
            line("read the temperature of the water".to_owned()).due_from(floor.at(), floor.at()),
        );
    } else if let Some(outside) = readings.iter().find(|reading| !good(reading)) {
        let what = format!("bring the water back to {low:.0} to {high:.0} degrees C: {outside:.1} was read");
        told.add(When::Due, line(what).due_from(floor.at(), floor.at()));
    } else {
        told.add(When::NotDue, line("the water was read and lay in the band".to_owned()));
    }
}
