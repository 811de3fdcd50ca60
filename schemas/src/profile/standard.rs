//! The set of profiles: the shipped file, and local code laid over it.

use std::collections::BTreeMap;
use std::sync::{Arc, LazyLock};

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::{Map, Value};

use super::overrides::{Origin, RESERVED, is_binomial, patch_defaults, patch_species, read_sources};
use super::{Group, Profile, ProfileError, ProfileFault, TaxonOrder, checks, merge_patch};
use crate::pointer::token;

/// Where values come from: one entry of the `sources` table.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct SourceEntry {
    /// Title, and where it can be found.
    pub title: String,
    /// How far it goes, or why to be careful with it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// The file as written: defaults and species still apart.
#[derive(Debug, Clone, Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
struct Document {
    version: String,
    name_list: String,
    sources: BTreeMap<String, SourceEntry>,
    general_names: BTreeMap<String, Vec<String>>,
    defaults: Map<String, Value>,
    species: Map<String, Value>,
}

/// All profiles by accepted name, with the tables that belong to them.
#[derive(Debug, Clone)]
pub struct Profiles {
    document: Document,
    by_name: BTreeMap<String, Arc<Profile>>,
}

// A shipped file that cannot be read is a fault of the build: it stops the start, and a test reads it.
#[allow(clippy::expect_used)]
static STANDARD: LazyLock<Profiles> = LazyLock::new(|| {
    Profiles::from_json(include_str!("../../data/species.json")).expect("shipped species.json")
});

impl Profiles {
    /// The shipped profiles.
    pub fn standard() -> &'static Profiles {
        &STANDARD
    }

    /// Reads a file of the shape of the shipped `species.json`.
    ///
    /// # Errors
    /// Every member that cannot be read, has an unknown source or makes no sense, with its pointer.
    pub fn from_json(text: &str) -> Result<Profiles, ProfileError> {
        let document: Document =
            serde_json::from_str(text).map_err(|problem| ProfileError::one("", problem.to_string()))?;
        Profiles::resolve(document, None)
    }

    /// The profiles with local code laid over them.
    ///
    /// `overrides` is an object of JSON merge patches (RFC 7396; a sourced value is replaced
    /// whole, see [`merge_patch`]) by scientific name. `null` for a member goes back to the
    /// default of the group or order, `null` for a species takes it away, an unknown name adds
    /// a species. Three members are no names: `sources` (added to the table), `defaults` (patches
    /// by order or group) and `version` (which the version of the result ends in).
    ///
    /// # Errors
    /// Every fault with its pointer into `overrides`.
    pub fn with_overrides(&self, overrides: &Value) -> Result<Profiles, ProfileError> {
        let Some(members) = overrides.as_object() else {
            return Err(ProfileError::one("", "must be an object of patches by scientific name"));
        };
        let mut document = self.document.clone();
        let local = match members.get("version") {
            None => "local",
            Some(Value::String(version)) => version,
            Some(_) => return Err(ProfileError::one("/version", "must be text")),
        };
        document.version = format!("{}+{local}", document.version);
        if let Some(sources) = members.get("sources") {
            document.sources.extend(read_sources(sources)?);
        }
        if let Some(defaults) = members.get("defaults") {
            patch_defaults(&mut document.defaults, defaults)?;
        }
        for (name, patch) in members.iter().filter(|(name, _)| !RESERVED.contains(&name.as_str())) {
            patch_species(&mut document.species, name, patch)?;
        }
        Profiles::resolve(document, Some(members))
    }

    /// The profile of an accepted name; synonyms are the business of [`Names`](crate::names::Names).
    pub fn get(&self, accepted: &str) -> Option<&Profile> {
        self.by_name.get(accepted).map(Arc::as_ref)
    }

    /// The same, to be kept.
    pub fn get_shared(&self, accepted: &str) -> Option<Arc<Profile>> {
        self.by_name.get(accepted).map(Arc::clone)
    }

    /// Every profile, by accepted name.
    pub fn iter(&self) -> impl Iterator<Item = &Profile> {
        self.by_name.values().map(Arc::as_ref)
    }

    /// Number of species.
    pub fn len(&self) -> usize {
        self.by_name.len()
    }

    /// Whether there is no species at all.
    pub fn is_empty(&self) -> bool {
        self.by_name.is_empty()
    }

    /// Version of the profiles; overrides append theirs after a `+`.
    pub fn version(&self) -> &str {
        &self.document.version
    }

    /// Edition of the list that accepted names follow.
    pub fn name_list(&self) -> &str {
        &self.document.name_list
    }

    /// The table that `source` keys refer to.
    pub fn sources(&self) -> &BTreeMap<String, SourceEntry> {
        &self.document.sources
    }

    /// What to show for a source: the title of a key, a marker as it stands.
    pub fn source_title<'a>(&'a self, source: &'a str) -> &'a str {
        self.document.sources.get(source).map_or(source, |entry| &entry.title)
    }

    /// Everyday and outdated names that cover several species, with the names they cover.
    pub(crate) fn general_names(&self) -> &BTreeMap<String, Vec<String>> {
        &self.document.general_names
    }

    pub(crate) fn shared(&self) -> impl Iterator<Item = &Arc<Profile>> {
        self.by_name.values()
    }

    fn resolve(document: Document, overrides: Option<&Map<String, Value>>) -> Result<Profiles, ProfileError> {
        let mut by_name = BTreeMap::new();
        let mut faults = Vec::new();
        for (name, written) in &document.species {
            let origin = Origin { name, written, overrides };
            match resolve_one(&document, name, written) {
                Ok(profile) => {
                    by_name.insert(name.clone(), Arc::new(profile));
                }
                Err(found) => faults.extend(
                    found
                        .into_iter()
                        .map(|(place, problem)| ProfileFault { pointer: origin.pointer(&place), problem }),
                ),
            }
        }
        faults.extend(names_used_twice(&by_name, overrides));
        if faults.is_empty() { Ok(Profiles { document, by_name }) } else { Err(ProfileError { faults }) }
    }
}

