//! Names: which species a written name means, by a name list with a version.
//!
//! A scientific name is taken as written, apart from spaces: a wrong capital
//! or a slip of the pen is answered with suggestions and never put right
//! silently, because a record keeps what its writer wrote. Everyday names are
//! understood whatever their capitals, but they name no commodity.
//!
//! Knows profiles; knows nothing of records or accounts.

mod build;
mod suggestions;
#[cfg(test)]
mod tests;

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::sync::{Arc, LazyLock};

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::profile::{Profile, Profiles};

/// An accepted name without a profile, from a longer list a region may add.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct NameEntry {
    /// Accepted name.
    pub scientific_name: String,
    /// Order.
    pub order: String,
    /// Family.
    pub family: String,
    /// Other scientific names that mean it.
    #[serde(default)]
    pub synonyms: Vec<String>,
    /// Everyday names.
    #[serde(default)]
    pub common_names: Vec<String>,
}

/// Rank above species.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub enum Rank {
    /// Genus, such as `Nilssonia`.
    Genus,
    /// Family, such as `Trionychidae`.
    Family,
    /// Order, such as `Testudines`.
    Order,
}

/// What a written name means.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "meaning", rename_all = "camelCase", rename_all_fields = "camelCase")]
pub enum Resolution {
    /// An accepted name.
    Accepted {
        /// The name.
        accepted: String,
    },
    /// Another scientific name of a species.
    Synonym {
        /// The accepted name.
        accepted: String,
    },
    /// A subspecies; counted as its species.
    Subspecies {
        /// The accepted name of the species.
        accepted: String,
    },
    /// A genus, family or order.
    Higher {
        /// Which rank.
        rank: Rank,
        /// Accepted names in it, sorted.
        members: Vec<String>,
    },
    /// A hybrid, `A x B`.
    Hybrid {
        /// The parents in the order written: accepted names, or verbatim where unknown.
        parents: Vec<String>,
    },
    /// An everyday name of one species.
    Common {
        /// The accepted name.
        accepted: String,
    },
    /// An everyday or outdated name of several species: ask back.
    AmbiguousCommon {
        /// Accepted names it may mean, sorted.
        candidates: Vec<String>,
    },
    /// Not known.
    Unknown {
        /// Accepted names that come near, best first, three at most.
        suggestions: Vec<String>,
    },
}

/// A scientific name the list knows.
#[derive(Debug, Clone)]
enum Known {
    Accepted(Option<Arc<Profile>>),
    Synonym(String),
    Subspecies(String),
    Higher(Rank, Vec<String>),
}

/// The name list: profiles, and the names a region adds.
#[derive(Debug, Clone)]
pub struct Names {
    version: String,
    scientific: HashMap<String, Known>,
    /// Everyday names, folded.
    everyday: BTreeMap<String, Everyday>,
}

/// What an everyday name may mean.
#[derive(Debug, Clone, Default)]
struct Everyday {
    /// Accepted names, sorted.
    meant: BTreeSet<String>,
    /// Covers more than the species listed: asks back even where only one has a profile.
    general: bool,
}

impl Everyday {
    /// The one species meant, if nothing has to be asked back.
    fn only(&self) -> Option<&String> {
        if self.general || self.meant.len() != 1 { None } else { self.meant.first() }
    }
}

static STANDARD: LazyLock<Names> = LazyLock::new(|| Names::new(Profiles::standard()));

