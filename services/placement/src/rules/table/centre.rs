//! Rules about what a centre may keep and can do tonight.

use super::entry;
use crate::rules::Standing::{Absolute, Advisory, Waivable};
use crate::rules::{Judge, PlacementRule, licence, readiness, suiting};

pub(super) const LICENCE: PlacementRule = entry(
    "licence",
    Waivable,
    [
        "The centre is licensed for the species",
        "No licence in force on the day of arrival covers the species for this stay.",
        "Keeping without a licence is an offence, and a licence says what a centre can do.",
        "Choose another centre, or ask the authority to extend the licence or to order the stay.",
        "common practice",
    ],
    Judge::Species(licence::licence, licence::mend_licence),
);

pub(super) const LICENCE_HEADS: PlacementRule = entry(
    "licence-heads",
    Waivable,
    [
        "Heads under the licence",
        "The licence allows fewer animals than the centre would keep, what is expected and promised included.",
        "The number is part of the licence.",
        "Choose another centre, move animals, or ask the authority.",
        "common practice",
    ],
    Judge::Species(licence::heads, licence::mend_heads),
);

pub(super) const LICENCE_LASTS: PlacementRule = entry(
    "licence-lasts",
    Advisory,
    [
        "The licence lasts the stay",
        "The licence ends before the stay does, or nobody knows how long that is.",
        "A licence that is not renewed in time leaves animals without a lawful place.",
        "Have the centre ask for renewal in time.",
        "common practice",
    ],
    Judge::Species(licence::lasts, licence::leave_licence),
);

pub(super) const HAS_UNIT: PlacementRule = entry(
    "has-unit",
    Absolute,
    [
        "There is a unit",
        "The centre has reported no unit.",
        "An animal needs a place to stand.",
        "Ask the centre to report its units.",
        "common practice",
    ],
    Judge::Centre(suiting::has_unit, suiting::mend_has_unit),
);

pub(super) const STABILISE_HOURS: PlacementRule = entry(
    "stabilise-hours",
    Waivable,
    [
        "72 hours to stabilise",
        "The stay to stabilise lasts longer than a short stay may.",
        "A short-stay room does not meet what a longer stay needs.",
        "End the stay in time, ask for another stay, or have the authority order it.",
        "common practice",
    ],
    Judge::Centre(suiting::stabilise_hours, suiting::mend_stabilise_hours),
);

pub(super) const CREW: PlacementRule = entry(
    "crew",
    Absolute,
    [
        "Crew for the length",
        "The receiving centre has fewer trained people tonight than the length asks for.",
        "A crocodilian injures people when it is handled by too few.",
        "Wait for a crew, borrow one, or choose another centre.",
        "Species profiles",
    ],
    Judge::Species(readiness::crew, readiness::mend_crew),
);

pub(super) const VET_LEVEL: PlacementRule = entry(
    "vet-level",
    Waivable,
    [
        "Vet enough for the triage",
        "A vet's hands reach less far at the centre tonight than the triage colour asks for, or nobody said how far.",
        "A red animal without a clinic dies on the floor.",
        "Choose a centre with a clinic, or send a vet along.",
        "common practice",
    ],
    Judge::Centre(readiness::vet_level, readiness::mend_vet_level),
);

pub(super) const ARRIVALS: PlacementRule = entry(
    "arrivals",
    Waivable,
    [
        "Arrivals of the day",
        "The centre takes no more arrivals on that day.",
        "Each arrival needs triage on the day it comes.",
        "Ask whether the centre takes one more, or travel the day after.",
        "common practice",
    ],
    Judge::Centre(readiness::arrivals, readiness::mend_arrivals),
);

pub(super) const REPORT_CURRENT: PlacementRule = entry(
    "report-current",
    Advisory,
    [
        "Lately reported",
        "The centre's report of tonight, or of the unit, is old or missing.",
        "An old report may promise a place that is gone.",
        "Call before the animal leaves.",
        "common practice",
    ],
    Judge::Unit(readiness::report_current, readiness::leave_report),
);
