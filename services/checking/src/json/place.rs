//! Finds a field in the text of a record. Runs only for lines that have a problem, so it may walk
//! the text once per problem.

use super::pointer;

/// Bytes of text walked to find the places of one record's problems. Ordinary records stay far
/// below it; in one of many megabytes the later problems go without a column.
const WALKED: usize = 32 << 20;

/// Finds many places in one text, within a bound on the work.
pub(crate) struct Finder<'t> {
    text: &'t str,
    left: usize,
}

impl<'t> Finder<'t> {
    /// A finder for the problems of one record.
    pub(crate) fn new(text: &'t str) -> Self {
        Self { text, left: WALKED }
    }

    /// Byte offset of the value that a pointer names.
    pub(crate) fn value(&mut self, at: &str) -> Option<usize> {
        self.left = self.left.checked_sub(self.text.len())?;
        value(self.text, at)
    }

    /// Byte offset of the member name that a pointer ends in; for an array element its value.
    pub(crate) fn name(&mut self, at: &str) -> Option<usize> {
        self.left = self.left.checked_sub(self.text.len())?;
        walk(self.text, at).map(|found| found.name.unwrap_or(found.value))
    }
}

/// Byte offset of the value a pointer names.
pub(crate) fn value(text: &str, at: &str) -> Option<usize> {
    walk(text, at).map(|found| found.value)
}

/// Byte offset of the second member of the name a pointer ends in. The text may be broken behind
/// it.
pub(crate) fn repeated_name(text: &str, at: &str) -> Option<usize> {
    let (object, wanted) = pointer::split_last(at)?;
    let mut scan = Scan::new(text, value(text, object)?);
    let mut seen = false;
    let mut found = None;
    scan.members(|scan, offset, raw| {
        if same_name(raw, &wanted) {
            if seen {
                found = Some(offset);
                return Some(true);
            }
            seen = true;
        }
        scan.skip_value()?;
        Some(false)
    });
    found
}

/// The raw text of the number a pointer names.
pub(crate) fn number<'t>(text: &'t str, at: &str) -> Option<&'t str> {
    let from = value(text, at)?;
    let mut scan = Scan::new(text, from);
    scan.skip_value()?;
    text.get(from..scan.at)
}

struct Found {
    name: Option<usize>,
    value: usize,
}

fn walk(text: &str, at: &str) -> Option<Found> {
    let mut scan = Scan::new(text, 0);
    scan.space();
    let mut found = Found { name: None, value: scan.at };
    for step in pointer::steps(at) {
        let mut scan = Scan::new(text, found.value);
        found = match scan.peek()? {
            b'{' => {
                let mut hit = None;
                scan.members(|scan, offset, raw| {
                    if same_name(raw, &step) {
                        hit = Some(Found { name: Some(offset), value: scan.at });
                        return Some(true);
                    }
                    scan.skip_value()?;
                    Some(false)
                });
                hit?
            }
            b'[' => {
                let wanted: usize = step.parse().ok()?;
                Found { name: None, value: scan.element(wanted)? }
            }
            _ => return None,
        };
    }
    Some(found)
}

/// Whether a raw name (between its quotes, escapes and all) spells the wanted one.
fn same_name(raw: &str, wanted: &str) -> bool {
    if !raw.contains('\\') {
        return raw == wanted;
    }
    serde_json::from_str::<String>(&format!("\"{raw}\"")).is_ok_and(|name| name == wanted)
}

/// A cursor over JSON text. Every step answers none rather than guess when the text is broken.
struct Scan<'t> {
    text: &'t str,
    bytes: &'t [u8],
    at: usize,
}

impl<'t> Scan<'t> {
    fn new(text: &'t str, at: usize) -> Self {
        Self { text, bytes: text.as_bytes(), at }
    }

    fn peek(&self) -> Option<u8> {
        self.bytes.get(self.at).copied()
    }

