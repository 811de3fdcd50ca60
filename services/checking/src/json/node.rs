//! JSON read into a tree that borrows from the text and keeps what matters for a record's
//! identity: every member in its order, numbers as written.
//!
//! Reading is I-JSON (RFC 7493): member names once, no NUL, no lone surrogate, numbers within a
//! finite double. Three limits bound what a hostile line can cost.

use std::borrow::Cow;
use std::cell::{Cell, RefCell};
use std::collections::HashSet;
use std::fmt;

use serde::de::{self, DeserializeSeed, Deserializer, MapAccess, SeqAccess, Visitor};
use serde_json::Number;

use super::fault::{Fault, FaultKind};
use super::pointer;

/// Containers nested deeper than this are refused (`too-deep`). Records need about six levels.
pub(crate) const MAX_DEPTH: usize = 64;
/// Values in one record beyond which it is refused (`too-many-values`): bounds the tree of an
/// 8 MiB line to some 6 MB, and the list of its problems likewise.
pub(crate) const MAX_VALUES: usize = 100_000;
/// Up to this many members a linear search for a repeated name is cheaper than hashing.
const LINEAR_NAMES: usize = 24;
/// Room made for the members of an object at once: most objects of a record need no more.
const USUAL_MEMBERS: usize = 12;

/// A member of an object: its name and value.
pub(crate) type Member<'t> = (Cow<'t, str>, Node<'t>);

/// One JSON value.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Node<'t> {
    /// `null`
    Null,
    /// `true` or `false`
    Bool(bool),
    /// A finite number.
    Number(Number),
    /// A text.
    String(Cow<'t, str>),
    /// An array.
    Array(Vec<Node<'t>>),
    /// An object, members in the order of the text, each name once.
    Object(Vec<Member<'t>>),
}

impl<'t> Node<'t> {
    /// Reads one JSON text. On failure: what is wrong and where, as exactly as can be known.
    pub(crate) fn read(text: &'t str) -> Result<Read<'t>, Fault> {
        let state = State::default();
        let mut reader = serde_json::Deserializer::from_str(text);
        let outcome = Build { state: &state, depth: 0 }
            .deserialize(&mut reader)
            .and_then(|node| reader.end().map(|()| node));
        match outcome {
            Ok(node) => Ok(Read { node, long_integers: state.long_integers.get() }),
            Err(error) => Err(state.into_fault(text, &error)),
        }
    }

    /// The member of that name, if this is an object that has it.
    pub(crate) fn get(&self, name: &str) -> Option<&Self> {
        match self {
            Node::Object(members) => {
                members.iter().find(|(member, _)| member == name).map(|(_, value)| value)
            }
            _ => None,
        }
    }

    /// What an RFC 6901 pointer names below this value.
    pub(crate) fn at(&self, at: &str) -> Option<&Self> {
        pointer::steps(at).try_fold(self, |node, step| match node {
            Node::Array(nodes) => nodes.get(step.parse::<usize>().ok()?),
            _ => node.get(&step),
        })
    }

    /// The text, if this is one.
    pub(crate) fn as_str(&self) -> Option<&str> {
        match self {
            Node::String(text) => Some(text),
            _ => None,
        }
    }
}

/// A text read without fault.
pub(crate) struct Read<'t> {
    /// The tree.
    pub(crate) node: Node<'t>,
    /// Whether a number was met that may not survive as a double.
    pub(crate) long_integers: bool,
}

/// What the readers of one text share.
#[derive(Default)]
struct State {
    fault: RefCell<Option<FaultKind>>,
    /// Steps to the fault, innermost first: gathered only while a failure unwinds, so that a good
    /// line pays nothing for it.
    trail: RefCell<Vec<String>>,
    values: Cell<usize>,
    long_integers: Cell<bool>,
}

impl State {
    fn refuse<E: de::Error>(&self, kind: FaultKind) -> E {
        *self.fault.borrow_mut() = Some(kind);
        E::custom("refused")
    }

    fn into_fault(self, text: &str, error: &serde_json::Error) -> Fault {
        let mut at = String::new();
        for step in self.trail.into_inner().iter().rev() {
            pointer::push(&mut at, step);
        }
        Fault::new(self.fault.into_inner(), at, text, error)
    }
}

#[derive(Clone, Copy)]
struct Build<'s> {
    state: &'s State,
    depth: usize,
}

impl<'s> Build<'s> {
    fn deeper<E: de::Error>(self) -> Result<Self, E> {
        if self.depth >= MAX_DEPTH {
            return Err(self.state.refuse(FaultKind::TooDeep));
        }
        Ok(Self { state: self.state, depth: self.depth + 1 })
    }

    fn count<E: de::Error>(&self) -> Result<(), E> {
        let seen = self.state.values.get() + 1;
        self.state.values.set(seen);
        if seen > MAX_VALUES {
            return Err(self.state.refuse(FaultKind::TooManyValues));
        }
        Ok(())
    }

    fn unwinding(&self, step: impl FnOnce() -> String) {
        self.state.trail.borrow_mut().push(step());
    }
}

impl<'de> DeserializeSeed<'de> for Build<'_> {
    type Value = Node<'de>;

    fn deserialize<D: Deserializer<'de>>(self, reader: D) -> Result<Node<'de>, D::Error> {
        self.count()?;
        reader.deserialize_any(self)
    }
}

