//! What really happened: the answer sheet beside the records.

use serde::Serialize;

use haulout_schemas::RecordRef;

use crate::species::{self};
use crate::stock::Good;

/// `animals` or `eggs` of a species.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub enum Commodity {
    /// Animals of any age.
    Animals,
    /// Eggs.
    Eggs,
}

/// A number of one commodity.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Held {
    /// Species as identified on that night.
    pub scientific_name: &'static str,
    /// Eggs or animals.
    pub commodity: Commodity,
    /// How many there really are.
    pub count: u32,
}

/// What a centre, a point or a journey really held at midnight; what is not listed was not there.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Holding {
    /// The night.
    pub night: String,
    /// Centre or point.
    #[serde(rename = "placeID", skip_serializing_if = "Option::is_none")]
    pub place_id: Option<String>,
    /// Journey on the road at that midnight.
    #[serde(rename = "consignmentID", skip_serializing_if = "Option::is_none")]
    pub consignment_id: Option<String>,
    /// What it held.
    pub stock: Vec<Held>,
}

/// A planted fault, or a finding that another planted fault brings with it.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct PlantedFault {
    /// Code of the rule that must answer.
    pub code: &'static str,
    /// Centres, keepers and offices concerned.
    pub parties: Vec<String>,
    /// Records that the finding rests on.
    pub records: Vec<RecordRef>,
    /// Day on which it comes to be.
    pub day: String,
    /// Index in this list of the fault that brings this one with it; absent where it stands by itself.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub because: Option<usize>,
    /// Species, where it is about one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub scientific_name: Option<&'static str>,
}

/// When a file is posted. A party that is late by habit posts days after the night; that is told here
/// and is no planted fault.
#[derive(Clone, Debug, Serialize)]
pub struct Post {
    /// Path below the output folder.
    pub file: String,
    /// RFC 3339, in the region's offset.
    pub at: String,
}

/// Where books and truth part because of a planted fault, from one midnight on.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Difference {
    /// Centre or point whose account differs.
    #[serde(rename = "placeID", skip_serializing_if = "Option::is_none")]
    pub place_id: Option<String>,
    /// Journey whose account differs.
    #[serde(rename = "consignmentID", skip_serializing_if = "Option::is_none")]
    pub consignment_id: Option<String>,
    /// Species.
    pub scientific_name: &'static str,
    /// Eggs or animals.
    pub commodity: Commodity,
    /// First night on which they differ; they do so through the last.
    pub from: String,
    /// Books less truth.
    pub difference: i64,
    /// Index of the fault.
    pub because: usize,
}

/// The whole answer sheet, `truth.json`.
#[derive(Clone, Debug, Default, Serialize)]
pub struct Truth {
    /// Planted faults and what they bring with them.
    pub faults: Vec<PlantedFault>,
    /// When each night's file is posted, in order of time.
    pub posts: Vec<Post>,
    /// Where books and truth part.
    pub differences: Vec<Difference>,
    /// True stock, from the simulated animals.
    pub holdings: Vec<Holding>,
}

/// A sum of goods as the answer sheet lists it.
pub(crate) fn listed(sums: impl Iterator<Item = (Good, u32)>) -> Vec<Held> {
    sums.filter(|(_, count)| *count > 0)
        .map(|((species, eggs), count)| Held {
            scientific_name: species::ALL[species].name,
            commodity: if eggs { Commodity::Eggs } else { Commodity::Animals },
            count,
        })
        .collect()
}
