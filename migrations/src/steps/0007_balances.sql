-- Balances that a past instant can be read from, and what a period begins with without its history.
-- Both are projections: the hub makes them anew where they are not there.

DROP TABLE IF EXISTS month_balance;

-- What the entries of a month come to, by the month in which they became known.
CREATE TABLE IF NOT EXISTS balance (
    month {text} NOT NULL,           -- YYYY-MM
    known {text} NOT NULL,           -- YYYY-MM, in UTC
    account {text} NOT NULL,
    counter {text} NOT NULL,         -- every journey as transit
    direction {text} NOT NULL,
    scientific_name {text} NOT NULL,
    eggs BOOLEAN NOT NULL,
    life_stage {text} NOT NULL,
    death_when {text} NOT NULL,
    delta BIGINT NOT NULL,
    PRIMARY KEY (month, known, account, counter, direction, scientific_name, eggs, life_stage, death_when)
) {keyed};
CREATE INDEX IF NOT EXISTS balance_account ON balance (account);
-- What became known in a later month: little, and looked for over all months.
CREATE INDEX IF NOT EXISTS balance_late ON balance (known, month) WHERE known > month;

-- By how much stocks changed in each month (2026-07), year (2026) and decade (202), as known now.
-- A row that comes to nothing is taken out: a journey that has ended leaves none.
CREATE TABLE IF NOT EXISTS carried (
    span {text} NOT NULL,
    account {text} NOT NULL,
    scientific_name {text} NOT NULL,
    eggs BOOLEAN NOT NULL,
    life_stage {text} NOT NULL,
    delta BIGINT NOT NULL,
    PRIMARY KEY (span, account, scientific_name, eggs, life_stage)
) {keyed};
CREATE INDEX IF NOT EXISTS carried_account ON carried (account);
CREATE INDEX IF NOT EXISTS carried_nothing ON carried (span) WHERE delta = 0;
