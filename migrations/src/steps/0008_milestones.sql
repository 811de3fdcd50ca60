-- Findings that go on from where they were. All of it follows from the journal: a hub that finds its
-- projections made by older rules makes them anew.

DROP TABLE IF EXISTS record_key;
DROP TABLE IF EXISTS touched_key;

-- Under which keys a record must be found again.
CREATE TABLE IF NOT EXISTS filed (
    key {text} NOT NULL,
    day {text} NOT NULL,             -- on which it counts; empty: whatever its date, what was before may change
    feed BIGINT NOT NULL,
    PRIMARY KEY (key, day, feed)
) {keyed};

-- Keys whose records changed since they were last judged, and the keys that those have woken.
CREATE TABLE IF NOT EXISTS touched (
    key {text} PRIMARY KEY,
    woken BOOLEAN NOT NULL,          -- whether the keys that look at it were touched as well
    day {text}                       -- the first day from which what is filed under it changed
) {keyed};

-- How far the rules of a key had come at the close of a day.
CREATE TABLE IF NOT EXISTS milestone (
    key {text} NOT NULL,
    day {text} NOT NULL,
    state {text} NOT NULL,
    PRIMARY KEY (key, day)
) {keyed};
