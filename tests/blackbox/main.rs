//! Black-box tests through the real binary and real databases, and the story's figures.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, missing_docs)]

mod any_order;
mod backups;
mod bad_input;
mod basin;
mod check_equals_submit;
mod in_care;
mod journeys;
mod kept_places;
mod ledger;
mod moving_on;
mod nothing_lost;
mod plans;
mod planted;
mod races;
mod scenarios;
mod sheets;
mod story_by_hand;
mod story_over_http;
mod welfare;
