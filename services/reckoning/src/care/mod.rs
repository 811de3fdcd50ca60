//! Days in care: what the records of a centre say is due, put to the computations of the trade.
//!
//! A centre that keeps its rounds elsewhere posts none of them, so what is not recorded is due by the
//! rule and not "missed". Nothing here reads a clock: the day is asked.

mod bindings;
mod census;
pub mod clutches;
pub mod deaths;
mod eggs;
pub mod followed;
mod food;
pub mod freed;
mod heat;
mod line;
mod quarantine;
pub mod release;
mod water;

use crate::effective::Effective;
use crate::findings::{Held, Records, World, counts_through};
use crate::keys::place_of;
use crate::occupancy::{Occupancy, Occupant, occupancy};
use chrono::{Datelike, NaiveDate};
use haulout_schemas::profile::{Profile, SeasonalRest};
use haulout_schemas::records::standing::{Capacity, CapacityEvent};
use haulout_schemas::text::PartyId;
use haulout_schemas::{Body, Record};
use haulout_welfare::food::FoodList;
use haulout_welfare::refusal::Refusal;
use serde::Serialize;
use std::collections::BTreeMap;
use std::sync::Arc;

pub use line::{Line, Task, When};

/// Days of care records that are looked back on: a scrub serves 30 days, and as many again tell since
/// when one is due.
pub const CARE_DAYS: u64 = 62;

/// What is due at one centre on one day.
#[derive(Clone, Copy)]
pub struct Asked<'a> {
    /// The centre.
    pub centre: &'a PartyId,
    /// The day.
    pub at: NaiveDate,
    /// What counts of the centre, dated through the day; of its `care` the last [`CARE_DAYS`] days will do.
    pub records: &'a [Arc<Effective>],
    /// Names, profiles, thresholds, who is who.
    pub world: &'a World<'a>,
    /// Months in which heat is held, 1 to 12.
    pub cool_months: &'a [u32],
    /// Months in which those rest that rest through the dry season, 1 to 12.
    pub dry_months: &'a [u32],
}

/// What is due, each line with where, since when and what it rests on.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Today {
    /// The centre.
    #[serde(rename = "centreID")]
    pub centre_id: String,
    /// The day.
    pub at: NaiveDate,
    /// Animals in its stock, eggs left out.
    pub animals: u64,
    /// Eggs in its stock.
    pub eggs: u64,
    /// Due before the day and not done.
    pub overdue: Vec<Line>,
    /// Due on the day.
    pub due: Vec<Line>,
    /// Due on the day after.
    pub tomorrow: Vec<Line>,
    /// Not due, and why; what runs on.
    pub not_due: Vec<Line>,
    /// A day's food by type.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub food: Option<FoodList>,
    /// What could not be computed, and why.
    pub unknown: Vec<Refusal>,
    /// Shown with every answer.
    pub caution: &'static str,
}

/// What the list cannot say; shown with every list.
pub const CAUTION: &str = "made of what was posted: what nobody recorded is not known here. Look at the animals first; the veterinarian and local code stand above this list";

/// What is due at a centre on a day.
pub fn today(asked: &Asked<'_>) -> Today {
    let names = asked.world.names;
    let there = occupancy(asked.records, asked.centre, names, asked.at);
    let floor = Floor::of(asked, &there);
    let mut told = Told::default();
    bindings::tell(&floor, &mut told);
    quarantine::tell(&floor, &mut told);
    eggs::tell(&floor, &mut told);
    heat::tell(&floor, &mut told);
    water::tell(&floor, &mut told);
    census::tell(&floor, &mut told);
    let food = food::list(&floor).map_err(|refusal| told.unknown.push(refusal)).ok();
    let heads = |eggs: bool| {
        let all = floor.everyone().filter(|(_, one)| is_egg(one) == eggs);
        all.map(|(_, one)| u64::from(one.count)).sum()
    };
    let (animals, eggs) = (heads(false), heads(true));
    let [overdue, due, tomorrow, not_due] = told.sorted();
    Today {
        centre_id: asked.centre.to_string(),
        at: asked.at,
        animals,
        eggs,
        overdue,
        due,
        tomorrow,
        not_due,
        food: food.filter(|_| animals > 0),
        unknown: told.unknown,
        caution: CAUTION,
    }
}

