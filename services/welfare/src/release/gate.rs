//! Before the release: what is there, what is missing, and who must supply it.
//!
//! The points are common practice (the authority's permission, a health
//! assessment, a certificate, marks inside and outside, an assessed site); basin,
//! season and case property come on top. All points met means that no reason was
//! found against the release, nothing more: the authority decides.

use chrono::{Days, NaiveDate};
use haulout_schemas::profile::{Occurrence, Profile};
use haulout_schemas::vocabulary::Known;
use serde::{Deserialize, Serialize};

use crate::grounds::Grounds;
use crate::refusal::Refusal;

/// Days for which findings hold. The defaults are a proposal; the region sets its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields, default)]
pub struct Validity {
    /// An assessment of fitness.
    pub fitness_days: u16,
    /// An assessment of disease.
    pub disease_days: u16,
    /// A reading of a mark.
    pub mark_reading_days: u16,
}

impl Default for Validity {
    fn default() -> Self {
        Self { fitness_days: 14, disease_days: 30, mark_reading_days: 30 }
    }
}

/// A release permit, as far as the gate looks at it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct PermitSeen {
    /// Its number.
    pub permit_number: String,
    /// Whether the authority wrote it; a centre's own version is a claim.
    pub by_authority: bool,
    /// Whether it names the species, or a taxon above it.
    pub names_species: bool,
    /// Whether it names the centre.
    pub names_holder: bool,
    /// First day of validity.
    pub valid_from: Option<NaiveDate>,
    /// Last day of validity.
    pub valid_through: Option<NaiveDate>,
    /// Animals it still allows.
    pub left: u32,
}

/// A health certificate.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct CertificateSeen {
    /// Its number.
    pub certificate_number: Option<String>,
    /// Whether a veterinarian made it.
    pub by_veterinarian: bool,
    /// Day of issue.
    pub issued: NaiveDate,
    /// Last day of validity.
    pub valid_through: Option<NaiveDate>,
}

/// An assessment and what came of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Assessed {
    /// Day.
    pub on: NaiveDate,
    /// Fit, or free of disease as far as was looked for.
    pub favourable: Known,
    /// Whether a veterinarian made it.
    pub by_veterinarian: bool,
}

/// A mark on one animal.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct MarkSeen {
    /// What it reads.
    pub mark_number: String,
    /// Day on which it was last read on the animal.
    pub last_read: Option<NaiveDate>,
    /// Other animals of the region that are told to carry the same number.
    pub others_with_it: u32,
}

/// The marks of one animal: common practice asks for one inside and one to be seen.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Marked {
    /// The animal, as the centre calls it.
    pub animal: String,
    /// The implant.
    pub implant: Option<MarkSeen>,
    /// The mark to be seen: notch, tag, pattern.
    pub visual: Option<MarkSeen>,
}

/// What is known of the site.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct SiteSeen {
    /// Day of the assessment.
    pub assessed_on: NaiveDate,
    /// Habitat fit for the species.
    pub habitat: Known,
    /// The same or a related species lives there, or did.
    pub species_history: Known,
    /// The site lies in the basin that the animals come from.
    pub basin_of_origin: Known,
}

/// Animals that are to be released together.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Candidates {
    /// Planned day.
    pub on: NaiveDate,
    /// How many.
    pub animals: u32,
    /// Region, by its id in the species profile.
    pub region: String,
    /// Release permits that may serve.
    #[serde(default)]
    pub permits: Vec<PermitSeen>,
    /// Health certificates of all of them.
    #[serde(default)]
    pub certificates: Vec<CertificateSeen>,
    /// Fitness of all of them; the newest.
    pub fitness: Option<Assessed>,
    /// Disease among them; the newest.
    pub disease: Option<Assessed>,
    /// Quarantine ended by a veterinarian.
    pub quarantine_ended: Known,
    /// Marks, one entry for each animal.
    #[serde(default)]
    pub marks: Vec<Marked>,
    /// The site.
    pub site: Option<SiteSeen>,
    /// The planned day lies in the season that the authority or the veterinarian names.
    pub in_season: Known,
    /// Bound as case property, release forbidden, and no leave given.
    pub bound_by_case: Known,
    /// Days for which findings hold.
    #[serde(default)]
    pub validity: Validity,
}

/// A point of the gate.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "camelCase")]
pub enum Asked {
    /// The species may be released at all here.
    Species,
    /// The authority's permit.
    Permit,
    /// No case binds it.
    CaseProperty,
    /// The veterinary health certificate.
    HealthCertificate,
    /// Fitness.
    Fitness,
    /// Disease.
    Disease,
    /// The end of quarantine.
    Quarantine,
    /// Marks readable and unique.
    Marks,
    /// Habitat of the site.
    SiteHabitat,
    /// History of the same or related species at the site.
    SiteHistory,
    /// Basin of origin.
    BasinOfOrigin,
    /// Season.
    Season,
}

/// How a point stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "camelCase")]
pub enum Stands {
    /// Nothing found against.
    Met,
    /// Not there, not known, or no longer valid.
    Missing,
    /// There, and against the release.
    Against,
}

/// Who supplies what is missing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "camelCase")]
pub enum Supplier {
    /// The licensing authority.
    Authority,
    /// A licensed veterinarian.
    Veterinarian,
    /// The centre.
    Centre,
    /// The court or agency of the case.
    CaseHolder,
    /// Whoever assesses the site.
    SiteAssessor,
}

/// One line of the checklist.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Point {
    /// What is asked.
    pub asked: Asked,
    /// How it stands.
    pub stands: Stands,
    /// What was found, or what is missing.
    pub found: String,
    /// Who must supply it; absent where it is met.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub supplier: Option<Supplier>,
    /// Why it is asked.
    pub grounds: Grounds,
}

/// The checklist.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Gate {
    /// True where no point is missing or against.
    pub no_reason_found_against: bool,
    /// Every point.
    pub points: Vec<Point>,
    /// Shown with every gate.
    pub caution: &'static str,
}

/// What a gate cannot say; shown with every gate.
pub const CAUTION: &str = "no reason found against is no permission: the competent authority decides, and local code stands above this list";

/// The checklist of a planned release.
///
/// # Errors
/// No animals, or more marks than animals.
pub fn gate(profile: &Profile, wanted: &Candidates) -> Result<Gate, Refusal> {
    let what = || format!("release of {} {}", wanted.animals, profile.scientific_name);
    if wanted.animals == 0 {
        return Err(Refusal::new("nobody", what(), "there is nobody to release", "state how many animals"));
    }
    if wanted.marks.len() > wanted.animals as usize {
        return Err(Refusal::new(
            "marks-above-animals",
            what(),
            format!("{} animals have marks", wanted.marks.len()),
            "state how many animals are meant, each with its own marks",
        ));
    }
    let points = super::points::points(profile, wanted);
    Ok(Gate {
        no_reason_found_against: points.iter().all(|point| point.stands == Stands::Met),
        points,
        caution: CAUTION,
    })
}

/// Whether what was found on `on` still holds on `day`; nothing from the future holds.
pub(super) fn holds(on: NaiveDate, days: u16, day: NaiveDate) -> bool {
    on <= day && on.checked_add_days(Days::new(days.into())).is_some_and(|last| day <= last)
}

/// What the species is in the region's basin.
pub(super) fn occurrence(profile: &Profile, region: &str) -> Option<(Occurrence, Grounds)> {
    let basin = profile.basin(region)?;
    Some((basin.occurrence.value, Grounds::profile(&basin.occurrence.source)))
}

#[cfg(test)]
#[path = "gate_tests.rs"]
mod tests;
