//! How values from a file are shown inside messages.

/// The longest piece of a value shown in a message, in characters.
const SHOWN: usize = 60;

/// A text in double quotes, shortened, with everything that could move a cursor, reorder the line
/// or hide itself written as an escape.
pub(crate) fn shown(text: &str) -> String {
    let mut out = String::with_capacity(text.len().min(4 * SHOWN) + 2);
    out.push('"');
    for (count, character) in text.chars().enumerate() {
        if count == SHOWN {
            out.push('\u{2026}');
            break;
        }
        push_visible(&mut out, character);
    }
    out.push('"');
    out
}

/// Appends one character, escaped where it is not plainly visible.
fn push_visible(out: &mut String, character: char) {
    match character {
        '"' => out.push_str("\\\""),
        '\\' => out.push_str("\\\\"),
        '\n' => out.push_str("\\n"),
        '\r' => out.push_str("\\r"),
        '\t' => out.push_str("\\t"),
        c if is_hidden(c) => out.push_str(&format!("\\u{{{:x}}}", u32::from(c))),
        c => out.push(c),
    }
}

/// Control and format characters: C0, C1, zero-width, direction marks, line separators, tags.
/// The list follows Unicode general categories Cc, Cf, Zl and Zp (from memory).
pub(crate) fn is_hidden(c: char) -> bool {
    c.is_control()
        || matches!(u32::from(c),
            0xAD | 0x600..=0x605 | 0x61C | 0x6DD | 0x70F | 0x180E | 0x200B..=0x200F
            | 0x2028..=0x202E | 0x2060..=0x206F | 0xFEFF | 0xFFF9..=0xFFFB
            | 0x1D173..=0x1D17A | 0xE0000..=0xE007F)
}

/// A count in words and digits: `1 line`, `4,112 lines`.
pub(crate) fn counted(count: u64, one: &str, many: &str) -> String {
    format!("{} {}", grouped(count), if count == 1 { one } else { many })
}

/// Digits in groups of three: `4,112`.
pub(crate) fn grouped(count: u64) -> String {
    let digits = count.to_string();
    let mut out = String::with_capacity(digits.len() + digits.len() / 3);
    for (index, digit) in digits.chars().enumerate() {
        if index > 0 && (digits.len() - index).is_multiple_of(3) {
            out.push(',');
        }
        out.push(digit);
    }
    out
}

/// Alternatives for a sentence: `` `a`, `b` or `c` ``, at most `most` of them.
pub(crate) fn alternatives(words: &[&str], most: usize) -> String {
    let quoted: Vec<String> = words.iter().take(most).map(|word| format!("`{word}`")).collect();
    if words.len() > most {
        return format!("{} or one of {} more", quoted.join(", "), words.len() - most);
    }
    match quoted.split_last() {
        None => String::new(),
        Some((only, [])) => only.clone(),
        Some((last, front)) => format!("{} or {last}", front.join(", ")),
    }
}

/// Several at once, for a sentence: `` `a`, `b` and 3 more ``.
pub(crate) fn all_of(words: &[&str], most: usize) -> String {
    let quoted: Vec<String> = words.iter().take(most).map(|word| format!("`{word}`")).collect();
    if words.len() > most {
        return format!("{} and {} more", quoted.join(", "), words.len() - most);
    }
    match quoted.split_last() {
        None => String::new(),
        Some((only, [])) => only.clone(),
        Some((last, front)) => format!("{} and {last}", front.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hides_nothing_and_moves_no_cursor() {
        assert_eq!(shown("a\u{1b}[2J\u{202e}b\u{0}\n"), "\"a\\u{1b}[2J\\u{202e}b\\u{0}\\n\"");
        assert_eq!(shown("Nilssonia gangetica \u{e9}"), "\"Nilssonia gangetica \u{e9}\"");
        assert_eq!(shown(&"x".repeat(5000)).chars().count(), SHOWN + 3);
    }

    #[test]
    fn counts_read_well() {
        assert_eq!(counted(1, "line", "lines"), "1 line");
        assert_eq!(counted(4112, "line", "lines"), "4,112 lines");
        assert_eq!(grouped(0), "0");
        assert_eq!(grouped(1_234_567), "1,234,567");
        assert_eq!(alternatives(&["a", "b", "c"], 5), "`a`, `b` or `c`");
        assert_eq!(alternatives(&["a", "b", "c"], 1), "`a` or one of 2 more");
        assert_eq!(all_of(&["a", "b", "c"], 5), "`a`, `b` and `c`");
        assert_eq!(all_of(&["a", "b", "c"], 2), "`a`, `b` and 1 more");
    }
}
