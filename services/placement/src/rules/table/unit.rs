//! Rules about a unit and who is in it.

use super::entry;
use crate::rules::Standing::{Absolute, Waivable};
use crate::rules::{Judge, PlacementRule, company, eggs, least, quarantine, season, size, space, suiting};

pub(super) const INCUBATOR: PlacementRule = entry(
    "incubator",
    Absolute,
    [
        "Eggs into an incubator, animals into none",
        "The unit is no incubator, does not keep eggs as they lie, or does not hold their temperature; or an animal is to go into one.",
        "Turning kills an egg: it has no cords that hold the yolk. Heat and cold do too.",
        "Choose an incubator that keeps position and temperature; ask the centre what it holds.",
        "Common practice; incubation points of the species profiles; the usual band from memory",
    ],
    Judge::Unit(eggs::incubator, eggs::mend_incubator),
);

pub(super) const UNIT_SUITS: PlacementRule = entry(
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
);

pub(super) const UNIT_STAY: PlacementRule = entry(
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
);

pub(super) const LENGTH_LIMIT: PlacementRule = entry(
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
);

pub(super) const ROOM_LEAST: PlacementRule = entry(
    "room-least",
    Absolute,
    [
        "The body fits at all",
        "The animal is longer than the unit, or the floor is smaller than its body, or nobody knows.",
        "No order makes a unit larger than it is.",
        "Choose a larger unit, or have the animal measured.",
        "from memory: a square of the shell's or the snout-vent length for each",
    ],
    Judge::Unit(least::room_least, least::mend_room_least),
);

pub(super) const LIVING_TOGETHER: PlacementRule = entry(
    "living-together",
    Waivable,
    [
        "Who may live with whom",
        "Somebody in the unit, expected there or promised a place is bad company, or may be.",
        "Crocodilians and large turtles kill what does not belong with them.",
        "Move the others, or choose an empty unit.",
        "Species profiles",
    ],
    Judge::Company(company::living_together, company::mend_living_together),
);

pub(super) const QUARANTINE_BATCH: PlacementRule = entry(
    "quarantine-batch",
    Waivable,
    [
        "Isolated from other batches",
        "The unit holds animals of another batch, or a batch that the newcomer would put off.",
        "All in, all out: a newcomer of the kind starts the days again.",
        "Choose an empty unit, or ask the vet.",
        "aza.org/quarantine; common practice",
    ],
    Judge::Company(quarantine::batch, quarantine::mend_batch),
);

pub(super) const WATER_CIRCUIT: PlacementRule = entry(
    "water-circuit",
    Waivable,
    [
        "No batch on shared water",
        "A batch runs in another unit on the same water and would be put off.",
        "What is in the water reaches every unit on it.",
        "Choose a unit with its own water, or ask the vet.",
        "aza.org/quarantine; common practice",
    ],
    Judge::Company(quarantine::circuit, quarantine::mend_circuit),
);

pub(super) const ROOM: PlacementRule = entry(
    "room",
    Waivable,
    [
        "Room by the space rule",
        "Land, water or depth is less than the animal and its companions need, or is not known.",
        "The least space by the species profile.",
        "Choose a larger unit, or move others.",
        "Species profiles",
    ],
    Judge::Company(space::room, space::mend_room),
);

pub(super) const UNIT_HEADS: PlacementRule = entry(
    "unit-heads",
    Waivable,
    [
        "Heads of the unit",
        "The unit's own limit of heads would be passed, what is expected and promised included.",
        "The centre knows what it can clean and feed.",
        "Choose another unit, or move others.",
        "common practice",
    ],
    Judge::Company(space::heads, space::mend_heads),
);

pub(super) const HEAT: PlacementRule = entry(
    "heat",
    Waivable,
    [
        "Warm in the cool season",
        "In the cool season the unit is too cold for an animal that does not rest through it or is too sick to, or nobody said what it holds.",
        "A cold reptile does not digest, does not heal and falls ill.",
        "Choose a heated unit with still water, or heat this one.",
        "Common practice (29 to 30 C in still water indoors); keeping temperatures of the species profiles",
    ],
    Judge::Unit(season::heat, season::mend_heat),
);

pub(super) const SEASONAL_REST: PlacementRule = entry(
    "seasonal-rest",
    Waivable,
    [
        "Left to rest in its season",
        "The unit is heated in the season in which a healthy animal of the species rests, or nobody said.",
        "Warmed without need, a resting animal burns what it lives on.",
        "Choose a unit without heat; a sick animal is kept warm on a vet's word.",
        "common practice",
    ],
    Judge::Unit(season::rest, season::mend_rest),
);
