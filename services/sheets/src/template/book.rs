//! The workbook: a sheet to fill, a sheet about its columns, a sheet of words.

use haulout_schemas::Kind;
use rust_xlsxwriter::{
    DataValidation, DataValidationErrorStyle, DataValidationRule, DocProperties, ExcelDateTime, Formula,
    Note, Workbook, Worksheet, XlsxError,
};

use crate::columns::{Column, Need};
use crate::fields::Of;

use super::{looks, words};

/// The last row of a sheet, counted from zero.
const LAST: u32 = 1_048_575;
/// Rows in which kind and version stand beforehand.
const GIVEN: u32 = 200;
/// Paper of the print set-up: A4, by its number in the file format.
const A4: u8 = 9;
/// First row of the tables about the columns, counted from zero.
const TABLE: u32 = 9;

pub(super) fn write(kind: Kind, columns: &[Column]) -> Result<Vec<u8>, XlsxError> {
    let mut book = Workbook::new();
    book.set_properties(
        &DocProperties::new()
            .set_title(format!("Records of kind {kind}"))
            .set_author("Haulout")
            // The same schema gives the same bytes, so no clock is asked.
            .set_creation_datetime(&ExcelDateTime::from_ymd(2026, 1, 1)?),
    );
    let lists = lists(columns);
    fill(book.add_worksheet(), kind, columns, &lists)?;
    about(book.add_worksheet(), kind, columns)?;
    vocabulary(book.add_worksheet(), &lists)?;
    book.save_to_buffer()
}

/// The words of one column, and the row at which they stand on the sheet of words.
struct List<'c> {
    column: usize,
    name: &'c str,
    row: u32,
    words: &'c [(String, String)],
}

fn lists(columns: &[Column]) -> Vec<List<'_>> {
    let mut row = 3;
    let mut lists = Vec::new();
    for (index, column) in columns.iter().enumerate() {
        if let Some(leaf) = column.leaf.as_ref().filter(|leaf| !leaf.words.is_empty()) {
            lists.push(List { column: index, name: &column.name, row, words: &leaf.words });
            row += count(leaf.words.len());
        }
    }
    lists
}

