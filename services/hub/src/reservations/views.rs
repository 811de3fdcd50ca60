//! The region's view, moved on with every state of the journal.

use chrono::NaiveDate;
use haulout_placement::view::RegionView;
use haulout_store::RoomState;
use rayon::ThreadPool;
use std::sync::{Arc, Mutex};

use crate::options::{Assembled, Seen};

/// The view as it was last assembled, of a state with all centres in it.
pub struct Views {
    threads: Arc<ThreadPool>,
    held: Mutex<Held>,
}

#[derive(Default)]
struct Held {
    /// Newest entry, day, and number of reservations that weigh: nothing else moves a view.
    state: Option<(i64, NaiveDate, usize)>,
    assembled: Assembled,
}

impl Views {
    /// None yet; they will be assembled by these threads.
    pub fn new(threads: &Arc<ThreadPool>) -> Self {
        Self { threads: Arc::clone(threads), held: Mutex::default() }
    }

    /// The view of a state. Who comes while it is being assembled waits for it.
    pub fn of(&self, state: &RoomState) -> Arc<RegionView> {
        self.seen(state).view
    }

    /// The same with what is looked up of it.
    pub fn seen(&self, state: &RoomState) -> Seen {
        debug_assert!(self.threads.current_thread_index().is_none(), "none of the threads may hold the lock");
        debug_assert!(holds_all(state), "a view of some centres must not be kept as one of all");
        let mut held = self.held.lock().unwrap_or_else(|poisoned| {
            // A view of which a part failed to be made is made anew.
            self.held.clear_poison();
            let mut held = poisoned.into_inner();
            *held = Held::default();
            held
        });
        // Without a new entry a reservation can only lapse, so the number tells.
        let asked = Some((state.newest, state.today, state.reservations.len()));
        if held.state != asked {
            // None of the threads may hold the lock: while it waits it takes up other work of theirs.
            let assembled = &mut held.assembled;
            self.threads.install(|| assembled.move_on(state));
            held.state = asked;
        }
        held.assembled.seen()
    }
}

fn holds_all(state: &RoomState) -> bool {
    let mut centres = state.configuration.region.iter().flat_map(|region| region.centres());
    centres.all(|party| state.floors.contains_key(party.party_id.as_str()))
}
