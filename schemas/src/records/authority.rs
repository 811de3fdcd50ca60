//! What the authority writes: `licence`, `permit`, `order`. A centre's own version is a claim.

use super::body;
use super::keeping::Forbidden;
use crate::envelope::{Locality, RecordRef};
use crate::event_date::Day;
use crate::text::{LocalId, LotId, OrganismId, PartyId, ScientificName};
use crate::vocabulary::{Stay, vocabulary};

vocabulary! {
    /// Where a licence stands.
    pub enum LicenceStatus {
        /// In force.
        InForce = "inForce",
        /// Expired and applied for again in time: it continues by law.
        UnderRenewal = "underRenewal",
        /// Suspended.
        Suspended = "suspended",
        /// Ended.
        Ended = "ended",
    }

    /// What a permit allows.
    pub enum PermitType {
        /// Releasing animals.
        Release = "release",
        /// Catching animals.
        Capture = "capture",
        /// Collecting eggs.
        EggCollection = "eggCollection",
        /// Transport.
        Transport = "transport",
    }

    /// What an order does.
    pub enum OrderType {
        /// Leave to move, release or hand over case property.
        Leave = "leave",
        /// Not to move an animal.
        Hold = "hold",
        /// Waives a rule until its end date.
        Waiver = "waiver",
        /// To catch or take in.
        TakeIn = "takeIn",
        /// To put to death.
        Destruction = "destruction",
    }

    /// How an order was given.
    pub enum OrderForm {
        /// By voice; the next revision puts it in writing.
        Verbal = "verbal",
        /// In writing.
        Written = "written",
    }
}

body! {
    /// What a centre may keep.
    pub struct Licence {
        /// The licence's number, as the authority issued it.
        pub licence_number: LocalId,
        /// The centre that holds it.
        #[serde(rename = "holderID")]
        pub holder_id: PartyId,
        /// Whether it is in force.
        pub status: LicenceStatus,
        /// First day on which it is valid.
        pub valid_from: Option<Day>,
        /// Last day on which it is valid, inclusive.
        pub valid_through: Option<Day>,
        /// What may be kept, one line for each species, genus, family or order.
        #[schemars(length(min = 1, max = 500))]
        pub lines: Vec<LicenceLine>,
    }
}

body! {
    /// A species, genus, family or order, and how many.
    pub struct LicenceLine {
        /// Species, genus, family or order.
        pub scientific_name: ScientificName,
        /// Most heads; without it, no limit.
        #[schemars(range(min = 0, max = 1_000_000))]
        pub heads_limit: Option<u32>,
        /// Stays that it covers; every stay where none is named.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        #[schemars(length(max = 4))]
        pub stays: Vec<Stay>,
    }
}

body! {
    /// A thing with a balance: so many of these species, by these holders, in this time.
    pub struct Permit {
        /// The permit's number, as the authority issued it.
        pub permit_number: LocalId,
        /// What it allows.
        pub permit_type: PermitType,
        /// Species, genus, family or order.
        #[schemars(length(min = 1, max = 100))]
        pub species: Vec<ScientificName>,
        /// Who may use it.
        #[serde(rename = "holderIDs")]
        #[schemars(length(min = 1, max = 100))]
        pub holder_ids: Vec<PartyId>,
        /// How many animals or eggs in all.
        #[schemars(range(min = 1, max = 1_000_000))]
        pub quantity: u32,
        /// Used before the records of this hub begin.
        #[schemars(range(min = 0, max = 1_000_000))]
        pub used_before: Option<u32>,
        /// Where it may be used, in general terms.
        pub site: Option<Locality>,
        /// First day on which it is valid.
        pub valid_from: Option<Day>,
        /// Last day on which it is valid, inclusive.
        pub valid_through: Option<Day>,
    }
}

body! {
    /// An order or a leave, in force through its end date.
    pub struct Order {
        /// The order's number, as the authority issued it.
        pub order_number: LocalId,
        /// What it does.
        pub order_type: OrderType,
        /// By voice or in writing.
        pub form: OrderForm,
        /// Animals that it is about.
        #[serde(default, skip_serializing_if = "Vec::is_empty", rename = "organismIDs")]
        #[schemars(length(max = 1000))]
        pub organism_ids: Vec<OrganismId>,
        /// Lots that it is about, and all that descends from them.
        #[serde(default, skip_serializing_if = "Vec::is_empty", rename = "lotIDs")]
        #[schemars(length(max = 1000))]
        pub lot_ids: Vec<LotId>,
        /// What a leave allows; moving only, where it does not say.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        #[schemars(length(max = 10))]
        pub allows: Vec<Forbidden>,
        /// The case that it is about.
        pub case_number: Option<LocalId>,
        /// Centres that it binds or allows.
        #[serde(default, skip_serializing_if = "Vec::is_empty", rename = "partyIDs")]
        #[schemars(length(max = 100))]
        pub party_ids: Vec<PartyId>,
        /// Codes of the rules that it waives.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        #[schemars(length(max = 20), inner(length(min = 1, max = 60)))]
        pub waives: Vec<String>,
        /// Last day in force, inclusive.
        pub end_date: Option<Day>,
        /// The record that gave rise to it.
        pub about: Option<RecordRef>,
        /// What is ordered, in words.
        #[schemars(length(min = 1, max = 4000))]
        pub text: Option<String>,
    }
}
