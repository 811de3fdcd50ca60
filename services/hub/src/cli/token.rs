//! `haulout token`: tokens for machines.

use chrono::Utc;
use clap::{Args, Subcommand};
use haulout_schemas::text::PartyId;
use haulout_store::clock::instant_text;
use haulout_store::{Clock, Role};
use serde_json::json;

use super::database::{Database, block_on};
use super::{Failure, Verdict, output};

/// Issue, list and revoke tokens for machines.
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  haulout token issue --role centre --party meruva.kolvani --database 'sqlite://haulout.db?mode=rwc'"
)]
pub struct Token {
    #[command(subcommand)]
    step: Step,
}

#[derive(Debug, Subcommand)]
enum Step {
    /// Issue a token and print it alone; it is shown this once and kept nowhere.
    #[command(
        after_help = "Example:\n  haulout token issue --role centre --party meruva.kolvani > kolvani.token"
    )]
    Issue {
        /// centre, coordinator, authority, laboratory, partner or operator.
        #[arg(long)]
        role: Role,
        /// The party that its bearer acts for, such as meruva.kolvani.
        #[arg(long, value_name = "ID")]
        party: Option<String>,
        /// What it is for.
        #[arg(long, default_value = "")]
        label: String,
        /// Days after which it ends.
        #[arg(long, value_name = "DAYS")]
        expires_in_days: Option<u32>,
        #[command(flatten)]
        database: Database,
    },
    /// End a token, named by its number or by itself.
    #[command(after_help = "Example:\n  haulout token revoke 4f2a9c0d11e7b855")]
    Revoke {
        /// Its number (see `token list`) or the token itself.
        token: String,
        #[command(flatten)]
        database: Database,
    },
    /// List tokens, without their secrets, as JSON.
    #[command(after_help = "Example:\n  haulout token list")]
    List {
        #[command(flatten)]
        database: Database,
    },
}

/// Microseconds of a day.
const DAY: i64 = 86_400_000_000;

impl Token {
    pub(super) fn run(self) -> Result<Verdict, Failure> {
        block_on(async {
            match self.step {
                Step::Issue { role, party, label, expires_in_days, database } => {
                    let store = database.open(Clock::Real).await?;
                    let expires = match expires_in_days {
                        Some(days) => Some(store.now().await?.saturating_add(DAY * i64::from(days))),
                        None => None,
                    };
                    let party = party.map(PartyId);
                    known_party(&store, party.as_ref()).await?;
                    let (_, secret) = store.issue_token(role, party.as_ref(), &label, expires).await?;
                    output::print(format!("{secret}\n").as_bytes())?;
                }
                Step::Revoke { token, database } => {
                    database.open(Clock::Real).await?.revoke_token(&token).await?
                }
                Step::List { database } => {
                    let tokens = database.open(Clock::Real).await?.tokens().await?;
                    let listed: Vec<_> = tokens
                        .iter()
                        .map(|token| {
                            json!({
                                "tokenID": token.token_id, "role": token.role, "partyID": token.party, "label": token.label,
                                "issuedAt": instant_text(token.issued_at),
                                "expiresAt": token.expires_at.map(instant_text),
                                "lastUsedAt": token.last_used_at.map(instant_text),
                                "revokedAt": token.revoked_at.map(instant_text),
                            })
                        })
                        .collect();
                    output::print_json(
                        &json!({ "asOf": instant_text(Utc::now().timestamp_micros()), "tokens": listed }),
                    )?;
                }
            }
            Ok(Verdict::Yes)
        })
    }
}

/// A slip in a party's id would make a token that can write nothing.
async fn known_party(store: &haulout_store::Store, party: Option<&PartyId>) -> Result<(), Failure> {
    let configuration = store.configuration().await?;
    if let (Some(region), Some(party)) = (&configuration.region, party)
        && region.party(party).is_none()
    {
        let all: Vec<&str> = region.parties.iter().map(|party| party.party_id.as_str()).collect();
        return Err(Failure::new(format!(
            "`{party}` is no party of the region; its parties are {}",
            all.join(", ")
        )));
    }
    Ok(())
}
