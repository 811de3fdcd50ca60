//! The invented basin: parties, centres, holding points, and who keeps what.
//!
//! Its coordinates lie in the open sea, so that no real place is spoken of.

use serde::Serialize;

use crate::species::{self, SpeciesIx};

/// Index into [`Basin::parties`].
pub(crate) type PartyIx = usize;
/// Index into [`Basin::places`].
pub(crate) type PlaceIx = usize;

/// What a party is.
#[derive(Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub(crate) enum Role {
    Centre,
    Agency,
    Coordination,
    Authority,
    Laboratory,
}

/// How a party keeps its books.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum Habit {
    /// Posts each night in the small hours.
    Punctual,
    /// Posts a few days late.
    Late,
    /// Writes in haste and mends it with later revisions.
    Corrects,
    /// Counts lots, names no animal, writes days without hours.
    LotsOnly,
}

/// Whoever writes.
pub(crate) struct Party {
    pub id: String,
    pub role: Role,
    pub name: String,
    pub habit: Habit,
    /// A short mark for numbers in its own books, no two alike.
    pub mark: String,
    pub at: (f64, f64),
}

/// Where animals can stand: a centre, or a holding point.
pub(crate) struct Place {
    pub id: String,
    pub name: String,
    pub keeper: PartyIx,
    pub point: bool,
    /// Six neighbouring centres form a reach of the river; permits and seizures stay in it.
    pub reach: usize,
    pub keeps: Vec<SpeciesIx>,
    /// Names that the licence lists.
    pub licensed: &'static [&'static str],
    pub at: (f64, f64),
}

/// Parties and places.
pub(crate) struct Basin {
    pub parties: Vec<Party>,
    pub places: Vec<Place>,
    /// How many of the places, from the first, are centres.
    pub centres: usize,
    pub coordination: PartyIx,
    pub authority: PartyIx,
    pub laboratory: PartyIx,
}

/// The region's prefix.
pub(crate) const REGION: &str = "meruva";

/// What a centre of each profile keeps, and what its licence lists.
const PROFILES: [(&[&str], &[&str]); 6] = [
    (
        &[
            "Crocodylus palustris",
            "Gavialis gangeticus",
            "Pangshura tentoria",
            "Nilssonia gangetica",
            "Hardella thurjii",
        ],
        &["Crocodylidae", "Gavialidae", "Geoemydidae", "Trionychidae"],
    ),
    (
        &[
            "Lissemys punctata",
            "Nilssonia gangetica",
            "Nilssonia hurum",
            "Geoclemys hamiltonii",
            "Pangshura tecta",
            "Crocodylus palustris",
        ],
        &["Crocodylidae", "Geoemydidae", "Trionychidae"],
    ),
    (
        &[
            "Gavialis gangeticus",
            "Crocodylus palustris",
            "Batagur dhongoka",
            "Hardella thurjii",
            "Geoclemys hamiltonii",
            "Nilssonia gangetica",
        ],
        &["Crocodylidae", "Gavialidae", "Geoemydidae", "Trionychidae"],
    ),
    (
        &[
            "Nilssonia gangetica",
            "Nilssonia hurum",
            "Pangshura tecta",
            "Pangshura tentoria",
            "Lissemys punctata",
            "Batagur dhongoka",
            "Trachemys scripta",
        ],
        &["Emydidae", "Geoemydidae", "Trionychidae"],
    ),
    (&["Indotestudo elongata", "Manouria emys"], &["Testudinidae"]),
    (
        &[
            "Crocodylus porosus",
            "Crocodylus palustris",
            "Hardella thurjii",
            "Pangshura tecta",
            "Trachemys scripta",
            "Lissemys punctata",
        ],
        &["Crocodylidae", "Emydidae", "Geoemydidae", "Trionychidae"],
    ),
];

const NAMED: [&str; 6] = ["kolvani", "desharu", "ombari", "velitha", "thulmar", "saivera"];
const HEADS: [&str; 12] =
    ["tar", "nim", "per", "sol", "var", "kesh", "lom", "bri", "dun", "ash", "mir", "gol"];
const TAILS: [&str; 10] =
    ["ovati", "eshar", "undi", "alvi", "ikhet", "omari", "ethu", "ashin", "irova", "ulma"];

/// Name of the centre of this index: the six of the story, then invented ones that never repeat.
fn centre_name(index: usize) -> String {
    if let Some(name) = NAMED.get(index) {
        return (*name).to_owned();
    }
    let index = index - NAMED.len();
    let head = HEADS[index % HEADS.len()];
    let tail = TAILS[(index / HEADS.len() + index) % TAILS.len()];
    let round = index / (HEADS.len() * TAILS.len());
    if round == 0 { format!("{head}{tail}") } else { format!("{head}{tail}{round}") }
}

fn capital(word: &str) -> String {
    let mut letters = word.chars();
    letters
        .next()
        .map(|first| first.to_uppercase().collect::<String>() + letters.as_str())
        .unwrap_or_default()
}

/// A place on the invented river, `step` places below its source.
fn on_the_river(step: usize, aside: f64) -> (f64, f64) {
    let step = step as f64;
    let bend = [0.0, 0.09, 0.15, 0.11, 0.02, -0.06][step as usize % 6];
    let round = |x: f64| (x * 1000.0).round() / 1000.0;
    (round(17.9 - 0.07 * step + bend + aside), round(88.2 + 0.11 * step - bend / 2.0))
}

