//! Whether a place is free: the unit that is asked for, judged by itself.
//!
//! An option names the best unit of a centre; a place is kept in the unit that was named. So the
//! region is narrowed to that unit first, and what another unit would allow does not count.

use chrono::{DateTime, FixedOffset};
use haulout_placement::view::{LengthLimit, Occupant, Point, RegionView};
use haulout_placement::{Check, Exclusion, Index, PlacementOption, Prepared, Request, options, room_left};
use haulout_schemas::vocabulary::LengthMeasure;
use haulout_store::Configuration;
use schemars::JsonSchema;
use serde::Serialize;
use std::borrow::Cow;

use super::asked::PlaceToKeep;

/// Alternatives told for a place that is gone.
const ALTERNATIVES: usize = 5;

/// A place that is not free as things stand now.
#[derive(Debug, Clone, Serialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct NoLonger {
    /// Its position among the places asked for, from 0.
    pub place: usize,
    /// The request that it answers.
    #[serde(rename = "requestID")]
    pub request_id: String,
    /// The centre.
    #[serde(rename = "centreID")]
    pub centre_id: String,
    /// The unit.
    #[serde(rename = "unitID")]
    pub unit_id: String,
    /// Why not, in one sentence.
    pub reason: String,
    /// Every rule that failed or could not be checked.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub failed: Vec<Check>,
    /// The best places for the same request now, were the other places of the plan kept.
    pub alternatives: Vec<PlacementOption>,
}

/// The places that are not free, each judged with those before it kept.
pub(super) fn not_free(
    view: &RegionView,
    configuration: &Configuration,
    at: DateTime<FixedOffset>,
    places: &[PlaceToKeep],
) -> Vec<NoLonger> {
    let mut view = Cow::Borrowed(view);
    let mut gone = Vec::new();
    for (nth, place) in places.iter().enumerate() {
        match against(&view, configuration, at, place) {
            Some((reason, failed)) => gone.push(NoLonger {
                place: nth,
                request_id: place.request.request_id.clone(),
                centre_id: place.centre_id.to_string(),
                unit_id: place.unit_id.to_string(),
                reason,
                failed,
                alternatives: Vec::new(),
            }),
            None if nth + 1 < places.len() => occupy(view.to_mut(), place),
            None => {}
        }
    }
    gone
}

/// The same with the best alternatives, as they are with the other places kept.
pub(super) fn with_alternatives(
    view: &RegionView,
    configuration: &Configuration,
    at: DateTime<FixedOffset>,
    places: &[PlaceToKeep],
    mut gone: Vec<NoLonger>,
) -> Vec<NoLonger> {
    let mut view = Cow::Borrowed(view);
    for (nth, place) in places.iter().enumerate() {
        if gone.iter().all(|one| one.place != nth) {
            occupy(view.to_mut(), place);
        }
    }
    let (profiles, names) = (&configuration.profiles, &configuration.names);
    let index = Index::of(&view, profiles, names);
    let prepared = Prepared::new(&view, &index, profiles, names);
    for one in &mut gone {
        if let Some(place) = places.get(one.place) {
            let answer = prepared.options(&place.request, at).options;
            one.alternatives = answer.into_iter().take(ALTERNATIVES).collect();
        }
    }
    gone
}

