//! Rule on numbers that JSON readers do not keep digit by digit.

use super::Case;
use crate::catalogue::record;
use crate::json::node::Node;
use crate::json::{place, pointer};
use crate::problem::Problem;

pub(super) fn judge(case: &mut Case<'_>) {
    // Told by the reader at no cost; the walk over the text is for the rare record that has one.
    if !case.read.long_integers {
        return;
    }
    let mut found = Vec::new();
    gather(&case.read.node, &mut String::new(), &mut found);
    for at in found {
        let Some(written) = place::number(case.text, &at) else {
            continue;
        };
        if let Some(kept) = kept_differently(written) {
            let text = format!(
                "{} is kept as {kept}: numbers are exact up to 9007199254740992 only",
                shorten(written)
            );
            case.found.push(Problem::of(&record::NUMBER_INEXACT, text).at(at));
        }
    }
}

/// The pointers of whole numbers beyond 2^53.
fn gather(node: &Node<'_>, at: &mut String, found: &mut Vec<String>) {
    let length = at.len();
    match node {
        Node::Number(number) => {
            let large = number.as_f64().is_some_and(|value| value.abs() >= 9_007_199_254_740_992.0);
            if large {
                found.push(at.clone());
            }
        }
        Node::Array(nodes) => {
            for (index, node) in nodes.iter().enumerate() {
                pointer::push(at, &index.to_string());
                gather(node, at, found);
                at.truncate(length);
            }
        }
        Node::Object(members) => {
            for (name, node) in members {
                pointer::push(at, name);
                gather(node, at, found);
                at.truncate(length);
            }
        }
        Node::Null | Node::Bool(_) | Node::String(_) => {}
    }
}

/// What becomes of a whole number as a double, when that is another number.
fn kept_differently(written: &str) -> Option<String> {
    let digits = written.strip_prefix('-').unwrap_or(written);
    if !digits.bytes().all(|byte| byte.is_ascii_digit()) {
        return None;
    }
    let kept = format!("{:.0}", written.parse::<f64>().ok()?);
    (kept != written).then(|| shorten(&kept))
}

fn shorten(digits: &str) -> String {
    if digits.len() <= 40 {
        return digits.to_owned();
    }
    let front: String = digits.chars().take(20).collect();
    format!("{front}\u{2026} ({} digits)", digits.trim_start_matches('-').len())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_numbers_that_change_are_told() {
        assert_eq!(kept_differently("9007199254740993").as_deref(), Some("9007199254740992"));
        assert_eq!(kept_differently("9007199254740992"), None);
        assert_eq!(kept_differently("-9007199254740993").as_deref(), Some("-9007199254740992"));
        assert_eq!(kept_differently("1e30"), None);
        assert_eq!(kept_differently("18446744073709551617").as_deref(), Some("18446744073709551616"));
    }
}
