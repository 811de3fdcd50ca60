//! Problems grouped for people: exact counts, a few samples.

use std::collections::BTreeMap;

use crate::problem::{Layer, Problem, Severity};

/// Samples kept of each group.
const SAMPLES: usize = 3;
/// Groups kept of each code; problems at further places are counted together. Field names come
/// from the files, so their number must be bounded.
const PLACES: usize = 40;
/// Codes kept: a hub's own included there are far fewer.
const CODES: usize = 400;

/// Problems grouped by severity, code and field.
#[derive(Debug, Default)]
pub struct Summary {
    groups: BTreeMap<(Severity, String), BTreeMap<String, Group>>,
}

/// Problems of one code at one field.
#[derive(Debug)]
pub struct Group {
    /// How many there are.
    pub count: u64,
    /// The step that met them.
    pub layer: Layer,
    /// The first few.
    pub samples: Vec<Problem>,
}

impl Group {
    /// How many are counted but not shown.
    #[must_use]
    pub fn more(&self) -> u64 {
        self.count - self.samples.len() as u64
    }
}

impl Summary {
    /// Takes one problem in.
    pub fn add(&mut self, problem: Problem) {
        let mut key = (problem.severity, problem.code.to_string());
        if self.groups.len() >= CODES && !self.groups.contains_key(&key) {
            key.1 = "other".to_owned();
        }
        let places = self.groups.entry(key).or_default();
        let mut place = problem.pointer.as_deref().map(field).unwrap_or_default();
        if places.len() >= PLACES && !places.contains_key(&place) {
            place = ELSEWHERE.to_owned();
        }
        let group = places.entry(place).or_insert_with(|| Group {
            count: 0,
            layer: problem.layer,
            samples: Vec::new(),
        });
        group.count += 1;
        if group.samples.len() < SAMPLES {
            group.samples.push(problem);
        }
    }

    /// The groups of one severity, most frequent first: code, field, group.
    #[must_use]
    pub fn groups(&self, severity: Severity) -> Vec<(&str, &str, &Group)> {
        let mut groups: Vec<_> = self
            .groups
            .iter()
            .filter(|((of, _), _)| *of == severity)
            .flat_map(|((_, code), places)| {
                places.iter().map(|(place, group)| (code.as_str(), place.as_str(), group))
            })
            .collect();
        groups.sort_by_key(|(_, _, group)| std::cmp::Reverse(group.count));
        groups
    }
}

/// Stands for all fields beyond those kept apart.
pub(super) const ELSEWHERE: &str = "*";

/// The field of a pointer, whatever the place in its lists: `/lines/7/alive` is `/lines/*/alive`.
fn field(pointer: &str) -> String {
    let steps: Vec<&str> = pointer
        .split('/')
        .map(|step| {
            let index = !step.is_empty() && step.bytes().all(|byte| byte.is_ascii_digit());
            if index { "*" } else { step }
        })
        .collect();
    steps.join("/")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::schema;

    fn problem(pointer: String) -> Problem {
        Problem::of(&schema::UNKNOWN_FIELD, "there is no such field").at(pointer)
    }

    #[test]
    fn counts_are_exact_and_memory_is_bounded() {
        let mut summary = Summary::default();
        for number in 0..50_000 {
            summary.add(problem(format!("/lines/{number}/alive")));
            summary.add(problem(format!("/made-up-{number}")));
        }
        let groups = summary.groups(Severity::Error);
        assert_eq!(groups.iter().map(|(_, _, group)| group.count).sum::<u64>(), 100_000);
        assert!(groups.len() <= PLACES + 1);
        assert!(groups.iter().all(|(_, _, group)| group.samples.len() <= SAMPLES));
        let alive = groups.iter().find(|(_, place, _)| *place == "/lines/*/alive").unwrap();
        assert_eq!((alive.2.count, alive.2.more()), (50_000, 49_997));
    }
}
