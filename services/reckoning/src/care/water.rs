//! Changes of water and scrubs, unit by unit, where the rule fits its water.

use super::heat::units_with_water;
use super::{CARE_DAYS, Floor, Line, Task, Told, When};
use chrono::{Days, NaiveDate};
use haulout_schemas::Body;
use haulout_schemas::records::standing::WaterType;
use haulout_welfare::grounds::Grounds;
use haulout_welfare::refusal::Refusal;
use haulout_welfare::routine::due::{scrub_due_from, water_due_from};
use haulout_welfare::routine::{CHANGE_DAYS, CHANGED, Done, SCRUB_DAYS};
use haulout_welfare::units::{Celsius, Share};

const UNRECORDED: &str =
    "no record of the last two months tells of one; if the rounds are kept elsewhere, go by those";
const CAUTION: &str = "bring new water to the temperature of the old, move nobody without need, and leave resting animals alone";

pub(super) fn tell(floor: &Floor<'_>, told: &mut Told) {
    for unit in units_with_water(floor) {
        let Some(water) = unit.water else {
            told.unknown.push(Refusal::new(
                "water-type-unknown",
                format!("water and heat of unit {}", unit.id),
                "its capacity record does not say what its water is",
                "state `waterType` in the unit's capacity",
            ));
            continue;
        };
        let why_not = match water {
            WaterType::Static => {
                changes(floor, unit.id, unit.since, told);
                continue;
            }
            WaterType::None => continue,
            WaterType::FlowThrough => "water runs through",
            WaterType::EarthenPond => "an earthen pond",
            WaterType::RiverPen => "a pen in the river",
        };
        let line = Line::new(Task::Water, "no change of water by the clock", Grounds::common_practice())
            .in_unit(Some(unit.id))
            .because(format!("{why_not}: a fifth each three days is a rule for still indoor water"))
            .because("keep flow, depth and clearness, and post what is measured");
        told.add(When::NotDue, line);
    }
}

/// What is due in a unit of still water, which is taken to be indoors.
fn changes(floor: &Floor<'_>, unit: &str, since: NaiveDate, told: &mut Told) {
    let done = done(floor, unit);
    let at = floor.at();
    // Earlier rounds are not looked at, so nothing is said to be due for longer.
    let since = at.checked_sub_days(Days::new(CARE_DAYS)).map_or(since, |first| since.max(first));
    let share = 100.0 * CHANGED.share();
    let changed = done.iter().any(|day| day.water_changed_share.is_some());
    let scrubbed = done.iter().any(|day| day.scrubbed == Some(true));
    let dues = [
        (
            Task::Water,
            water_due_from(since, &done),
            changed,
            format!("change {share:.0} % of the water"),
            CHANGE_DAYS,
        ),
        (Task::Scrub, scrub_due_from(since, &done), scrubbed, "scrub the pool".to_owned(), SCRUB_DAYS),
    ];
    for (task, due, recorded, what, days) in dues {
        let Some(due) = due else { continue };
        let line = Line::new(task, what, Grounds::common_practice())
            .in_unit(Some(unit))
            .due_from(due, at)
            .because(format!(
                "still water: {} every {days} days",
                if task == Task::Water { "a fifth" } else { "a scrub" }
            ))
            .caution(CAUTION);
        match When::of(due, at) {
            // Nobody is told to have missed what the centre may never have posted.
            When::Overdue if !recorded => {
                told.add(When::Due, Line { since: None, ..line.because(UNRECORDED) });
            }
            when => told.add(when, line),
        }
    }
}

/// What the care records of a unit say was done.
pub(super) fn done(floor: &Floor<'_>, unit: &str) -> Vec<Done> {
    let of_unit = floor.records().filter_map(|record| match &record.body {
        Some(Body::Care(care)) if care.unit_id.as_ref().is_some_and(|id| id.as_str() == unit) => {
            Some((record.envelope.event_date.day(), care))
        }
        _ => None,
    });
    of_unit
        .map(|(on, care)| Done {
            on,
            water_changed_share: care.water_changed_share.and_then(|share| Share::new(share).ok()),
            scrubbed: care.scrubbed,
            water_celsius: care.water_celsius.and_then(|celsius| Celsius::new(celsius).ok()),
        })
        .collect()
}
