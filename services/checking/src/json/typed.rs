//! From the tree to the record types, without going through text again.
//!
//! The schema has been met by then, so errors here are the checker's own and need no place.

use serde::de::value::{MapAccessDeserializer, MapDeserializer, SeqDeserializer, StrDeserializer};
use serde::de::{Deserializer, Error as _, IntoDeserializer, Visitor};
use serde::forward_to_deserialize_any;
use serde_json::{Error, Number};

use super::node::Node;

/// A double beyond this is no exact whole number.
const EXACT: f64 = 9_007_199_254_740_992.0;

impl<'de> IntoDeserializer<'de, Error> for &'de Node<'de> {
    type Deserializer = Self;

    fn into_deserializer(self) -> Self {
        self
    }
}

impl<'de> Deserializer<'de> for &'de Node<'de> {
    type Error = Error;

    fn deserialize_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Error> {
        match self {
            Node::Null => visitor.visit_unit(),
            Node::Bool(value) => visitor.visit_bool(*value),
            Node::Number(number) => visit_number(number, visitor),
            Node::String(text) => visitor.visit_borrowed_str(text),
            Node::Array(nodes) => visitor.visit_seq(SeqDeserializer::new(nodes.iter())),
            Node::Object(members) => {
                let pairs = members.iter().map(|(name, value)| (&**name, value));
                visitor.visit_map(MapDeserializer::new(pairs))
            }
        }
    }

    fn deserialize_option<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Error> {
        match self {
            Node::Null => visitor.visit_none(),
            _ => visitor.visit_some(self),
        }
    }

    fn deserialize_newtype_struct<V: Visitor<'de>>(
        self,
        _name: &'static str,
        visitor: V,
    ) -> Result<V::Value, Error> {
        visitor.visit_newtype_struct(self)
    }

    fn deserialize_enum<V: Visitor<'de>>(
        self,
        _name: &'static str,
        _variants: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Error> {
        match self {
            Node::String(text) => visitor.visit_enum(StrDeserializer::new(text)),
            Node::Object(members) => {
                let pairs = members.iter().map(|(name, value)| (&**name, value));
                visitor.visit_enum(MapAccessDeserializer::new(MapDeserializer::new(pairs)))
            }
            _ => Err(Error::custom("neither a word nor an object")),
        }
    }

    fn deserialize_ignored_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Error> {
        visitor.visit_unit()
    }

    forward_to_deserialize_any! {
        bool i8 i16 i32 i64 i128 u8 u16 u32 u64 u128 f32 f64 char str string bytes byte_buf unit
        unit_struct seq tuple tuple_struct map struct identifier
    }
}

/// `3.0` is a whole number in JSON Schema, and so it is here.
fn visit_number<'de, V: Visitor<'de>>(number: &Number, visitor: V) -> Result<V::Value, Error> {
    if let Some(whole) = number.as_u64() {
        return visitor.visit_u64(whole);
    }
    if let Some(whole) = number.as_i64() {
        return visitor.visit_i64(whole);
    }
    let double = number.as_f64().unwrap_or_default();
    if double.fract() == 0.0 && double.abs() <= EXACT {
        // Exact by the bound above.
        #[allow(clippy::cast_possible_truncation)]
        return visitor.visit_i64(double as i64);
    }
    visitor.visit_f64(double)
}
