//! Local code laid over the shipped profiles.

use std::collections::BTreeMap;

use serde_json::{Map, Value};

use super::{ProfileError, SourceEntry, merge_patch};
use crate::pointer::token;

/// Members of an override that are not scientific names.
pub(super) const RESERVED: [&str; 3] = ["version", "sources", "defaults"];

/// Which layer a fault came from, so that its pointer leads to what was written.
pub(super) struct Origin<'a> {
    pub(super) name: &'a str,
    pub(super) written: &'a Value,
    pub(super) overrides: Option<&'a Map<String, Value>>,
}

impl Origin<'_> {
    /// The place of a fault in what was written.
    pub(super) fn pointer(&self, place: &str) -> String {
        let name = token(self.name);
        let Some(overrides) = self.overrides else {
            return format!("/species/{name}{place}");
        };
        let member = place.split('/').nth(1).unwrap_or_default();
        let in_species = overrides.get(self.name).is_some_and(|patch| patch.get(member).is_some());
        if in_species || member.is_empty() {
            return format!("/{name}{place}");
        }
        let layers = ["group", "order"].into_iter().filter_map(|layer| self.written.get(layer)?.as_str());
        let defaults = overrides.get("defaults");
        let patched =
            |layer: &&str| defaults.is_some_and(|d| d.get(*layer).is_some_and(|p| p.get(member).is_some()));
        match layers.into_iter().find(patched) {
            Some(layer) => format!("/defaults/{}{place}", token(layer)),
            None => format!("/{name}{place}"),
        }
    }
}

pub(super) fn read_sources(sources: &Value) -> Result<BTreeMap<String, SourceEntry>, ProfileError> {
    let Some(members) = sources.as_object() else {
        return Err(ProfileError::one("/sources", "must be an object of sources by key"));
    };
    let read = |(key, entry): (&String, &Value)| match serde_json::from_value(entry.clone()) {
        Ok(entry) => Ok((key.clone(), entry)),
        Err(problem) => Err(ProfileError::one(format!("/sources/{}", token(key)), problem.to_string())),
    };
    members.iter().map(read).collect()
}

pub(super) fn patch_defaults(defaults: &mut Map<String, Value>, patch: &Value) -> Result<(), ProfileError> {
    let Some(members) = patch.as_object() else {
        return Err(ProfileError::one("/defaults", "must be an object of patches by order or group"));
    };
    for (layer, patch) in members {
        let Some(target) = defaults.get_mut(layer) else {
            let known: Vec<&str> = defaults.keys().map(String::as_str).collect();
            let problem = format!("no such order or group; known are {}", known.join(", "));
            return Err(ProfileError::one(format!("/defaults/{}", token(layer)), problem));
        };
        if !patch.is_object() {
            return Err(ProfileError::one(format!("/defaults/{}", token(layer)), "must be an object"));
        }
        merge_patch(target, patch);
    }
    Ok(())
}

pub(super) fn patch_species(
    species: &mut Map<String, Value>,
    name: &str,
    patch: &Value,
) -> Result<(), ProfileError> {
    let pointer = format!("/{}", token(name));
    if !is_binomial(name) {
        let problem =
            "not a scientific name of the form `Genus species`; other members are sources, defaults, version";
        return Err(ProfileError::one(pointer, problem));
    }
    match patch {
        Value::Null => {
            species.remove(name);
        }
        Value::Object(_) => merge_patch(species.entry(name).or_insert(Value::Null), patch),
        _ => {
            return Err(ProfileError::one(pointer, "must be an object, or null to take the species away"));
        }
    }
    Ok(())
}

/// `Genus species`, ASCII letters only: what accepted names look like.
pub(super) fn is_binomial(name: &str) -> bool {
    let Some((genus, epithet)) = name.split_once(' ') else {
        return false;
    };
    let lower = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_lowercase());
    genus.bytes().next().is_some_and(|b| b.is_ascii_uppercase()) && lower(&genus[1..]) && lower(epithet)
}
