//! `haulout verify` and `haulout rebuild`: is the journal whole, and are the projections its own?

use clap::{Args, ValueEnum};
use haulout_reckoning::Period;
use haulout_store::verify::{Checkpoint, Fault, Head};
use haulout_store::{Clock, Scope, Store};
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::path::PathBuf;

use super::database::{Database, block_on, read_text};
use super::{Failure, Verdict, output};
use crate::statements::make::{Asked, make};

/// Compute every hash and link again, and compare with what was given out earlier.
///
/// Exit codes: 0 nothing was altered, 1 mismatch, 2 could not be done, or made by other rules.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  haulout verify\n  haulout verify --statement 2026-Q3.json --checkpoint last-month.json"
)]
pub struct Verify {
    /// A statement printed earlier as JSON: it is made again and its digests are compared.
    #[arg(long, value_name = "FILE")]
    statement: Option<PathBuf>,
    /// Chain heads kept earlier (`--write-checkpoint`): today's chains must continue them.
    #[arg(long, value_name = "FILE")]
    checkpoint: Option<PathBuf>,
    /// Write where the chains stand now, to be kept elsewhere.
    #[arg(long, value_name = "FILE")]
    write_checkpoint: Option<PathBuf>,
    /// Form of the answer.
    #[arg(long, value_enum, default_value_t = Form::Text)]
    format: Form,
    #[command(flatten)]
    database: Database,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Form {
    Text,
    Json,
}

impl Verify {
    pub(super) fn run(self) -> Result<Verdict, Failure> {
        block_on(async {
            let store = self.database.open(Clock::Real).await?;
            let verification = store.verify().await?;
            let mut mismatches: Vec<String> = verification.faults.iter().map(in_words).collect();
            if let Some(path) = &self.checkpoint {
                let checkpoint: Checkpoint = read_json(path)?;
                mismatches.extend(store.compare_heads(&checkpoint.chain_heads).await?.iter().map(in_words));
            }
            if let Some(path) = &self.statement {
                mismatches.extend(compare_statement(&store, &read_json(path)?).await?);
            }
            if let Some(path) = &self.write_checkpoint {
                let bytes = serde_json_canonicalizer::to_vec(&store.checkpoint().await?)
                    .map_err(|error| Failure::new("the checkpoint cannot be written").because(error))?;
                std::fs::write(path, bytes).map_err(|error| {
                    Failure::new(format!("cannot write {}", path.display())).because(error)
                })?;
            }
            match self.format {
                Form::Json => output::print_json(
                    &json!({ "good": mismatches.is_empty(), "mismatches": mismatches, "verification": verification }),
                )?,
                Form::Text => {
                    let mut text =
                        format!("{} records and {} acts read\n", verification.records, verification.acts);
                    for redacted in &verification.redacted {
                        text.push_str(&format!(
                            "redacted: {} {}, chain intact\n",
                            redacted.author_id, redacted.sequence
                        ));
                    }
                    for (name, digests) in &verification.projections {
                        text.push_str(&format!("{name}: now {} full {}\n", digests.now, digests.full));
                    }
                    for mismatch in &mismatches {
                        text.push_str(&format!("MISMATCH {mismatch}\n"));
                    }
                    text.push_str(if mismatches.is_empty() {
                        "nothing was altered\n"
                    } else {
                        "not as it was sealed\n"
                    });
                    output::print(text.as_bytes())?;
                }
            }
            Ok(if mismatches.is_empty() { Verdict::Yes } else { Verdict::No })
        })
    }
}

fn in_words(fault: &Fault) -> String {
    format!("{} {}: {}", fault.author_id, fault.sequence, fault.problem)
}

fn read_json<T: serde::de::DeserializeOwned>(path: &std::path::Path) -> Result<T, Failure> {
    serde_json::from_str(&read_text(path)?)
        .map_err(|error| Failure::new(format!("{} is not what was expected", path.display())).because(error))
}

/// Makes the statement again and compares its digests; one made by other rules cannot be compared.
async fn compare_statement(store: &Store, printed: &Value) -> Result<Vec<String>, Failure> {
    let text = |pointer: &str| printed.pointer(pointer).and_then(Value::as_str).map(str::to_owned);
    let missing = || {
        Failure::new(
            "the statement's file holds no question with its basis; print one with `haulout statement --format json`",
        )
    };
    let period = text("/question/period").ok_or_else(missing)?;
    let as_known_at = text("/basis/asKnownAt").ok_or_else(missing)?;
    let asked = Asked {
        period: Period::parse(&period).map_err(|error| Failure::new(error.to_string()))?,
        as_known_at: Some(as_known_at),
        centre_id: text("/question/centreID"),
        scientific_name: text("/question/scientificName"),
    };
    let made =
        make(store, &Scope::Authority, &asked).await.map_err(|error| Failure::new(error.to_string()))?;
    let made = serde_json::to_value(&made)
        .map_err(|error| Failure::new("the statement cannot be compared").because(error))?;
    for rules in ["/basis/postingRules", "/basis/ruleSet"] {
        if printed.pointer(rules) != made.pointer(rules) {
            return Err(Failure::new(format!(
                "the statement was made by other rules ({rules}); its figures cannot be compared"
            )));
        }
    }
    let mut mismatches: Vec<String> = ["/accountDigest", "/findingsDigest"]
        .into_iter()
        .filter(|pointer| printed.pointer(pointer) != made.pointer(pointer))
        .map(|pointer| format!("{pointer} of the statement is another now"))
        .collect();
    // The figures must be those under the digest, or the file itself was changed.
    for (pointer, digest) in [("/account", "/accountDigest"), ("/findings", "/findingsDigest")] {
        if printed.pointer(digest) == made.pointer(digest)
            && printed.pointer(pointer) != made.pointer(pointer)
        {
            mismatches.push(format!("{pointer} of the file is not what its digest says"));
        }
    }
    let heads: BTreeMap<String, Head> = printed
        .pointer("/basis/chainHeads")
        .cloned()
        .map(serde_json::from_value)
        .transpose()
        .map_err(|error| Failure::new("the statement's chain heads cannot be read").because(error))?
        .unwrap_or_default();
    mismatches.extend(store.compare_heads(&heads).await?.iter().map(in_words));
    Ok(mismatches)
}

/// Make all projections anew from the journal.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  haulout rebuild --database 'sqlite://haulout.db?mode=rwc'")]
pub struct Rebuild {
    #[command(flatten)]
    database: Database,
}

impl Rebuild {
    pub(super) fn run(self) -> Result<Verdict, Failure> {
        block_on(async {
            self.database.open(Clock::Real).await?.rebuild().await?;
            Ok(Verdict::Yes)
        })
    }
}
