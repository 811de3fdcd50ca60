//! What can be wrong with bytes and JSON.

use super::rules;

rules! { Read;
    BYTE_ORDER_MARK = "byte-order-mark", Info,
        "Byte order mark",
        "The text begins with a byte order mark, which was passed over.",
        "Other readers may take it for a part of the first field's name.",
        "Save as UTF-8 without mark (BOM).",
        "RFC 8259 section 8.1";
    UTF_16 = "utf-16", Error,
        "UTF-16 or UTF-32",
        "The file is not in UTF-8 but in UTF-16 or UTF-32.",
        "Records are exchanged in UTF-8 only.",
        "Save or export the file again with the encoding UTF-8.",
        "RFC 8259 section 8.1";
    INVALID_UTF8 = "invalid-utf8", Error,
        "Not UTF-8",
        "A byte of the line is not UTF-8.",
        "A letter would be guessed, and the record's hash would rest on the guess.",
        "Save or export the file as UTF-8; Latin-1 and Windows-1252 look like this at the first accented letter.",
        "RFC 8259 section 8.1";
    NOT_TEXT = "not-text", Error,
        "Archive or spreadsheet",
        "The file is a zip archive or a spreadsheet, not lines of JSON.",
        "Nothing in it can be read as a record.",
        "Unpack it first; a spreadsheet needs the name ending .xlsx.",
        "common practice";
    COMPRESSED_TWICE = "compressed-twice", Error,
        "Compressed twice",
        "Inside the compressed file is another compressed file.",
        "A small file can unfold without end that way.",
        "Compress it once only.",
        "common practice";
    COMPRESSION_TRUNCATED = "compression-truncated", Error,
        "Compressed file cut off",
        "The compressed file stops before its end.",
        "Records at its end are missing.",
        "Only the start of the file arrived. Copy or send it again.",
        "RFC 1952; RFC 8878";
    COMPRESSION_TRAILING = "compression-trailing", Error,
        "Something behind the compressed data",
        "Bytes that are no compressed data follow the compressed data.",
        "They may be records that would be lost.",
        "Two files may have been joined, or padding was added. Compress the file again.",
        "RFC 1952; RFC 8878";
    COMPRESSION_DAMAGED = "compression-damaged", Error,
        "Compressed data damaged",
        "The compressed data does not unfold, or its check sum differs.",
        "What was read may not be what was written.",
        "Compress the file again, and copy it in binary mode.",
        "RFC 1952; RFC 8878";
    COMPRESSION_WINDOW = "compression-window", Error,
        "Compression needs too much memory",
        "The zstd file needs a window of more than 8 MiB.",
        "Memory is bounded whatever arrives.",
        "Compress it without --long and --ultra.",
        "RFC 9659 section 3";
    COMPRESSION_RATIO = "compression-ratio", Error,
        "Unfolds too far",
        "A few compressed bytes became very many.",
        "A small file that unfolds without end would stop the service for everybody.",
        "Records do not compress that well; send the file uncompressed if it is genuine.",
        "common practice";
    TOO_MANY_BYTES = "too-many-bytes", Error,
        "Too many bytes",
        "The file is larger than the limit set here.",
        "Time and memory are shared.",
        "Send it in several parts.",
        "common practice";
    TOO_MANY_LINES = "too-many-lines", Error,
        "Too many lines",
        "The file has more lines than the limit set here.",
        "Time and memory are shared.",
        "Send them in several parts.",
        "common practice";
    LINE_TOO_LONG = "line-too-long", Error,
        "Record too long",
        "One record has more bytes than the limit.",
        "Memory is bounded whatever arrives; the other lines count.",
        "Put photographs and papers elsewhere and name them under `evidence`; split very long lists.",
        "common practice";
    BLANK_LINE = "blank-line", Error,
        "Empty record",
        "There is nothing where a record should be.",
        "Every line sent is answered.",
        "Remove the empty line or element.",
        "common practice";
    JSON_SYNTAX = "json-syntax", Error,
        "Not JSON",
        "The line is not a JSON text.",
        "Nothing in it can be read.",
        "Write the record with a JSON library rather than by joining texts.",
        "RFC 8259";
    JSON_UNFINISHED = "json-unfinished", Error,
        "Record not complete",
        "The record, or the array of records, stops before it is complete.",
        "What is missing may be a number.",
        "The line was cut, or a closing quote, ] or } is missing. Send the whole record on one line.",
        "RFC 8259";
    JSON_AFTER_ARRAY = "json-after-array", Error,
        "Something behind the array",
        "Text follows the closing ] of the array of records.",
        "It may be records that would be lost.",
        "Send one array, or one record a line without brackets around them.",
        "RFC 8259";
    DUPLICATE_NAME = "duplicate-name", Error,
        "Field given twice",
        "An object names a field twice.",
        "Readers disagree on which of the two counts.",
        "Keep one of the two. The same name written with escapes is the same name.",
        "RFC 7493 section 2.3";
    NUL_CHARACTER = "nul-character", Error,
        "NUL in a text",
        "A text or a field name holds the character NUL.",
        "Many stores and languages end a text there.",
        "Remove it; it usually comes from a fixed-width field or a damaged export.",
        "common practice";
    LONE_SURROGATE = "lone-surrogate", Error,
        "Half a character",
        "A text holds one half of a surrogate pair.",
        "It is no character, and the record's hash would be undefined.",
        "Write the character itself in UTF-8, or both halves of the pair; text that was cut after a fixed number of characters often ends so.",
        "RFC 7493 section 2.1";
    NUMBER_OUT_OF_RANGE = "number-out-of-range", Error,
        "Number too large",
        "A number is too large for a double (above about 1.8e308).",
        "No reader could keep it.",
        "Check the exponent; write long identifiers as text in quotes.",
        "RFC 7493 section 2.2";
    TOO_DEEP = "too-deep", Error,
        "Nested too deep",
        "Lists and objects are nested more than 64 deep.",
        "Deep nesting exhausts readers.",
        "Flatten what is below `extensions`.",
        "common practice";
    TOO_MANY_VALUES = "too-many-values", Error,
        "Too many values in one record",
        "The record holds more than 100,000 values.",
        "Memory is bounded whatever arrives.",
        "Send it as several records.",
        "common practice";
    NOT_AN_OBJECT = "not-an-object", Error,
        "Not an object",
        "The line is JSON, but not an object.",
        "A record is an object of fields.",
        "Send each record as one object on its own line.",
        "common practice";
}
