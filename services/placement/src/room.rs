//! Room in a unit: what the animal and its companions need there, and how many more would fit.

use haulout_schemas::records::standing::UnitKind;
use haulout_welfare::measures::NoRelation;
use haulout_welfare::space::{self, Kind, Need, Room, Unchecked};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::case::{Asked, InUnit, Place, shown};
use crate::rules::PlacementRule;
use crate::species::Size;
use crate::view::Unit;

/// How many more of a request's kind a unit may take, and what decided it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct RoomLeft {
    /// Heads, over all empty units of a row.
    pub heads: u32,
    /// Why it is not more, in one sentence.
    pub because: String,
}

/// The need of a unit with the animal in it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Needed {
    pub need: Need,
    /// True when a size in it is the largest grown animal, for want of a stated length.
    pub assumed: bool,
}

/// Why the space rule gives no answer.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Obstacle {
    /// The length of the animal asked for does not convert.
    OwnLength(NoRelation),
    /// The length of a companion does not convert.
    CompanionLength(Place, NoRelation),
    /// A companion's species is not known.
    CompanionUnknown(Place, String),
    /// The rule's source stops at so many animals.
    BeyondSource(u32),
}

impl Obstacle {
    pub fn words(&self) -> String {
        match self {
            Self::OwnLength(missing) | Self::CompanionLength(_, missing) => missing.to_string(),
            Self::CompanionUnknown(_, name) => {
                format!("no profile is known for {name}, which is there already")
            }
            Self::BeyondSource(most) => {
                format!("the source of the space rule gives no area for more than {most} animals")
            }
        }
    }
}

/// Every kind that would be in the unit, and whether a size had to be assumed.
pub(crate) fn kinds<'a>(case: &InUnit<'a>) -> Result<(Vec<Kind<'a>>, bool), Obstacle> {
    let asked = case.asked();
    let mut kinds = Vec::new();
    let mut assumed = false;
    for (candidate, length) in asked.space_lengths() {
        let largest_m = length.map_err(|missing| Obstacle::OwnLength(missing.clone()))?;
        assumed |= candidate.size.assumed;
        kinds.push(Kind { rule: &candidate.profile.space.value, largest_m });
    }
    for (place, companion) in case.companions.iter() {
        let meant = asked.meant(&companion.scientific_name);
        if meant.is_empty() {
            let name = companion.scientific_name.clone();
            return Err(Obstacle::CompanionUnknown(place, name));
        }
        for &profile in meant.iter() {
            let size = Size::of(profile, companion.length.as_ref());
            let measure = profile.space_measure.value;
            let Some(largest_m) = size.high_in(profile, measure) else {
                return Err(Obstacle::CompanionLength(place, size.no_relation(profile, measure)));
            };
            assumed |= size.assumed;
            kinds.push(Kind { rule: &profile.space.value, largest_m });
        }
    }
    Ok((kinds, assumed))
}

/// What the unit must offer to hold the animal beside its companions.
pub(crate) fn needed(case: &InUnit<'_>) -> Result<Needed, Obstacle> {
    let (kinds, assumed) = kinds(case)?;
    let heads = case.present().saturating_add(case.heads);
    match space::need_together(&kinds, heads) {
        Ok(need) => Ok(Needed { need: scaled(need, share(case.asked())), assumed }),
        // A need has no other reason to be unknown than that its source stops.
        Err(Unchecked::BeyondSource(most)) => Err(Obstacle::BeyondSource(most)),
        Err(Unchecked::Land | Unchecked::Water | Unchecked::Depth) => Err(Obstacle::BeyondSource(0)),
    }
}

/// The share of the profile's land and water that the stay asks for.
pub(crate) fn share(asked: &Asked<'_>) -> f64 {
    asked.view.settings.space_shares.of(asked.request.stay)
}

/// Depth is no matter of how long an animal stays.
fn scaled(need: Need, share: f64) -> Need {
    Need { land_m2: need.land_m2 * share, water_m2: need.water_m2 * share, ..need }
}

/// What a unit offers, measured against the profile's own figures.
pub(crate) fn offered_for(asked: &Asked<'_>, unit: &Unit) -> Room {
    let share = share(asked);
    let room = offered(unit);
    let over = |figure: Option<f64>| figure.map(|figure| figure / share);
    Room { land_m2: over(room.land_m2), water_m2: over(room.water_m2), ..room }
}

/// What a unit offers.
pub(crate) fn offered(unit: &Unit) -> Room {
    // A figure that is no number is not known.
    let usable = |figure: Option<f64>| figure.filter(|figure| figure.is_finite());
    Room {
        land_m2: usable(unit.land_square_metre),
        water_m2: usable(unit.water_square_metre),
        depth_m: usable(unit.depth_metre),
    }
}

/// How many more of the request's kind the unit may take: by space and by heads, over the empty
/// units of a row. What cannot be checked is no room.
pub(crate) fn left(case: &InUnit<'_>) -> RoomLeft {
    let unit = case.unit;
    if unit.standing_empty() == 0 && unit.heads() == 0 {
        return none(format!("no unit of {} stands empty", unit.unit_id));
    }
    if case.asked().eggs() {
        return left_for_eggs(unit);
    }
    let (kinds, _) = match kinds(case) {
        Ok(kinds) => kinds,
        Err(obstacle) => return none(obstacle.words()),
    };
    if kinds.is_empty() {
        return none("the species is not known".to_owned());
    }
    let present = case.present();
    // An order that waives the rule of room, or of heads, allows what was asked for and no more.
    let waived = |code: &str| PlacementRule::of(code).is_some_and(|rule| rule.order(case.here).is_some());
    let by_space = match space::capacity_of(offered_for(case.asked(), unit), &kinds, present) {
        Ok(heads) if waived("room") => heads.max(case.heads),
        Ok(heads) => heads,
        Err(unknown) => return none(unchecked(unknown).to_owned()),
    };
    let by_limit = unit.heads_limit.map(|limit| limit.saturating_sub(present));
    let by_limit = by_limit.map(|limit| if waived("unit-heads") { limit.max(case.heads) } else { limit });
    let each = by_limit.map_or(by_space, |limit| limit.min(by_space));
    let because = if each < by_space {
        format!("{} may hold no more heads", unit.unit_id)
    } else {
        format!("{} has no more space", unit.unit_id)
    };
    RoomLeft { heads: each.saturating_mul(unit.standing_empty().max(1)), because }
}

/// Eggs take places, which only the limit of heads tells.
fn left_for_eggs(unit: &Unit) -> RoomLeft {
    let id = &unit.unit_id;
    match (unit.unit_kind, unit.heads_limit) {
        (UnitKind::Incubator, Some(limit)) => RoomLeft {
            heads: limit.saturating_mul(unit.units).saturating_sub(unit.heads()),
            because: format!("{id} may hold no more eggs"),
        },
        (UnitKind::Incubator, None) => none(format!("nobody said how many eggs {id} takes")),
        _ => none(format!("{id} is no incubator")),
    }
}

fn none(because: String) -> RoomLeft {
    RoomLeft { heads: 0, because }
}

/// What the unit does not say.
pub(crate) fn unchecked(unknown: Unchecked) -> &'static str {
    match unknown {
        Unchecked::BeyondSource(_) => "the source of the space rule gives no area for so many",
        Unchecked::Land => "its land is not known",
        Unchecked::Water => "its water surface is not known",
        Unchecked::Depth => "its depth is not known",
    }
}

/// A figure rounded up as it is shown, so that what is asked for is enough.
pub(crate) fn up(figure: f64) -> f64 {
    shown((figure * 1000.0 - 1e-6).ceil() / 1000.0)
}
