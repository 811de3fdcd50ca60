//! Lets the JSON Schema validator read our tree directly, without a copy.

use std::borrow::Cow;

use jsonschema::JsonType;
use jsonschema::json::{Array, Json, NodeIdentity, Object};
use serde_json::{Map, Number, Value};

use super::node::{Member, Node};

/// The representation: see the `Json` trait of the validator.
pub(crate) struct Tree;

impl Json for Tree {
    type Node<'a> = &'a Node<'a>;
    type PreparedKey = String;
    type StringBuffer = ();

    /// Looking a name up walks the members anyway, so one pass over them replaces many look-ups.
    const KEYS_PER_LOOKUP: usize = 8;
    const ACYCLIC: bool = true;

    fn prepare_key(key: &str) -> String {
        key.to_owned()
    }

    fn with_string_node<T>((): &mut (), string: &str, f: impl FnOnce(Self::Node<'_>) -> T) -> T {
        f(&Node::String(Cow::Borrowed(string)))
    }
}

impl<'a> jsonschema::json::Node<'a, Tree> for &'a Node<'a> {
    type Object = &'a [Member<'a>];
    type Array = &'a [Node<'a>];
    type Number = &'a Number;

    fn as_object(&self) -> Option<&'a [Member<'a>]> {
        match *self {
            Node::Object(members) => Some(members),
            _ => None,
        }
    }

    fn as_array(&self) -> Option<&'a [Node<'a>]> {
        match *self {
            Node::Array(nodes) => Some(nodes),
            _ => None,
        }
    }

    fn as_string(&self) -> Option<Cow<'a, str>> {
        match *self {
            Node::String(text) => Some(Cow::Borrowed(text)),
            _ => None,
        }
    }

    fn as_number(&self) -> Option<&'a Number> {
        match *self {
            Node::Number(number) => Some(number),
            _ => None,
        }
    }

    fn as_boolean(&self) -> Option<bool> {
        match *self {
            Node::Bool(value) => Some(*value),
            _ => None,
        }
    }

    fn is_null(&self) -> bool {
        matches!(*self, Node::Null)
    }

    fn json_type(&self) -> JsonType {
        match *self {
            Node::Null => JsonType::Null,
            Node::Bool(_) => JsonType::Boolean,
            Node::Number(_) => JsonType::Number,
            Node::String(_) => JsonType::String,
            Node::Array(_) => JsonType::Array,
            Node::Object(_) => JsonType::Object,
        }
    }

    fn equals_value(&self, expected: &Value) -> bool {
        match (*self, expected) {
            (Node::String(text), Value::String(wanted)) => text == wanted,
            (Node::Bool(value), Value::Bool(wanted)) => value == wanted,
            (Node::Null, Value::Null) => true,
            (Node::Number(_) | Node::Array(_) | Node::Object(_), _) => {
                jsonschema::json::cmp::equal(&to_value(self), expected)
            }
            _ => false,
        }
    }

    fn to_value(&self) -> Cow<'a, Value> {
        Cow::Owned(to_value(self))
    }

    fn identity(&self) -> Option<NodeIdentity> {
        Some(NodeIdentity::new(std::ptr::from_ref::<Node<'a>>(self) as usize))
    }
}

/// A copy in the common representation; for cold paths.
pub(crate) fn to_value(node: &Node<'_>) -> Value {
    match node {
        Node::Null => Value::Null,
        Node::Bool(value) => Value::Bool(*value),
        Node::Number(number) => Value::Number(number.clone()),
        Node::String(text) => Value::String(text.to_string()),
        Node::Array(nodes) => Value::Array(nodes.iter().map(to_value).collect()),
        Node::Object(members) => Value::Object(
            members.iter().map(|(name, value)| (name.to_string(), to_value(value))).collect::<Map<_, _>>(),
        ),
    }
}

/// Members in the order of the text.
pub(crate) struct Members<'a>(std::slice::Iter<'a, Member<'a>>);

impl<'a> Iterator for Members<'a> {
    type Item = (&'a str, &'a Node<'a>);

    fn next(&mut self) -> Option<Self::Item> {
        self.0.next().map(|(name, value)| (&**name, value))
    }
}

impl<'a> Object<'a, Tree> for &'a [Member<'a>] {
    type Node = &'a Node<'a>;
    type MemberName = &'a str;
    type MembersIter = Members<'a>;

    fn len(&self) -> usize {
        <[Member<'a>]>::len(self)
    }

    fn get(&self, key: &String) -> Option<&'a Node<'a>> {
        self.iter().find(|(name, _)| name == key).map(|(_, value)| value)
    }

    fn members(&self) -> Members<'a> {
        Members(self.iter())
    }
}

impl<'a> Array<'a, Tree> for &'a [Node<'a>] {
    type Node = &'a Node<'a>;
    type ElementsIter = std::slice::Iter<'a, Node<'a>>;

    fn len(&self) -> usize {
        <[Node<'a>]>::len(self)
    }

    fn elements(&self) -> std::slice::Iter<'a, Node<'a>> {
        self.iter()
    }
}
