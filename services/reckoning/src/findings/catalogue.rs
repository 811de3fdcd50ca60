//! The catalogue: every rule of the findings, sorted by code.

use super::{
    census, consignments, custody, deaths, histories, journeys, ledger, licence, marks, orders, outlooks,
    papers, permits, quarantine, releases, reports, treatments, units, whereabouts,
};
use crate::statement::NIGHT_LATE;
use haulout_schemas::rule::Rule;

/// Every rule of the findings, sorted by code.
pub static RULES: &[&Rule] = &[
    &whereabouts::TWO_PLACES,
    &ledger::BELOW_ZERO,
    &treatments::BOUND,
    &census::DIFFERENCE,
    &consignments::COUNT,
    &consignments::SPECIES,
    &consignments::UNRECEIVED,
    &consignments::CRATES,
    &custody::BREACHED,
    &papers::LIFTED,
    &deaths::WITHOUT_NECROPSY,
    &ledger::DEATHS_CLUSTER,
    &papers::DESTROYED,
    &treatments::DANGEROUS_DRUG,
    &deaths::AFTER_DEATH,
    &histories::BEFORE_ARRIVAL,
    &journeys::TOO_LONG,
    &licence::EXCEEDED,
    &outlooks::LOAN,
    &marks::TWO_PLACES,
    &outlooks::NEVER_RELEASE,
    &NIGHT_LATE,
    &papers::NOT_IN_WRITING,
    &papers::NOT_KNOWN,
    &outlooks::REVIEW,
    &permits::OVERDRAWN,
    &quarantine::OVERDUE,
    &quarantine::SHORT,
    &journeys::BEFORE_SENT,
    &journeys::ELSEWHERE,
    &releases::WITHOUT_CERTIFICATE,
    &releases::WITHOUT_MARK,
    &permits::WITHOUT_PERMIT,
    &reports::TWICE,
    &ledger::SECOND_OPENING,
    &consignments::UNCONFIRMED,
    &histories::TWO_SEXES,
    &orders::STAY,
    &units::OVERFULL,
    &histories::NOT_SCANNED,
];
