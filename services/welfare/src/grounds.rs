//! What a figure rests on: shown with every figure, never left out.

use std::borrow::Cow;

use haulout_schemas::profile::{COMMON_PRACTICE, FROM_MEMORY};
use serde::{Deserialize, Serialize};

/// How much a source can bear.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub enum Standing {
    /// Read in the named publication or standard.
    Published,
    /// Read, but at second hand: not to be cited as a standard.
    SecondHand,
    /// Registered by an authority, which answers for it.
    Authority,
    /// Computed from the region's own records.
    Records,
    /// A rule of thumb practitioners work by, without a published source.
    CommonPractice,
    /// Believed correct, not seen in a source; never a published check value.
    FromMemory,
    /// A choice of this programme where no source gives one.
    Proposal,
}

/// The source of a figure.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct Grounds {
    /// How much the source can bear.
    pub standing: Standing,
    /// The source in words, or its key in the profile file.
    pub source: Cow<'static, str>,
}

impl Grounds {
    const fn of(standing: Standing, source: &'static str) -> Self {
        Self { standing, source: Cow::Borrowed(source) }
    }

    /// Read in a publication.
    #[must_use]
    pub const fn published(source: &'static str) -> Self {
        Self::of(Standing::Published, source)
    }

    /// Read at second hand.
    #[must_use]
    pub const fn second_hand(source: &'static str) -> Self {
        Self::of(Standing::SecondHand, source)
    }

    /// A rule of thumb of the trade.
    #[must_use]
    pub const fn common_practice() -> Self {
        Self::of(Standing::CommonPractice, COMMON_PRACTICE)
    }

    /// Believed correct, not seen in a source.
    #[must_use]
    pub const fn memory() -> Self {
        Self::of(Standing::FromMemory, FROM_MEMORY)
    }

    /// A choice of this programme.
    #[must_use]
    pub const fn proposal(source: &'static str) -> Self {
        Self::of(Standing::Proposal, source)
    }

    /// Computed from records, which `source` names.
    #[must_use]
    pub fn records(source: impl Into<Cow<'static, str>>) -> Self {
        Self { standing: Standing::Records, source: source.into() }
    }

    /// From the `source` member of a species profile.
    #[must_use]
    pub fn profile(source: &str) -> Self {
        let standing = match source {
            COMMON_PRACTICE => Standing::CommonPractice,
            FROM_MEMORY => Standing::FromMemory,
            "proposal" => Standing::Proposal,
            _ => Standing::Published,
        };
        Self { standing, source: Cow::Owned(source.to_owned()) }
    }

    /// True where the figure must be marked as not seen in any source.
    #[must_use]
    pub fn is_from_memory(&self) -> bool {
        self.standing == Standing::FromMemory
    }
}

/// A sentence to work by, with what it rests on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Advice {
    /// The sentence.
    pub text: Cow<'static, str>,
    /// What it rests on.
    pub grounds: Grounds,
}

impl Advice {
    /// A sentence and its grounds.
    #[must_use]
    pub fn new(text: impl Into<Cow<'static, str>>, grounds: Grounds) -> Self {
        Self { text: text.into(), grounds }
    }
}
