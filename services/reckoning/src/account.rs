//! Accounts and commodities of the ledger.

use haulout_schemas::text::{ConsignmentId, PartyId};
use haulout_schemas::vocabulary::LifeStage;
use serde::{Deserialize, Serialize};
use std::borrow::Cow;
use std::fmt;

/// An account of the ledger, by its text: `wild`, `dead`, `centre/meruva.kolvani`,
/// `transit/meruva.ombari:7`. Sources and ends are words of the contract; some (`released`,
/// `escaped`, `outside`) are both, and are one account.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Account(Cow<'static, str>);

impl Account {
    /// What the first count found.
    pub const OPENING: Self = Self(Cow::Borrowed("opening"));
    /// Eggs laid in care.
    pub const LAID: Self = Self(Cow::Borrowed("laid"));
    /// Eggs that became animals: an end of eggs, a source of animals.
    pub const HATCHED: Self = Self(Cow::Borrowed("hatched"));
    /// Freed; a source when one comes back.
    pub const RELEASED: Self = Self(Cow::Borrowed("released"));
    /// Escaped; a source when one comes back.
    pub const ESCAPED: Self = Self(Cow::Borrowed("escaped"));
    /// Stolen.
    pub const STOLEN: Self = Self(Cow::Borrowed("stolen"));
    /// Missing by the centre's own declaration.
    pub const MISSING: Self = Self(Cow::Borrowed("missing"));
    /// Dead.
    pub const DEAD: Self = Self(Cow::Borrowed("dead"));
    /// Put to death by order.
    pub const DESTROYED_BY_ORDER: Self = Self(Cow::Borrowed("destroyedByOrder"));
    /// Outside the region.
    pub const OUTSIDE: Self = Self(Cow::Borrowed("outside"));
    /// With its owner.
    pub const OWNER: Self = Self(Cow::Borrowed("owner"));
    /// In a placement or on loan.
    pub const PLACED_OUT: Self = Self(Cow::Borrowed("placedOut"));
    /// Handed to the authority.
    pub const HANDED_OVER: Self = Self(Cow::Borrowed("handedOver"));
    /// From the wild.
    pub const WILD: Self = Self(Cow::Borrowed("wild"));
    /// A count that was mended.
    pub const RECOUNT: Self = Self(Cow::Borrowed("recount"));
    /// A species that was mended; over all commodities it is zero.
    pub const REDETERMINED: Self = Self(Cow::Borrowed("redetermined"));
    /// A difference that a party cannot explain.
    pub const UNEXPLAINED: Self = Self(Cow::Borrowed("unexplained"));

    /// No account of the ledger: stands for all counter-accounts at once where a sum tells only what
    /// was there before a period.
    pub const CARRIED: Self = Self(Cow::Borrowed("carried"));

    /// A source or an end by its word.
    pub const fn word(word: &'static str) -> Self {
        Self(Cow::Borrowed(word))
    }

    /// An account by its text, as stored.
    pub fn from_text(text: impl Into<String>) -> Self {
        Self(Cow::Owned(text.into()))
    }

    /// The stock of a centre.
    pub fn centre(id: &PartyId) -> Self {
        Self::from_text(format!("centre/{id}"))
    }

    /// The stock of a holding point.
    pub fn point(id: &PartyId) -> Self {
        Self::from_text(format!("point/{id}"))
    }

    /// What is on a journey.
    pub fn transit(id: &ConsignmentId) -> Self {
        Self::from_text(format!("transit/{id}"))
    }

    /// The text.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// Whether animals or eggs can stand here: a centre, a point, a journey.
    pub fn is_stock(&self) -> bool {
        self.place().is_some() || self.consignment().is_some()
    }

    /// The centre or point, where the account is a stock of one.
    pub fn place(&self) -> Option<&str> {
        self.0.strip_prefix("centre/").or_else(|| self.0.strip_prefix("point/"))
    }

    /// The consignment, where the account is a journey.
    pub fn consignment(&self) -> Option<&str> {
        self.0.strip_prefix("transit/")
    }

    /// The word under which a statement shows it as a counter-account: every journey as `transit`.
    pub fn heading(&self) -> &str {
        if self.consignment().is_some() { "transit" } else { &self.0 }
    }
}

impl fmt::Display for Account {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// What is counted: eggs or animals of one accepted name. An unknown name is its own commodity.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct Commodity {
    /// Accepted name.
    pub scientific_name: String,
    /// Eggs, not animals.
    pub eggs: bool,
}

impl Commodity {
    /// The commodity of a name and a stage: stage `egg` is of eggs, any other of animals.
    pub fn of(accepted_name: &str, stage: Option<LifeStage>) -> Self {
        Self { scientific_name: accepted_name.to_owned(), eggs: stage == Some(LifeStage::Egg) }
    }

    /// `eggs` or `animals`.
    pub const fn word(&self) -> &'static str {
        if self.eggs { "eggs" } else { "animals" }
    }
}
