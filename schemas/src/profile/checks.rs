//! Checks of a profile's members, one by one so that a fault names its place.

use std::collections::BTreeMap;

use serde::de::DeserializeOwned;
use serde_json::{Map, Value};

use crate::vocabulary::LengthMeasure;

use super::{
    AdultSize, BasinStatus, COMMON_PRACTICE, Diet, FROM_MEMORY, Group, Hazard, Incubation, LengthRelation,
    LivingTogether, Profile, QuarantineRestart, SeasonalRest, SexDetermination, SourceEntry, Sourced,
    SpaceRule, TaxonOrder, TemperatureBand, TreatyListing,
};
use crate::pointer::token;

/// A fault inside one profile: pointer below the species, and what is wrong.
pub(super) type Fault = (String, String);

/// The members of a profile that cannot be read, each with its place.
pub(super) fn unreadable(members: &Map<String, Value>) -> Vec<Fault> {
    let of = |(name, value): (&String, &Value)| {
        let (below, problem) = member(name, value)?;
        Some((format!("/{}{below}", token(name)), problem))
    };
    members.iter().filter_map(of).collect()
}

fn member(name: &str, value: &Value) -> Option<Fault> {
    match name {
        "scientificName" | "family" => plain::<String>(value),
        "order" => plain::<TaxonOrder>(value),
        "group" => plain::<Group>(value),
        "commonNames" | "subspecies" => sourced::<Vec<String>>(value),
        "synonyms" => list::<Sourced<String>>(value),
        "lengthRelations" => list::<LengthRelation>(value),
        "spaceMeasure" | "fieldMeasure" => sourced::<LengthMeasure>(value),
        "adultSize" => sourced::<AdultSize>(value),
        "treaty" => sourced::<TreatyListing>(value),
        "diet" => sourced::<Diet>(value),
        "keepingTemperature" | "transportTemperature" | "transportAlarm" | "lethalOutside" => {
            sourced::<TemperatureBand>(value)
        }
        "seasonalRest" => sourced::<SeasonalRest>(value),
        "quarantineDays" => sourced::<u16>(value),
        "quarantineRestart" => sourced::<QuarantineRestart>(value),
        "space" => sourced::<SpaceRule>(value),
        "living" => sourced::<LivingTogether>(value),
        "hazard" => sourced::<Hazard>(value),
        "zoonosis" => sourced::<String>(value),
        "neverRelease" => sourced::<bool>(value),
        "basins" => basins(value),
        "incubation" => sourced::<Incubation>(value),
        "sexDetermination" => sourced::<SexDetermination>(value),
        _ => Some((String::new(), "no such member of a profile; see schemas/data/README.md".into())),
    }
}

fn plain<T: DeserializeOwned>(value: &Value) -> Option<Fault> {
    let problem = serde_json::from_value::<T>(value.clone()).err()?;
    Some((String::new(), problem.to_string()))
}

fn list<T: DeserializeOwned>(value: &Value) -> Option<Fault> {
    let Some(items) = value.as_array() else {
        return Some((String::new(), "must be a list".into()));
    };
    let faulty = |(at, item)| Some((format!("/{at}"), plain::<T>(item)?.1));
    items.iter().enumerate().find_map(faulty)
}

fn sourced<T: DeserializeOwned>(value: &Value) -> Option<Fault> {
    let Some(inner) = value.as_object().and_then(|members| members.get("value")) else {
        let mend = "must be an object with `value` and `source`: say where the figure comes from";
        return Some((String::new(), mend.into()));
    };
    if let Some((_, problem)) = plain::<T>(inner) {
        return Some(("/value".into(), problem));
    }
    plain::<Sourced<Value>>(value)
}

fn basins(value: &Value) -> Option<Fault> {
    let Some(members) = value.as_object() else {
        return Some((String::new(), "must be an object of basins by region id".into()));
    };
    let faulty = |(name, status): (&String, &Value)| {
        Some((format!("/{}", token(name)), plain::<BasinStatus>(status)?.1))
    };
    members.iter().find_map(faulty)
}

