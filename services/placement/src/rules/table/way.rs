//! Rules about the way there.

use super::entry;
use crate::rules::Standing::{Absolute, Waivable};
use crate::rules::{Judge, PlacementRule, eggs, road, way};

pub(super) const STANDSTILL: PlacementRule = entry(
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
);

pub(super) const ROAD: PlacementRule = entry(
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
);

pub(super) const NIGHT_BAN: PlacementRule = entry(
    "night-ban",
    Absolute,
    [
        "No night ban on the way",
        "The road to the centre is closed at an hour at which the animal would be on it.",
        "Roads are closed at night for the animals that cross them and the people who drive there.",
        "Set out when the road opens, or choose another centre.",
        "common practice",
    ],
    Judge::Centre(way::night_ban, way::mend_night_ban),
);

pub(super) const FERRY: PlacementRule = entry(
    "ferry",
    Absolute,
    [
        "The ferry runs",
        "The animal would come to a ferry at an hour at which none crosses.",
        "An animal must not stand at a landing through the night.",
        "Set out so as to meet a crossing.",
        "common practice",
    ],
    Judge::Centre(way::ferry, way::mend_ferry),
);

pub(super) const BEARABLE_HOURS: PlacementRule = entry(
    "bearable-hours",
    Waivable,
    [
        "No longer on the road than it bears",
        "The journey, with ferries and earlier drops, is longer than an animal of its triage colour bears, or not known.",
        "Every hour in a crate costs water and strength.",
        "Choose a nearer centre, stabilise it on the way, or have the authority order the journey.",
        "from memory",
    ],
    Judge::Centre(way::bearable, way::mend_bearable),
);

pub(super) const EGG_HOURS: PlacementRule = entry(
    "egg-hours",
    Waivable,
    [
        "Eggs within their hours",
        "The eggs would be longer on the road than eggs bear, or nobody knows how long.",
        "Shaking and cooling harm what grows in an egg, the more the longer.",
        "Choose a nearer incubator, or leave the nest where it lies and guard it.",
        "from memory",
    ],
    Judge::Centre(eggs::hours, eggs::mend_hours),
);
