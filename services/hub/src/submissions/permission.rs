//! Whose record it is. What may be written follows from the record, the writer and the region
//! file alone, never from what arrived before.

use haulout_checking::Problem;
use haulout_reckoning::region::{Region, Role};
use haulout_schemas::records::standing::ReadinessEvent;
use haulout_schemas::rule::Rule;
use haulout_schemas::text::PartyId;
use haulout_schemas::{Body, Kind, Record};

use super::refusals;

/// Kinds that concern no stock; whoever was there writes them with itself as `centreID`.
const WITHOUT_STOCK: [Kind; 4] = [Kind::Relocation, Kind::Nest, Kind::Sighting, Kind::Incident];
/// Kinds that either end of a consignment may post against it.
const ON_THE_JOURNEY: [Kind; 5] =
    [Kind::Determination, Kind::Mortality, Kind::Loss, Kind::Clutch, Kind::Settlement];
/// What only an authority may write about another's centre.
const BY_AUTHORITY: [Kind; 4] = [Kind::Licence, Kind::Permit, Kind::Order, Kind::Census];

/// Why the party may not write the record; `None` where it may. Without a region file nothing is
/// known of roles and points, so only author and centre are compared.
pub fn refusal(record: &Record, writer: &PartyId, region: Option<&Region>) -> Option<Problem> {
    let frame = &record.envelope;
    if frame.author_id != *writer {
        return Some(problem(
            &refusals::FOREIGN_AUTHOR,
            "/authorID",
            format!("the token writes for `{writer}`, the record is of `{}`", frame.author_id),
        ));
    }
    let role = match region {
        None => None,
        Some(region) => match region.role(writer) {
            Some(role) => Some(role),
            None => {
                return Some(problem(
                    &refusals::UNKNOWN_PARTY,
                    "/authorID",
                    format!("`{writer}` is no party of the region"),
                ));
            }
        },
    };
    if let Some(point) = &frame.point_id {
        return at_point(record, point, writer, role, region);
    }
    if let Some(role) = role
        && let Some(problem) = of_kind(record, role)
    {
        return Some(problem);
    }
    match &frame.centre_id {
        Some(centre) if *centre == *writer => own_centre(record, writer, role),
        Some(_) if is_its_word(record, role) => None,
        Some(centre) => {
            let message = format!("`{}` about `{centre}` is not `{writer}`'s to write", record.kind());
            Some(problem(&refusals::FOREIGN_PLACE, "/centreID", message))
        }
        None => None,
    }
}

fn problem(rule: &'static Rule, pointer: &str, message: String) -> Problem {
    Problem::of(rule, message).at(pointer)
}

fn at_point(
    record: &Record,
    point: &PartyId,
    writer: &PartyId,
    role: Option<Role>,
    region: Option<&Region>,
) -> Option<Problem> {
    match region.and_then(|region| region.keeper(point)) {
        Some(keeper) if *keeper == *writer || is_its_word(record, role) => None,
        Some(keeper) => {
            let message = format!("`{point}` is kept by `{keeper}`, not by `{writer}`");
            Some(problem(&refusals::NOT_THE_KEEPER, "/pointID", message))
        }
        None => Some(problem(
            &refusals::UNKNOWN_POINT,
            "/pointID",
            format!("`{point}` is no point of the region"),
        )),
    }
}

/// Kinds that are the word of one role.
fn of_kind(record: &Record, role: Role) -> Option<Problem> {
    let kind = record.kind();
    let route =
        matches!(&record.body, Some(Body::Readiness(readiness)) if readiness.event == ReadinessEvent::Route);
    let whose = match (kind, role) {
        (Kind::Link, role) if role != Role::Coordination => "the coordination",
        (Kind::Readiness, role) if route && role != Role::Coordination => "the coordination",
        (kind, Role::Laboratory) if kind != Kind::Result => "other parties: a laboratory writes `result`",
        (_, Role::Partner) => "other parties: a partner writes none",
        _ => return None,
    };
    Some(problem(
        &refusals::NOT_YOUR_KIND,
        "/kind",
        format!("`{kind}`{} is written by {whose}", if route { ", event route," } else { "" }),
    ))
}

fn own_centre(record: &Record, writer: &PartyId, role: Option<Role>) -> Option<Problem> {
    match role {
        None | Some(Role::Centre) => None,
        Some(_) if WITHOUT_STOCK.contains(&record.kind()) || !holds_stock(record.kind()) => None,
        Some(role) => Some(problem(
            &refusals::NOT_A_CENTRE,
            "/centreID",
            format!("`{writer}` is no centre but a party of role {}", role.as_str()),
        )),
    }
}

/// Whether a record of the kind speaks of animals standing at its place.
fn holds_stock(kind: Kind) -> bool {
    !matches!(
        kind,
        Kind::Link
            | Kind::Readiness
            | Kind::Licence
            | Kind::Permit
            | Kind::Order
            | Kind::Result
            | Kind::Settlement
            | Kind::Refusal
    )
}

/// Whether the party may write such a record about a place that is not its own.
fn is_its_word(record: &Record, role: Option<Role>) -> bool {
    let kind = record.kind();
    let of_office = match role {
        Some(Role::Authority) => BY_AUTHORITY.contains(&kind),
        Some(Role::Laboratory) => kind == Kind::Result,
        Some(Role::Coordination) => matches!(kind, Kind::Link | Kind::Readiness),
        _ => false,
    };
    of_office || (ON_THE_JOURNEY.contains(&kind) && on_a_journey(record))
}

fn on_a_journey(record: &Record) -> bool {
    match &record.body {
        Some(Body::Determination(body)) => body.consignment_id.is_some(),
        Some(Body::Mortality(body)) => body.consignment_id.is_some(),
        Some(Body::Loss(body)) => body.consignment_id.is_some(),
        Some(Body::Clutch(body)) => body.consignment_id.is_some(),
        Some(Body::Settlement(_)) => true,
        // Taking such a record back names no journey any more; the author is the same as before.
        None => true,
        Some(_) => false,
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::panic)]
#[path = "permission_tests.rs"]
mod tests;
