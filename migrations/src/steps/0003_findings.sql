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

-- Keys whose records changed since they were last evaluated.
CREATE TABLE IF NOT EXISTS touched_key (
    key {text} PRIMARY KEY
) {keyed};

-- Which other keys an evaluation looked at: when one of those is touched, it is done again.
CREATE TABLE IF NOT EXISTS key_reads (
    reads {text} NOT NULL,
    key {text} NOT NULL,
    PRIMARY KEY (reads, key)
) {keyed};
CREATE INDEX IF NOT EXISTS key_reads_key ON key_reads (key);

-- Through which day, and by which rules, the findings were worked out.
CREATE TABLE IF NOT EXISTS finding_state (
    one BIGINT PRIMARY KEY CHECK (one = 1),
    evaluated_through {text} NOT NULL,
    configuration BIGINT NOT NULL
);
