//! The region's view, moved on with every state of the journal.

use chrono::NaiveDate;
use haulout_placement::view::RegionView;
use haulout_store::RoomState;
use std::sync::{Arc, Mutex};

use crate::options::Assembled;

/// The view as it was last assembled, of a state with all centres in it.
#[derive(Default)]
pub struct Views(Mutex<Held>);

#[derive(Default)]
struct Held {
    /// Newest entry, day, and number of reservations that weigh: nothing else moves a view.
    state: Option<(i64, NaiveDate, usize)>,
    assembled: Assembled,
}

impl Views {
    /// The view of a state. Who comes while it is being assembled waits for it.
    pub fn of(&self, state: &RoomState) -> Arc<RegionView> {
        let mut held = self.0.lock().unwrap_or_else(|poisoned| {
            // A view of which a part failed to be made is made anew.
            self.0.clear_poison();
            let mut held = poisoned.into_inner();
            *held = Held::default();
            held
        });
        // Without a new entry a reservation can only lapse, so the number tells.
        let asked = Some((state.newest, state.today, state.reservations.len()));
        if held.state != asked {
            held.assembled.move_on(state);
            held.state = asked;
        }
        held.assembled.view()
    }
}
