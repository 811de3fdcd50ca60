//! What names and taxa mean that a region writes.

use std::sync::Arc;

use haulout_schemas::profile::Profile;
use indexmap::IndexMap;
use rustc_hash::{FxBuildHasher, FxHashSet};

use super::OfUnit;
use crate::species::Species;
use crate::view::{Centre, Unit};

type Numbered<K, V> = IndexMap<K, V, FxBuildHasher>;

/// Each word under a number that it keeps. One that is written no longer stays and does no harm.
#[derive(Debug, Clone, Default)]
pub(super) struct Words {
    pub names: Numbered<String, Vec<Arc<Profile>>>,
    /// Accepted names that a taxon holds by the name list.
    pub taxa: Numbered<String, FxHashSet<String>>,
    /// Lists of what units are meant for.
    pub suits: Numbered<Vec<String>, ()>,
}

impl Words {
    /// Names by their numbers.
    pub fn numbered(&mut self, heads: Vec<(&str, u32)>, species: Species<'_>) -> Vec<(usize, u32)> {
        heads.into_iter().map(|(name, heads)| (self.name(name, species), heads)).collect()
    }

    fn name(&mut self, name: &str, species: Species<'_>) -> usize {
        self.names.get_index_of(name).unwrap_or_else(|| {
            let meant = species.meant_by(name).into_iter();
            let meant = meant.filter_map(|profile| species.profiles.get_shared(&profile.scientific_name));
            self.names.insert_full(name.to_owned(), meant.collect()).0
        })
    }

    /// Takes up what a centre's licences write.
    pub fn licensed(&mut self, centre: &Centre, species: Species<'_>) {
        centre.licences.iter().for_each(|line| self.taxa(&line.scope, species));
    }

    pub fn taxa(&mut self, taxa: &[String], species: Species<'_>) {
        for taxon in taxa {
            if !self.taxa.contains_key(taxon) {
                let held = species.held_by(taxon).into_iter().map(str::to_owned).collect();
                self.taxa.insert(taxon.clone(), held);
            }
        }
    }

    pub fn unit(&mut self, unit: &Unit, empty: u32, species: Species<'_>) -> OfUnit {
        let suits = self.suits.get_index_of(&unit.suits).unwrap_or_else(|| {
            self.taxa(&unit.suits, species);
            self.suits.insert_full(unit.suits.clone(), ()).0
        });
        OfUnit { suits, kind: unit.unit_kind, empty }
    }
}
