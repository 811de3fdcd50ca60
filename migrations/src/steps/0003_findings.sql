-- What does not add up, as far as it has been worked out.

CREATE TABLE IF NOT EXISTS finding (
    key {text} NOT NULL,
    ordinal BIGINT NOT NULL,
    code {text} NOT NULL,
    severity {text} NOT NULL,
    centres {text} NOT NULL,         -- |meruva.kolvani|meruva.desharu|
    canonical {text} NOT NULL,
    PRIMARY KEY (key, ordinal)
) {keyed};
CREATE INDEX IF NOT EXISTS finding_code ON finding (code);

-- Keys whose records changed since they were last judged, and the keys that those have woken.
CREATE TABLE IF NOT EXISTS touched_key (
    key {text} PRIMARY KEY,
    woken BOOLEAN NOT NULL           -- whether the keys that look at it were touched as well
) {keyed};

-- The first day on which the mere passing of time may change what is found for a key.
CREATE TABLE IF NOT EXISTS key_due (
    key {text} PRIMARY KEY,
    day {text} NOT NULL
) {keyed};
CREATE INDEX IF NOT EXISTS key_due_day ON key_due (day);

-- Through which day, and by which rules, the findings were worked out.
CREATE TABLE IF NOT EXISTS finding_state (
    one BIGINT PRIMARY KEY CHECK (one = 1),
    evaluated_through {text} NOT NULL,
    configuration BIGINT NOT NULL
);