/// What stands against one place; `None` where no reason was found.
fn against(
    view: &RegionView,
    configuration: &Configuration,
    at: DateTime<FixedOffset>,
    place: &PlaceToKeep,
) -> Option<(String, Vec<Check>)> {
    let (centre, unit) = (place.centre_id.as_str(), place.unit_id.as_str());
    let request = &place.request;
    let there = view.units.iter().any(|one| one.centre_id == centre && one.unit_id == unit);
    if !there {
        return Some((format!("{centre} has no unit {unit}"), Vec::new()));
    }
    let narrow = narrowed(view, centre, unit, Water::Shared);
    let judged =
        |view: &RegionView| options(view, request, &configuration.profiles, &configuration.names, at);
    let answer = judged(&narrow);
    let offered = answer.options.iter().chain(&answer.waived).any(|option| option.unit_id == unit);
    if !offered {
        return Some(reasons(answer.excluded, unit).unwrap_or_else(|| {
            // Another unit on the same water came out nearer; asked alone, this one says its own reasons.
            let alone = judged(&narrowed(view, centre, unit, Water::Apart));
            reasons(alone.excluded, unit).unwrap_or_else(|| {
                (format!("{unit} shares its water with a batch that this arrival would put off"), Vec::new())
            })
        }));
    }
    let room = room_left(&narrow, request, &configuration.profiles, &configuration.names, at, (centre, unit));
    match room {
        Some(room) if room.heads >= request.individual_count => None,
        Some(room) => {
            Some((format!("{unit} has room for {} more: {}", room.heads, room.because), Vec::new()))
        }
        None => Some((format!("the room in {unit} cannot be checked"), Vec::new())),
    }
}

fn reasons(excluded: Vec<Exclusion>, unit: &str) -> Option<(String, Vec<Check>)> {
    let own = excluded.into_iter().find(|one| one.unit_id.as_deref().is_none_or(|id| id == unit))?;
    Some((own.reason, own.failed))
}

/// Whether units on the same water stay in a narrowed view.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Water {
    /// They stay, closed: a batch in them may be put off.
    Shared,
    /// They go.
    Apart,
}

/// The region with one unit to offer. Who stands in the centre's other units still counts in the
/// centre.
pub(super) fn narrowed(view: &RegionView, centre_id: &str, unit_id: &str, water: Water) -> RegionView {
    let mut centres: Vec<_> =
        view.centres.iter().filter(|centre| centre.centre_id == centre_id).cloned().collect();
    let circuit = view
        .units
        .iter()
        .find(|unit| unit.centre_id == centre_id && unit.unit_id == unit_id)
        .and_then(|unit| unit.water_circuit.as_deref());
    let mut units = Vec::new();
    for unit in view.units.iter().filter(|unit| unit.centre_id == centre_id) {
        let on_its_water = circuit.is_some() && unit.water_circuit.as_deref() == circuit;
        if unit.unit_id == unit_id {
            units.push(unit.clone());
        } else if on_its_water && unit.quarantine.is_some() && water == Water::Shared {
            // No animal is short enough for it, so it is never the one that is offered.
            let closed = LengthLimit { metre: 0.0, measure: LengthMeasure::TotalLength };
            units.push(haulout_placement::view::Unit { length_limit: Some(closed), ..unit.clone() });
        } else if let Some(centre) = centres.first_mut() {
            centre.unhoused.extend(unit.everyone().cloned());
        }
    }
    // Other centres are no longer there to be asked, but journeys begin at them.
    let others = view.centres.iter().filter(|centre| centre.centre_id != centre_id);
    let points = view.points.iter().cloned().chain(others.map(|centre| Point {
        point_id: centre.centre_id.clone(),
        latitude: centre.latitude,
        longitude: centre.longitude,
    }));
    RegionView {
        centres,
        units,
        points: points.collect(),
        roads: view.roads.clone(),
        standstills: view.standstills.clone(),
        settings: view.settings.clone(),
    }
}

/// The animals of a request as they stand in a view.
pub(super) fn occupant(request: &Request) -> Occupant {
    Occupant {
        organism_id: request.organism_id.clone(),
        lot_id: request.lot_id.clone(),
        reservation_id: Some(request.request_id.clone()),
        scientific_name: request.scientific_name.clone(),
        individual_count: request.individual_count,
        length: request.length.clone(),
        sex: request.sex,
        life_stage: request.life_stage,
        batch_id: request.batch_id.clone(),
    }
}

fn occupy(view: &mut RegionView, place: &PlaceToKeep) {
    let unit = view
        .units
        .iter_mut()
        .find(|unit| unit.centre_id == place.centre_id.as_str() && unit.unit_id == place.unit_id.as_str());
    if let Some(unit) = unit {
        unit.reserved.push(occupant(&place.request));
    }
}
