//! The catalogue: every rule of the findings, sorted by code.

use super::{
    census, consignments, custody, deaths, duplicates, exposure, ledger, licence, marks, orders, permits,
    quarantine, releases, reports, units, whereabouts,
};
use crate::statement::NIGHT_LATE;
use haulout_schemas::rule::Rule;

/// Every rule of the findings, sorted by code.
pub static RULES: &[&Rule] = &[
    &whereabouts::TWO_PLACES,
    &ledger::BELOW_ZERO,
    &census::DIFFERENCE,
    &consignments::COUNT,
    &consignments::SPECIES,
    &consignments::UNRECEIVED,
    &consignments::CRATES,
    &custody::BREACHED,
    &deaths::WITHOUT_NECROPSY,
    &ledger::DEATHS_CLUSTER,
    &deaths::AFTER_DEATH,
    &exposure::EXPOSED,
    &licence::EXCEEDED,
    &duplicates::LIKELY,
    &marks::TWO_PLACES,
    &NIGHT_LATE,
    &permits::OVERDRAWN,
    &quarantine::OVERDUE,
    &quarantine::SHORT,
    &releases::WITHOUT_CERTIFICATE,
    &releases::WITHOUT_MARK,
    &permits::WITHOUT_PERMIT,
    &reports::TWICE,
    &ledger::SECOND_OPENING,
    &consignments::UNCONFIRMED,
    &orders::STAY,
    &units::OVERFULL,
];
