//! `haulout person`: people who may come in.

use clap::{Args, Subcommand};
use haulout_schemas::text::PartyId;
use haulout_store::{Clock, Role};
use serde_json::json;
use std::path::PathBuf;

use super::database::{Database, block_on, read_text};
use super::{Failure, Verdict, output};
use crate::web::request_id;

/// Let people in or keep them out. A login is an office or a pseudonym, never a person's name.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  haulout person add desk.kolvani --role centre --party meruva.kolvani")]
pub struct Person {
    #[command(subcommand)]
    step: Step,
}

#[derive(Debug, Subcommand)]
enum Step {
    /// Let somebody in, or give a new password. Without a file a password is made and printed alone.
    #[command(
        after_help = "Example:\n  haulout person add night.desk --role coordinator --party meruva.coordination"
    )]
    Add {
        /// Lower-case letters, digits, dots, dashes, underscores.
        login: String,
        /// centre, coordinator, authority, laboratory, partner or operator.
        #[arg(long)]
        role: Role,
        /// The party that they act for.
        #[arg(long, value_name = "ID")]
        party: Option<String>,
        /// File whose first line is the password.
        #[arg(long, value_name = "FILE")]
        password_file: Option<PathBuf>,
        #[command(flatten)]
        database: Database,
    },
    /// Keep somebody out; their sessions end at once.
    #[command(after_help = "Example:\n  haulout person disable night.desk")]
    Disable {
        /// The login.
        login: String,
        #[command(flatten)]
        database: Database,
    },
    /// List people as JSON.
    #[command(after_help = "Example:\n  haulout person list")]
    List {
        #[command(flatten)]
        database: Database,
    },
}

impl Person {
    pub(super) fn run(self) -> Result<Verdict, Failure> {
        block_on(async {
            match self.step {
                Step::Add { login, role, party, password_file, database } => {
                    let store = database.open(Clock::Real).await?;
                    let given = match &password_file {
                        Some(path) => Some(read_text(path)?.lines().next().unwrap_or_default().to_owned()),
                        None => None,
                    };
                    let made = given.is_none();
                    let password = given.unwrap_or_else(request_id::fresh);
                    store.add_person(&login, &password, role, party.map(PartyId).as_ref()).await?;
                    if made {
                        output::print(format!("{password}\n").as_bytes())?;
                    }
                }
                Step::Disable { login, database } => {
                    database.open(Clock::Real).await?.disable_person(&login).await?
                }
                Step::List { database } => {
                    let people = database.open(Clock::Real).await?.people().await?;
                    let listed: Vec<_> = people
                        .iter()
                        .map(|person| json!({ "login": person.login, "role": person.role, "partyID": person.party, "disabled": person.disabled }))
                        .collect();
                    output::print_json(&json!({ "people": listed }))?;
                }
            }
            Ok(Verdict::Yes)
        })
    }
}