fn fill(sheet: &mut Worksheet, kind: Kind, columns: &[Column], lists: &[List<'_>]) -> Result<(), XlsxError> {
    sheet.set_name(kind.as_str())?;
    sheet.set_tab_color(looks::DEEP);
    sheet.set_row_height(0, 32)?;
    for (index, column) in columns.iter().enumerate() {
        let at = u16::try_from(index).unwrap_or(u16::MAX);
        let head = looks::head(&column.need);
        let word = format!("\n{}", words::short_need(&column.need));
        sheet.write_rich_string_with_format(
            0,
            at,
            &[(&head.name, column.name.as_str()), (&head.word, word.as_str())],
            &head.cell,
        )?;
        let widest = column.name.len().max(words::short_need(&column.need).len() * 4 / 5);
        sheet.set_column_width(at, f64::from(count(widest)) * 1.15 + 3.0)?;
        let is_text = column.leaf.as_ref().is_none_or(|leaf| leaf.of == Of::Text);
        sheet.set_column_format(at, &if is_text || column.list { looks::text() } else { looks::number() })?;
        sheet.insert_note(0, at, &note(column))?;
        if let Some(list) = lists.iter().find(|list| list.column == index && !column.list) {
            let (first, last) = (list.row + 1, list.row + count(list.words.len()));
            let range = Formula::new(format!("=Words!$B${first}:$B${last}"));
            let rule = DataValidation::new().allow_list_formula(range);
            sheet.add_data_validation(1, at, LAST, at, &told(rule, column)?)?;
        } else if let Some(rule) = bounds(column) {
            sheet.add_data_validation(1, at, LAST, at, &told(rule, column)?)?;
        }
        // What has one word only is written beforehand.
        if let (Need::Always, Some([(only, _)])) =
            (&column.need, column.leaf.as_ref().map(|leaf| leaf.words.as_slice()))
        {
            for row in 1..=GIVEN {
                sheet.write_string_with_format(row, at, only, &looks::given())?;
            }
        }
    }
    sheet.set_freeze_panes(1, 0)?;
    sheet.set_repeat_rows(0, 0)?;
    sheet.set_paper_size(A4).set_landscape();
    sheet.set_selection(1, 0, 1, 0)?;
    Ok(())
}

fn note(column: &Column) -> Note {
    let unit = column.unit().map(|unit| format!("\nUnit: {unit}.")).unwrap_or_default();
    let allowed = words::allowed(column);
    let allowed = if allowed.is_empty() { allowed } else { format!("\nAllowed: {allowed}.") };
    let text = format!(
        "{}\n{}\nForm: {}.{unit}{allowed}",
        words::need(column),
        words::meaning(column),
        words::form(column)
    );
    let lines = text.lines().map(|line| 1 + count(line.len()) / 46).sum::<u32>();
    Note::new(text).add_author_prefix(false).set_width(300).set_height((lines * 16 + 12).clamp(60, 420))
}

/// A rule for numbers and truth values; a breach is warned of, since the check decides.
fn bounds(column: &Column) -> Option<DataValidation> {
    let leaf = column.leaf.as_ref()?;
    let (least, most) = leaf.bounds;
    match leaf.of {
        _ if column.list => None,
        Of::Whole => {
            // Bounds of whole numbers in the schema are far within an i32, and whole.
            #[allow(clippy::cast_possible_truncation)]
            let whole = |bound: Option<f64>, otherwise: i32| bound.map_or(otherwise, |bound| bound as i32);
            let rule = DataValidationRule::Between(whole(least, i32::MIN), whole(most, i32::MAX));
            Some(DataValidation::new().allow_whole_number(rule))
        }
        Of::Number => {
            let rule = DataValidationRule::Between(least.unwrap_or(-1e300), most.unwrap_or(1e300));
            Some(DataValidation::new().allow_decimal_number(rule))
        }
        Of::Truth => DataValidation::new().allow_list_strings(&["TRUE", "FALSE"]).ok(),
        Of::Text => None,
    }
}

fn told(rule: DataValidation, column: &Column) -> Result<DataValidation, XlsxError> {
    let text = format!("{} Form: {}. See the sheet Columns.", words::need(column), words::form(column));
    rule.set_error_style(DataValidationErrorStyle::Warning)
        .set_error_title("Not what the field takes")?
        .set_error_message(text.chars().take(220).collect::<String>())
}

/// The sheets of a workbook that explain the one to fill.
pub(crate) const COLUMNS: &str = "Columns";
pub(crate) const WORDS: &str = "Words";

/// Widths of the table about the columns, in characters.
const WIDTHS: [u32; 6] = [32, 34, 56, 18, 52, 44];

fn about(sheet: &mut Worksheet, kind: Kind, columns: &[Column]) -> Result<(), XlsxError> {
    sheet.set_name(COLUMNS)?;
    let text = haulout_schemas::published::schema_of(kind)["description"].as_str().unwrap_or_default();
    begin(sheet, &format!("Records of kind {kind}"), text, &WIDTHS.map(f64::from))?;
    for (row, line) in (2_u32..).zip(words::GUIDE) {
        sheet.write_string_with_format(row, 0, line, &looks::lead().unset_text_wrap())?;
    }
    for (at, name) in (0_u16..).zip(["Column", "Needed", "Meaning", "Unit", "Form", "Allowed"]) {
        sheet.write_string_with_format(TABLE, at, name, &looks::table_head())?;
    }
    for (row, column) in (TABLE + 1..).zip(columns) {
        sheet.write_string_with_format(row, 0, &column.name, &looks::table_name())?;
        let cells = [
            words::need(column),
            words::meaning(column),
            column.unit().unwrap_or_default().to_owned(),
            words::form(column),
            words::allowed(column),
        ];
        // Programs differ in whether they make a row as high as its text asks for.
        let lines =
            cells.iter().zip(WIDTHS.iter().skip(1)).map(|(cell, width)| 1 + count(cell.len()) / width);
        sheet.set_row_height(row, f64::from(lines.max().unwrap_or(1)) * 14.5 + 3.0)?;
        for (at, cell) in (1_u16..).zip(cells) {
            sheet.write_string_with_format(row, at, cell, &looks::table_cell())?;
        }
    }
    sheet.set_freeze_panes(TABLE + 1, 1)?;
    sheet.set_repeat_rows(TABLE, TABLE)?;
    Ok(())
}

fn vocabulary(sheet: &mut Worksheet, lists: &[List<'_>]) -> Result<(), XlsxError> {
    sheet.set_name(WORDS)?;
    begin(sheet, WORDS, "What the words of the drop-downs mean.", &[34.0, 26.0, 90.0])?;
    for (at, name) in (0_u16..).zip(["Column", "Word", "Meaning"]) {
        sheet.write_string_with_format(2, at, name, &looks::table_head())?;
    }
    for list in lists {
        for (row, (word, meaning)) in (list.row..).zip(list.words) {
            sheet.write_string_with_format(row, 0, list.name, &looks::table_cell())?;
            sheet.write_string_with_format(row, 1, word, &looks::table_name())?;
            sheet.write_string_with_format(row, 2, meaning.replace('`', ""), &looks::table_cell())?;
        }
    }
    sheet.set_freeze_panes(3, 0)?;
    sheet.set_repeat_rows(2, 2)?;
    Ok(())
}

fn begin(sheet: &mut Worksheet, title: &str, lead: &str, widths: &[f64]) -> Result<(), XlsxError> {
    sheet.set_screen_gridlines(false);
    sheet.write_string_with_format(0, 0, title, &looks::title())?;
    sheet.write_string_with_format(1, 0, lead, &looks::lead().unset_text_wrap())?;
    for (at, width) in (0_u16..).zip(widths) {
        sheet.set_column_width(at, *width)?;
    }
    sheet.set_paper_size(A4).set_landscape().set_print_fit_to_pages(1, 0);
    Ok(())
}

fn count(length: usize) -> u32 {
    u32::try_from(length).unwrap_or(u32::MAX)
}
