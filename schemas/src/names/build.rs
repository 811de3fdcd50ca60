//! Building the name list from profiles and a list a region adds.

use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::sync::Arc;

use super::{Everyday, Known, NameEntry, Names, Rank, folded, tidy};
use crate::profile::{Profile, ProfileError, ProfileFault, Profiles};

/// Members of genera, families and orders while they are being collected.
type Above = BTreeMap<String, (Rank, BTreeSet<String>)>;

impl Names {
    /// The names of these profiles.
    pub fn new(profiles: &Profiles) -> Names {
        let mut building = Building::default();
        for profile in profiles.shared() {
            building.profile(profile);
        }
        building.finish(profiles)
    }

    /// The names of these profiles and of a longer list. What the profiles say of a name stands:
    /// an entry adds names to a species, and never takes one from another.
    ///
    /// `list_version` names the list and becomes part of [`Names::version`].
    ///
    /// # Errors
    /// Entries that give a name another meaning than it already has, with their pointers.
    pub fn with_list(
        profiles: &Profiles,
        list_version: &str,
        list: &[NameEntry],
    ) -> Result<Names, ProfileError> {
        let mut building = Building::default();
        for profile in profiles.shared() {
            building.profile(profile);
        }
        let mut faults = Vec::new();
        for (at, entry) in list.iter().enumerate() {
            building.entry(entry, &format!("/{at}"), &mut faults);
        }
        if !faults.is_empty() {
            return Err(ProfileError { faults });
        }
        let mut names = building.finish(profiles);
        names.version = format!("{}+{list_version}", names.version);
        Ok(names)
    }
}

#[derive(Default)]
struct Building {
    scientific: HashMap<String, Known>,
    above: Above,
    everyday: BTreeMap<String, Everyday>,
}

impl Building {
    fn profile(&mut self, profile: &Arc<Profile>) {
        let accepted = profile.scientific_name.clone();
        self.place(&accepted, &profile.family, profile.order.name());
        for synonym in &profile.synonyms {
            self.scientific.insert(synonym.value.clone(), Known::Synonym(accepted.clone()));
        }
        for name in profile.subspecies.iter().flat_map(|subspecies| &subspecies.value) {
            self.scientific.insert(name.clone(), Known::Subspecies(accepted.clone()));
        }
        for name in &profile.common_names.value {
            self.everyday.entry(folded(name)).or_default().meant.insert(accepted.clone());
        }
        self.scientific.insert(accepted, Known::Accepted(Some(Arc::clone(profile))));
    }

    fn entry(&mut self, entry: &NameEntry, pointer: &str, faults: &mut Vec<ProfileFault>) {
        let accepted = tidy(&entry.scientific_name).into_owned();
        match self.scientific.get(&accepted) {
            None => {
                self.scientific.insert(accepted.clone(), Known::Accepted(None));
                self.place(&accepted, &entry.family, &entry.order);
            }
            Some(Known::Accepted(_)) => {}
            Some(other) => {
                let problem = format!("`{accepted}` is already known as {}", told(other));
                faults.push(ProfileFault { pointer: format!("{pointer}/scientificName"), problem });
                return;
            }
        }
        for (at, synonym) in entry.synonyms.iter().enumerate() {
            let name = tidy(synonym).into_owned();
            match self.scientific.get(&name) {
                Some(Known::Synonym(other)) if *other == accepted => {}
                Some(other) => {
                    let problem = format!("`{name}` is already known as {}", told(other));
                    faults.push(ProfileFault { pointer: format!("{pointer}/synonyms/{at}"), problem });
                }
                None => {
                    self.scientific.insert(name, Known::Synonym(accepted.clone()));
                }
            }
        }
        for name in &entry.common_names {
            self.everyday.entry(folded(name)).or_default().meant.insert(accepted.clone());
        }
    }

    fn place(&mut self, accepted: &str, family: &str, order: &str) {
        let genus = accepted.split(' ').next().unwrap_or(accepted);
        for (rank, name) in [(Rank::Genus, genus), (Rank::Family, family), (Rank::Order, order)] {
            let members = self.above.entry(name.to_owned()).or_insert((rank, BTreeSet::new()));
            members.1.insert(accepted.to_owned());
        }
    }

    fn finish(mut self, profiles: &Profiles) -> Names {
        for (name, covers) in profiles.general_names() {
            let meant = covers.iter().flat_map(|covered| self.covered(covered)).collect::<BTreeSet<_>>();
            // Local code may have taken every species away that an everyday name covers.
            if !meant.is_empty() {
                let everyday = self.everyday.entry(folded(name)).or_default();
                everyday.meant.extend(meant);
                everyday.general = true;
            }
        }
        for (name, (rank, members)) in self.above {
            let members = members.into_iter().collect();
            self.scientific.entry(name).or_insert(Known::Higher(rank, members));
        }
        Names {
            version: format!("{}/{}", profiles.name_list(), profiles.version()),
            scientific: self.scientific,
            everyday: self.everyday,
        }
    }

    /// The accepted names a species, genus, family or order covers.
    fn covered(&self, name: &str) -> Vec<String> {
        match (self.scientific.get(name), self.above.get(name)) {
            (Some(Known::Accepted(_)), _) => vec![name.to_owned()],
            (_, Some((_, members))) => members.iter().cloned().collect(),
            _ => Vec::new(),
        }
    }
}

fn told(known: &Known) -> String {
    match known {
        Known::Accepted(_) => "an accepted name".to_owned(),
        Known::Synonym(accepted) => format!("a synonym of {accepted}"),
        Known::Subspecies(accepted) => format!("a subspecies of {accepted}"),
        Known::Higher(..) => "a genus, family or order".to_owned(),
    }
}
