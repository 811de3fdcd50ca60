//! The one table of problem codes: what an error answer may say, with status, title, advice and
//! whether asking again may help. Answers, the pages under `/problems/` and OpenAPI read it.

use schemars::JsonSchema;
use serde::Serialize;

/// One kind of problem.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Code {
    /// Stable code in kebab case; never used again for anything else.
    pub code: &'static str,
    /// HTTP status.
    pub status: u16,
    /// A few words, the same for every occurrence.
    pub title: &'static str,
    /// What the caller can do.
    pub advice: &'static str,
    /// Whether the same request may succeed later.
    pub retryable: bool,
}

macro_rules! codes {
    ($($name:ident = $code:literal, $status:literal, $retryable:literal, $title:literal, $advice:literal;)+) => {
        $(#[doc = $title] pub const $name: Code = Code {
            code: $code, status: $status, title: $title, advice: $advice, retryable: $retryable,
        };)+

        /// Every code, in the order of the table.
        pub const ALL: &[Code] = &[$($name),+];
    };
}

codes! {
    BAD_JSON = "bad-json", 400, false, "The body is not the JSON that is expected here",
        "Compare the body with the operation's schema in /openapi.json; `errors` says where it stops fitting.";
    BAD_QUERY = "bad-query", 400, false, "A query parameter is unknown or cannot be read",
        "Compare the parameters with the operation in /openapi.json.";
    BAD_PATH = "bad-path", 400, false, "A part of the address cannot be read",
        "Compare the address with the operation in /openapi.json.";
    BAD_HEADER = "bad-header", 400, false, "A request header cannot be read",
        "Mend the header that `detail` names.";
    BAD_CURSOR = "bad-cursor", 400, false, "The cursor is not one that this hub gave out",
        "Follow the `Link` with rel=\"next\" of the page before, unchanged, or start again without a cursor.";
    BODY_INCOMPLETE = "body-incomplete", 400, true, "The body ended before its announced length",
        "Send the request again; nothing was stored.";
    ENCODING_MISMATCH = "encoding-mismatch", 400, false, "The body is not compressed as its header says",
        "Leave Content-Encoding out for plain bodies, or compress the body as announced.";
    TOKEN_MISSING = "token-missing", 401, false, "This address needs a token",
        "Send `Authorization: Bearer TOKEN`. An operator issues tokens with `haulout token issue`.";
    TOKEN_MALFORMED = "token-malformed", 401, false, "The Authorization header holds no token of this hub",
        "Send `Authorization: Bearer TOKEN` with the token exactly as it was issued, without quotes or blanks.";
    TOKEN_UNKNOWN = "token-unknown", 401, false, "The token is not known here",
        "Check that it was issued for this hub, and that it was copied whole.";
    TOKEN_EXPIRED = "token-expired", 401, false, "The token has expired",
        "Ask an operator for a new one.";
    TOKEN_REVOKED = "token-revoked", 401, false, "The token was revoked",
        "Ask an operator for a new one.";
    SESSION_ENDED = "session-ended", 401, false, "The session has ended",
        "Come in again with login and password.";
    LOGIN_FAILED = "login-failed", 401, false, "Login and password do not belong together",
        "Check both. An operator can add a person anew with `haulout person add`.";
    RIGHT_MISSING = "right-missing", 403, false, "The token's role has no such right",
        "`detail` names the right that is needed. Use a token of a role that has it.";
    NOT_YOURS = "not-yours", 403, false, "The token's party may not do this for another party",
        "Use a token of the party that `detail` names, or let the coordination act on its behalf.";
    NO_SUCH_ADDRESS = "no-such-address", 404, false, "There is nothing at this address",
        "All addresses are listed in /openapi.json.";
    NOT_FOUND = "not-found", 404, false, "There is no such thing, or none that you may see",
        "Check the identifier. What other parties keep is not shown.";
    METHOD_NOT_ALLOWED = "method-not-allowed", 405, false, "The address does not take this method",
        "Use a method of the `Allow` header.";
    NOT_ACCEPTABLE = "not-acceptable", 406, false, "None of the accepted formats can be made here",
        "Ask for a format that `detail` lists, by `Accept` or `?format=`.";
    REQUEST_TIMEOUT = "request-timeout", 408, true, "The body came too slowly",
        "Send smaller submissions, or compress them.";
    IDEMPOTENCY_IN_USE = "idempotency-key-in-use", 409, true, "A request with this key is still being worked on",
        "Wait as `Retry-After` says and send the same request again.";
    STATE_CONFLICT = "state-conflict", 409, false, "The step is not possible as things stand now",
        "Read the thing again; `detail` says how it stands.";
    PLACE_TAKEN = "place-taken", 409, false, "The place is no longer free",
        "Nothing was kept. `noLonger` says of each place why, with the best alternatives as they are now; choose anew and ask again.";
    BODY_TOO_LARGE = "body-too-large", 413, false, "The body is larger than is taken here",
        "Split it; records may be sent in any number of submissions.";
    COMPRESSION_BOMB = "compression-bomb", 413, false, "The body grows beyond measure when decompressed",
        "Send records without padding, or uncompressed.";
    MEDIA_TYPE_UNSUPPORTED = "media-type-unsupported", 415, false, "The body's media type is not taken here",
        "Send one of the types in the `Accept-Post` header.";
    ENCODING_UNSUPPORTED = "content-encoding-unsupported", 415, false, "The body's Content-Encoding is not taken here",
        "Compress with gzip or zstd, or not at all.";
    EMPTY_SUBMISSION = "empty-submission", 422, false, "There is no record in the submission",
        "Send at least one record. A night without events is told by its `census`.";
    NOTHING_ACCEPTED = "nothing-accepted", 422, false, "No record of the submission was accepted",
        "Mend what `lines` names and send those records again.";
    STRICT_REFUSED = "strict-refused", 422, false, "One record was refused, so nothing was stored",
        "Mend the lines that `lines` names and send the whole again, or leave out `Prefer: handling=strict`.";
    BAD_VALUE = "bad-value", 422, false, "A value makes no sense here",
        "`detail` and `errors` name the value and what would fit.";
    NOT_COMPUTED = "not-computed", 422, false, "This cannot be computed from what was given",
        "`refusal` says what was asked, why there is no figure, and what would mend it.";
    BAD_PERIOD = "bad-period", 422, false, "The period cannot be read",
        "Write 2026, 2026-Q3, 2026-07 or 2026-07-01..2026-09-30.";
    NOT_YET_KNOWN = "not-yet-known", 422, false, "The instant lies after the hub's own time",
        "Ask with an `asKnownAt` that has passed, or leave it out for the newest entry.";
    IDEMPOTENCY_REUSED = "idempotency-key-reused", 422, false, "The key was used for another body",
        "Make a new key for every new body; keep a key only to repeat the same one.";
    TOO_MANY_REQUESTS = "too-many-requests", 429, true, "Too many requests at once",
        "Wait as `Retry-After` says.";
    INTERNAL = "internal", 500, true, "The hub failed",
        "Nothing is wrong with the request. Try again; if it stays, give the operator the id in `instance`.";
    SOLVER_STOPPED = "solver-stopped", 500, true, "The plan could not be made",
        "`detail` says why. Ask for fewer animals at once, or give it more time.";
    BUSY = "busy", 503, true, "The hub has too much to do at the moment",
        "Try again as `Retry-After` says.";
    UNAVAILABLE = "unavailable", 503, true, "The hub cannot reach its database",
        "Try again as `Retry-After` says. What was acknowledged before is safe.";
    STORAGE_FULL = "storage-full", 507, true, "The hub has no space left",
        "The operator must make room. What was acknowledged before is safe; nothing of this request was stored.";
}

/// The code of a name.
pub fn find(code: &str) -> Option<&'static Code> {
    ALL.iter().find(|entry| entry.code == code)
}
