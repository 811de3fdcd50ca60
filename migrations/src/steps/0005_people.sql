-- Who may come in. Neither journal nor projection.

CREATE TABLE IF NOT EXISTS person (
    login {text} PRIMARY KEY,        -- an office or a pseudonym, never a person's name
    password {text} NOT NULL,        -- argon2id, PHC text
    role {text} NOT NULL,
    party {text},
    disabled BOOLEAN NOT NULL,
    added_at BIGINT NOT NULL
) {keyed};

CREATE TABLE IF NOT EXISTS token (
    token_id {text} PRIMARY KEY,
    digest {bytes} NOT NULL,         -- SHA-256 of the token, which is kept nowhere
    role {text} NOT NULL,
    party {text},
    label {text} NOT NULL,
    issued_at BIGINT NOT NULL,
    expires_at BIGINT,
    last_used_at BIGINT,
    revoked_at BIGINT
) {keyed};
CREATE UNIQUE INDEX IF NOT EXISTS token_digest ON token (digest);

CREATE TABLE IF NOT EXISTS session (
    digest {bytes} PRIMARY KEY,
    login {text} NOT NULL,
    started_at BIGINT NOT NULL,
    expires_at BIGINT NOT NULL
) {keyed};
CREATE INDEX IF NOT EXISTS session_login ON session (login);
