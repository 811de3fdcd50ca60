//! What can be wrong against the published schema.

use super::rules;

rules! { Schema;
    SCHEMA_VERSION_NEWER = "schema-version-newer", Error,
        "Newer schema",
        "The record follows a newer schema than this checker knows.",
        "The record may be right; this checker cannot tell.",
        "Update your checker. The record itself may be right.",
        "common practice";
    SCHEMA_VERSION_UNKNOWN = "schema-version-unknown", Error,
        "Unknown schema version",
        "There is no such version of the schema.",
        "The version decides how the record is read.",
        "Write the version of the published schema.",
        "common practice";
    KIND_MISSING = "kind-missing", Error,
        "No record kind",
        "`kind` is missing, so that nothing further can be checked.",
        "The kind decides which fields belong to the record.",
        "Say what the record tells of, such as \"kind\":\"rescue\".",
        "common practice";
    KIND_UNKNOWN = "kind-unknown", Error,
        "Unknown record kind",
        "There is no record kind of that name, so that nothing further can be checked.",
        "The kind decides which fields belong to the record.",
        "Name one of the published record kinds.",
        "common practice";
    UNKNOWN_FIELD = "unknown-field", Error,
        "Unknown field",
        "The schema knows no such field here.",
        "A misspelt field would be lost in silence.",
        "Correct the name, or put fields of your own below `extensions`.",
        "JSON Schema 2020-12: additionalProperties";
    MISSING_FIELD = "missing-field", Error,
        "Field missing",
        "A field that the record needs is missing.",
        "Without it the record cannot be understood.",
        "Add it.",
        "JSON Schema 2020-12: required";
    NOT_ALLOWED_HERE = "not-allowed-here", Error,
        "Field in the wrong place",
        "The field exists, but not in a record like this one.",
        "It would say something that the event cannot mean.",
        "Leave it out.",
        "JSON Schema 2020-12: propertyNames, not, false";
    MISSING_ONE_OF = "missing-one-of", Error,
        "One of several fields missing",
        "One of several fields is needed, and none is there.",
        "Without it the record has no subject or no place.",
        "Add the one that fits.",
        "JSON Schema 2020-12: oneOf, anyOf";
    NOT_TOGETHER = "not-together", Error,
        "Fields that exclude each other",
        "Fields stand together that exclude each other.",
        "It would be unclear which one is meant.",
        "Leave the others out.",
        "JSON Schema 2020-12: oneOf, not";
    NO_FORM_FITS = "no-form-fits", Error,
        "No form fits",
        "The value fits none of the forms allowed here.",
        "It cannot be understood.",
        "See the schema of this field.",
        "JSON Schema 2020-12: anyOf, oneOf";
    WRONG_TYPE = "wrong-type", Error,
        "Wrong type",
        "The value is of another JSON type than the field takes.",
        "It cannot be understood.",
        "Write a value of the type named.",
        "JSON Schema 2020-12: type";
    WRONG_VALUE = "wrong-value", Error,
        "Wrong value",
        "The field takes one value only, and this is another.",
        "It cannot be understood.",
        "Write the value named.",
        "JSON Schema 2020-12: const";
    NOT_IN_LIST = "not-in-list", Error,
        "Word not in the list",
        "The field takes words of a list, and this is none of them.",
        "A word outside the list would count nowhere.",
        "Choose a word of the list; say more under `notes`.",
        "JSON Schema 2020-12: enum";
    WRONG_PATTERN = "wrong-pattern", Error,
        "Wrong form",
        "The text does not have the form that the field needs.",
        "Dates, names and identifiers are compared as texts.",
        "Write it in the form described.",
        "JSON Schema 2020-12: pattern";
    LINE_END = "line-end", Error,
        "Line end in a text",
        "A text that stands on one line holds a line end.",
        "The same identifier with and without it would be two.",
        "Remove it: an export may have left one at the end.",
        "JSON Schema 2020-12: not, pattern";
    OUT_OF_RANGE = "out-of-range", Error,
        "Number out of range",
        "The number is smaller or larger than the field takes.",
        "It is impossible, often a slip of units.",
        "Check the number and its unit.",
        "JSON Schema 2020-12: minimum, maximum";
    NOT_A_MULTIPLE = "not-a-multiple", Error,
        "Too fine a number",
        "The number is no multiple of the step that the field takes.",
        "It promises more than was measured.",
        "Round it.",
        "JSON Schema 2020-12: multipleOf";
    TOO_LONG = "too-long", Error,
        "Text too long",
        "The text has more characters than the field takes.",
        "It would be cut elsewhere.",
        "Shorten it.",
        "JSON Schema 2020-12: maxLength";
    TOO_SHORT = "too-short", Error,
        "Text too short",
        "The text has fewer characters than the field needs.",
        "An empty text is not the same as an absent one.",
        "Leave the field out when there is nothing to say.",
        "JSON Schema 2020-12: minLength";
    TOO_MANY_ITEMS = "too-many-items", Error,
        "List too long",
        "The list has more entries than the field takes.",
        "Memory is bounded whatever arrives.",
        "Send the rest in another record.",
        "JSON Schema 2020-12: maxItems, items";
    TOO_FEW_ITEMS = "too-few-items", Error,
        "List too short",
        "The list has fewer entries than the field needs.",
        "An empty list says nothing.",
        "Fill it, or leave the field out where it may be left out.",
        "JSON Schema 2020-12: minItems";
    REPEATED_ITEM = "repeated-item", Error,
        "Entry given twice",
        "The list holds the same entry twice.",
        "It would count twice.",
        "Keep one of them.",
        "JSON Schema 2020-12: uniqueItems";
    MISSING_ITEM = "missing-item", Error,
        "Entry missing",
        "The list lacks an entry that it must hold.",
        "Without it the record cannot be understood.",
        "Add it.",
        "JSON Schema 2020-12: contains";
    TOO_MANY_FIELDS = "too-many-fields", Error,
        "Too many fields",
        "The object has more fields than it may have.",
        "It cannot be understood.",
        "Leave some out.",
        "JSON Schema 2020-12: maxProperties";
    TOO_FEW_FIELDS = "too-few-fields", Error,
        "Too few fields",
        "The object has fewer fields than it needs.",
        "It says nothing.",
        "Fill it, or leave it out.",
        "JSON Schema 2020-12: minProperties";
    SCHEMA_OTHER = "schema-other", Error,
        "Against the schema",
        "The value does not follow the published schema.",
        "It cannot be understood.",
        "See the schema of this field.",
        "JSON Schema 2020-12";
    MORE_PROBLEMS = "more-problems", Error,
        "More problems",
        "The record has more problems than are shown one by one.",
        "A record with so many usually has one cause behind them.",
        "Mend the ones shown and check again.",
        "common practice";
    NOT_REPRESENTABLE = "not-representable", Error,
        "Checker at fault",
        "The record follows the schema but cannot be taken over.",
        "Schema and types have parted ways, which must not happen.",
        "This is a fault of the checker; please report it with the line.",
        "common practice";
}
