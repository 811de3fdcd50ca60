//! RFC 8785 canonical JSON of a record, and the hashes that rest on it.
//!
//! Written over our own tree because it is the dearest step of an accepted line otherwise; the
//! tests compare it with an independent implementation.

use std::cmp::Ordering;
use std::fmt;

use schemars::JsonSchema;
use serde::{Serialize, Serializer};
use sha2::{Digest as _, Sha256};

use super::node::{Member, Node};

/// A SHA-256 digest; shown as 64 lower-case hexadecimal digits.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Digest([u8; 32]);

impl Digest {
    /// The digest of a text.
    #[must_use]
    pub fn of(text: &str) -> Self {
        Self(Sha256::digest(text.as_bytes()).into())
    }

    /// The 32 bytes.
    #[must_use]
    pub const fn as_bytes(&self) -> &[u8; 32] {
        &self.0
    }
}

impl fmt::Display for Digest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&hex::encode(self.0))
    }
}

impl fmt::Debug for Digest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(self, f)
    }
}

impl Serialize for Digest {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl JsonSchema for Digest {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Sha256".into()
    }

    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        schemars::json_schema!({
            "type": "string",
            "pattern": "^[0-9a-f]{64}$",
            "description": "SHA-256, lower-case hexadecimal."
        })
    }
}

/// The canonical text of a tree.
pub(crate) fn text(node: &Node<'_>) -> String {
    let mut writer = Writer::default();
    writer.value(node);
    writer.out
}

/// The canonical text of a record without one top-level member. Two records are *the same* when
/// they agree without `schemaVersion`: a centre may update its software and send again.
pub(crate) fn text_without(node: &Node<'_>, left_out: &str) -> String {
    let mut writer = Writer::default();
    match node {
        Node::Object(members) => {
            writer.members(members.iter().filter(|(name, _)| name != left_out))
        }
        other => writer.value(other),
    }
    writer.out
}

#[derive(Default)]
struct Writer {
    out: String,
    digits: ryu_js::Buffer,
}

impl Writer {
    fn value(&mut self, node: &Node<'_>) {
        match node {
            Node::Null => self.out.push_str("null"),
            Node::Bool(true) => self.out.push_str("true"),
            Node::Bool(false) => self.out.push_str("false"),
            // Every JSON number is printed as the double nearest to it (section 3.2.2.3).
            Node::Number(number) => {
                let double = number.as_f64().unwrap_or_default();
                self.out.push_str(self.digits.format_finite(double));
            }
            Node::String(text) => self.string(text),
            Node::Array(nodes) => {
                self.out.push('[');
                for (index, node) in nodes.iter().enumerate() {
                    if index > 0 {
                        self.out.push(',');
                    }
                    self.value(node);
                }
                self.out.push(']');
            }
            Node::Object(members) => self.members(members.iter()),
        }
    }

    fn members<'n, 't: 'n>(&mut self, members: impl Iterator<Item = &'n Member<'t>>) {
        let mut sorted: Vec<&Member<'t>> = members.collect();
        sorted.sort_unstable_by(|(left, _), (right, _)| by_utf16(left, right));
        self.out.push('{');
        for (index, (name, value)) in sorted.into_iter().enumerate() {
            if index > 0 {
                self.out.push(',');
            }
            self.string(name);
            self.out.push(':');
            self.value(value);
        }
        self.out.push('}');
    }

    fn string(&mut self, text: &str) {
        self.out.push('"');
        let mut plain = 0;
        for (index, byte) in text.bytes().enumerate() {
            if byte >= 0x20 && byte != b'"' && byte != b'\\' {
                continue;
            }
            self.out.push_str(&text[plain..index]);
            plain = index + 1;
            match byte {
                b'"' => self.out.push_str("\\\""),
                b'\\' => self.out.push_str("\\\\"),
                0x08 => self.out.push_str("\\b"),
                0x09 => self.out.push_str("\\t"),
                0x0A => self.out.push_str("\\n"),
                0x0C => self.out.push_str("\\f"),
                0x0D => self.out.push_str("\\r"),
                control => {
                    const HEX: &[u8; 16] = b"0123456789abcdef";
                    self.out.push_str("\\u00");
                    self.out.push(char::from(HEX[usize::from(control >> 4)]));
                    self.out.push(char::from(HEX[usize::from(control & 0xF)]));
                }
            }
        }
        self.out.push_str(&text[plain..]);
        self.out.push('"');
    }
}

/// Names sort by UTF-16 code units (section 3.2.3). Byte order agrees unless a name holds a
/// character from U+E000 on, whose UTF-8 begins with 0xEE or more.
fn by_utf16(left: &str, right: &str) -> Ordering {
    let high = |text: &str| text.bytes().any(|byte| byte >= 0xEE);
    if high(left) || high(right) {
        left.encode_utf16().cmp(right.encode_utf16())
    } else {
        left.cmp(right)
    }
}
