//! How an option and an exclusion are put: margins, conversions, what to know.

use std::collections::BTreeMap;

use haulout_schemas::profile::{HazardClass, Profile};
use haulout_schemas::vocabulary::{LengthMeasure, LengthMethod};

use crate::answer::{Check, Conversion, Exclusion, PlacementOption, Verdict};
use crate::case::{Asked, AtCentre, InUnit, shown};
use crate::judging::{Judged, rules_against};
use crate::room;
use crate::rules::RULES;
use crate::species::Size;
use crate::view::Unit;

pub(crate) fn offer(here: &AtCentre<'_>, unit: (usize, &Unit), judged: Judged<'_>) -> PlacementOption {
    let (unit_at, unit) = unit;
    let case = InUnit::new(here, unit_at, unit);
    let conversions = conversions(&case);
    let notes = notes(&case, &judged, &conversions);
    // An option has a journey: the rule of the road is absolute.
    let journey = here.journey.as_ref().ok();
    PlacementOption {
        centre_id: here.centre.centre_id.clone(),
        unit_id: unit.unit_id.clone(),
        minutes: journey.map_or(u32::MAX, |journey| journey.minutes),
        kilometres: journey.and_then(|journey| journey.kilometres),
        waiting_minutes: journey.map_or(0, |journey| journey.waiting),
        stops_minutes: journey.map_or(0, |journey| journey.stops),
        departure: here.window.departure,
        arrival: here.window.arrival,
        journey_basis: journey.map_or(crate::answer::JourneyBasis::Stated, |journey| journey.basis),
        load_after_per_mille: load_after(here),
        room_left: room::left(&case).heads,
        units_left: 0,
        vet_level: here.centre.vet_level,
        checks: judged.checks.into_iter().map(|(_, check)| check).collect(),
        conversions,
        notes,
    }
}

/// A centre that is no option; its changes come later. The reasons are found quietly and then told.
pub(crate) fn exclude(here: &AtCentre<'_>, quiet: &AtCentre<'_>, unit: Option<(usize, &Unit)>) -> Exclusion {
    let case = |here| unit.map(|(unit_at, unit)| InUnit::new(here, unit_at, unit));
    let (aloud, silent) = (case(here), case(quiet));
    let failed: Vec<Check> =
        rules_against(quiet, silent.as_ref()).filter_map(|rule| rule.check(here, aloud.as_ref())).collect();
    Exclusion {
        centre_id: here.centre.centre_id.clone(),
        unit_id: unit.map(|(_, unit)| unit.unit_id.clone()),
        reason: failed.first().map_or_else(String::new, |check| check.sentence.clone()),
        failed,
        changes: Vec::new(),
        changes_left_out: true,
    }
}

/// Animals afterwards over heads, per mille, rounded up. Heads are the centre's own figure, else
/// the sum of its units' limits.
fn load_after(here: &AtCentre<'_>) -> Option<u32> {
    let heads = here.centre.heads.map_or_else(
        || {
            here.units.iter().fold(0_u64, |sum, (_, unit)| {
                sum + u64::from(unit.heads_limit.unwrap_or(0)) * u64::from(unit.units)
            })
        },
        u64::from,
    );
    if heads == 0 {
        return None;
    }
    let present = here.everyone().fold(0_u64, |sum, one| sum + u64::from(one.individual_count));
    let after = present + u64::from(here.asked.request.individual_count);
    u32::try_from((after * 1000).div_ceil(heads)).ok()
}

