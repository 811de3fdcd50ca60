-- Submissions and their outcomes, and calls that may be repeated.

CREATE TABLE IF NOT EXISTS submission (
    submission_id {text} PRIMARY KEY,
    caller {text} NOT NULL,
    party {text},
    role {text} NOT NULL,
    media_type {text} NOT NULL,
    strict BOOLEAN NOT NULL,
    state {text} NOT NULL,           -- receiving, waiting, running, done, failed
    received_at BIGINT NOT NULL,
    finished_at BIGINT,
    taken_by {text},                 -- the process that works on it
    taken_until BIGINT,
    counts {text} NOT NULL,          -- JSON
    failure {text}
) {keyed};
CREATE INDEX IF NOT EXISTS submission_state ON submission (state, received_at);

-- The body of a submission that is worked on later, in pieces, decompressed.
CREATE TABLE IF NOT EXISTS submission_part (
    submission_id {text} NOT NULL,
    ordinal BIGINT NOT NULL,
    bytes {bytes} NOT NULL,
    PRIMARY KEY (submission_id, ordinal)
);

CREATE TABLE IF NOT EXISTS submission_line (
    submission_id {text} NOT NULL,
    ordinal BIGINT NOT NULL,         -- 1, 2, 3, … in the order of the input
    outcome {text} NOT NULL,         -- accepted, known, rejected
    canonical {text} NOT NULL,       -- the outcome as shown
    PRIMARY KEY (submission_id, ordinal)
) {keyed};

CREATE TABLE IF NOT EXISTS idempotency (
    caller {text} NOT NULL,
    key {text} NOT NULL,
    body_digest {bytes} NOT NULL,
    started_at BIGINT NOT NULL,
    taken_by {text} NOT NULL,        -- the process that works on it
    taken_until BIGINT NOT NULL,
    status BIGINT,                   -- of the answer, once there is one
    media_type {text},
    answer {bytes},
    PRIMARY KEY (caller, key)
) {keyed};
CREATE INDEX IF NOT EXISTS idempotency_age ON idempotency (started_at);
