//! The clinic: `assessment`, `result`, `treatment`, `quarantine`.

use super::body;
use crate::envelope::Length;
use crate::event_date::{Day, EventDate};
use crate::text::{ConsignmentId, LocalId, PartyId};
use crate::vocabulary::{Known, Triage, vocabulary};

vocabulary! {
    /// What the assessment was for.
    pub enum AssessmentEvent {
        /// On arrival.
        Triage = "triage",
        /// A regular or asked-for examination.
        Examination = "examination",
        /// Before a journey.
        BeforeTransport = "beforeTransport",
        /// A veterinarian's health certificate.
        Certificate = "certificate",
    }

    /// Body condition by look and feel.
    pub enum BodyCondition {
        /// Bones stand out.
        Emaciated = "emaciated",
        /// Below what is usual.
        Thin = "thin",
        /// As usual for the species.
        Good = "good",
        /// Above what is usual.
        Overweight = "overweight",
    }

    /// What the laboratory found.
    pub enum ResultOutcome {
        /// Not found.
        Negative = "negative",
        /// Found.
        Positive = "positive",
        /// Neither.
        Inconclusive = "inconclusive",
        /// The sample could not be tested.
        NotTestable = "notTestable",
    }

    /// What was sampled.
    pub enum SampleType {
        /// Blood.
        Blood = "blood",
        /// A swab.
        Swab = "swab",
        /// Faeces.
        Faeces = "faeces",
        /// Tissue.
        Tissue = "tissue",
        /// Water of a unit or circuit.
        Water = "water",
        /// Something else.
        Other = "other",
    }

    /// What was done.
    pub enum TreatmentEvent {
        /// A drug or fluid was given.
        Drug = "drug",
        /// Surgery, wound care, hook taken out.
        Procedure = "procedure",
        /// Jaws, limbs or eyes bound.
        BindingOn = "bindingOn",
        /// Binding taken off.
        BindingOff = "bindingOff",
        /// Awake and able to breathe and move after anaesthesia.
        Recovery = "recovery",
    }

    /// How a drug was given.
    pub enum DrugRoute {
        /// By mouth.
        Oral = "oral",
        /// Into muscle.
        Intramuscular = "intramuscular",
        /// Under the skin.
        Subcutaneous = "subcutaneous",
        /// Into a vein.
        Intravenous = "intravenous",
        /// Into the body cavity.
        Intracoelomic = "intracoelomic",
        /// On the skin or shell.
        Topical = "topical",
        /// Breathed in.
        Inhaled = "inhaled",
        /// Into bone marrow.
        Intraosseous = "intraosseous",
        /// Between shell or body wall and the body cavity.
        Epicoelomic = "epicoelomic",
        /// Into the cloaca.
        Cloacal = "cloacal",
        /// Another way, told in the notes.
        Other = "other",
    }

    /// What was bound.
    pub enum BindingSite {
        /// The jaws; nostrils stay free.
        Jaws = "jaws",
        /// The limbs.
        Limbs = "limbs",
        /// The eyes, covered.
        Eyes = "eyes",
    }

    /// A step of a quarantine.
    pub enum QuarantineEvent {
        /// The subject entered the batch.
        Entered = "entered",
        /// A veterinarian ended it.
        Ended = "ended",
        /// It was made longer.
        Extended = "extended",
    }
}

body! {
    /// A look at an animal or lot: triage, examination, fitness to travel, health certificate.
    pub struct Assessment {
        /// What the assessment was for.
        pub event: AssessmentEvent,
        /// How urgently it needs a place.
        pub triage: Option<Triage>,
        /// Body condition by look and feel.
        pub body_condition: Option<BodyCondition>,
        /// Lengths in metre, with what was measured and how.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        #[schemars(length(max = 20))]
        pub lengths_metre: Vec<Length>,
        /// Mass in kilogram, as weighed.
        #[schemars(range(min = 0.001, max = 2000.0))]
        pub mass_kilogram: Option<f64>,
        /// Body temperature, degree Celsius.
        #[schemars(range(min = 0.0, max = 50.0))]
        pub body_celsius: Option<f64>,
        /// Whether it carries eggs.
        pub gravid: Option<Known>,
        /// How many of a lot were looked at; all unless stated.
        #[schemars(range(min = 1, max = 1_000_000))]
        pub examined_count: Option<u32>,
        /// Injuries, one each.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        #[schemars(length(max = 50), inner(length(min = 1, max = 200)))]
        pub injuries: Vec<String>,
        /// May it travel? A `no` or `unknown` needs a veterinarian's word before any journey.
        pub fit_to_travel: Option<Known>,
        /// Whether a veterinarian made it.
        pub by_veterinarian: Option<bool>,
        /// Number of the certificate.
        pub certificate_number: Option<LocalId>,
        /// Last day on which the certificate holds.
        pub valid_through: Option<Day>,
        /// What was found, in words.
        #[schemars(length(max = 4000))]
        pub findings: Option<String>,
    }
}

