//! Tracing: from an animal, a lot, a unit, a centre or a disease, who shared water or crate with it and
//! when, and where all of them are now.
//!
//! Worked out anew for each question, from the records alone. Days are whole: whoever left a unit on the
//! day on which another came into it shared it with that other. A chain runs forward in time: whoever was
//! reached passes on from the day on which it may have been reached, never earlier. What no record tells
//! (nets, boots, hands, river water) is not traced, so nothing here says that an animal was not exposed.

mod carrier;
mod contact;
mod days;
mod house;
mod journey;
mod lookup;
mod now;
mod picture;
mod question;
mod told;
mod walk;

pub use carrier::Carrier;
pub use contact::{Contact, Shared, Whereabouts};
pub use now::{Now, State};
pub use picture::svg;
pub(crate) use question::confirmed;
pub use question::{DEPTH, Question, Source, Start, WINDOW_DAYS};
pub(crate) use told::direct;
pub use told::{Bar, Closing, DirtyCrate, Exposed, Lane, Traced, trace};

/// What stands beside every answer.
pub const CAUTION: &str = "Contacts that records tell. Boots, nets, hands and river water leave no record: that an \
     animal is not listed does not say that it was not exposed. The vet in charge decides what is closed, sampled \
     and for how long, by local code.";

#[cfg(test)]
mod tests;
