//! The table of rules. An exclusion names its reasons in this order: what concerns the animal
//! wherever it goes, what the centre may keep, what its units are, what is so only tonight.

use haulout_schemas::rule::{Layer, Rule, Severity};

use super::Standing::{Absolute, Advisory, Waivable};
use super::{
    Judge, PlacementRule, Standing, company, leave, licence, quarantine, readiness, road, size, space,
    suiting,
};

/// Every rule of placement.
pub static RULES: [PlacementRule; 20] = [
    entry(
        "species-known",
        Absolute,
        [
            "The species is known",
            "No species profile covers the name, or what is asked for is an egg.",
            "Space, crew and company follow from the species.",
            "Determine the animal to genus, family or order at least.",
            "common practice",
        ],
        Judge::Centre(leave::species, leave::mend_species),
    ),
    entry(
        "custody",
        Absolute,
        [
            "Case property has leave",
            "The animal is, or may be, evidence, and no leave lets it go to this centre.",
            "Moving evidence without leave can cost the case.",
            "Ask the authority or the court for leave.",
            "Common practice; IUCN guidelines on confiscated live organisms (2019)",
        ],
        Judge::Centre(leave::custody, leave::mend_custody),
    ),
    entry(
        "fit-to-travel",
        Absolute,
        [
            "Fit to travel",
            "The animal is not fit to travel, or nobody has said, and no veterinarian's word is given.",
            "A journey can kill a weak animal.",
            "Have a veterinarian look, or stabilise it where it is.",
            "common practice",
        ],
        Judge::Centre(road::fit_to_travel, road::mend_fit_to_travel),
    ),
    entry(
        "never-release",
        Absolute,
        [
            "Never set free",
            "The species must never be set free, and the place is in a release programme.",
            "Released strangers displace or infect native animals.",
            "Ask for lifelong care instead.",
            "Species profiles",
        ],
        Judge::Species(leave::never_release, leave::mend_never_release),
    ),
    entry(
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
    ),
    entry(
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
    ),
    entry(
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
    ),
    entry(
        "unit-suits",
        Waivable,
        [
            "The unit is meant for such animals",
            "The unit is meant for other species, or nobody said what it suits.",
            "A pen for tortoises drowns no turtle and holds no crocodile.",
            "Choose another unit, or ask the centre what the unit suits.",
            "common practice",
        ],
        Judge::Unit(suiting::suits, suiting::mend_suits),
    ),
    entry(
        "unit-stay",
        Waivable,
        [
            "The unit is meant for such a stay",
            "The unit serves for other stays.",
            "A triage hall is no home.",
            "Choose another unit, ask for another stay, or have the authority order the stay.",
            "common practice",
        ],
        Judge::Unit(suiting::stay, suiting::mend_stay),
    ),
    entry(
        "length-limit",
        Absolute,
        [
            "Short enough for the unit",
            "The upper end of the length is above the unit's limit, or does not convert to its measure.",
            "What is too long for a unit climbs out of it or is hurt in it.",
            "Have the animal measured, or choose a larger unit.",
            "common practice",
        ],
        Judge::Unit(size::length, size::mend_length),
    ),
    entry(
        "living-together",
        Waivable,
        [
            "Who may live with whom",
            "Somebody in the unit, expected there or promised a place is bad company, or may be.",
            "Crocodilians and large turtles kill what does not belong with them.",
            "Move the others, or choose an empty unit.",
            "Species profiles",
        ],
        Judge::Unit(company::living_together, company::mend_living_together),
    ),
    entry(
        "quarantine-batch",
        Waivable,
        [
            "Isolated from other batches",
            "The unit holds animals of another batch, or a batch that the newcomer would put off.",
            "All in, all out: a newcomer of the kind starts the days again.",
            "Choose an empty unit, or ask the vet.",
            "aza.org/quarantine; common practice",
        ],
        Judge::Unit(quarantine::batch, quarantine::mend_batch),
    ),
    entry(
        "water-circuit",
        Waivable,
        [
            "No batch on shared water",
            "A batch runs in another unit on the same water and would be put off.",
            "What is in the water reaches every unit on it.",
            "Choose a unit with its own water, or ask the vet.",
            "aza.org/quarantine; common practice",
        ],
        Judge::Unit(quarantine::circuit, quarantine::mend_circuit),
    ),
    entry(
        "room",
        Waivable,
        [
            "Room by the space rule",
            "Land, water or depth is less than the animal and its companions need, or is not known.",
            "The least space by the species profile.",
            "Choose a larger unit, or move others.",
            "Species profiles",
        ],
        Judge::Unit(space::room, space::mend_room),
    ),
    entry(
        "unit-heads",
        Waivable,
        [
            "Heads of the unit",
            "The unit's own limit of heads would be passed, what is expected and promised included.",
            "The centre knows what it can clean and feed.",
            "Choose another unit, or move others.",
            "common practice",
        ],
        Judge::Unit(space::heads, space::mend_heads),
    ),
    entry(
        "standstill",
        Absolute,
        [
            "No standstill",
            "A standstill forbids moving out of where the animal is or into the unit.",
            "Moving animals under a standstill spreads disease.",
            "Wait until it is lifted.",
            "common practice",
        ],
        Judge::Unit(road::standstill, road::mend_standstill),
    ),
    entry(
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
    ),
    entry(
        "road",
        Absolute,
        [
            "A road leads there",
            "The road is closed, or no journey can be worked out.",
            "An animal must not stand on a closed road at night.",
            "Wait for the reopening, or state the place and the minutes.",
            "common practice",
        ],
        Judge::Centre(road::road, road::mend_road),
    ),
    entry(
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
    ),
    entry(
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
    ),
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
