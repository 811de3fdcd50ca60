//! The store as others use it, on SQLite and, where a server can be had, on PostgreSQL alike.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, missing_docs)]

mod any_order;
mod atomic;
mod chains;
mod databases;
mod findings;
mod measure;
mod people;
mod places;
mod postgres;
mod reading;
mod sealing;
mod submissions;
mod writing;

use databases::{Databases, Sqlite};

/// Each scenario is a test on SQLite; one test runs them all on PostgreSQL.
macro_rules! scenarios {
    ($($module:ident::$name:ident),+ $(,)?) => {
        mod on_sqlite {
            $(#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
            async fn $name() {
                crate::$module::$name(&crate::Sqlite::default()).await;
            })+
        }

        #[tokio::test(flavor = "multi_thread", worker_threads = 2)]
        async fn on_postgres() {
            let Some(cluster) = postgres::Cluster::start() else {
                eprintln!("not run: no PostgreSQL here; set HAULOUT_TEST_POSTGRES or install its initdb");
                return;
            };
            let databases: &dyn Databases = &cluster;
            $(eprintln!("on PostgreSQL: {}", stringify!($name));
            $module::$name(databases).await;)+
        }
    };
}

scenarios! {
    sealing::a_line_is_accepted_once_and_known_ever_after,
    sealing::a_reused_revision_names_what_differs,
    sealing::a_strict_submission_is_all_or_nothing,
    sealing::a_lower_revision_that_comes_late_never_counts,
    sealing::several_writers_get_one_chain_each,
    atomic::a_failure_at_any_row_leaves_nothing_behind,
    any_order::the_same_records_in_any_order_come_to_the_same,
    any_order::room_followed_is_room_read,
    any_order::a_name_that_becomes_known_is_posted_anew,
    chains::an_altered_byte_is_named,
    chains::a_rebuild_is_the_same_to_the_byte,
    chains::a_redaction_leaves_the_chain_intact,
    chains::an_earlier_checkpoint_is_a_beginning,
    chains::a_backup_is_whole,
    findings::what_is_refreshed_bit_by_bit_equals_what_is_judged_in_full,
    places::the_last_place_goes_to_one_of_sixteen,
    places::a_place_goes_its_way,
    places::several_promises_travel_together,
    places::all_places_of_a_plan_or_none,
    reading::a_party_sees_its_own,
    reading::sums_agree_at_every_instant,
    reading::past_sums_are_those_of_what_was_known,
    reading::a_statement_is_reproducible_after_a_correction,
    people::who_may_come_in,
    people::tokens_end,
    submissions::a_submission_outlives_its_process,
    submissions::a_call_may_be_repeated,
}
