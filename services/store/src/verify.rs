//! Verifying: every hash and link computed again, every projection digested.

mod chains;
mod digests;

pub use digests::Digests;

use crate::chain::{CHAIN_OF_ACTS, Hash};
use crate::clock::instant_text;
use crate::database::{Store, digest_of, row};
use crate::error::Result;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Something in the journal that is not as it was sealed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Fault {
    /// Whose chain; `acts` for the region's own.
    #[serde(rename = "authorID")]
    pub author_id: String,
    /// Which entry of it.
    pub sequence: i64,
    /// What is wrong.
    pub problem: String,
}

/// A record whose listed free text was blanked; its chain is intact.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Redacted {
    /// Whose chain.
    #[serde(rename = "authorID")]
    pub author_id: String,
    /// Which entry of it.
    pub sequence: i64,
}

/// What verifying came to.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Verification {
    /// Records read.
    pub records: i64,
    /// Acts read.
    pub acts: i64,
    /// Faults; none in a good journal.
    pub faults: Vec<Fault>,
    /// Records with blanked text.
    pub redacted: Vec<Redacted>,
    /// Two digests of each projection that rests on records.
    pub projections: BTreeMap<&'static str, Digests>,
    /// Versions of the rules that made the projections.
    pub projected_by: String,
    /// The day through which the findings were judged; their `now` digest is comparable at the same day.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub evaluated_through: Option<String>,
}

impl Verification {
    /// Whether nothing was altered.
    pub fn is_good(&self) -> bool {
        self.faults.is_empty()
    }
}

/// Where a chain stood.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Head {
    /// How many entries it had.
    pub sequence: i64,
    /// The newest link, in lower-case hexadecimal.
    pub link: String,
}

/// Where all chains stood: to be kept elsewhere, and compared with later.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Checkpoint {
    /// Stamp of the newest entry, RFC 3339 in UTC.
    pub as_known_at: String,
    /// Head of each party's chain, and of `acts`.
    pub chain_heads: BTreeMap<String, Head>,
}

impl Store {
    /// Computes every hash and link again and digests the projections. The findings are brought up
    /// to date first.
    ///
    /// # Errors
    /// When the database cannot be read.
    pub async fn verify(&self) -> Result<Verification> {
        self.refresh_findings().await?;
        let tx = self.snapshot().await?;
        let mut found = chains::Found::default();
        chains::records(&tx, &mut found).await?;
        chains::acts(&tx, &mut found).await?;
        let state = row(&tx, "SELECT evaluated_through FROM finding_state WHERE one = 1", []).await?;
        Ok(Verification {
            records: found.records,
            acts: found.acts,
            faults: found.faults,
            redacted: found.redacted,
            projections: digests::all(&tx).await?,
            projected_by: crate::database::read_state(&tx).await?.projected_by,
            evaluated_through: state.map(|row| row.try_get("", "evaluated_through")).transpose()?,
        })
    }

    /// Where all chains stand.
    ///
    /// # Errors
    /// When the database cannot be read.
    pub async fn checkpoint(&self) -> Result<Checkpoint> {
        let state = self.state().await?;
        let head = |sequence: i64, link: &Hash| Head { sequence, link: hex::encode(link) };
        let mut chain_heads: BTreeMap<String, Head> = self
            .chain_heads(None)
            .await?
            .iter()
            .map(|(author, (n, link))| (author.clone(), head(*n, link)))
            .collect();
        if state.act_sequence > 0 {
            chain_heads.insert(CHAIN_OF_ACTS.to_owned(), head(state.act_sequence, &state.act_link));
        }
        Ok(Checkpoint { as_known_at: instant_text(state.last_known_from), chain_heads })
    }

    /// Whether chains that stood so once are the beginnings of today's: a fault for each that is not.
    /// Takes a checkpoint's heads, a statement's, or a receipt's.
    ///
    /// # Errors
    /// When the database cannot be read.
    pub async fn compare_heads(&self, heads: &BTreeMap<String, Head>) -> Result<Vec<Fault>> {
        let mut faults = Vec::new();
        for (author, head) in heads {
            let found = if author == CHAIN_OF_ACTS {
                row(self.db(), "SELECT link FROM act WHERE sequence = $1", [head.sequence.into()]).await?
            } else {
                let sql = "SELECT link FROM journal WHERE author_id = $1 AND sequence = $2";
                row(self.db(), sql, [author.as_str().into(), head.sequence.into()]).await?
            };
            let problem = match found {
                None => "the entry is missing: the chain was longer once",
                Some(row) if hex::encode(digest_of(&row, "link")?) != head.link => {
                    "the link is not the one that was given out: the chain was written anew"
                }
                Some(_) => continue,
            };
            faults.push(Fault {
                author_id: author.clone(),
                sequence: head.sequence,
                problem: problem.to_owned(),
            });
        }
        Ok(faults)
    }
}
