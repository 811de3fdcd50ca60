-- Kept places, as the acts of the region's chain left each of them. What is under way, taken or
-- lapsed is worked out when read and stands nowhere.

CREATE TABLE IF NOT EXISTS reservation (
    reservation_id {text} PRIMARY KEY,
    state {text} NOT NULL,           -- asked, promised, refused, cancelled
    centre_id {text} NOT NULL,
    from_id {text},                  -- the centre or point that the animals come from
    asked_by {text},                 -- the party that asked
    consignment_id {text},
    opened BIGINT NOT NULL,          -- the act that asked
    canonical {text} NOT NULL        -- all of it
) {keyed};
CREATE INDEX IF NOT EXISTS reservation_centre ON reservation (centre_id, state);
CREATE INDEX IF NOT EXISTS reservation_consignment ON reservation (consignment_id);
CREATE INDEX IF NOT EXISTS reservation_opened ON reservation (opened);
