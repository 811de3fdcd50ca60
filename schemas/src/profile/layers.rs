//! Layering: how defaults, species and local overrides are laid on each other.

use serde_json::{Map, Value};

/// Lays a JSON merge patch (RFC 7396) on a value: members are merged, `null`
/// takes a member away, anything else replaces.
///
/// One thing is stricter than the RFC: a [`Sourced`](super::Sourced) value is
/// one unit and is replaced whole. Merged member by member, a local figure
/// would keep the source of the figure it replaced.
pub fn merge_patch(target: &mut Value, patch: &Value) {
    let Value::Object(members) = patch else {
        *target = patch.clone();
        return;
    };
    if is_sourced(members) || target.as_object().is_some_and(is_sourced) {
        *target = patch.clone();
        return;
    }
    if !target.is_object() {
        *target = Value::Object(Map::new());
    }
    let Value::Object(into) = target else { return };
    for (name, value) in members {
        if value.is_null() {
            into.remove(name);
        } else {
            merge_patch(into.entry(name.clone()).or_insert(Value::Null), value);
        }
    }
}

fn is_sourced(members: &Map<String, Value>) -> bool {
    members.contains_key("value") && members.contains_key("source")
}
