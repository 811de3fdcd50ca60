-- Kept places. Every step is an act of the region's chain; this is where each one stands.

CREATE TABLE IF NOT EXISTS reservation (
    reservation_id {text} PRIMARY KEY,
    state {text} NOT NULL,           -- asked, promised, refused, cancelled
    centre_id {text} NOT NULL,
    unit_id {text},
    individual_count BIGINT NOT NULL,
    scientific_name {text} NOT NULL,
    asked_by {text} NOT NULL,
    asked_at BIGINT NOT NULL,
    deadline BIGINT NOT NULL,
    consignment_id {text},
    filled_by {text},                -- author/record named by the coordination
    departed_at BIGINT,
    unconfirmed BOOLEAN NOT NULL,    -- a step was recorded for the centre by phone
    opened BIGINT NOT NULL,          -- the act that asked
    changed BIGINT NOT NULL,         -- the newest act
    canonical {text} NOT NULL        -- all of it
) {keyed};
CREATE INDEX IF NOT EXISTS reservation_centre ON reservation (centre_id, state);
CREATE INDEX IF NOT EXISTS reservation_consignment ON reservation (consignment_id);
