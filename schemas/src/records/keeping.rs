//! Days in care: `housing`, `marking`, `care`, `custody`, `outlook`.

use super::body;
use crate::envelope::Locality;
use crate::event_date::Day;
use crate::text::{LocalId, OrganismId};
use crate::vocabulary::{Stay, vocabulary};

vocabulary! {
    /// A step of housing.
    pub enum HousingEvent {
        /// From now on the subject is in these units, and in no other.
        Housed = "housed",
        /// Taken out of every unit.
        TakenOut = "takenOut",
    }

    /// A step of marking.
    pub enum MarkingEvent {
        /// Put on or in.
        Applied = "applied",
        /// Read on an animal that carried it.
        Read = "read",
        /// Looked for and none found.
        NoneFound = "noneFound",
        /// Moved within the animal.
        Moved = "moved",
        /// No longer readable.
        Failed = "failed",
        /// Replaced by another.
        Replaced = "replaced",
    }

    /// What the mark is.
    pub enum MarkType {
        /// Implanted transponder.
        Transponder = "transponder",
        /// Notches in the marginal scutes.
        MarginalNotch = "marginalNotch",
        /// Notches in the tail scutes.
        TailScuteNotch = "tailScuteNotch",
        /// A tag on shell, web or scute.
        Tag = "tag",
        /// A natural pattern, known by photograph.
        NaturalPattern = "naturalPattern",
        /// A radio or satellite transmitter.
        Transmitter = "transmitter",
        /// Paint or another temporary mark.
        Temporary = "temporary",
        /// Another mark, told in the notes.
        Other = "other",
    }

    /// The transponder's standard.
    pub enum TransponderStandard {
        /// ISO 11784: fifteen digits.
        Iso11784 = "iso11784",
        /// Another or older system.
        Other = "other",
    }

    /// What was looked after.
    pub enum CareEvent {
        /// Food given.
        Feeding = "feeding",
        /// Water changed or measured.
        Water = "water",
        /// Heat held or measured.
        Heat = "heat",
        /// Something to do for the animals.
        Enrichment = "enrichment",
        /// A round of the unit.
        Round = "round",
    }

    /// A step of custody as case property.
    pub enum CustodyEvent {
        /// Bound as case property.
        Bound = "bound",
        /// What is forbidden was changed.
        Varied = "varied",
        /// No longer case property.
        Lifted = "lifted",
    }

    /// What case property may not undergo without leave.
    pub enum Forbidden {
        /// Being moved to another place.
        Movement = "movement",
        /// Release.
        Release = "release",
        /// Being given to somebody.
        HandingOver = "handingOver",
        /// Being put to death or disposed of.
        Destruction = "destruction",
    }

    /// What is to become of the animal.
    pub enum OutlookDecision {
        /// May be released.
        ReleaseCandidate = "releaseCandidate",
        /// Stays for life.
        LifelongCare = "lifelongCare",
        /// Goes on loan.
        Loan = "loan",
        /// Never to be released here.
        NeverRelease = "neverRelease",
        /// Joins a breeding programme.
        BreedingProgramme = "breedingProgramme",
        /// Not decided.
        Undecided = "undecided",
    }
}

body! {
    /// Where a subject now lives. A lot may stand in several units, each with its number.
    pub struct Housing {
        /// Housed in units, or taken out of all of them.
        pub event: HousingEvent,
        /// All units in which the subject now is.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        #[schemars(length(max = 200))]
        pub units: Vec<HousedIn>,
        /// For which kind of stay.
        pub stay: Option<Stay>,
        /// The order that allows a stay which a rule would forbid.
        pub order_number: Option<LocalId>,
    }
}

body! {
    /// A number of animals in one unit.
    pub struct HousedIn {
        /// The unit, by its number in the centre's books.
        #[serde(rename = "unitID")]
        pub unit_id: LocalId,
        /// How many of the subject are in this unit.
        #[schemars(range(min = 1, max = 1_000_000))]
        pub individual_count: u32,
    }
}