body! {
    /// What a laboratory found in a sample.
    pub struct LaboratoryResult {
        /// The number under which the sample goes.
        #[serde(rename = "sampleID")]
        pub sample_id: LocalId,
        /// What was sampled.
        pub sample_type: SampleType,
        /// When the sample was taken.
        pub collected: Option<EventDate>,
        /// The test that was made, by its name.
        #[schemars(length(min = 1, max = 200))]
        pub test: String,
        /// The agent of disease looked for.
        #[schemars(length(min = 1, max = 200))]
        pub agent: Option<String>,
        /// What came out of the test.
        pub outcome: ResultOutcome,
        /// The unit sampled, where the sample is of a place.
        #[serde(rename = "unitID")]
        pub unit_id: Option<LocalId>,
        /// The water circuit sampled.
        pub water_circuit: Option<LocalId>,
        /// How many animals went into the sample, where it was pooled.
        #[schemars(range(min = 1, max = 1_000_000))]
        pub sampled_count: Option<u32>,
        /// The standstill that the sampling was for.
        #[serde(rename = "standstillID")]
        pub standstill_id: Option<LocalId>,
        /// The laboratory that made the test.
        #[serde(rename = "laboratoryID")]
        pub laboratory_id: Option<PartyId>,
    }
}

body! {
    /// A drug, a procedure, a binding put on or taken off, a recovery.
    pub struct Treatment {
        /// What was done.
        pub event: TreatmentEvent,
        /// The drug, by its generic name.
        #[schemars(length(min = 1, max = 200))]
        pub drug: Option<String>,
        /// Dose in milligram per kilogram of body mass.
        #[schemars(range(min = 0.0, max = 10_000.0))]
        pub dose_milligram_per_kilogram: Option<f64>,
        /// Dose given in all, milligram.
        #[schemars(range(min = 0.0, max = 1_000_000.0))]
        pub dose_milligram: Option<f64>,
        /// Volume given in millilitre.
        #[schemars(range(min = 0.0, max = 100_000.0))]
        pub volume_millilitre: Option<f64>,
        /// How it was given.
        pub route: Option<DrugRoute>,
        /// The procedure, in words.
        #[schemars(length(min = 1, max = 2000))]
        pub procedure: Option<String>,
        /// What was bound, or freed from its binding.
        pub binding_site: Option<BindingSite>,
        /// What it was for.
        #[schemars(length(min = 1, max = 1000))]
        pub reason: Option<String>,
        /// Done by, or on the word of, a veterinarian.
        pub by_veterinarian: Option<bool>,
        /// The journey on which it happened.
        #[serde(rename = "consignmentID")]
        pub consignment_id: Option<ConsignmentId>,
    }
}

body! {
    /// A step of the quarantine of a batch: one species of one arrival in one unit or water circuit.
    pub struct Quarantine {
        /// The step of the quarantine.
        pub event: QuarantineEvent,
        /// The number of the batch: what entered together.
        #[serde(rename = "batchID")]
        pub batch_id: LocalId,
        /// The unit in which the batch stands.
        #[serde(rename = "unitID")]
        pub unit_id: Option<LocalId>,
        /// The water that the unit shares with others.
        pub water_circuit: Option<LocalId>,
        /// Days from the last entry; without it the species' profile or local code decides.
        #[schemars(range(min = 0, max = 730))]
        pub days: Option<u16>,
        /// Whether a veterinarian decided it.
        pub by_veterinarian: Option<bool>,
        /// Why it was ended or extended.
        #[schemars(length(min = 1, max = 1000))]
        pub reason: Option<String>,
    }
}
