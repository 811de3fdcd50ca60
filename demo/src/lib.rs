//! An invented river basin at any size: animals are simulated, and their centres write records of
//! them, late, in haste, or well. It feeds tests, benchmarks and the demo.
//!
//! Written out are `region.json`, `nights/YYYY-MM-DD/PARTYID.ndjson` (what each party posts for each
//! night), `placement.json` (one animal looking for a place on the last night) and `truth.json` (what
//! really happened). The same options give the same bytes.
//!
//! This crate must not know how records are counted: the true stock comes from the simulated
//! animals, never from what was written of them. So it knows nothing of reckoning, findings,
//! placement, storage or the hub. It reads no clock.

mod basin;
mod blank;
mod desk;
mod faults;
mod files;
mod luck;
mod placement;
mod region;
mod simulate;
mod slips;
mod species;
mod stock;
pub mod story;
mod truth;
mod units;
mod world;

use std::collections::BTreeMap;
use std::fmt;
use std::io;
use std::path::{Path, PathBuf};

use chrono::NaiveDate;
use haulout_schemas::Kind;

pub use truth::{Commodity, Difference, Held, Holding, PlantedFault, Post, Truth};

/// What basin to make.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Options {
    /// First night.
    pub from: NaiveDate,
    /// Rescue centres, 1 to 600.
    pub centres: u32,
    /// Nights, 1 to 3,650.
    pub nights: u32,
    /// Seed of all chance.
    pub seed: u64,
    /// Whether faults are planted.
    pub faults: bool,
    /// Animals of each centre at the opening, 1 to 20,000; arrivals grow with it.
    pub animals_per_centre: u32,
}

impl Default for Options {
    /// Six centres through the third quarter of 2026.
    fn default() -> Self {
        Self {
            from: NaiveDate::from_ymd_opt(2026, 7, 1).unwrap_or_default(),
            centres: 6,
            nights: 92,
            seed: 1,
            faults: false,
            animals_per_centre: 60,
        }
    }
}

impl Options {
    fn check(&self) -> Result<(), Error> {
        let within = |name: &str, value: u32, most: u32| {
            if (1..=most).contains(&value) {
                Ok(())
            } else {
                Err(Error::Option(format!("{name} is {value}; give a number from 1 to {most}")))
            }
        };
        within("centres", self.centres, 600)?;
        within("nights", self.nights, 3650)?;
        within("animals per centre", self.animals_per_centre, 20_000)?;
        let year = chrono::Datelike::year(&self.from);
        if (1950..=2150).contains(&year) {
            Ok(())
        } else {
            Err(Error::Option(format!("the first night {} is not in the years 1950 to 2150", self.from)))
        }
    }
}

/// What was made.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Summary {
    /// Lines of all files, revisions included.
    pub records: u64,
    /// The same by kind.
    pub by_kind: BTreeMap<&'static str, u64>,
    /// Files of nights.
    pub files: u64,
    /// Planted faults that stand by themselves, by code.
    pub faults: BTreeMap<&'static str, u32>,
}

impl Summary {
    pub(crate) fn count(&mut self, kind: Kind) {
        self.records += 1;
        *self.by_kind.entry(kind.as_str()).or_insert(0) += 1;
    }
}

/// A basin in memory.
#[derive(Clone, Debug)]
pub struct Generated {
    /// Files by their path below the output folder.
    pub files: BTreeMap<String, Vec<u8>>,
    /// What `truth.json` holds.
    pub truth: Truth,
    /// Counts.
    pub summary: Summary,
}

/// Why no basin was made.
#[derive(Debug)]
pub enum Error {
    /// An option is out of range.
    Option(String),
    /// The folder holds an earlier output.
    Occupied(PathBuf),
    /// A file could not be written.
    Io {
        /// Which.
        path: PathBuf,
        /// Why.
        source: io::Error,
    },
    /// Something could not be put into JSON.
    Encode(serde_json::Error),
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Option(why) => f.write_str(why),
            Self::Occupied(path) => {
                write!(
                    f,
                    "{} is already there; name a folder without earlier output, or remove it",
                    path.display()
                )
            }
            Self::Io { path, source } => write!(f, "cannot write {}: {source}", path.display()),
            Self::Encode(source) => write!(f, "a generated value cannot be written as JSON: {source}"),
        }
    }
}

impl std::error::Error for Error {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            Self::Io { source, .. } => Some(source),
            Self::Encode(source) => Some(source),
            Self::Option(_) | Self::Occupied(_) => None,
        }
    }
}

impl From<serde_json::Error> for Error {
    fn from(error: serde_json::Error) -> Self {
        Self::Encode(error)
    }
}

/// Makes a basin and writes it into a folder.
///
/// # Errors
/// [`Error`] where an option is out of range, the folder holds an earlier output, or a file cannot
/// be written.
pub fn generate(options: &Options, out: &Path) -> Result<Summary, Error> {
    options.check()?;
    let mut folder = files::Folder::fresh(out)?;
    simulate::run(options, &mut folder).map(|(_, summary)| summary)
}

/// Makes a basin and keeps it in memory.
///
/// # Errors
/// [`Error`] where an option is out of range.
pub fn generate_in_memory(options: &Options) -> Result<Generated, Error> {
    options.check()?;
    let mut memory = files::Memory::default();
    let (truth, summary) = simulate::run(options, &mut memory)?;
    Ok(Generated { files: memory.0, truth, summary })
}