body! {
    /// A mark applied, read, looked for, failed or replaced.
    pub struct Marking {
        /// What was done or read.
        pub event: MarkingEvent,
        /// What kind of mark it is.
        pub mark_type: MarkType,
        /// What it reads: the digits of a transponder, the code of a notch or tag.
        pub mark_number: Option<LocalId>,
        /// The transponder's standard.
        pub transponder_standard: Option<TransponderStandard>,
        /// Where on the body it sits.
        #[schemars(length(min = 1, max = 200))]
        pub body_site: Option<String>,
        /// Whether the whole body was scanned; without it "none found" proves little.
        pub full_body_scan: Option<bool>,
        /// The number that was replaced.
        pub replaced_number: Option<LocalId>,
        /// Radio frequency in megahertz. Shown to few.
        #[schemars(range(min = 1.0, max = 3000.0))]
        pub frequency_megahertz: Option<f64>,
    }
}

body! {
    /// Food, water, heat, enrichment, rounds: of an animal, a lot or a unit.
    pub struct Care {
        /// What was looked after.
        pub event: CareEvent,
        /// The unit that was looked after.
        #[serde(rename = "unitID")]
        pub unit_id: Option<LocalId>,
        /// What food was given.
        #[schemars(length(min = 1, max = 200))]
        pub food: Option<String>,
        /// Food given, kilogram.
        #[schemars(range(min = 0.0, max = 10_000.0))]
        pub food_kilogram: Option<f64>,
        /// Share of the food that was eaten, 0 to 1.
        #[schemars(range(min = 0.0, max = 1.0))]
        pub food_eaten_share: Option<f64>,
        /// Share of the water that was changed, 0 to 1.
        #[schemars(range(min = 0.0, max = 1.0))]
        pub water_changed_share: Option<f64>,
        /// Whether the pool was scrubbed.
        pub scrubbed: Option<bool>,
        /// Water temperature, degree Celsius.
        #[schemars(range(min = -5.0, max = 60.0))]
        pub water_celsius: Option<f64>,
        /// Air temperature, degree Celsius.
        #[schemars(range(min = -30.0, max = 60.0))]
        pub air_celsius: Option<f64>,
        /// Temperature of the basking place, degree Celsius.
        #[schemars(range(min = -30.0, max = 100.0))]
        pub basking_celsius: Option<f64>,
        /// Acidity of the water, pH.
        #[schemars(range(min = 0.0, max = 14.0))]
        pub ph: Option<f64>,
        /// Ammonia in the water, milligram per litre.
        #[schemars(range(min = 0.0, max = 1000.0))]
        pub ammonia_milligram_per_litre: Option<f64>,
        /// Salt in the water, gram per kilogram.
        #[schemars(range(min = 0.0, max = 350.0))]
        pub salinity_gram_per_kilogram: Option<f64>,
    }
}

body! {
    /// The animal is, or is no longer, property of a case.
    pub struct Custody {
        /// Whether it is bound, varied or lifted.
        pub event: CustodyEvent,
        /// The number of the case.
        pub case_number: LocalId,
        /// What may not be done without leave.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        #[schemars(length(max = 10))]
        pub forbids: Vec<Forbidden>,
        /// The order that lifts or varies it.
        pub order_number: Option<LocalId>,
    }
}

body! {
    /// What is to become of the animal, as decided on this day.
    pub struct Outlook {
        /// What was decided.
        pub decision: OutlookDecision,
        /// Why it was decided so.
        #[schemars(length(min = 1, max = 2000))]
        pub reason: Option<String>,
        /// The day on which to look again.
        pub review: Option<Day>,
        /// Where it may be released, in general terms.
        pub site: Option<Locality>,
        /// A companion that it must not be parted from.
        #[serde(rename = "companionID")]
        pub companion_id: Option<OrganismId>,
    }
}
