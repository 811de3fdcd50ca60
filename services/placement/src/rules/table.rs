//! The table of rules. An exclusion names its reasons in this order: what concerns the animal
//! wherever it goes, what the centre may keep, what its units are, what is so only tonight.

mod animal;
mod centre;
mod unit;
mod way;

use haulout_schemas::rule::{Layer, Rule, Severity};

use super::Standing::{Absolute, Advisory, Waivable};
use super::{Judge, PlacementRule, Standing};

/// Every rule of placement.
pub static RULES: [PlacementRule; 32] = [
    animal::SPECIES_KNOWN,
    animal::CUSTODY,
    animal::FIT_TO_TRAVEL,
    animal::NEVER_RELEASE,
    animal::ORIGIN_BASIN,
    centre::LICENCE,
    centre::LICENCE_HEADS,
    centre::LICENCE_LASTS,
    centre::HAS_UNIT,
    unit::INCUBATOR,
    unit::UNIT_SUITS,
    unit::UNIT_STAY,
    centre::STABILISE_HOURS,
    unit::LENGTH_LIMIT,
    unit::ROOM_LEAST,
    unit::LIVING_TOGETHER,
    unit::QUARANTINE_BATCH,
    unit::WATER_CIRCUIT,
    unit::ROOM,
    unit::UNIT_HEADS,
    unit::HEAT,
    unit::SEASONAL_REST,
    way::STANDSTILL,
    centre::CREW,
    centre::VET_LEVEL,
    way::ROAD,
    way::NIGHT_BAN,
    way::FERRY,
    way::BEARABLE_HOURS,
    way::EGG_HOURS,
    centre::ARRIVALS,
    centre::REPORT_CURRENT,
];

/// One entry: its code, its standing, its five texts (title, meaning, why, mend, source).
const fn entry(
    code: &'static str,
    standing: Standing,
    texts: [&'static str; 5],
    judge: Judge,
) -> PlacementRule {
    let [title, meaning, why, mend, source] = texts;
    PlacementRule {
        rule: Rule {
            code,
            layer: Layer::Placement,
            severity: match standing {
                Absolute => Severity::Critical,
                Waivable => Severity::Major,
                Advisory => Severity::Info,
            },
            title,
            meaning,
            why,
            mend,
            source,
            thresholds: &[],
        },
        standing,
        judge,
    }
}
