//! How a stay ends badly, or nearly: `mortality`, `loss`, `incident`.

use super::body;
use crate::envelope::{Locality, RecordRef};
use crate::text::{ConsignmentId, LocalId};
use crate::vocabulary::{DeathWhen, LifeStage, Sex, vocabulary};

vocabulary! {
    /// A step after a death.
    pub enum MortalityEvent {
        /// The death itself.
        Death = "death",
        /// The examination of the carcass.
        Necropsy = "necropsy",
        /// What became of the carcass.
        Disposal = "disposal",
    }

    /// Where the animal was counted until it died.
    pub enum TakenFrom {
        /// In the stock of the centre or point.
        Stock = "stock",
        /// On a journey.
        Transit = "transit",
        /// In the wild after its release.
        Released = "released",
    }

    /// How it died, for the ledger.
    pub enum DeathEnd {
        /// It died.
        Dead = "dead",
        /// It was put to death by order.
        DestroyedByOrder = "destroyedByOrder",
    }

    /// Cause of death. Darwin Core: `dwc:causeOfDeath`.
    pub enum CauseOfDeath {
        /// Injury.
        Trauma = "trauma",
        /// Killed by another animal.
        Predation = "predation",
        /// Drowning.
        Drowning = "drowning",
        /// Infection.
        Infection = "infection",
        /// Heat or cold.
        Temperature = "temperature",
        /// Hunger or thirst.
        Starvation = "starvation",
        /// Poison.
        Poison = "poison",
        /// During or after anaesthesia.
        Anaesthesia = "anaesthesia",
        /// Put to death for its welfare.
        Euthanasia = "euthanasia",
        /// Old age.
        OldAge = "oldAge",
        /// Another cause, told in the notes.
        Other = "other",
        /// Not known.
        Unknown = "unknown",
    }

    /// What became of a carcass.
    pub enum DisposalMethod {
        /// Burnt.
        Burnt = "burnt",
        /// Buried.
        Buried = "buried",
        /// Kept as a specimen.
        Kept = "kept",
        /// Handed to the authority as evidence.
        Evidence = "evidence",
        /// Another way, told in the notes.
        Other = "other",
    }

    /// A step of a loss.
    pub enum LossEvent {
        /// Escaped.
        Escaped = "escaped",
        /// Stolen.
        Stolen = "stolen",
        /// Missing: the centre's own declaration.
        Missing = "missing",
        /// Found again by the party that lost it.
        Found = "found",
    }

    /// Which loss is undone.
    pub enum LostAs {
        /// It had escaped.
        Escaped = "escaped",
        /// It had been stolen.
        Stolen = "stolen",
        /// It had been missing.
        Missing = "missing",
    }

    /// What happened.
    pub enum IncidentEvent {
        /// A bite of a handler.
        Bite = "bite",
        /// An attack on people outside.
        Attack = "attack",
        /// An escape that may hurt people.
        DangerousEscape = "dangerousEscape",
        /// Something else.
        Other = "other",
    }

    /// How badly.
    pub enum IncidentSeverity {
        /// Nobody hurt.
        NearMiss = "nearMiss",
        /// Treated on the spot.
        Minor = "minor",
        /// Hospital.
        Serious = "serious",
        /// A death.
        Fatal = "fatal",
    }
}

body! {
    /// A death, the necropsy, or the disposal of the carcass.
    pub struct Mortality {
        /// The death itself, or a step after it.
        pub event: MortalityEvent,
        /// How many died, or were examined.
        #[schemars(range(min = 1, max = 1_000_000))]
        pub individual_count: u32,
        /// Where they were counted until then; unless stated the stock, or the journey where one is named.
        pub taken_from: Option<TakenFrom>,
        /// The journey on which it happened.
        #[serde(rename = "consignmentID")]
        pub consignment_id: Option<ConsignmentId>,
        /// For the ledger; dead unless stated.
        pub end: Option<DeathEnd>,
        /// The order, where it was by order.
        pub order_number: Option<LocalId>,
        /// When the death fell.
        pub when: Option<DeathWhen>,
        /// Why it died.
        pub cause_of_death: Option<CauseOfDeath>,
        /// Age class. Darwin Core: `dwc:lifeStage`.
        pub life_stage: Option<LifeStage>,
        /// Sex. Darwin Core: `dwc:sex`.
        pub sex: Option<Sex>,
        /// The record on which the death stands (a `mortality`, or a `tally`, `rescue`, `receipt` or `settlement` line).
        pub death_of: Option<RecordRef>,
        /// False where no necropsy is possible.
        pub necropsy_done: Option<bool>,
        /// Why no necropsy was possible.
        #[schemars(length(min = 1, max = 500))]
        pub not_possible_because: Option<String>,
        /// What the examination found, in words.
        #[schemars(length(max = 4000))]
        pub findings: Option<String>,
        /// The agent of disease that the examination confirmed; from it, exposed animals are traced.
        #[schemars(length(min = 1, max = 200))]
        pub agent: Option<String>,
        /// What became of the carcass.
        pub disposal_method: Option<DisposalMethod>,
    }
}

body! {
    /// Animals escaped, stolen or missing, and their return to the party that lost them.
    pub struct Loss {
        /// What became of them, or that they were found.
        pub event: LossEvent,
        /// How many animals or eggs.
        #[schemars(range(min = 1, max = 1_000_000))]
        pub individual_count: u32,
        /// Which loss a `found` undoes.
        pub lost_as: Option<LostAs>,
        /// The journey on which it happened.
        #[serde(rename = "consignmentID")]
        pub consignment_id: Option<ConsignmentId>,
        /// Age class; `egg` is of commodity eggs.
        pub life_stage: Option<LifeStage>,
        /// Sex. Darwin Core: `dwc:sex`.
        pub sex: Option<Sex>,
        /// Where they were lost or found. Shown to few.
        pub place: Option<Locality>,
    }
}

body! {
    /// A bite, an attack, a dangerous escape. Personal details of the hurt have no field here.
    pub struct Incident {
        /// What happened.
        pub event: IncidentEvent,
        /// How badly people were hurt.
        pub severity: IncidentSeverity,
        /// How many people were hurt.
        #[schemars(range(min = 0, max = 1000))]
        pub people_hurt: Option<u16>,
        /// Where it happened. Shown to few.
        pub place: Option<Locality>,
        /// What was done since.
        #[schemars(length(min = 1, max = 2000))]
        pub measures: Option<String>,
    }
}
