//! Every code that reading a sheet gives, beside those of the checker.

use haulout_schemas::rule::{Layer, Rule, Severity};

macro_rules! rules {
    ($($name:ident = $code:literal, $severity:ident, $title:literal, $meaning:literal, $why:literal, $mend:literal, $source:literal;)+) => {
        $(
            #[doc = $title]
            pub(crate) static $name: Rule = Rule {
                code: $code,
                layer: Layer::Read,
                severity: Severity::$severity,
                title: $title,
                meaning: $meaning,
                why: $why,
                mend: $mend,
                source: $source,
                thresholds: &[],
            };
        )+

        /// The rules of reading sheets.
        pub static RULES: &[&Rule] = &[$(&$name),+];
    };
}

rules! {
    UNKNOWN_COLUMN = "unknown-column", Warning,
        "Unknown column",
        "The records of the sheet have no field of the header's name; no cell of the column is filled.",
        "Cells of a misspelt column are refused as soon as they are filled.",
        "Correct the header, or put fields of your own into the column `extensions`, as JSON.",
        "common practice";
    COLUMN_TWICE = "column-twice", Error,
        "Column given twice",
        "Two columns have the same header, and the second was not read.",
        "It would be unclear which of the two counts.",
        "Keep one of them.",
        "common practice";
    CELL_WITHOUT_HEADER = "cell-without-header", Error,
        "Cell without a header",
        "A cell stands in a column that has no header.",
        "Nobody can tell what it means, and it would be lost.",
        "Write the header, or empty the cell. In a CSV file a separator inside a text needs quotes around the text.",
        "RFC 4180";
    CELLS_IN_CONFLICT = "cells-in-conflict", Error,
        "Cells that say the same thing twice",
        "A field is told as JSON in one cell and in columns of its own in others.",
        "It would be unclear which of them counts.",
        "Keep one of the two.",
        "common practice";
    NOT_JSON_CELL = "cell-not-json", Error,
        "Cell without the JSON that is meant",
        "A column of a whole object or list takes JSON, and the cell holds none.",
        "Nothing in it can be read.",
        "Write JSON, such as {\"shift\":\"evening\"} or []; or use columns with a dot, such as `place.locality`.",
        "RFC 8259";
    NO_HEADER = "sheet-without-kind", Error,
        "Sheet of no known kind",
        "Neither a column `kind` nor the name of the sheet or file says what its rows tell of.",
        "The kind decides which fields belong to a record.",
        "Add a column `kind`, or name the sheet or file after a kind, such as `rescue`.",
        "common practice";
    SHEET_NOT_READ = "sheet-not-read", Info,
        "Sheet not read",
        "A sheet of the workbook has no column `kind` and no name of a kind, and was passed over.",
        "Records in it would not be seen.",
        "If it holds records, add a column `kind`, or name it after a kind, such as `rescue`.",
        "common practice";
    SHEET_EMPTY = "sheet-empty", Warning,
        "Sheet without rows",
        "The sheet has no row of a record.",
        "A sheet that was saved before it was filled looks like this.",
        "Fill it, or leave it out.",
        "common practice";
    BLANK_ROWS = "blank-rows", Info,
        "Blank rows",
        "Rows with nothing in them, or only with the kind and the version, were passed over.",
        "A row that was emptied by mistake looks like this.",
        "Nothing, where they are meant to be blank.",
        "common practice";
    DATE_CELL = "date-cell", Info,
        "Cell of type date",
        "A cell of type date was read as a date in the form year-month-day.",
        "The spreadsheet keeps a number and shows it as it likes; a time has no offset in it.",
        "Nothing for a day. Give the column the format text, and write times with their offset: 2026-07-02T06:10+05:30.",
        "ECMA-376 part 1, 18.17.4";
    SERIAL_DATE = "serial-date", Warning,
        "Day number for a date",
        "A bare number stands where a date is meant; it was not turned into a date.",
        "Spreadsheets count days from 1900 or from 1904, and the number does not say which.",
        "Write the date as 2026-07-02, in a column of the format text.",
        "ECMA-376 part 1, 18.17.4";
    CHANGED_TO_DATE = "changed-to-date", Error,
        "Changed into a date",
        "A cell of type date or time stands where something else is meant.",
        "Spreadsheets turn what looks like a date into one (3-4, 1.5), and what was typed is lost.",
        "Give the column the format text and type the value again.",
        "common practice";
    NUMBER_FOR_TEXT = "number-for-text", Warning,
        "Number in a text column",
        "A number or truth value stands where text is meant, and was taken as its shortest text.",
        "Zeros in front (007) and at the end (1.0) are lost in a number.",
        "Give the column the format text and type the value again where it had zeros.",
        "common practice";
    DIGITS_LOST = "digits-lost", Error,
        "Digits lost",
        "A number of more than 15 digits stands where text is meant.",
        "Spreadsheets keep 15 digits of a number; the ones behind have become zeros.",
        "Give the column the format text and type the number again.",
        "ECMA-376 part 1, 18.17.2.1";
    TEXT_FOR_NUMBER = "text-for-number", Info,
        "Number kept as text",
        "A text that is a number stands in a column of numbers, and was taken as the number.",
        "Sums in the spreadsheet leave such cells out.",
        "Nothing for the records.",
        "common practice";
    TRUTH_SPELLED = "truth-spelled", Info,
        "TRUE or FALSE in other letters",
        "True or false was written in other letters, and taken as what it says. Told once a column.",
        "Records write true and false in small letters.",
        "Nothing; spreadsheets write them in capitals.",
        "common practice";
    FORMULA = "formula", Info,
        "Formula",
        "A cell holds a formula; the result that was last kept with it was read.",
        "The result is of the time at which the file was saved, and is not worked out anew.",
        "Replace the formula by its value where that matters.",
        "common practice";
    FORMULA_WITHOUT_RESULT = "formula-without-result", Error,
        "Formula without a result",
        "A cell holds a formula without a result.",
        "Formulas are not worked out here, so the value is missing.",
        "Open and save the file in a spreadsheet program, or write the value.",
        "common practice";
    CELL_ERROR = "cell-error", Error,
        "Cell shows an error",
        "The cell shows an error of the spreadsheet, such as #N/A.",
        "The value is missing.",
        "Mend the formula, or write the value.",
        "common practice";
    DELIMITER = "csv-delimiter", Info,
        "Not separated by commas",
        "The file is separated by semicolons or tabs, told by its header.",
        "Other readers may expect commas.",
        "Nothing; or save it with commas.",
        "RFC 4180";
    WINDOWS_1252 = "windows-1252", Warning,
        "Not UTF-8 but Windows-1252",
        "The file is not UTF-8; it was read as Windows-1252, which Latin-1 is a part of.",
        "Letters outside ASCII may be others than were meant.",
        "Look at the letters shown. Save the file as CSV UTF-8.",
        "WHATWG Encoding Standard";
    MIXED_ENCODING = "mixed-encoding", Error,
        "Two encodings in one file",
        "Some rows of the file are UTF-8 and others are not.",
        "A letter would be guessed.",
        "Files of two programs may have been joined. Save each as UTF-8 before.",
        "common practice";
    ROW_TOO_LONG = "row-too-long", Error,
        "Row too long",
        "A row has more bytes than the limit; what follows it was not read.",
        "A quote that is never closed swallows the rest of the file.",
        "Look for an opening quote without a closing one in this row. Photographs and papers are named under `evidence`, not put in.",
        "RFC 4180";
    QUOTE_OPEN = "quote-open", Error,
        "Quote not closed",
        "The number of quotes in the file is odd.",
        "A quote that is never closed swallows the rows behind it into one cell.",
        "Close the quote; inside quotes a quote is written twice.",
        "RFC 4180";
    TOO_MANY_COLUMNS = "too-many-columns", Error,
        "Too many columns",
        "The sheet is wider than a spreadsheet can be.",
        "Time and memory are shared.",
        "Tell long lists as JSON in the list's own column, or in several records.",
        "ECMA-376; common practice";
    WORKBOOK_TOO_LARGE = "workbook-too-large", Error,
        "Workbook too large",
        "The workbook, or what it unpacks to, is larger than the limit.",
        "A small file that unfolds without end would stop the machine.",
        "Split it, or save the sheet as CSV, which has no limit.",
        "common practice";
    WORKBOOK_DAMAGED = "workbook-damaged", Error,
        "Not a readable workbook",
        "The file is no XLSX workbook, or is damaged.",
        "Nothing further in it can be read.",
        "Open it in a spreadsheet program and save it as .xlsx without a password, or as CSV UTF-8.",
        "ECMA-376";
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_are_kebab_case_once_each_and_new() {
        let mut codes: Vec<_> = RULES.iter().map(|rule| rule.code).collect();
        codes.extend(haulout_checking::catalogue().map(|rule| rule.code));
        assert!(
            codes
                .iter()
                .all(|code| code.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-'))
        );
        let all = codes.len();
        codes.sort_unstable();
        codes.dedup();
        assert_eq!(codes.len(), all);
    }
}
