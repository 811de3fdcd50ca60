-- The journal: the only source of truth. Records in one chain per party, acts in the region's own.
-- Days are text `YYYY-MM-DD`, instants are microseconds since 1970-01-01T00:00Z.

CREATE TABLE IF NOT EXISTS hub_state (
    one BIGINT PRIMARY KEY CHECK (one = 1),
    last_known_from BIGINT NOT NULL, -- the newest stamp given
    last_feed BIGINT NOT NULL,       -- the newest record
    act_sequence BIGINT NOT NULL,    -- the newest act
    act_link {bytes} NOT NULL,
    configuration BIGINT NOT NULL,   -- the act that loaded the region file in force; 0: none
    demo_now BIGINT,                 -- the instant at which a demonstration's calendar stands
    projected_by {text} NOT NULL     -- versions of the rules that made the projections
);

CREATE TABLE IF NOT EXISTS journal (
    feed {row},                      -- 1, 2, 3, …: order of arrival over all parties
    author_id {text} NOT NULL,
    sequence BIGINT NOT NULL,        -- 1, 2, 3, … within the author's chain
    record_id {text} NOT NULL,
    revision BIGINT NOT NULL,
    kind {text} NOT NULL,
    place {text},                    -- centreID or pointID
    counterpart {text},              -- the other end of a consignment, where the record names it
    event_day {text} NOT NULL,
    known_from BIGINT NOT NULL,
    record_hash {bytes} NOT NULL,    -- SHA-256 of `canonical`
    content_hash {bytes} NOT NULL,   -- the same without `schemaVersion`
    link {bytes} NOT NULL,
    canonical {text} NOT NULL,       -- RFC 8785 text of the record as sent
    redacted BOOLEAN NOT NULL
);
CREATE UNIQUE INDEX IF NOT EXISTS journal_key ON journal (author_id, record_id, revision);
-- The sequence first: a look-up by author and record then has one index to go by, and no planner
-- without statistics takes this one and reads an author's whole chain.
CREATE UNIQUE INDEX IF NOT EXISTS journal_chain ON journal (sequence, author_id);
CREATE UNIQUE INDEX IF NOT EXISTS journal_known_from ON journal (known_from);
CREATE INDEX IF NOT EXISTS journal_place ON journal (place, kind, event_day);

CREATE TABLE IF NOT EXISTS act (
    sequence {row},
    kind {text} NOT NULL,
    known_from BIGINT NOT NULL,
    canonical {text} NOT NULL,
    hash {bytes} NOT NULL,
    link {bytes} NOT NULL
);
CREATE INDEX IF NOT EXISTS act_kind ON act (kind, known_from);

-- Projections from here on.

CREATE TABLE IF NOT EXISTS chain_head (
    author_id {text} PRIMARY KEY,
    sequence BIGINT NOT NULL,
    link {bytes} NOT NULL
) {keyed};

-- Which revision counted when. A lower revision that comes after a higher one never did.
CREATE TABLE IF NOT EXISTS record_version (
    feed {row},
    effective_from BIGINT NOT NULL,
    effective_until BIGINT
);

-- Under which keys a record must be found again.
CREATE TABLE IF NOT EXISTS record_key (
    key {text} NOT NULL,
    feed BIGINT NOT NULL,
    PRIMARY KEY (key, feed)
) {keyed};