impl Basin {
    /// A basin of so many centres.
    pub(crate) fn of(centres: usize) -> Self {
        let mut parties = Vec::new();
        let mut places = Vec::new();
        for index in 0..centres {
            let name = centre_name(index);
            let (keeps, licensed) = PROFILES[index % 6];
            let habit = match index % 6 {
                3 => Habit::Corrects,
                4 => Habit::LotsOnly,
                5 => Habit::Late,
                _ => Habit::Punctual,
            };
            let at = on_the_river(index, 0.0);
            places.push(Place {
                id: format!("{REGION}.{name}"),
                name: capital(&name),
                keeper: parties.len(),
                point: false,
                reach: index / 6,
                keeps: keeps.iter().filter_map(|name| species::named(name)).collect(),
                licensed,
                at,
            });
            parties.push(party(&name, Role::Centre, format!("{} rescue centre", capital(&name)), habit, at));
        }
        for reach in 0..centres.div_ceil(6) {
            let suffix = if reach == 0 { String::new() } else { format!("-{}", reach + 1) };
            let step = reach * 6 + 1;
            for (name, point, title, aside) in
                [("police", "yard", "Highway police", 0.03), ("range", "range-office", "Forest range", -0.04)]
            {
                let at = on_the_river(step, aside);
                places.push(Place {
                    id: format!("{REGION}.{point}{suffix}"),
                    name: format!("{} holding point {}", title, reach + 1),
                    keeper: parties.len(),
                    point: true,
                    reach,
                    keeps: Vec::new(),
                    licensed: &[],
                    at,
                });
                parties.push(party(
                    &format!("{name}{suffix}"),
                    Role::Agency,
                    title.to_owned(),
                    Habit::Punctual,
                    at,
                ));
            }
        }
        // One point is kept by a centre: the landing where its boat ties up.
        if centres >= 2 {
            let keeper = centres.min(6) - 1;
            let at = on_the_river(keeper, -0.05);
            places.push(Place {
                id: format!("{REGION}.landing"),
                name: "Boat landing".to_owned(),
                keeper,
                point: true,
                reach: 0,
                keeps: Vec::new(),
                licensed: &[],
                at,
            });
        }
        let mut office = |name: &str, role, title: &str| {
            parties.push(party(name, role, title.to_owned(), Habit::Punctual, on_the_river(0, 0.06)));
            parties.len() - 1
        };
        let coordination = office("coordination", Role::Coordination, "Rescue coordination");
        let authority = office("authority", Role::Authority, "Licensing authority");
        let laboratory = office("laboratory", Role::Laboratory, "Wildlife laboratory");
        let mut used = std::collections::BTreeSet::new();
        for (index, party) in parties.iter_mut().enumerate() {
            if !used.insert(party.mark.clone()) {
                party.mark = format!("{}{index}", party.mark);
            }
        }
        Self { parties, places, centres, coordination, authority, laboratory }
    }

    /// The two agencies' points of a reach: where a lorry stands, and the range office.
    pub(crate) fn points_of(&self, reach: usize) -> Option<(PlaceIx, PlaceIx)> {
        let yard = self.centres + 2 * reach;
        (yard + 1 < self.places.len()).then_some((yard, yard + 1))
    }

    /// The landing kept by a centre.
    pub(crate) fn landing(&self) -> Option<PlaceIx> {
        let last = self.places.len().checked_sub(1)?;
        (self.places[last].point && self.places[last].keeper < self.centres).then_some(last)
    }

    /// Minutes by road between two places: distance by a flat-earth formula, a factor for bends, a
    /// mean speed. Only the demo reckons so.
    pub(crate) fn minutes(&self, from: PlaceIx, to: PlaceIx) -> u32 {
        let (a, b) = (self.places[from].at, self.places[to].at);
        let (north, east) = ((a.0 - b.0) * 111.0, (a.1 - b.1) * 106.0);
        let kilometre = (north * north + east * east).sqrt() * ROAD_FACTOR;
        (kilometre / SPEED_KMH * 60.0).round() as u32 + 10
    }
}

/// Road length over straight-line length.
pub(crate) const ROAD_FACTOR: f64 = 1.3;
/// Mean speed, kilometre an hour.
pub(crate) const SPEED_KMH: f64 = 35.0;
/// Longest hours that animals may stand at a holding point.
pub(crate) const LONGEST_HOURS: u32 = 48;

fn party(name: &str, role: Role, title: String, habit: Habit, at: (f64, f64)) -> Party {
    let letters: String = name.chars().filter(char::is_ascii_alphanumeric).take(2).collect();
    Party { id: format!("{REGION}.{name}"), role, name: title, habit, mark: letters.to_uppercase(), at }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn no_two_places_or_parties_share_a_name() {
        let basin = Basin::of(200);
        let parties: BTreeSet<_> = basin.parties.iter().map(|party| &party.id).collect();
        assert_eq!(parties.len(), basin.parties.len());
        let places: BTreeSet<_> = basin.places.iter().map(|place| &place.id).collect();
        assert_eq!(places.len(), basin.places.len());
    }

    #[test]
    fn every_profile_is_licensed_for_what_it_keeps() {
        for place in Basin::of(6).places.iter().filter(|place| !place.point) {
            for species in &place.keeps {
                assert!(place.licensed.contains(&species::ALL[*species].family), "{}", place.id);
            }
        }
    }
}
