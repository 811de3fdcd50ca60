//! Rules of the hub's own layer: whose record it is, and what the hub already holds.

use haulout_schemas::rule::{Layer, Rule, Severity};

macro_rules! refusals {
    ($($name:ident = $code:literal, $title:literal, $meaning:literal, $why:literal, $mend:literal;)+) => {
        $(#[doc = $title] pub static $name: Rule = Rule {
            code: $code, layer: Layer::Hub, severity: Severity::Error, title: $title, meaning: $meaning,
            why: $why, mend: $mend, source: "contract of the journal", thresholds: &[],
        };)+
        /// Every rule of this layer.
        pub static RULES: &[&Rule] = &[$(&$name),+];
    };
}

refusals! {
    FOREIGN_AUTHOR = "foreign-author", "The author is another party",
        "`authorID` is not the party for which the token was issued.",
        "Each party writes its own chain; nobody can write in another's name.",
        "Send it with that party's token, or put your own party into `authorID`.";
    FOREIGN_PLACE = "foreign-place", "The place is another party's",
        "`centreID` is not the author, and no exception applies.",
        "A centre's stock is moved by the centre alone.",
        "Leave it to that centre; what happened on a journey names its `consignmentID`.";
    NOT_A_CENTRE = "not-a-centre", "The place is no centre",
        "`centreID` names a party that is not a centre of the region.",
        "Only centres and points hold stock.",
        "Name the point in `pointID`, or correct the party's role in the region file.";
    NOT_THE_KEEPER = "not-the-keeper", "The point is kept by another party",
        "The region file names another keeper for the point.",
        "A point's keeper writes for it and is its end of a consignment.",
        "Leave it to the keeper, or have the keeper changed in the region file.";
    UNKNOWN_POINT = "unknown-point", "The point is not in the region file",
        "`pointID` names no point of the region.",
        "Without an entry nobody knows who keeps it.",
        "Correct the id, or have the point added to the region file.";
    UNKNOWN_PARTY = "unknown-party", "The party is not in the region file",
        "`authorID` names no party of the region.",
        "Without an entry nobody knows what the party may write.",
        "Have the party added to the region file.";
    NOT_YOUR_KIND = "not-your-kind", "The party does not write this kind",
        "Records of this kind are written by parties of another role.",
        "Links and closed roads are the coordination's word, results a laboratory's, and so on.",
        "Leave it to the party whose word it is.";
    REVISION_REUSED = "revision-reused", "The revision holds other content already",
        "The hub holds a record of the same author, identifier and revision with other content.",
        "What was acknowledged never changes; a mistake is mended by a higher revision.",
        "Send the new content with the next revision.";
    WITHHELD = "withheld", "Not stored because another line was refused",
        "The submission asked to be stored whole or not at all.",
        "One of its lines was refused.",
        "Mend the refused lines and send the whole again.";
}
