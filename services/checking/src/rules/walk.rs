//! Rules on parts that may stand anywhere in a record: one walk past every field outside
//! `extensions`.

use std::borrow::Cow;

use super::Case;
use crate::catalogue::record;
use crate::json::node::{Member, Node};
use crate::json::pointer;
use crate::problem::Problem;
use crate::words::is_hidden;
use haulout_schemas::names::Names;

use super::names;

/// A step on the way to a value; made into a pointer only when something is found.
enum Step<'c> {
    Name(&'c str),
    Index(usize),
}

struct Walk<'c> {
    names: Option<&'c Names>,
    steps: Vec<Step<'c>>,
    found: Vec<Problem>,
}

pub(super) fn judge(case: &mut Case<'_>) {
    let mut walk = Walk { names: case.settings.names.as_deref(), steps: Vec::new(), found: Vec::new() };
    walk.value(&case.read.node);
    case.found.append(&mut walk.found);
}

impl<'c> Walk<'c> {
    fn value(&mut self, node: &'c Node<'c>) {
        match node {
            Node::String(text) => self.text(text),
            Node::Array(nodes) => {
                for (index, node) in nodes.iter().enumerate() {
                    self.steps.push(Step::Index(index));
                    self.value(node);
                    self.steps.pop();
                }
            }
            Node::Object(members) => {
                let numbers = Numbers::of(members);
                self.estimate(&numbers);
                self.position(&numbers);
                for (name, node) in members {
                    if self.steps.is_empty() && name == "extensions" {
                        continue;
                    }
                    self.steps.push(Step::Name(name));
                    self.value(node);
                    self.steps.pop();
                }
            }
            Node::Null | Node::Bool(_) | Node::Number(_) => {}
        }
    }

    fn at(&self, below: Option<&str>) -> String {
        let mut at = String::new();
        let here = self.steps.iter().map(|step| match step {
            Step::Name(name) => Cow::Borrowed(*name),
            Step::Index(index) => Cow::Owned(index.to_string()),
        });
        for step in here.chain(below.map(Cow::Borrowed)) {
            pointer::push(&mut at, &step);
        }
        at
    }

    /// Whether the text here is a scientific name, by its field.
    fn is_name(&self) -> bool {
        let field = self.steps.iter().rev().find_map(|step| match step {
            Step::Name(name) => Some(*name),
            Step::Index(_) => None,
        });
        field.is_some_and(|field| names::FIELDS.contains(&field))
    }

    fn tell(&mut self, problem: Problem, below: Option<&str>) {
        let at = self.at(below);
        self.found.push(problem.at(at));
    }

    fn text(&mut self, text: &str) {
        if let Some(names) = self.names
            && self.is_name()
            && let Some(problem) = names::oddity(names, text)
        {
            self.tell(problem, None);
        }
        // Nearly all texts are plain ASCII; only the others are looked at character by character.
        // Every byte is asked, without a branch, so that several are looked at together.
        let plain = text.bytes().fold(true, |plain, byte| {
            plain & ((0x20..0x7F).contains(&byte) | (byte == b'\n') | (byte == b'\t'))
        });
        if plain {
            return;
        }
        if let Some(hidden) = text.chars().find(|c| is_hidden(*c) && !matches!(c, '\n' | '\r' | '\t')) {
            let said = format!("the text holds the invisible character U+{:04X}", u32::from(hidden));
            self.tell(Problem::of(&record::HIDDEN_CHARACTER, said), None);
        }
    }

    fn estimate(&mut self, numbers: &Numbers) {
        let Numbers { low, high, .. } = *numbers;
        if let (Some(low), Some(high)) = (low, high)
            && low > high
        {
            self.tell(
                Problem::of(&record::ESTIMATE_REVERSED, format!("`low` {low} is above `high` {high}")),
                Some("low"),
            );
            return;
        }
        for (name, value) in [("value", numbers.value), ("individualCount", numbers.individual_count)] {
            let Some(value) = value else {
                continue;
            };
            if low.is_some_and(|low| value < low) || high.is_some_and(|high| value > high) {
                let said = format!("`{name}` {value} lies outside its own `low` and `high`");
                self.tell(Problem::of(&record::ESTIMATE_OUTSIDE, said), Some(name));
            }
        }
    }

    fn position(&mut self, numbers: &Numbers) {
        match (numbers.latitude, numbers.longitude) {
            (Some(latitude), Some(longitude)) if latitude == 0.0 && longitude == 0.0 => {
                let said = "the position is 0, 0, in the sea off West Africa";
                self.tell(Problem::of(&record::POSITION_ZERO, said), Some("decimalLatitude"));
            }
            (Some(_), None) => {
                let said = "there is a latitude without a longitude";
                self.tell(Problem::of(&record::POSITION_HALF, said), Some("decimalLatitude"));
            }
            (None, Some(_)) => {
                let said = "there is a longitude without a latitude";
                self.tell(Problem::of(&record::POSITION_HALF, said), Some("decimalLongitude"));
            }
            _ => {}
        }
    }
}

/// The numbers of one object that rules compare, gathered in one pass.
#[derive(Default)]
struct Numbers {
    low: Option<f64>,
    high: Option<f64>,
    value: Option<f64>,
    individual_count: Option<f64>,
    latitude: Option<f64>,
    longitude: Option<f64>,
}

impl Numbers {
    fn of(members: &[Member<'_>]) -> Self {
        let mut numbers = Self::default();
        for (name, node) in members {
            let Node::Number(number) = node else { continue };
            let place = match &**name {
                "low" => &mut numbers.low,
                "high" => &mut numbers.high,
                "value" => &mut numbers.value,
                "individualCount" => &mut numbers.individual_count,
                "decimalLatitude" => &mut numbers.latitude,
                "decimalLongitude" => &mut numbers.longitude,
                _ => continue,
            };
            *place = number.as_f64();
        }
        numbers
    }
}