fn resolve_one(document: &Document, name: &str, written: &Value) -> Result<Profile, Vec<checks::Fault>> {
    if !is_binomial(name) {
        return Err(vec![(String::new(), "not a scientific name of the form `Genus species`".into())]);
    }
    let mut full = Value::Object(Map::new());
    let layers =
        [layer::<TaxonOrder>(document, written, "order"), layer::<Group>(document, written, "group")];
    for found in layers {
        merge_patch(&mut full, found?);
    }
    merge_patch(&mut full, written);
    merge_patch(&mut full, &serde_json::json!({ "scientificName": name }));
    let mut faults = full.as_object().map(checks::unreadable).unwrap_or_default();
    checks::unknown_sources(&full, &document.sources, "", &mut faults);
    if !faults.is_empty() {
        return Err(faults);
    }
    let profile: Profile =
        serde_json::from_value(full).map_err(|problem| vec![(String::new(), problem.to_string())])?;
    match checks::senseless(&profile) {
        faults if faults.is_empty() => Ok(profile),
        faults => Err(faults),
    }
}

/// The defaults a species inherits through its order or its group.
fn layer<'a, T: serde::de::DeserializeOwned>(
    document: &'a Document,
    written: &Value,
    member: &str,
) -> Result<&'a Value, Vec<checks::Fault>> {
    let place = format!("/{member}");
    let Some(value) = written.get(member) else {
        return Err(vec![(place, "missing: a species needs `order`, `family` and `group`".into())]);
    };
    if let Err(problem) = serde_json::from_value::<T>(value.clone()) {
        return Err(vec![(place, problem.to_string())]);
    }
    let key = value.as_str().unwrap_or_default();
    document.defaults.get(key).ok_or_else(|| vec![(place, format!("`defaults` has no entry `{key}`"))])
}

/// Scientific names that would mean two species.
fn names_used_twice(
    profiles: &BTreeMap<String, Arc<Profile>>,
    overrides: Option<&Map<String, Value>>,
) -> Vec<ProfileFault> {
    let mut meant: BTreeMap<&str, &str> =
        profiles.keys().map(|name| (name.as_str(), name.as_str())).collect();
    let mut faults = Vec::new();
    let root = if overrides.is_some() { "" } else { "/species" };
    for profile in profiles.values() {
        let accepted = profile.scientific_name.as_str();
        let synonyms =
            profile.synonyms.iter().enumerate().map(|(at, s)| (format!("synonyms/{at}/value"), &s.value));
        let subspecies = profile.subspecies.iter().flat_map(|s| s.value.iter().enumerate());
        let subspecies = subspecies.map(|(at, name)| (format!("subspecies/value/{at}"), name));
        for (place, name) in synonyms.chain(subspecies) {
            if let Some(other) = meant.insert(name, accepted) {
                let problem = format!("`{name}` already means {other}");
                faults.push(ProfileFault { pointer: format!("{root}/{}/{place}", token(accepted)), problem });
            }
        }
    }
    faults
}
