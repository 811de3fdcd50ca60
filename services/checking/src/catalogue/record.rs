//! Rules on one record: they warn and never refuse.

use super::rules;

rules! { Rule;
    FUTURE_DATE = "future-date", Warning,
        "Date in the future",
        "The event is dated after the day on which the record was checked.",
        "A wrong year or a swapped day and month moves the animal into another period's account.",
        "Check year, month and day. If the centre's clock is ahead, set it right.",
        "common practice";
    DATE_REVERSED = "date-reversed", Warning,
        "Interval ends before it begins",
        "The end of the interval lies before its start.",
        "The record counts on the later of the two days, which may not be the one meant.",
        "Swap the two dates, or correct the wrong one.",
        "ISO 8601: an interval runs from start to end";
    NAME_UNKNOWN = "name-unknown", Warning,
        "Unknown name",
        "The name list does not know the name.",
        "An unknown name is a species of its own in the account, and no rule of keeping can be applied to it.",
        "Correct the spelling, or have the name added to the region's list.",
        "common practice";
    NAME_SYNONYM = "name-synonym", Info,
        "Synonym or subspecies",
        "The name is another name of a species, or of a part of it, and is counted under the accepted one.",
        "The statement shows the accepted name.",
        "Nothing. The record keeps the name as written.",
        "common practice";
    NAME_COMMON = "name-common", Warning,
        "Everyday name",
        "An everyday name stands where a scientific name belongs.",
        "Everyday names mean different species in different places, so they count as a name of their own.",
        "Write the scientific name; genus, family or order where nobody knows better.",
        "common practice";
    TRANSPONDER_UNUSUAL = "transponder-unusual", Warning,
        "Unusual transponder number",
        "The number cannot be an ISO 11784 number as printed: 15 digits, three of them a country or maker, the other twelve at most 274877906943.",
        "A digit misread once makes the animal unknown for ever at the next scan.",
        "Scan again and copy all 15 digits; for an older chip say `transponderStandard` `other`.",
        "ISO 11784; the largest number is 2^38 - 1";
    TRANSPONDER_OLDER = "transponder-older", Info,
        "Older transponder",
        "A number of 9 or 10 digits is from a chip made before ISO 11784.",
        "Not every reader finds such a chip: the next centre may think the animal unmarked.",
        "Nothing, if the number was read so. Say `transponderStandard` `other`.",
        "common practice";
    TRANSPONDER_TEST = "transponder-test", Warning,
        "Test code in a transponder",
        "The number begins with 999, the code reserved for tests.",
        "Test chips sit in real animals, but their numbers are not unique.",
        "Scan again. If it was read so, keep it and note a second mark.",
        "ISO 11784; ICAR lists 999 outside tests as misuse";
    NUMBER_INEXACT = "number-inexact", Warning,
        "Number too long to keep",
        "A whole number beyond 9007199254740992 (2^53) is kept as the nearest double, which is another number.",
        "Canonical JSON has doubles only; a long identifier written as a number loses its last digits in nearly every reader.",
        "Write long identifiers as text, in quotes.",
        "RFC 8785 section 3.2.2.3; RFC 7493 section 2.2";
    ESTIMATE_REVERSED = "estimate-reversed", Warning,
        "Estimate upside down",
        "The lower end of an estimate is above its upper end.",
        "Whether an animal fits is judged by the upper end.",
        "Swap `low` and `high`, or correct the wrong one.",
        "common practice";
    ESTIMATE_OUTSIDE = "estimate-outside", Warning,
        "Value outside its own range",
        "The value lies outside the range given with it.",
        "Either the value or the range is a slip.",
        "Correct the value or its `low` and `high`.",
        "common practice";
    POSITION_ZERO = "position-zero", Warning,
        "Position is zero, zero",
        "Latitude and longitude are both 0.",
        "Devices and exports write 0, 0 for a position they do not have.",
        "Give the true position, or leave both out.",
        "common practice";
    POSITION_HALF = "position-half", Warning,
        "Half a position",
        "Only one of latitude and longitude is given.",
        "Half a position is none.",
        "Give both, or leave both out.",
        "common practice";
    HIDDEN_CHARACTER = "hidden-character", Warning,
        "Invisible character in a text",
        "A text holds a control, direction or zero-width character.",
        "It looks like another text, is not found by a search, and may reorder the line on a screen.",
        "Type the text again, or paste it as plain text.",
        "common practice";
    MORE_REMARKS = "more-remarks", Info,
        "More remarks",
        "The record has more remarks than are shown one by one.",
        "A record with so many usually has one cause behind them.",
        "Mend the ones shown and check again.",
        "common practice";
}
