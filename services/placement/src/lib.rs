//! Where a rescued animal may go, and why not elsewhere.
//!
//! [`plan::plan`] finds the best places for many at once. [`options`] answers one request: every centre of the region comes out once,
//! as an option with the margins of the rules it passed, or as an exclusion with
//! every rule it failed and the changes that would make it an option. What
//! cannot be checked is not passed.
//!
//! Pure: values in, values out, the instant among them; the same input gives
//! the same bytes. This crate must not know records as they are stored,
//! postings, databases, HTTP or a clock. Species facts come from
//! `haulout_schemas::profile`, computations from `haulout_welfare`. An option
//! says that no reason was found against; local codes and licensed practice
//! decide.

pub mod answer;
mod asked;
mod case;
mod chains;
pub mod faults;
mod index;
mod journey;
mod judging;
mod mending;
mod offering;
mod options;
mod parts;
pub mod plan;
pub mod request;
mod room;
pub mod rules;
mod scarce;
mod species;
pub mod view;
mod word;

pub use answer::{Chain, Change, Check, Exclusion, JourneyBasis, Leg, Options, PlacementOption, Verdict};
pub use faults::Fault;
pub use index::{Index, Span};
pub use options::{CHANGES_FOR, Prepared, journey_minutes, options, room_left};
pub use request::{Request, RequestFile};
pub use room::RoomLeft;
pub use rules::RULES;
pub use view::RegionView;
