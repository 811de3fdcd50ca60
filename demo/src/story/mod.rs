//! The demonstration's story: the Meruva basin in the third quarter of 2026, record by record.
//!
//! Six centres, a police yard, a range office, the coordination, the authority and a laboratory post
//! what happened; every night each centre counts. The figures that the region must arrive at were
//! worked by hand before any code.

mod arrivals;
mod asked;
mod frame;
mod journeys;
mod late_summer;
mod nights;
mod standing;

use chrono::{DateTime, FixedOffset};
use serde_json::Value;

pub use asked::{hall_asked, lorry_asked};
pub use frame::{
    AUTHORITY, COORDINATION, DESHARU, KOLVANI, LABORATORY, OMBARI, POLICE, RANGE_OFFICE, SAIVERA, THULMAR,
    VELITHA,
};
pub use standing::region;

/// What one party posts at one moment.
#[derive(Clone, Debug)]
pub struct Post {
    /// When it reaches the hub.
    pub at: DateTime<FixedOffset>,
    /// Who posts.
    pub party: &'static str,
    /// The records.
    pub records: Vec<Value>,
}

/// The six centres, which post every night.
pub const CENTRES: [&str; 6] = [KOLVANI, DESHARU, OMBARI, VELITHA, THULMAR, SAIVERA];

/// The consignment numbers under which the journeys of the story run: issued with the promises, or
/// coined where nobody promised anything.
#[derive(Clone, Debug)]
pub struct Consignments {
    /// The crocodile of 2 July, to Kolvani.
    pub crocodile: String,
    /// From the yard to Desharu.
    pub to_desharu: String,
    /// From the yard to Velitha.
    pub to_velitha: String,
    /// From the yard to Ombari.
    pub to_ombari: String,
}

impl Default for Consignments {
    fn default() -> Self {
        Self {
            crocodile: "meruva.coordination:1".to_owned(),
            to_desharu: "meruva.police:1".to_owned(),
            to_velitha: "meruva.police:2".to_owned(),
            to_ombari: "meruva.police:3".to_owned(),
        }
    }
}

/// Everything that is posted, in the order of time.
pub fn posts(consignments: &Consignments) -> Vec<Post> {
    let mut posts = standing::posts();
    posts.extend(arrivals::posts(&consignments.crocodile));
    posts.extend(journeys::posts(consignments));
    posts.extend(late_summer::posts());
    posts.extend(nights::posts());
    posts.sort_by(|a, b| (a.at, a.party).cmp(&(b.at, b.party)));
    posts
}
