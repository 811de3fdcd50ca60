//! Who asks: every query takes a scope, so that a forgotten check does not compile.

use haulout_schemas::text::PartyId;
use sea_orm::Value;

/// What part of the region a query may see.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Scope {
    /// What a party wrote, what stands at its centre or the points it keeps, and what travels to or
    /// from it.
    Party(PartyId),
    /// The whole region, for placing animals.
    Region,
    /// The whole region, for the licensing authority.
    Authority,
    /// Nothing of single records: only what is counted and generalised elsewhere.
    Public,
}

impl Scope {
    /// Whether single records may be seen at all.
    pub const fn sees_records(&self) -> bool {
        !matches!(self, Self::Public)
    }

    /// Whether everything in the region may be seen.
    pub const fn sees_region(&self) -> bool {
        matches!(self, Self::Region | Self::Authority)
    }

    /// Whether what stands at or concerns the party may be seen.
    pub fn sees_party(&self, party: &str) -> bool {
        match self {
            Self::Party(own) => own.as_str() == party,
            Self::Region | Self::Authority => true,
            Self::Public => false,
        }
    }

    /// The condition on `journal AS j`, its values bound from `$first` on; `kept` are the points
    /// that the party keeps.
    pub(crate) fn condition(&self, first: usize, kept: &[String]) -> (String, Vec<Value>) {
        match self {
            Self::Region | Self::Authority => ("1 = 1".into(), Vec::new()),
            Self::Public => ("1 = 0".into(), Vec::new()),
            Self::Party(party) => {
                let mut values: Vec<Value> = vec![party.as_str().into()];
                values.extend(kept.iter().map(|point| Value::from(point.as_str())));
                let places: Vec<String> = (first..first + values.len()).map(|n| format!("${n}")).collect();
                let places = places.join(", ");
                (
                    format!(
                        "(j.author_id = ${first} OR j.place IN ({places}) OR j.counterpart IN ({places}))"
                    ),
                    values,
                )
            }
        }
    }
}
