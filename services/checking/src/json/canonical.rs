//! RFC 8785 canonical JSON of a record, and the hashes that rest on it.
//!
//! Written over our own tree because it is the dearest step of an accepted line otherwise; the
//! tests compare it with an independent implementation.

use std::cmp::Ordering;
use std::fmt;
use std::ops::Range;

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

/// The canonical text of a record, and its digest without one top-level member. Two records are
/// *the same* when they agree without `schemaVersion`: a centre may update its software and send
/// again.
pub(crate) fn record(node: &Node<'_>, left_out: &str) -> (String, Digest) {
    let mut writer = Writer::default();
    let Node::Object(members) = node else {
        writer.value(node);
        let digest = Digest::of(&writer.out);
        return (writer.out, digest);
    };
    let member = writer.members(members, Some(left_out));
    let text = writer.out;
    let digest = match member {
        None => Digest::of(&text),
        Some(member) => {
            // One of the commas beside it goes with it.
            let (front, back) = (&text[..member.start], &text[member.end..]);
            let (front, back) = match back.strip_prefix(',') {
                Some(back) => (front, back),
                None => (front.strip_suffix(',').unwrap_or(front), back),
            };
            Digest(Sha256::new().chain_update(front).chain_update(back).finalize().into())
        }
    };
    (text, digest)
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
            Node::Object(members) => {
                self.members(members, None);
            }
        }
    }

    /// Writes an object and tells where the member of a name stands in the text.
    fn members(&mut self, members: &[Member<'_>], wanted: Option<&str>) -> Option<Range<usize>> {
        let mut sorted: Vec<&Member<'_>> = members.iter().collect();
        sorted.sort_unstable_by(|(left, _), (right, _)| by_utf16(left, right));
        let mut found = None;
        self.out.push('{');
        for (index, (name, value)) in sorted.into_iter().enumerate() {
            if index > 0 {
                self.out.push(',');
            }
            let start = self.out.len();
            self.string(name);
            self.out.push(':');
            self.value(value);
            if wanted == Some(&**name) {
                found = Some(start..self.out.len());
            }
        }
        self.out.push('}');
        found
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

/// Names sort by UTF-16 code units (section 3.2.3). The order of bytes differs from it only
/// between a character of U+E000 to U+FFFF, which begins with the byte 0xEE or 0xEF, and one
/// beyond, which begins with 0xF0 or more: code units put the latter first.
fn by_utf16(left: &str, right: &str) -> Ordering {
    let differing = left.bytes().zip(right.bytes()).find(|(left, right)| left != right);
    match differing {
        None => left.len().cmp(&right.len()),
        Some((0xEE | 0xEF, 0xF0..)) => Ordering::Greater,
        Some((0xF0.., 0xEE | 0xEF)) => Ordering::Less,
        Some((left, right)) => left.cmp(&right),
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use serde_json::{Value, json};

    use super::*;

    fn canonical(text: &str) -> String {
        record(&Node::read(text).ok().unwrap().node, "").0
    }

    /// The examples of RFC 8785 sections 3.2.2 and 3.2.3.
    #[test]
    fn examples_of_the_rfc() {
        let sent = r#"{
            "numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
            "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
            "literals": [null, true, false]
        }"#;
        assert_eq!(
            canonical(sent),
            "{\"literals\":[null,true,false],\"numbers\":[333333333.3333333,1e+30,4.5,0.002,1e-27],\
             \"string\":\"\u{20ac}$\\u000f\\nA'B\\\"\\\\\\\\\\\"/\"}"
        );
        let sent = r#"{"\u20ac":"Euro Sign","\r":"Carriage Return","\ufb33":"Hebrew Letter Dalet With Dagesh",
            "1":"One","\ud83d\ude00":"Emoji: Grinning Face","\u0080":"Control",
            "\u00f6":"Latin Small Letter O With Diaeresis"}"#;
        assert_eq!(
            canonical(sent),
            "{\"\\r\":\"Carriage Return\",\"1\":\"One\",\"\u{80}\":\"Control\",\
             \"\u{f6}\":\"Latin Small Letter O With Diaeresis\",\"\u{20ac}\":\"Euro Sign\",\
             \"\u{1f600}\":\"Emoji: Grinning Face\",\"\u{fb33}\":\"Hebrew Letter Dalet With Dagesh\"}"
        );
    }

    /// The numbers of RFC 8785 appendix B: bits of the double, and how it is printed.
    #[test]
    fn numbers_of_the_rfc() {
        for (bits, printed) in [
            (0x0000_0000_0000_0000_u64, "0"),
            (0x8000_0000_0000_0000, "0"),
            (0x0000_0000_0000_0001, "5e-324"),
            (0x8000_0000_0000_0001, "-5e-324"),
            (0x7fef_ffff_ffff_ffff, "1.7976931348623157e+308"),
            (0xffef_ffff_ffff_ffff, "-1.7976931348623157e+308"),
            (0x4340_0000_0000_0000, "9007199254740992"),
            (0xc340_0000_0000_0000, "-9007199254740992"),
            (0x4430_0000_0000_0000, "295147905179352830000"),
            (0x44b5_2d02_c7e1_4af5, "9.999999999999997e+22"),
            (0x44b5_2d02_c7e1_4af6, "1e+23"),
            (0x44b5_2d02_c7e1_4af7, "1.0000000000000001e+23"),
            (0x444b_1ae4_d6e2_ef4e, "999999999999999700000"),
            (0x444b_1ae4_d6e2_ef4f, "999999999999999900000"),
            (0x444b_1ae4_d6e2_ef50, "1e+21"),
            (0x3eb0_c6f7_a0b5_ed8c, "9.999999999999997e-7"),
            (0x3eb0_c6f7_a0b5_ed8d, "0.000001"),
            (0x41b3_de43_5555_5553, "333333333.3333332"),
            (0x41b3_de43_5555_5554, "333333333.33333325"),
            (0x41b3_de43_5555_5555, "333333333.3333333"),
            (0x41b3_de43_5555_5556, "333333333.3333334"),
            (0x41b3_de43_5555_5557, "333333333.33333343"),
            (0xbecb_f647_612f_3696, "-0.0000033333333333333333"),
            (0x4314_3ff3_c1cb_0959, "1424953923781206.2"),
        ] {
            let double = f64::from_bits(bits);
            assert_eq!(canonical(&format!("{double:?}")), printed, "{bits:016x}");
        }
    }

    #[test]
    fn sameness_leaves_only_the_top_level_version_out() {
        for (sent, text, without) in [
            (
                r#"{"v":"1.0","b":{"v":"1.0"},"a":3.0}"#,
                r#"{"a":3,"b":{"v":"1.0"},"v":"1.0"}"#,
                r#"{"a":3,"b":{"v":"1.0"}}"#,
            ),
            (r#"{"w":1,"v":"1.0"}"#, r#"{"v":"1.0","w":1}"#, r#"{"w":1}"#),
            (r#"{"w":1,"v":[],"a":2}"#, r#"{"a":2,"v":[],"w":1}"#, r#"{"a":2,"w":1}"#),
            (r#"{"v":"1.0"}"#, r#"{"v":"1.0"}"#, "{}"),
            (r#"{"a":1}"#, r#"{"a":1}"#, r#"{"a":1}"#),
            ("[1]", "[1]", "[1]"),
        ] {
            let node = Node::read(sent).ok().unwrap().node;
            assert_eq!(record(&node, "v"), (text.to_owned(), Digest::of(without)));
        }
        let known = "44136fa355b3678a1146ad16f7e8649e94fb4fc21fe77e8310c060f61caaff8a";
        assert_eq!(Digest::of("{}").to_string(), known);
    }

    fn any_json() -> impl Strategy<Value = Value> {
        let leaf = prop_oneof![
            Just(Value::Null),
            any::<bool>().prop_map(Value::from),
            any::<i64>().prop_map(Value::from),
            any::<f64>().prop_map(|double| json!(double)),
            "[^\u{0}]{0,8}".prop_map(Value::from),
        ];
        leaf.prop_recursive(4, 40, 6, |inner| {
            prop_oneof![
                prop::collection::vec(inner.clone(), 0..6).prop_map(Value::from),
                prop::collection::btree_map("[^\u{0}]{0,4}", inner, 0..6)
                    .prop_map(|members| Value::Object(members.into_iter().collect())),
            ]
        })
    }

    proptest! {
        #[test]
        fn agrees_with_an_independent_writer(value in any_json()) {
            let expected = serde_json_canonicalizer::to_string(&value).unwrap();
            let ours = canonical(&value.to_string());
            prop_assert_eq!(&ours, &expected);
            // Canonical text is its own canonical form.
            prop_assert_eq!(canonical(&ours), ours);
        }

        #[test]
        fn names_sort_by_code_units(left in any::<String>(), right in any::<String>()) {
            prop_assert_eq!(by_utf16(&left, &right), left.encode_utf16().cmp(right.encode_utf16()));
        }

        #[test]
        fn doubles_are_read_exactly(bits in any::<u64>()) {
            let double = f64::from_bits(bits);
            prop_assume!(double.is_finite());
            let text = format!("{double:?}");
            let Node::Number(read) = Node::read(&text).ok().unwrap().node else { panic!("a number") };
            prop_assert_eq!(read.as_f64(), Some(double));
        }
    }
}
