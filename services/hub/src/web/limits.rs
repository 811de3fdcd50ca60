//! Every limit of the hub, in one place.

use std::time::Duration;

/// Most bytes of a JSON body other than records.
pub const JSON_BODY: usize = 4 << 20;
/// Most bytes of a body of records, as received.
pub const RECORDS_BODY: u64 = 512 << 20;
/// Most bytes of a body to check, as received.
pub const CHECK_BODY: u64 = 64 << 20;
/// Most bytes of a body of records after decompression.
pub const RECORDS_DECOMPRESSED: u64 = 8 << 30;
/// Most bytes of a body to check after decompression.
pub const CHECK_DECOMPRESSED: u64 = 256 << 20;
/// Above so many decompressed bytes a submission is worked on in the background.
pub const IN_THE_FOREGROUND: u64 = 64 << 20;
/// Most lines of a submission that is to be stored whole or not at all.
pub const STRICT_LINES: u64 = 10_000;
/// Most lines of one commit.
pub const CHUNK_LINES: usize = 2_000;
/// Most bytes of records, in the form in which they are kept, of one commit.
pub const CHUNK_BYTES: usize = 1 << 20;
/// Longest wait before a commit of the lines at hand.
pub const CHUNK_WAIT: Duration = Duration::from_millis(200);
/// Most problems that an answer to a check lists; the counts stay exact.
pub const LISTED_PROBLEMS: usize = 1_000;
/// Bytes of a body that are kept in memory; the rest goes to a temporary file.
pub const IN_MEMORY: usize = 1 << 20;
/// Checks that run at once.
pub const CHECKS_AT_ONCE: usize = 2;
/// Checks that may wait for their turn.
pub const CHECKS_WAITING: usize = 32;
/// Submissions that run at once.
pub const SUBMISSIONS_AT_ONCE: usize = 4;
/// Longest wait of a submission for its turn.
pub const SUBMISSION_PATIENCE: Duration = Duration::from_secs(30);
/// Plans that are made at once: each is a process with two busy threads.
pub const PLANS_AT_ONCE: usize = 1;
/// Longest wait of a plan for its turn.
pub const PLAN_PATIENCE: Duration = Duration::from_secs(60);
/// Longest silence while a body arrives.
pub const BODY_SILENCE: Duration = Duration::from_secs(30);
/// Outcomes on one page of a submission.
pub const OUTCOMES_A_PAGE: usize = 10_000;
/// Longest Idempotency-Key, in characters.
pub const KEY_LENGTH: usize = 255;