impl Names {
    /// The names of the shipped profiles.
    pub fn standard() -> &'static Names {
        &STANDARD
    }

    /// Version: edition of the name list, version of the profiles, and any list added.
    pub fn version(&self) -> &str {
        &self.version
    }

    /// What a written name means.
    pub fn resolve(&self, name: &str) -> Resolution {
        let tidy = tidy(name);
        match self.scientific.get(tidy.as_ref()) {
            Some(Known::Accepted(_)) => {
                return Resolution::Accepted { accepted: tidy.into_owned() };
            }
            Some(Known::Synonym(accepted)) => {
                return Resolution::Synonym { accepted: accepted.clone() };
            }
            Some(Known::Subspecies(accepted)) => {
                return Resolution::Subspecies { accepted: accepted.clone() };
            }
            Some(Known::Higher(rank, members)) => {
                return Resolution::Higher { rank: *rank, members: members.clone() };
            }
            None => {}
        }
        if let Some(parents) = parents(&tidy) {
            let named = |parent: &str| self.commodity(parent).into_owned();
            return Resolution::Hybrid { parents: parents.into_iter().map(named).collect() };
        }
        let Some(everyday) = self.everyday.get(&folded(&tidy)) else {
            return Resolution::Unknown { suggestions: self.suggestions(&tidy) };
        };
        match everyday.only() {
            Some(accepted) => Resolution::Common { accepted: accepted.clone() },
            None => Resolution::AmbiguousCommon { candidates: everyday.meant.iter().cloned().collect() },
        }
    }

    /// The name a ledger counts under: the accepted name of a species, a genus, family or order
    /// as written, a hybrid with each parent's accepted name, any other name verbatim, trimmed.
    ///
    /// An unknown name is its own commodity, and so is an everyday name.
    pub fn commodity<'a>(&'a self, name: &'a str) -> Cow<'a, str> {
        // Nearly every record writes an accepted name without a stray space: one look-up.
        if let Some(known) = self.counted_as(name) {
            return known;
        }
        let tidy = tidy(name);
        if let Cow::Owned(tidy) = &tidy
            && let Some(known) = self.counted_as(tidy)
        {
            return Cow::Owned(known.into_owned());
        }
        match parents(&tidy) {
            Some(parents) => {
                let named: Vec<Cow<str>> = parents.iter().map(|parent| self.commodity(parent)).collect();
                Cow::Owned(named.join(" x "))
            }
            None => Cow::Borrowed(name.trim()),
        }
    }

    /// The profiles a name covers: one for a species, all with a profile for a genus, family or
    /// order, both parents' for a hybrid, none for a name that is not known.
    pub fn members(&self, name: &str) -> Vec<&Profile> {
        let tidy = tidy(name);
        match self.scientific.get(tidy.as_ref()) {
            Some(Known::Accepted(profile)) => profile.iter().map(Arc::as_ref).collect(),
            Some(Known::Synonym(accepted) | Known::Subspecies(accepted)) => self.members(accepted),
            Some(Known::Higher(_, members)) => {
                members.iter().flat_map(|member| self.members(member)).collect()
            }
            None => {
                let parents = parents(&tidy).unwrap_or_default();
                parents.into_iter().flat_map(|parent| self.members(parent)).collect()
            }
        }
    }

    /// The profile of the one species a scientific name means, synonyms and subspecies included.
    pub fn profile(&self, name: &str) -> Option<&Profile> {
        match self.scientific.get(tidy(name).as_ref())? {
            Known::Accepted(profile) => profile.as_deref(),
            Known::Synonym(accepted) | Known::Subspecies(accepted) => self.profile(accepted),
            Known::Higher(..) => None,
        }
    }

    fn counted_as<'a>(&'a self, tidy: &'a str) -> Option<Cow<'a, str>> {
        match self.scientific.get(tidy)? {
            Known::Accepted(_) | Known::Higher(..) => Some(Cow::Borrowed(tidy)),
            Known::Synonym(accepted) | Known::Subspecies(accepted) => Some(Cow::Borrowed(accepted)),
        }
    }
}

/// The name without outer spaces and with single inner ones.
fn tidy(name: &str) -> Cow<'_, str> {
    let trimmed = name.trim();
    let spaced = |pair: &[u8]| pair == b"  " || pair.iter().any(|byte| *byte < b' ' || *byte >= 0x80);
    if trimmed.as_bytes().windows(2).any(spaced) {
        return Cow::Owned(trimmed.split_whitespace().collect::<Vec<_>>().join(" "));
    }
    Cow::Borrowed(trimmed)
}

/// The parents of a hybrid written `A x B`, with the letter or the multiplication sign.
fn parents(tidy: &str) -> Option<Vec<&str>> {
    let signs = [" x ", " X ", " \u{d7} "];
    let sign = signs.into_iter().find(|sign| tidy.contains(*sign))?;
    let parents: Vec<&str> = tidy.split(sign).collect();
    parents.iter().all(|parent| !parent.is_empty()).then_some(parents)
}

/// An everyday name without capitals, hyphens and apostrophes.
fn folded(name: &str) -> String {
    let kept = name.chars().filter(|c| !matches!(c, '\'' | '\u{2019}'));
    let spaced: String = kept.map(|c| if c == '-' { ' ' } else { c }).collect();
    spaced.to_lowercase().split_whitespace().collect::<Vec<_>>().join(" ")
}
