//! How the routine of a period was kept: water changed, pools scrubbed, heat held, quarantine served.
//!
//! A share is of what a record tells. What no record tells is said apart and counts neither way: a
//! centre that writes no rounds may make them all the same. Outside the digests.

use super::Proportion;
use super::in_hand::InHand;
use super::in_unit::{InUnit, in_units};
use crate::findings::quarantine::{Served, served};
use crate::findings::{Held, World};
use crate::keys::Family;
use crate::period::Period;
use chrono::{Datelike, NaiveDate};
use haulout_schemas::text::PartyId;
use haulout_welfare::routine::{Kept, Spans, WaterType, heat_days, held_warm, scrub_spans, water_spans};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Months in which still indoor water is held warm: the cool season of the northern subtropics, as
/// placement takes it where nobody says otherwise (common practice).
const COOL_MONTHS: [u32; 4] = [11, 12, 1, 2];

/// What was to be done.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub enum Routine {
    /// Batches whose clear day fell in the period: kept to it, or ended by a veterinarian.
    Quarantine,
    /// Whole spans of three days: a fifth of the water changed (common practice).
    Water,
    /// Whole spans of 30 days: the pool scrubbed (common practice).
    Scrub,
    /// Days of the cool season: every reading from 29 to 30 degrees C (common practice).
    Heat,
}

impl Routine {
    /// The routine as the JSON writes it.
    pub const fn code(self) -> &'static str {
        match self {
            Self::Quarantine => "quarantine",
            Self::Water => "water",
            Self::Scrub => "scrub",
            Self::Heat => "heat",
        }
    }

    /// What was to be done, in words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Quarantine => "quarantine served",
            Self::Water => "a fifth of the water changed",
            Self::Scrub => "pool scrubbed",
            Self::Heat => "29 to 30 degrees C held",
        }
    }

    /// What is counted.
    pub const fn counted(self) -> &'static str {
        match self {
            Self::Quarantine => "batches",
            Self::Water => "spans of 3 days",
            Self::Scrub => "spans of 30 days",
            Self::Heat => "days",
        }
    }
}

/// One routine of one centre. Water, scrubs and heat are of units in which animals stood and whose
/// water is said to be still; the days of such a unit in a row are cut into whole spans.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct RoutineLine {
    /// The centre.
    #[serde(rename = "centreID")]
    pub centre_id: String,
    /// What was to be done.
    pub routine: Routine,
    /// How often, through the evaluated day.
    pub due: i64,
    /// Of these, of which no record tells whether it was done.
    pub without_record: i64,
    /// Of the others, kept.
    pub kept: i64,
    /// Those kept, of those of which a record tells; none where none does.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub share: Option<Proportion>,
    /// Units with animals to which the rule was not put, by why: `flowThrough`, `earthenPond`,
    /// `riverPen` and `none` for their water, `waterNotStated`, `restsInCoolSeason`, `speciesNotKnown`.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub left_out: BTreeMap<String, i64>,
}

/// The lines of one centre while they are added up.
#[derive(Default)]
struct Sums(BTreeMap<Routine, (Spans, BTreeMap<String, i64>)>);

impl Sums {
    fn add(&mut self, routine: Routine, more: Spans) {
        let (spans, _) = self.0.entry(routine).or_default();
        spans.due += more.due;
        spans.told += more.told;
        spans.kept += more.kept;
    }

    fn leave_out(&mut self, routine: Routine, why: &str) {
        let (_, left_out) = self.0.entry(routine).or_default();
        *left_out.entry(why.to_owned()).or_default() += 1;
    }

    fn lines(self, centre: &PartyId) -> impl Iterator<Item = RoutineLine> {
        let whole = |count: u64| i64::try_from(count).unwrap_or(i64::MAX);
        self.0.into_iter().filter(|(_, (spans, left_out))| spans.due > 0 || !left_out.is_empty()).map(
            move |(routine, (spans, left_out))| RoutineLine {
                centre_id: centre.to_string(),
                routine,
                due: whole(spans.due),
                without_record: whole(spans.due.saturating_sub(spans.told)),
                kept: whole(spans.kept),
                share: Proportion::of(whole(spans.kept), whole(spans.told)),
                left_out,
            },
        )
    }
}

/// The routine of the centres that are told of, from the first day of the period through a day.
pub(super) fn routine(in_hand: &InHand, period: &Period, world: &World<'_>) -> Vec<RoutineLine> {
    let days = (period.first, world.evaluated_through);
    let mut sums: BTreeMap<&PartyId, Sums> = BTreeMap::new();
    let centres = in_hand.places.iter().filter(|place| world.region.point(place).is_none());
    for centre in centres.clone() {
        let sums = sums.entry(centre).or_default();
        for unit in in_units(in_hand, centre, world.names, days).values() {
            of_unit(sums, unit, world);
        }
    }
    let held = Held::through(&in_hand.all(), world.names, world.evaluated_through);
    for key in held.keys().filter(|key| key.family() == Some(Family::Batch)) {
        let Some((place, clear, how)) = served(key, &held, world) else { continue };
        if let Some(sums) = sums.get_mut(&place)
            && (days.0..=days.1).contains(&clear)
        {
            let (told, kept) = (u64::from(how != Served::Untold), u64::from(how == Served::Kept));
            sums.add(Routine::Quarantine, Spans { due: 1, told, kept });
        }
    }
    sums.into_iter().flat_map(|(centre, sums)| sums.lines(centre)).collect()
}

fn of_unit(sums: &mut Sums, unit: &InUnit, world: &World<'_>) {
    let left_out = match unit.water {
        Some(WaterType::StaticIndoor) => None,
        Some(WaterType::FlowThrough) => Some("flowThrough"),
        Some(WaterType::EarthenPond) => Some("earthenPond"),
        Some(WaterType::RiverPen) => Some("riverPen"),
        None if unit.dry => Some("none"),
        None => Some("waterNotStated"),
    };
    if let Some(why) = left_out {
        sums.leave_out(Routine::Water, why);
        return;
    }
    let kept = |(from, through): (NaiveDate, NaiveDate), winter| Kept {
        water: WaterType::StaticIndoor,
        from,
        through,
        winter,
        done: unit.done.clone(),
    };
    for days in in_a_row(unit.days.iter().copied()) {
        let kept = kept(days, false);
        sums.add(Routine::Water, water_spans(&kept).unwrap_or_default());
        sums.add(Routine::Scrub, scrub_spans(&kept).unwrap_or_default());
    }
    let cool = unit.days.iter().copied().filter(|day| COOL_MONTHS.contains(&day.month()));
    let cool = in_a_row(cool);
    if cool.is_empty() {
        return;
    }
    let profiles: Vec<_> = unit.species.iter().map(|name| world.names.members(name)).collect();
    if profiles.iter().any(Vec::is_empty) {
        sums.leave_out(Routine::Heat, "speciesNotKnown");
    } else if !profiles.iter().flatten().all(|profile| held_warm(profile)) {
        sums.leave_out(Routine::Heat, "restsInCoolSeason");
    } else {
        for days in cool {
            sums.add(Routine::Heat, heat_days(&kept(days, true)).unwrap_or_default());
        }
    }
}

/// Days in order, as stretches of days in a row: first and last.
fn in_a_row(days: impl Iterator<Item = NaiveDate>) -> Vec<(NaiveDate, NaiveDate)> {
    let mut rows: Vec<(NaiveDate, NaiveDate)> = Vec::new();
    for day in days {
        match rows.last_mut() {
            Some((_, last)) if last.succ_opt() == Some(day) => *last = day,
            _ => rows.push((day, day)),
        }
    }
    rows
}
