//! What and which it is: `determination`, `regrouping`, `link`.

use super::body;
use crate::envelope::{RecordRef, SubjectLine};
use crate::event_date::Day;
use crate::text::{ConsignmentId, LotId, OrganismId, PartyId, ScientificName};
use crate::vocabulary::{LifeStage, Sex, Source, Vitality, vocabulary};

vocabulary! {
    /// What was determined.
    pub enum DeterminationEvent {
        /// The species.
        Species = "species",
        /// The sex.
        Sex = "sex",
        /// The age class.
        LifeStage = "lifeStage",
    }

    /// How it was determined.
    pub enum DeterminationMethod {
        /// By form and colour.
        Morphology = "morphology",
        /// By a genetic test.
        Genetic = "genetic",
        /// By imaging or endoscopy.
        Imaging = "imaging",
        /// The name list split or lumped the name.
        NameList = "nameList",
    }

    /// A step of regrouping.
    pub enum RegroupingEvent {
        /// One lot becomes several.
        Split = "split",
        /// Several lots become one.
        Merged = "merged",
        /// An animal of a lot is named.
        Named = "named",
    }

    /// What a link says.
    pub enum LinkEvent {
        /// Both records tell the same event, or both numbers are the same animal.
        Same = "same",
        /// They do not.
        NotSame = "notSame",
    }
}

body! {
    /// A better knowledge of species, sex or stage, in stock or on a journey.
    pub struct Determination {
        /// What was determined.
        pub event: DeterminationEvent,
        /// How many animals or eggs it is true of.
        #[schemars(range(min = 1, max = 1_000_000))]
        pub individual_count: u32,
        /// The name in the books so far.
        pub from_scientific_name: Option<ScientificName>,
        /// The name that holds from now on.
        pub to_scientific_name: Option<ScientificName>,
        /// The lot that those determined now are, where it was a part of a lot.
        #[serde(rename = "toLotID")]
        pub to_lot_id: Option<LotId>,
        /// Age class; `egg` is of commodity eggs.
        pub life_stage: Option<LifeStage>,
        /// Sex. Darwin Core: `dwc:sex`.
        pub sex: Option<Sex>,
        /// How it was determined.
        pub method: Option<DeterminationMethod>,
        /// The journey on which they are.
        #[serde(rename = "consignmentID")]
        pub consignment_id: Option<ConsignmentId>,
    }
}

body! {
    /// Lots split, merged, or an animal named out of a lot. Posts nothing: numbers stay.
    pub struct Regrouping {
        /// Whether lots were split, merged, or an animal named.
        pub event: RegroupingEvent,
        /// What they were: lots or animals with their numbers.
        #[schemars(length(min = 1, max = 100))]
        pub from: Vec<SubjectLine>,
        /// What they are now: lots or animals with their numbers.
        #[schemars(length(min = 1, max = 1000))]
        pub to: Vec<SubjectLine>,
    }
}

body! {
    /// Two records of one event, or two numbers of one animal: the same, or not the same.
    pub struct Link {
        /// Whether it is the same or not.
        pub event: LinkEvent,
        /// The record that goes on counting.
        pub counted: Option<RecordRef>,
        /// The record that tells the same and is not counted; what it posted is taken back.
        pub not_counted: Option<NotCounted>,
        /// Two or more numbers of animals that the link is about.
        #[serde(default, skip_serializing_if = "Vec::is_empty", rename = "organismIDs")]
        #[schemars(length(min = 2, max = 10))]
        pub organism_ids: Vec<OrganismId>,
        /// Why it is held to be the same, or not.
        #[schemars(length(min = 1, max = 1000))]
        pub reason: Option<String>,
    }
}

body! {
    /// What the record that is not counted had posted, so that the link can take it back by itself.
    #[schemars(extend("oneOf" = [{ "required": ["centreID"] }, { "required": ["pointID"] }]))]
    pub struct NotCounted {
        /// The party that wrote it.
        #[serde(rename = "authorID")]
        pub author_id: PartyId,
        /// The writer's identifier.
        #[serde(rename = "recordID")]
        pub record_id: crate::text::RecordId,
        /// The centre whose stock it entered.
        #[serde(rename = "centreID")]
        pub centre_id: Option<PartyId>,
        /// The point whose stock it entered.
        #[serde(rename = "pointID")]
        pub point_id: Option<PartyId>,
        /// Name as it was posted.
        pub scientific_name: ScientificName,
        /// Age class as it was posted.
        pub life_stage: Option<LifeStage>,
        /// Number as it was posted.
        #[schemars(range(min = 1, max = 1_000_000))]
        pub individual_count: u32,
        /// Dead where it told of a carcass, which never entered a stock.
        pub vitality: Option<Vitality>,
        /// Source as it was posted.
        pub source: Source,
        /// Day on which it counted.
        pub day: Day,
    }
}
