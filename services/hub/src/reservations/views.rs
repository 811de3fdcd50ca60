//! The region's view, assembled once for every state of the journal.

use haulout_placement::view::RegionView;
use haulout_store::RoomState;
use std::sync::{Arc, Mutex};

use crate::options::{Floors, region_view};

/// The view as it was last assembled, of a state with all centres in it.
#[derive(Default)]
pub struct Views(Mutex<(Option<Held>, Floors)>);

struct Held {
    /// Newest entry, day, and number of reservations that weigh: nothing else moves a view.
    state: (i64, chrono::NaiveDate, usize),
    view: Arc<RegionView>,
}

impl Views {
    /// The view of a state. Who comes while it is being assembled waits for it.
    pub fn of(&self, state: &RoomState) -> Arc<RegionView> {
        let mut locked = self.0.lock().unwrap_or_else(|poisoned| poisoned.into_inner());
        let (held, floors) = &mut *locked;
        // Without a new entry a reservation can only lapse, so the number tells.
        let asked = (state.newest, state.today, state.reservations.len());
        if let Some(held) = held.as_ref().filter(|held| held.state == asked) {
            return Arc::clone(&held.view);
        }
        let view = Arc::new(region_view(state, floors));
        // Whoever read before the newest entry must not drive out the view of those who read after it.
        if held.as_ref().is_none_or(|held| held.state.0 <= asked.0) {
            *held = Some(Held { state: asked, view: Arc::clone(&view) });
        }
        view
    }
}
