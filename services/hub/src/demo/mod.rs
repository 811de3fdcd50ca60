//! `haulout demo`: the story of the Meruva basin over real HTTP, against a hub of its own.
//!
//! It is a client like any other: it starts the hub as a process, takes tokens, posts what the
//! parties post in the order of time, and reads what anybody could read.

mod crocodile;
mod line;
mod lorry;
mod process;
mod told;

use crate::cli::{Failure, Verdict};
use chrono::{DateTime, FixedOffset};
use clap::Args;
use haulout_demo::story::{self, AUTHORITY, COORDINATION, Post};
use line::Line;
use process::HubProcess;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::path::PathBuf;

/// Play a quarter of an invented river basin: six centres post their nights, a crocodile finds a
/// place, the authority reads its statement.
///
/// Example: haulout demo --once
#[derive(Debug, Args)]
pub struct Demo {
    /// Tell the story and exit, instead of serving it afterwards.
    #[arg(long)]
    once: bool,
    /// Where the hub listens.
    #[arg(long, default_value = "127.0.0.1:0", value_name = "ADDR")]
    listen: String,
    /// Keep the database in this folder (it must be empty or new).
    #[arg(long, value_name = "DIR")]
    keep: Option<PathBuf>,
}

/// Counts of what was posted.
#[derive(Default)]
struct Posted {
    submissions: u64,
    accepted: u64,
    rejected: u64,
}

impl Demo {
    /// Plays the story.
    ///
    /// # Errors
    /// [`Failure`] where the hub cannot be started or answers with a problem.
    pub fn run(self) -> Result<Verdict, Failure> {
        let mut hub = HubProcess::start(&self.listen, self.keep.as_deref(), &story::region())?;
        let mut basin = Basin::new(&hub)?;
        told::opening(hub.address());

        // The evening before, and the first night: up to the call about the crocodile.
        let call = crocodile::call();
        let mut consignments = story::Consignments::default();
        basin.post_between(&consignments, None, call)?;
        basin.set_clock(call)?;
        let place = crocodile::place(&mut basin)?;
        told::crocodile(&place);
        consignments.crocodile = place.consignment;

        // The lorry's turtles, in the dusk of 9 July.
        let dusk = lorry::dusk();
        basin.post_between(&consignments, Some(call), dusk)?;
        basin.set_clock(dusk)?;
        let plan = lorry::place(&mut basin, &mut consignments)?;
        told::lorry(&plan);

        let later = story::posts(&consignments).into_iter().filter(|post| post.at >= dusk);
        let (quarter, october): (Vec<Post>, Vec<Post>) =
            later.partition(|post| post.at < told::first_reading());
        basin.post_all(quarter.into_iter())?;
        basin.set_clock(told::first_reading())?;
        let first = basin.statement("2026-10-01")?;
        basin.post_all(october.into_iter())?;
        basin.set_clock(told::second_reading())?;
        let second = basin.statement("2026-11-01")?;
        told::statements(&basin.posted, &first, &second);
        if self.once {
            return Ok(Verdict::Yes);
        }
        told::what_to_try(hub.address(), basin.authority.token(), basin.coordination.token());
        hub.wait()?;
        Ok(Verdict::Yes)
    }
}

/// The parties of the basin on the line.
struct Basin {
    lines: BTreeMap<String, Line>,
    operator: Line,
    coordination: Line,
    authority: Line,
    now: Option<DateTime<FixedOffset>>,
    posted: Posted,
}

impl Basin {
    fn new(hub: &HubProcess) -> Result<Self, Failure> {
        let region = story::region();
        let mut lines = BTreeMap::new();
        for party in region["parties"].as_array().into_iter().flatten() {
            let (Some(id), Some(role)) = (party["partyID"].as_str(), party["role"].as_str()) else {
                continue;
            };
            // The keeper of a point posts for it as a centre posts for itself.
            let role = match role {
                "coordination" => "coordinator",
                "agency" => "centre",
                other => other,
            };
            lines.insert(id.to_owned(), hub.line(role, Some(id))?);
        }
        Ok(Self {
            operator: hub.line("operator", None)?,
            coordination: lines[COORDINATION].clone(),
            authority: lines[AUTHORITY].clone(),
            lines,
            now: None,
            posted: Posted::default(),
        })
    }

    /// Sets the calendar; it never goes back.
    fn set_clock(&mut self, now: DateTime<FixedOffset>) -> Result<(), Failure> {
        if self.now.is_none_or(|then| then < now) {
            self.operator.post("/v1/demo/clock", &json!({ "now": now.to_rfc3339() }))?;
            self.now = Some(now);
        }
        Ok(())
    }

    /// Posts what is posted from one moment on and before another.
    fn post_between(
        &mut self,
        consignments: &story::Consignments,
        from: Option<DateTime<FixedOffset>>,
        until: DateTime<FixedOffset>,
    ) -> Result<(), Failure> {
        let posts = story::posts(consignments).into_iter();
        self.post_all(posts.filter(|post| post.at < until && from.is_none_or(|from| post.at >= from)))
    }

    fn post_all(&mut self, posts: impl Iterator<Item = Post>) -> Result<(), Failure> {
        for post in posts {
            self.set_clock(post.at)?;
            let answer = self.lines[post.party].submit(&post.records)?;
            let count = |name: &str| answer["counts"][name].as_u64().unwrap_or_default();
            self.posted.submissions += 1;
            self.posted.accepted += count("accepted");
            self.posted.rejected += count("rejected");
        }
        Ok(())
    }

    fn statement(&self, as_known_at: &str) -> Result<Value, Failure> {
        self.authority.get(&format!("/v1/statements/2026-Q3?asKnownAt={as_known_at}"))
    }
}
