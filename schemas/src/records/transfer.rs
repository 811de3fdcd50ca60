//! The journey: `dispatch`, `receipt`, `settlement`, `refusal`.

use super::body;
use crate::envelope::{RecordRef, SubjectLine};
use crate::event_date::EventDate;
use crate::text::{ConsignmentId, LocalId, LotId, OrganismId, PartyId, ScientificName};
use crate::vocabulary::{Known, LifeStage, Sex, vocabulary};

vocabulary! {
    /// Where a consignment goes.
    pub enum Destination {
        /// To a centre or point of the region.
        Region = "region",
        /// Out of the region.
        Outside = "outside",
        /// Back to its owner.
        Owner = "owner",
        /// To a placement, such as a loan or a foster keeper.
        Placement = "placement",
        /// Into the hands of the authority.
        Authority = "authority",
    }

    /// Where a consignment came from.
    pub enum Origin {
        /// On a journey within the region.
        Transit = "transit",
        /// From outside the region.
        Outside = "outside",
        /// From its owner.
        Owner = "owner",
        /// Back from a placement.
        Placement = "placement",
        /// From the authority.
        Authority = "authority",
    }

    /// What was found in the crate.
    pub enum Arrived {
        /// Alive.
        Alive = "alive",
        /// Dead on arrival.
        Dead = "dead",
        /// Alive, and on no list.
        Extra = "extra",
        /// Turned back: the sender's own receipt.
        TurnedBack = "turnedBack",
        /// On the list and not in the crate.
        NotInCrate = "notInCrate",
    }

    /// A step of settling.
    pub enum SettlementEvent {
        /// One end states what became of what is left.
        Settled = "settled",
        /// The other end agrees.
        Agreed = "agreed",
    }

    /// What became of what was left on the journey.
    pub enum SettledAs {
        /// Dead on the way.
        Dead = "dead",
        /// Missing.
        Missing = "missing",
        /// Counted wrongly at one end.
        Recount = "recount",
        /// Of another species than the list said.
        Redetermined = "redetermined",
    }

    /// Why a place was refused.
    pub enum RefusalReason {
        /// No room after all.
        NoRoom = "noRoom",
        /// No crew or vet tonight.
        NoStaff = "noStaff",
        /// Disease.
        Disease = "disease",
        /// The animal is not what was asked for.
        NotAsAsked = "notAsAsked",
        /// Another reason, told in the notes.
        Other = "other",
    }
}

body! {
    /// A crate, box or bag.
    pub struct Crate {
        /// The crate's number.
        #[serde(rename = "crateID")]
        pub crate_id: LocalId,
        /// Whether it was disinfected before this journey.
        pub disinfected: Known,
    }
}

body! {
    /// Animals, eggs or empty crates leave.
    pub struct Dispatch {
        /// The number of the journey, the same at both ends.
        #[serde(rename = "consignmentID")]
        pub consignment_id: ConsignmentId,
        /// What kind of place it goes to.
        pub destination: Destination,
        /// The centre or point it goes to.
        #[serde(rename = "destinationID")]
        pub destination_id: Option<PartyId>,
        /// What travels; none on a return of empty crates.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        #[schemars(length(max = 1000))]
        pub lines: Vec<DispatchLine>,
        /// The crates that travel, full or empty.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        #[schemars(length(max = 1000))]
        pub crates: Vec<Crate>,
        /// When it should arrive.
        pub expected_arrival: Option<EventDate>,
        /// The order or leave under which it travels.
        pub order_number: Option<LocalId>,
        /// The permit under which it travels.
        pub permit_number: Option<LocalId>,
    }
}

body! {
    /// What travels.
    pub struct DispatchLine {
        /// The animal, where the line is of one animal known by its number.
        #[serde(rename = "organismID")]
        pub organism_id: Option<OrganismId>,
        /// A lot; a part of a lot travels under a new number.
        #[serde(rename = "lotID")]
        pub lot_id: Option<LotId>,
        /// The lot that this part is taken from: the line is itself the split.
        pub from_lot: Option<LotId>,
        /// Species, or genus, family or order while nobody knows better.
        pub scientific_name: ScientificName,
        /// Doubt about the name: `cf.`, `aff.`, or a remark.
        #[schemars(length(min = 1, max = 60))]
        pub identification_qualifier: Option<String>,
        /// Age class; `egg` is of commodity eggs.
        pub life_stage: Option<LifeStage>,
        /// Sex. Darwin Core: `dwc:sex`.
        pub sex: Option<Sex>,
        /// How many animals or eggs.
        #[schemars(range(min = 1, max = 1_000_000))]
        pub individual_count: u32,
        /// The crate in which they travel.
        #[serde(rename = "crateID")]
        pub crate_id: Option<LocalId>,
    }
}