/// What was told so far.
#[derive(Default)]
struct Told {
    lines: Vec<(When, Line)>,
    unknown: Vec<Refusal>,
}

impl Told {
    fn add(&mut self, when: When, line: Line) {
        self.lines.push((when, line));
    }

    /// Overdue, due, tomorrow, not due; each in the order in which it was told.
    fn sorted(&self) -> [Vec<Line>; 4] {
        [When::Overdue, When::Due, When::Tomorrow, When::NotDue].map(|when| {
            self.lines.iter().filter(|(of, _)| *of == when).map(|(_, line)| line.clone()).collect()
        })
    }
}

/// Who is where on the day, and what is known of the units.
struct Floor<'a> {
    asked: &'a Asked<'a>,
    held: Held,
    there: &'a Occupancy,
    units: BTreeMap<&'a str, &'a Capacity>,
}

impl<'a> Floor<'a> {
    fn of(asked: &'a Asked<'a>, there: &'a Occupancy) -> Self {
        let held = Held::through(asked.records, asked.world.names, asked.at);
        let mut units = BTreeMap::new();
        // Records come in the order of their days: the last word on a unit stands.
        for record in own(asked) {
            if let Some(Body::Capacity(capacity)) = &record.body {
                match capacity.event {
                    CapacityEvent::Stated => units.insert(capacity.unit_id.as_str(), capacity),
                    CapacityEvent::Closed => units.remove(capacity.unit_id.as_str()),
                };
            }
        }
        Self { asked, held, there, units }
    }

    fn at(&self) -> NaiveDate {
        self.asked.at
    }

    /// The centre's records dated through the day, in the order of their days.
    fn records(&self) -> impl Iterator<Item = &'a Record> {
        own(self.asked)
    }

    /// Everyone, with the unit where there is one.
    fn everyone(&self) -> impl Iterator<Item = (Option<&'a str>, &'a Occupant)> {
        let there = self.there;
        let housed = there
            .units
            .iter()
            .flat_map(|unit| unit.occupants.iter().map(move |one| (Some(unit.unit_id.as_str()), one)));
        housed.chain(there.unhoused.iter().map(|one| (None, one)))
    }

    /// The profile of a name, where it means one species.
    fn profile(&self, name: &str) -> Option<&'a Profile> {
        self.asked.world.names.profile(name)
    }

    /// Whether a healthy animal of a species rests on the day.
    fn rests(&self, profile: &Profile) -> bool {
        let months = match profile.seasonal_rest.value {
            SeasonalRest::None => return false,
            SeasonalRest::CoolSeason => self.asked.cool_months,
            SeasonalRest::DrySeason => self.asked.dry_months,
        };
        months.contains(&self.at().month())
    }

    /// Whether heat is held on the day.
    fn is_cool(&self) -> bool {
        self.asked.cool_months.contains(&self.at().month())
    }

    /// What is filed under a key.
    fn filed(&self, key: &crate::Key) -> Vec<Arc<Effective>> {
        self.held.of(key)
    }
}

fn own<'a>(asked: &Asked<'a>) -> impl Iterator<Item = &'a Record> {
    let (centre, at) = (asked.centre, asked.at);
    let counting = asked.records.iter().map(|one| &one.record);
    counting.filter(move |record| place_of(&record.envelope) == Some(centre) && counts_through(record, at))
}

fn is_egg(one: &Occupant) -> bool {
    one.life_stage == Some(haulout_schemas::vocabulary::LifeStage::Egg)
}
