//! Where a cell stands, in the words of a spreadsheet.

/// The letters of a column counted from zero: 0 is `A`, 26 is `AA`.
pub(crate) fn letters(column: usize) -> String {
    let mut left = column + 1;
    let mut out = Vec::new();
    while left > 0 {
        let digit = (left - 1) % 26;
        out.push(char::from(b'A' + u8::try_from(digit).unwrap_or_default()));
        left = (left - 1) / 26;
    }
    out.iter().rev().collect()
}

/// A text from a file in quotes, shortened, with what cannot be seen written as an escape.
pub(crate) fn shown(text: &str) -> String {
    const MOST: usize = 40;
    let mut out: String = text.chars().take(MOST).flat_map(char::escape_debug).collect();
    if text.chars().nth(MOST).is_some() {
        out.push('\u{2026}');
    }
    format!("\"{out}\"")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_as_spreadsheets_count() {
        // By hand: the last columns of one and two letters, and the last of a workbook.
        for (column, expected) in
            [(0, "A"), (25, "Z"), (26, "AA"), (51, "AZ"), (701, "ZZ"), (702, "AAA"), (16_383, "XFD")]
        {
            assert_eq!(letters(column), expected);
        }
    }
}
