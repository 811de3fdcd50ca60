//! `haulout post`: checks files, posts what is good, goes on where it was cut off.

mod file;
mod line;

use clap::{Args, ValueEnum};
use haulout_checking::{Checker, Settings};
use serde_json::json;
use std::path::PathBuf;

use super::database::read_text;
use super::{Failure, Verdict, output, paths};
use file::Posting;
use line::Line;

/// Check files and post what is good, in small acknowledged parts.
///
/// A part whose answer did not come is sent again, later and later, with the same key: nothing is
/// ever counted twice. What the check refuses is not sent, and told. Run again after a mishap: what
/// the hub has already is `known`.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  haulout post nights/2026-07-02 --hub https://hub.example --token-file kolvani.token\n  haulout post rescue.xlsx --hub https://hub.example --token-file kolvani.token"
)]
pub struct Post {
    /// Files (NDJSON, JSON or CSV, also .gz and .zst; XLSX), folders of them, or - for NDJSON or
    /// JSON from standard input.
    #[arg(required = true, value_name = "PATH")]
    paths: Vec<PathBuf>,
    /// Address of the hub.
    #[arg(long, value_name = "URL", env = "HAULOUT_HUB")]
    hub: String,
    /// File whose first line is the token; otherwise HAULOUT_TOKEN is taken.
    #[arg(long, value_name = "FILE")]
    token_file: Option<PathBuf>,
    /// Records of one part.
    #[arg(long, value_name = "N", default_value_t = 500, value_parser = clap::value_parser!(u32).range(1..=10_000))]
    part: u32,
    /// How often a part is tried before giving up.
    #[arg(long, value_name = "N", default_value_t = 8, value_parser = clap::value_parser!(u32).range(1..=100))]
    attempts: u32,
    /// Form of the answer.
    #[arg(long, value_enum, default_value_t = Form::Text)]
    format: Form,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Form {
    Text,
    Json,
}

impl Post {
    pub(super) fn run(self) -> Result<Verdict, Failure> {
        let token = self.token()?;
        let line = Line::new(&self.hub, &token, self.attempts);
        let today = chrono::Local::now().date_naive();
        let checker = Checker::new(Settings::standard(Some(today)))
            .map_err(|error| Failure::new("the checker cannot start").because(error))?;
        let mut submissions = Vec::new();
        let mut rejected = 0;
        for path in paths::expand(&self.paths)? {
            let mut posting = Posting::new(&path, &line, checker.clone(), self.part as usize);
            let done = posting.run(paths::open(&path)?);
            rejected += posting.rejected();
            if self.format == Form::Text {
                output::print(posting.in_words().as_bytes())?;
            }
            submissions.append(&mut posting.submissions);
            if let Err(failure) = done {
                if self.format == Form::Json {
                    output::print_json(&json!({ "submissions": submissions }))?;
                }
                return Err(failure);
            }
        }
        if self.format == Form::Json {
            output::print_json(&json!({ "submissions": submissions }))?;
        }
        Ok(if rejected == 0 { Verdict::Yes } else { Verdict::No })
    }

    fn token(&self) -> Result<String, Failure> {
        let text = match &self.token_file {
            Some(path) => read_text(path)?,
            None => std::env::var("HAULOUT_TOKEN").map_err(|_| {
                Failure::new(
                    "a token is needed: name its file with --token-file, or put it into HAULOUT_TOKEN",
                )
            })?,
        };
        Ok(text.lines().next().unwrap_or_default().trim().to_owned())
    }
}