/// 2^53: whole numbers up to it are exact as doubles.
const EXACT: u64 = 1 << 53;

impl<'de> Visitor<'de> for Build<'_> {
    type Value = Node<'de>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a JSON value")
    }

    fn visit_unit<E>(self) -> Result<Node<'de>, E> {
        Ok(Node::Null)
    }

    fn visit_bool<E>(self, value: bool) -> Result<Node<'de>, E> {
        Ok(Node::Bool(value))
    }

    fn visit_u64<E>(self, value: u64) -> Result<Node<'de>, E> {
        if value > EXACT {
            self.state.long_integers.set(true);
        }
        Ok(Node::Number(value.into()))
    }

    fn visit_i64<E>(self, value: i64) -> Result<Node<'de>, E> {
        if value.unsigned_abs() > EXACT {
            self.state.long_integers.set(true);
        }
        Ok(Node::Number(value.into()))
    }

    fn visit_f64<E: de::Error>(self, value: f64) -> Result<Node<'de>, E> {
        if value.abs() > EXACT as f64 {
            self.state.long_integers.set(true);
        }
        match Number::from_f64(value) {
            Some(number) => Ok(Node::Number(number)),
            None => Err(self.state.refuse(FaultKind::NumberOutOfRange)),
        }
    }

    fn visit_borrowed_str<E>(self, text: &'de str) -> Result<Node<'de>, E> {
        Ok(Node::String(Cow::Borrowed(text)))
    }

    // Only a text with an escape is handed over unborrowed, and only an escape can spell NUL.
    fn visit_str<E: de::Error>(self, text: &str) -> Result<Node<'de>, E> {
        if text.contains('\0') {
            return Err(self.state.refuse(FaultKind::Nul));
        }
        Ok(Node::String(Cow::Owned(text.to_owned())))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> Result<Node<'de>, A::Error> {
        let inner = self.deeper()?;
        let mut nodes = Vec::new();
        loop {
            match items.next_element_seed(inner) {
                Ok(Some(node)) => nodes.push(node),
                Ok(None) => return Ok(Node::Array(nodes)),
                Err(error) => {
                    self.unwinding(|| nodes.len().to_string());
                    return Err(error);
                }
            }
        }
    }

    fn visit_map<A: MapAccess<'de>>(self, mut entries: A) -> Result<Node<'de>, A::Error> {
        let inner = self.deeper()?;
        let mut members: Vec<Member<'de>> = Vec::with_capacity(USUAL_MEMBERS);
        let mut names = Names::default();
        while let Some(name) = entries.next_key_seed(Name(self.state))? {
            if names.repeats(&members, &name) {
                let error = self.state.refuse(FaultKind::DuplicateName(name.to_string()));
                self.unwinding(|| name.into_owned());
                return Err(error);
            }
            match entries.next_value_seed(inner) {
                Ok(value) => {
                    names.keep(&members, &name);
                    members.push((name, value));
                }
                Err(error) => {
                    self.unwinding(|| name.into_owned());
                    return Err(error);
                }
            }
        }
        Ok(Node::Object(members))
    }
}

/// Names seen in one object; hashed only once there are many.
#[derive(Default)]
struct Names(Option<HashSet<String>>);

impl Names {
    fn repeats(&self, members: &[Member<'_>], name: &str) -> bool {
        match &self.0 {
            Some(seen) => seen.contains(name),
            None => members.iter().any(|(member, _)| member == name),
        }
    }

    fn keep(&mut self, members: &[Member<'_>], name: &str) {
        if let Some(seen) = &mut self.0 {
            seen.insert(name.to_owned());
        } else if members.len() >= LINEAR_NAMES {
            let mut seen: HashSet<String> = members.iter().map(|(member, _)| member.to_string()).collect();
            seen.insert(name.to_owned());
            self.0 = Some(seen);
        }
    }
}

struct Name<'s>(&'s State);

impl<'de> DeserializeSeed<'de> for Name<'_> {
    type Value = Cow<'de, str>;

    fn deserialize<D: Deserializer<'de>>(self, reader: D) -> Result<Cow<'de, str>, D::Error> {
        reader.deserialize_str(self)
    }
}

impl<'de> Visitor<'de> for Name<'_> {
    type Value = Cow<'de, str>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a member name")
    }

    fn visit_borrowed_str<E>(self, name: &'de str) -> Result<Cow<'de, str>, E> {
        Ok(Cow::Borrowed(name))
    }

    fn visit_str<E: de::Error>(self, name: &str) -> Result<Cow<'de, str>, E> {
        if name.contains('\0') {
            return Err(self.0.refuse(FaultKind::Nul));
        }
        Ok(Cow::Owned(name.to_owned()))
    }
}