body! {
    /// Animals, eggs or empty crates arrive.
    pub struct Receipt {
        /// The number of the journey, the same at both ends.
        #[serde(rename = "consignmentID")]
        pub consignment_id: ConsignmentId,
        /// Where it came from; `transit` for a journey within the region.
        pub origin: Origin,
        /// The centre or point it came from.
        #[serde(rename = "originID")]
        pub origin_id: Option<PartyId>,
        /// What was found in the crates, one line for each group.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        #[schemars(length(max = 1000))]
        pub lines: Vec<ReceiptLine>,
        /// The crates that arrived, full or empty.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        #[schemars(length(max = 1000))]
        pub crates: Vec<Crate>,
    }
}

body! {
    /// What was found.
    pub struct ReceiptLine {
        /// How they were found: alive, dead, extra, turned back, or not in the crate.
        pub arrived: Arrived,
        /// The animal, where the line is of one animal known by its number.
        #[serde(rename = "organismID")]
        pub organism_id: Option<OrganismId>,
        /// The lot, as the sender named it.
        #[serde(rename = "lotID")]
        pub lot_id: Option<LotId>,
        /// Species as the receiver sees it.
        pub scientific_name: ScientificName,
        /// Doubt about the name: `cf.`, `aff.`, or a remark.
        #[schemars(length(min = 1, max = 60))]
        pub identification_qualifier: Option<String>,
        /// Age class; `egg` is of commodity eggs.
        pub life_stage: Option<LifeStage>,
        /// Sex. Darwin Core: `dwc:sex`.
        pub sex: Option<Sex>,
        /// How many animals or eggs.
        #[schemars(range(min = 1, max = 1_000_000))]
        pub individual_count: u32,
        /// The figure in the papers that came along, kept beside the received one.
        #[schemars(range(min = 0, max = 1_000_000))]
        pub documented_count: Option<u32>,
        /// The receiver's own number for it.
        #[serde(rename = "localID")]
        pub local_id: Option<LocalId>,
        /// The crate in which they were.
        #[serde(rename = "crateID")]
        pub crate_id: Option<LocalId>,
    }
}

body! {
    /// Both ends agree what became of what is left on a journey.
    pub struct Settlement {
        /// Whether one end states it, or the other end agrees.
        pub event: SettlementEvent,
        /// The number of the journey, the same at both ends.
        #[serde(rename = "consignmentID")]
        pub consignment_id: ConsignmentId,
        /// What became of what was left, one line for each group.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        #[schemars(length(max = 200))]
        pub lines: Vec<SettlementLine>,
        /// The statement of the other end that is agreed to.
        pub agrees_to: Option<RecordRef>,
    }
}

body! {
    /// A number of one species taken out of the journey (or, negative, put into it).
    pub struct SettlementLine {
        /// Species as the journey's account shows it.
        pub scientific_name: ScientificName,
        /// Age class; `egg` is of commodity eggs.
        pub life_stage: Option<LifeStage>,
        /// What became of them.
        pub settled_as: SettledAs,
        /// Out of the journey; negative: into it.
        #[schemars(range(min = -1_000_000, max = 1_000_000))]
        pub individual_count: i32,
        /// Why it is held to be so.
        #[schemars(length(min = 1, max = 500))]
        pub reason: String,
    }
}

body! {
    /// A place or a consignment is refused.
    pub struct Refusal {
        /// The number of the journey or promise that is refused.
        #[serde(rename = "consignmentID")]
        pub consignment_id: ConsignmentId,
        /// Why it is refused.
        pub reason: RefusalReason,
        /// What it was about, where only a part is refused.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        #[schemars(length(max = 1000))]
        pub lines: Vec<SubjectLine>,
    }
}