    fn space(&mut self) {
        while matches!(self.peek(), Some(b' ' | b'\t' | b'\n' | b'\r')) {
            self.at += 1;
        }
    }

    fn expect(&mut self, byte: u8) -> Option<()> {
        (self.peek()? == byte).then(|| self.at += 1)
    }

    /// Walks the members of the object that starts here. The visitor stands at the value, gets the
    /// offset of the name and the raw name; it skips the value itself, and ends the walk by `true`.
    fn members(&mut self, mut visit: impl FnMut(&mut Self, usize, &'t str) -> Option<bool>) -> Option<()> {
        self.expect(b'{')?;
        loop {
            self.space();
            let offset = self.at;
            self.skip_string()?;
            let raw = self.text.get(offset + 1..self.at - 1)?;
            self.space();
            self.expect(b':')?;
            self.space();
            if visit(self, offset, raw)? {
                return Some(());
            }
            self.space();
            self.expect(b',')?;
        }
    }

    fn element(&mut self, wanted: usize) -> Option<usize> {
        self.expect(b'[')?;
        self.space();
        for _ in 0..wanted {
            self.skip_value()?;
            self.space();
            self.expect(b',')?;
            self.space();
        }
        Some(self.at)
    }

    fn skip_string(&mut self) -> Option<()> {
        self.expect(b'"')?;
        loop {
            match self.peek()? {
                b'"' => {
                    self.at += 1;
                    return Some(());
                }
                b'\\' => self.at += 2,
                _ => self.at += 1,
            }
        }
    }

    fn skip_value(&mut self) -> Option<()> {
        let mut open = 0_usize;
        loop {
            match self.peek()? {
                b'"' => self.skip_string()?,
                b'{' | b'[' => {
                    open += 1;
                    self.at += 1;
                    continue;
                }
                b'}' | b']' => {
                    open = open.checked_sub(1)?;
                    self.at += 1;
                }
                b',' | b':' | b' ' | b'\t' | b'\n' | b'\r' if open > 0 => {
                    self.at += 1;
                    continue;
                }
                _ => {
                    let from = self.at;
                    while self.peek().is_some_and(|byte| !b",]} \t\r\n".contains(&byte)) {
                        self.at += 1;
                    }
                    if self.at == from {
                        return None;
                    }
                }
            }
            if open == 0 {
                return Some(());
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = r#" {"a" : 1, "b":[ {"c\u0064":"x\"}]"} , -2.5e1],"a~/b":{"":null},"a":3}"#;

    #[test]
    fn finds_values_and_names() {
        let at = |offset: usize| TEXT.get(offset..).unwrap_or_default();
        assert!(at(value(TEXT, "").unwrap()).starts_with("{\"a\""));
        assert!(at(value(TEXT, "/a").unwrap()).starts_with("1,"));
        assert!(at(value(TEXT, "/b/0/cd").unwrap()).starts_with("\"x"));
        assert!(at(Finder::new(TEXT).name("/b/0/cd").unwrap()).starts_with("\"c\\u"));
        assert_eq!(number(TEXT, "/b/1"), Some("-2.5e1"));
        assert!(at(value(TEXT, "/a~0~1b/").unwrap()).starts_with("null"));
        assert!(at(repeated_name(TEXT, "/a").unwrap()).starts_with("\"a\":3"));
        for absent in ["/z", "/b/7", "/b/x", "/a/b", "/b/0/cd/e"] {
            assert_eq!(value(TEXT, absent), None, "{absent}");
        }
        assert_eq!(repeated_name(TEXT, "/b"), None);
    }

    #[test]
    fn broken_text_is_answered_with_nothing() {
        for cut in 0..TEXT.len() {
            let part = &TEXT[..cut];
            for pointer in ["", "/a", "/b/0/cd", "/b/1", "/a~0~1b/"] {
                let _ = (value(part, pointer), repeated_name(part, pointer));
            }
            assert_eq!(repeated_name(part, "/b"), None);
        }
    }
}