/// Every conversion the answer rests on, each once: the animal's own to the unit's limit, to the
/// measure of space and of the crew; its companions' to the measure of space.
fn conversions(case: &InUnit<'_>) -> Vec<Conversion> {
    let asked = case.asked();
    let mut found = BTreeMap::new();
    if asked.eggs() {
        return Vec::new();
    }
    let limit = case.unit.length_limit.map(|limit| limit.measure);
    for candidate in &asked.candidates {
        let profile = candidate.profile;
        let wanted = [limit, Some(profile.space_measure.value), Some(profile.hazard.value.measure)];
        for to in wanted.into_iter().flatten() {
            note_conversion(&mut found, profile, candidate.size, to);
        }
    }
    for (_, companion) in case.companions.iter() {
        for profile in asked.meant(&companion.scientific_name).iter() {
            let size = Size::of(profile, companion.length.as_ref());
            note_conversion(&mut found, profile, size, profile.space_measure.value);
        }
    }
    found.into_values().collect()
}

fn note_conversion(
    found: &mut BTreeMap<(String, LengthMeasure, LengthMeasure, u64), Conversion>,
    profile: &Profile,
    size: Size,
    to: LengthMeasure,
) {
    let Ok(converted) = size.in_measure(profile, to) else {
        return;
    };
    let Some(basis) = converted.basis else {
        return;
    };
    let name = profile.scientific_name.clone();
    let had = size.length.high_m;
    let key = (name.clone(), basis.from, basis.to, had.to_bits());
    found.entry(key).or_insert(Conversion {
        scientific_name: name,
        from: size.length.measure,
        to,
        from_metre: shown(had),
        to_metre: shown(converted.length.high_m),
        slope: basis.slope,
        intercept_metre: basis.intercept_m,
        kind: basis.kind,
        source: basis.source,
        note: basis.note,
        beyond_fit: basis.beyond_fit,
    });
}

fn notes(case: &InUnit<'_>, judged: &Judged<'_>, conversions: &[Conversion]) -> Vec<String> {
    let mut notes = Vec::new();
    let request = case.asked().request;
    for (rule, check) in &judged.checks {
        if check.verdict != Verdict::Pass && !rule.stands_against(check) {
            notes.push(check.sentence.clone());
        }
        notes.extend(check.note.clone());
    }
    match &request.length {
        None if case.asked().eggs() => {}
        None => notes.push(
            "the size is not stated: the largest grown animal was reckoned with; measure it".to_owned(),
        ),
        Some(length) if length.method == LengthMethod::ByEye && length.high.is_none() => {
            notes.push("the length is by eye, without an upper end: measure it at the catch".to_owned())
        }
        Some(_) => {}
    }
    if conversions.iter().any(|one| one.beyond_fit) {
        notes.push("a length lies outside those its relation was fitted on: measure instead".to_owned());
    }
    notes
}

/// What holds whatever is chosen, the gravest first.
pub(crate) fn cautions(asked: &Asked<'_>) -> Vec<String> {
    let mut cautions = Vec::new();
    let classes = asked.candidates.iter();
    let worst = classes.map(|candidate| candidate.profile.hazard.value.class).max();
    if worst >= Some(HazardClass::Severe) {
        cautions.push(
            "Danger to people: keep everybody back; only a trained crew goes near it (common practice)."
                .to_owned(),
        );
    }
    for candidate in &asked.candidates {
        let zoonosis = &candidate.profile.zoonosis.value;
        if !cautions.contains(zoonosis) {
            cautions.push(zoonosis.clone());
        }
    }
    if asked.candidates.is_empty() {
        cautions.push(unchecked(asked));
    }
    cautions.push(
        "No reason was found against the options by the rules named; local codes and licensed practice decide."
            .to_owned(),
    );
    cautions
}

/// A name without a profile is accepted; nothing that needs the profile is passed for it.
fn unchecked(asked: &Asked<'_>) -> String {
    let codes: Vec<&str> =
        RULES.iter().filter(|rule| rule.needs_species()).map(|rule| rule.rule.code).collect();
    format!(
        "No profile is known for {}: handle it as the largest and most dangerous it may be. What needs the \
         profile could not be checked, and so no place is offered: {}.",
        asked.request.scientific_name,
        codes.join(", ")
    )
}
