//! How animals come in: `rescue`, and the counting out of a bulk lot, `tally`.

use super::body;
use crate::envelope::{Length, Locality};
use crate::text::{ConsignmentId, LocalId, LotId, ScientificName};
use crate::vocabulary::{CountMethod, DeathWhen, LifeStage, Sex, Source, Vitality, vocabulary};

vocabulary! {
    /// What brought the animal in.
    pub enum RescueEvent {
        /// Taken from the wild into care.
        FromWild = "fromWild",
        /// Seized by an agency.
        Seizure = "seizure",
        /// Handed over by its keeper.
        Surrender = "surrender",
        /// Left at the gate by nobody known.
        LeftAtGate = "leftAtGate",
        /// Back after a release or an escape.
        Readmission = "readmission",
    }

    /// Why it needed rescue.
    pub enum RescueCause {
        /// Hurt by a hook, a line or a net.
        FishingGear = "fishingGear",
        /// Snared or trapped on purpose.
        Snare = "snare",
        /// Hit by a vehicle, boat or machine.
        Collision = "collision",
        /// Attacked by a dog or another animal.
        Predation = "predation",
        /// Stranded, by flood, drought or a fall.
        Stranded = "stranded",
        /// In conflict with people: in a well, a pond, a yard.
        Conflict = "conflict",
        /// Poisoned or in foul water.
        Pollution = "pollution",
        /// Its water or bank was drained, dug out or built over.
        Habitat = "habitat",
        /// In trade.
        Trade = "trade",
        /// In private keeping.
        PrivateKeeping = "privateKeeping",
        /// Sick.
        Disease = "disease",
        /// Another cause, told in the notes.
        Other = "other",
        /// Not known.
        Unknown = "unknown",
    }

    /// How it was caught.
    pub enum CaptureMethod {
        /// By hand.
        Hand = "hand",
        /// With a noose.
        Noose = "noose",
        /// With a net.
        Net = "net",
        /// In a trap.
        Trap = "trap",
        /// With tongs or a hook.
        Tongs = "tongs",
        /// Not caught by the party: it was brought.
        Brought = "brought",
        /// Another way, told in the notes.
        Other = "other",
    }
}

body! {
    /// Arrival of one animal or one lot from the wild, a seizure, a surrender, the gate, or back from a release.
    pub struct Rescue {
        /// What brought it in.
        pub event: RescueEvent,
        /// The account it comes from; a readmission comes from `released` or `escaped`.
        pub source: Source,
        /// How many. Darwin Core: `dwc:individualCount`.
        #[schemars(range(min = 1, max = 1_000_000))]
        pub individual_count: u32,
        /// How the number was arrived at.
        pub count_method: CountMethod,
        /// Lower end of the estimate.
        #[schemars(range(min = 0, max = 1_000_000))]
        pub low: Option<u32>,
        /// Upper end of the estimate.
        #[schemars(range(min = 1, max = 1_000_000))]
        pub high: Option<u32>,
        /// The figure in the papers that came along, kept beside the received one.
        #[schemars(range(min = 0, max = 1_000_000))]
        pub documented_count: Option<u32>,
        /// Alive unless it says dead: a carcass is counted as dead and never enters the stock.
        pub vitality: Option<Vitality>,
        /// Sex. Darwin Core: `dwc:sex`.
        pub sex: Option<Sex>,
        /// Age class. Darwin Core: `dwc:lifeStage`.
        pub life_stage: Option<LifeStage>,
        /// Why it needed rescue.
        pub cause: Option<RescueCause>,
        /// How it was caught.
        pub capture_method: Option<CaptureMethod>,
        /// Where it was found or seized. Shown to few.
        pub place: Option<Locality>,
        /// What happened, in words.
        #[schemars(length(max = 2000))]
        pub circumstances: Option<String>,
        /// Injuries seen, one each.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        #[schemars(length(max = 50), inner(length(min = 1, max = 200)))]
        pub injuries: Vec<String>,
        /// Lengths in metre, taken or guessed at the catch.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        #[schemars(length(max = 20))]
        pub lengths_metre: Vec<Length>,
        /// Case, complaint or memo numbers, the same for every agency that reports the incident.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        #[schemars(length(max = 20))]
        pub incident_references: Vec<LocalId>,
        /// The reservation's consignment, where a place was kept for it.
        #[serde(rename = "consignmentID")]
        pub consignment_id: Option<ConsignmentId>,
        /// The number in the party's own books, or the one given before an old identity was found out.
        #[serde(rename = "localID")]
        pub local_id: Option<LocalId>,
    }
}

body! {
    /// A bulk lot counted out by species, sex, stage, alive or dead. `lotCount` = alive + dead + recount, the recount of either sign.
    pub struct Tally {
        /// What the books showed for the lot before the count, less deaths already recorded.
        #[schemars(range(min = 1, max = 1_000_000))]
        pub lot_count: u32,
        /// Age class of the lot as booked; `egg` for a lot of eggs.
        pub life_stage: Option<LifeStage>,
        /// One line for each species, sex and stage. Each line of living animals starts a lot.
        #[schemars(length(min = 1, max = 500))]
        pub lines: Vec<TallyLine>,
    }
}

body! {
    /// What was counted.
    pub struct TallyLine {
        /// The lot that the living of this line now are.
        #[serde(rename = "lotID")]
        pub lot_id: Option<LotId>,
        /// Species, or genus, family or order while nobody knows better.
        pub scientific_name: ScientificName,
        /// Doubt about the name: `cf.`, `aff.`, or a remark.
        #[schemars(length(min = 1, max = 60))]
        pub identification_qualifier: Option<String>,
        /// Age class. Darwin Core: `dwc:lifeStage`.
        pub life_stage: Option<LifeStage>,
        /// Sex. Darwin Core: `dwc:sex`.
        pub sex: Option<Sex>,
        /// How many were counted alive; 0 where none.
        #[schemars(range(min = 0, max = 1_000_000))]
        pub alive: u32,
        /// How many were counted dead; 0 where none.
        #[schemars(range(min = 0, max = 1_000_000))]
        pub dead: u32,
        /// When the dead of this line died; before the rescue unless stated.
        pub when: Option<DeathWhen>,
    }
}
