-- The ledger: both sides of each posting, append-only. What a later revision takes back is a
-- reversing row with that revision's own stamp and the day of the row it reverses.

CREATE TABLE IF NOT EXISTS entry (
    known_from BIGINT NOT NULL,
    ordinal BIGINT NOT NULL,
    feed BIGINT NOT NULL,            -- the record that posted it
    day {text} NOT NULL,
    account {text} NOT NULL,
    counter {text} NOT NULL,
    direction {text} NOT NULL,       -- in, out
    scientific_name {text} NOT NULL,
    eggs BOOLEAN NOT NULL,
    delta BIGINT NOT NULL,
    life_stage {text} NOT NULL,      -- empty where not stated, as are the two below
    sex {text} NOT NULL,
    death_when {text} NOT NULL,
    reversal BOOLEAN NOT NULL,
    PRIMARY KEY (known_from, ordinal)
) {keyed};
CREATE INDEX IF NOT EXISTS entry_feed ON entry (feed);
CREATE INDEX IF NOT EXISTS entry_day ON entry (day, account);
CREATE INDEX IF NOT EXISTS entry_account ON entry (account, scientific_name, eggs, day);

-- What the entries of a month come to, as known now.
CREATE TABLE IF NOT EXISTS month_balance (
    month {text} NOT NULL,           -- YYYY-MM
    account {text} NOT NULL,
    counter {text} NOT NULL,
    direction {text} NOT NULL,
    scientific_name {text} NOT NULL,
    eggs BOOLEAN NOT NULL,
    life_stage {text} NOT NULL,
    death_when {text} NOT NULL,
    delta BIGINT NOT NULL,
    PRIMARY KEY (month, account, counter, direction, scientific_name, eggs, life_stage, death_when)
) {keyed};
CREATE INDEX IF NOT EXISTS month_balance_account ON month_balance (account);
