//! The alarms, each once: pages, the API and the catalogue read them from here.

use haulout_schemas::rule::{Layer, Rule, Severity, Threshold};

/// A standstill forbids what was promised or is on the road.
pub static STANDSTILL: Rule = Rule {
    code: "standstill-forbids",
    layer: Layer::Hub,
    severity: Severity::Critical,
    title: "A standstill forbids the move",
    meaning: "A place is promised, or animals are on the road, and a standstill at one end forbids it: into the unit, water circuit or centre they go to, or out of the place they leave.",
    why: "A move against a standstill carries disease to the next centre.",
    mend: "Stop the vehicle or turn it to another centre, with the vets of both ends; give the place up or wait until the standstill is lifted.",
    source: "common practice",
    thresholds: &[],
};

/// They had left before the standstill began.
pub static BEHIND: Rule = Rule {
    code: "standstill-behind",
    layer: Layer::Hub,
    severity: Severity::Major,
    title: "A standstill began where they came from",
    meaning: "The animals had set out before a standstill began at the place they left.",
    why: "Nothing forbade the journey, and they may carry what the standstill is for.",
    mend: "Ask the vets of both ends before anything is unloaded; keep crates, vehicle and water apart.",
    source: "common practice",
    thresholds: &[],
};

/// The nightly count left no room for what was promised.
pub static COUNTED: Rule = Rule {
    code: "counted-full",
    layer: Layer::Hub,
    severity: Severity::Critical,
    title: "The count leaves no room",
    meaning: "The newest census counts more animals in the unit than the books, and with them the promised place is no longer there.",
    why: "The lorry would arrive at a full pool.",
    mend: "Ask the centre what was counted: move animals, revise the census, or choose another place.",
    source: "common practice",
    thresholds: &[Threshold { name: "days", value: 7, unit: "day", source: "common practice" }],
};

/// What was reported as housed left no room for what was promised.
pub static HOUSED: Rule = Rule {
    code: "housed-full",
    layer: Layer::Hub,
    severity: Severity::Critical,
    title: "The unit has filled meanwhile",
    meaning: "Animals were reported in the unit, or its capacity was stated anew, and the promised place is no longer there.",
    why: "What a centre reports is accepted as it is; only new grants stop. The lorry would arrive at a full pool.",
    mend: "Ask the centre to move animals, or choose another place.",
    source: "common practice",
    thresholds: &[],
};

/// They should have been there.
pub static OVERDUE: Rule = Rule {
    code: "arrival-overdue",
    layer: Layer::Hub,
    severity: Severity::Major,
    title: "They should have been there",
    meaning: "A place is promised, the hour of arrival is past, and no receipt, rescue or clutch names the consignment.",
    why: "On the road nobody counts and nobody feeds.",
    mend: "Ask the driver and both ends where they are; record what happened, or name the record that filled the place.",
    source: "common practice",
    thresholds: &[],
};

/// The centre has not confirmed what was recorded for it.
pub static UNCONFIRMED: Rule = Rule {
    code: "step-unconfirmed",
    layer: Layer::Hub,
    severity: Severity::Minor,
    title: "Recorded by telephone, not confirmed",
    meaning: "The coordination recorded a step on the centre's behalf, and the centre has not confirmed it.",
    why: "A promise that the centre does not know of is none.",
    mend: "The centre confirms the step, or refuses the place.",
    source: "common practice",
    thresholds: &[],
};

/// Every alarm.
pub static ALL: [&Rule; 6] = [&STANDSTILL, &BEHIND, &COUNTED, &HOUSED, &OVERDUE, &UNCONFIRMED];