/// Every `source` below a value that is neither in the table nor a marker.
pub(super) fn unknown_sources(
    value: &Value,
    sources: &BTreeMap<String, SourceEntry>,
    at: &str,
    found: &mut Vec<Fault>,
) {
    match value {
        Value::Object(members) => {
            for (name, inner) in members {
                let place = format!("{at}/{}", token(name));
                match (name.as_str(), inner.as_str()) {
                    ("source", Some(key)) if !is_source(key, sources) => {
                        let problem = format!(
                            "`{key}` is not in `sources`; add it there, or write \
                             \"{COMMON_PRACTICE}\" or \"{FROM_MEMORY}\""
                        );
                        found.push((place, problem));
                    }
                    _ => unknown_sources(inner, sources, &place, found),
                }
            }
        }
        Value::Array(items) => {
            for (index, inner) in items.iter().enumerate() {
                unknown_sources(inner, sources, &format!("{at}/{index}"), found);
            }
        }
        _ => {}
    }
}

fn is_source(key: &str, sources: &BTreeMap<String, SourceEntry>) -> bool {
    key == COMMON_PRACTICE || key == FROM_MEMORY || sources.contains_key(key)
}

/// Values that can be read but make no sense.
pub(super) fn senseless(profile: &Profile) -> Vec<Fault> {
    let mut found = Vec::new();
    let mut must = |holds: bool, place: &str, problem: &str| {
        if !holds {
            found.push((place.to_owned(), problem.to_owned()));
        }
    };
    let crocodilian = profile.order == TaxonOrder::Crocodylia;
    let in_group = profile.group == Group::Crocodilian;
    must(crocodilian == in_group, "/group", "group and order contradict each other");
    let size = profile.adult_size.value;
    let sizes_rise = size.typical_m > 0.0 && size.typical_m <= size.largest_m;
    must(sizes_rise, "/adultSize/value", "must hold 0 < typicalM <= largestM");
    let bands = [
        ("/keepingTemperature/value", Some(&profile.keeping_temperature)),
        ("/transportTemperature/value", Some(&profile.transport_temperature)),
        ("/transportAlarm/value", Some(&profile.transport_alarm)),
        ("/lethalOutside/value", profile.lethal_outside.as_ref()),
    ];
    for (place, band) in bands {
        let rises = band.is_none_or(|band| band.value.low_c < band.value.high_c);
        must(rises, place, "lowC must be below highC");
    }
    must(profile.quarantine_days.value > 0, "/quarantineDays/value", "must be at least 1 day");
    must(profile.living.value.max_size_ratio >= 1.0, "/living/value", "maxSizeRatio must be at least 1");
    must(space_is_positive(&profile.space.value), "/space/value", "every figure must be above 0");
    let crew_sensible = profile.hazard.value.crew.iter().all(|step| step.people > 0 && step.over_m >= 0.0);
    must(crew_sensible, "/hazard/value/crew", "people must be at least 1, overM at least 0");
    for (region, status) in &profile.basins {
        let known = status.sensitivity.as_ref().is_none_or(|s| (1..=4).contains(&s.value));
        let place = format!("/basins/{}/sensitivity/value", token(region));
        must(known, &place, "sensitivity categories are 1 (extreme) to 4 (low)");
    }
    for (index, line) in profile.length_relations.iter().enumerate() {
        let place = format!("/lengthRelations/{index}");
        must(line.slope > 0.0 && line.from != line.to, &place, "needs two measures and a slope above 0");
    }
    if let Some(incubation) = &profile.incubation {
        let window =
            incubation.value.days_low > 0.0 && incubation.value.days_low <= incubation.value.days_high;
        must(window, "/incubation/value", "must hold 0 < daysLow <= daysHigh");
    }
    must(is_date(&profile.treaty.value.as_of), "/treaty/value/asOf", "must be YYYY, YYYY-MM or YYYY-MM-DD");
    found
}

fn space_is_positive(rule: &SpaceRule) -> bool {
    let figures: &[f64] = match rule {
        SpaceRule::Crocodilian {
            land_length,
            land_width,
            water_length,
            water_width,
            depth,
            height_limit_m,
            ..
        } => &[*land_length, *land_width, *water_length, *water_width, *depth, *height_limit_m],
        SpaceRule::Aquatic { water_length, water_width, depth, height_limit_m, .. } => {
            &[*water_length, *water_width, *depth, *height_limit_m]
        }
        SpaceRule::Floor { base_animals, base_m2, .. } => &[f64::from(*base_animals), *base_m2],
    };
    figures.iter().all(|figure| *figure > 0.0)
}

fn is_date(text: &str) -> bool {
    let digits = |part: &str, length: usize| part.len() == length && part.bytes().all(|b| b.is_ascii_digit());
    let mut parts = text.split('-');
    parts.next().is_some_and(|year| digits(year, 4))
        && text.split('-').count() <= 3
        && parts.all(|part| digits(part, 2))
}
