//! Rules on transponder numbers. Whatever was read is accepted: nine- and ten-digit chips and
//! test codes sit in real animals.

use haulout_schemas::records::Body;
use haulout_schemas::records::keeping::{MarkType, Marking, TransponderStandard};
use haulout_schemas::rule::Rule;

use super::Case;
use crate::catalogue::record;
use crate::problem::Problem;
use crate::words::shown;

/// Digits of an ISO 11784 number as printed: 3 of country or maker, 12 national.
const ISO_DIGITS: usize = 15;
/// The largest national number: 38 bits (ISO 11784).
const LARGEST_NATIONAL: u64 = (1 << 38) - 1;
/// The code of the test range (ICAR; ISO 11784).
const TEST_CODE: u64 = 999;

pub(super) fn judge(case: &mut Case<'_>) {
    match &case.record.body {
        Some(Body::Marking(marking)) if marking.mark_type == MarkType::Transponder => {
            let numbers = [
                ("/markNumber", marking.mark_number.as_ref()),
                ("/replacedNumber", marking.replaced_number.as_ref()),
            ];
            for (at, number) in numbers {
                if let Some(number) = number
                    && let Some((rule, text)) = oddity(number.as_str(), Some(marking))
                {
                    case.found.push(Problem::of(rule, text).at(at));
                }
            }
        }
        Some(Body::Release(release)) => carried(case, release.mark_number.as_ref()),
        Some(Body::Sighting(sighting)) => carried(case, sighting.mark_number.as_ref()),
        _ => {}
    }
}

/// A number without a mark type beside it: judged only where it can be nothing but an ISO number.
fn carried(case: &mut Case<'_>, number: Option<&haulout_schemas::text::LocalId>) {
    if let Some(number) = number
        && number.as_str().len() == ISO_DIGITS
        && let Some((rule, text)) = oddity(number.as_str(), None)
    {
        case.found.push(Problem::of(rule, text).at("/markNumber"));
    }
}

fn oddity(number: &str, marking: Option<&Marking>) -> Option<(&'static Rule, String)> {
    // Readers print groups: `985 121004515220`, `985-121-...`.
    let plain: String = number.chars().filter(|c| !matches!(c, ' ' | '-' | '.')).collect();
    let standard = marking.and_then(|marking| marking.transponder_standard);
    if !plain.bytes().all(|byte| byte.is_ascii_digit()) {
        let claims_iso = standard == Some(TransponderStandard::Iso11784);
        return claims_iso.then(|| {
            (
                &record::TRANSPONDER_UNUSUAL,
                format!(
                    "{} is given as an ISO 11784 number but has other characters than digits",
                    shown(number)
                ),
            )
        });
    }
    if plain.len() != ISO_DIGITS {
        return match (plain.len(), standard) {
            (9 | 10, Some(TransponderStandard::Other) | None) => marking.map(|_| {
                (
                    &record::TRANSPONDER_OLDER,
                    format!("{} has {} digits: a chip from before ISO 11784", shown(number), plain.len()),
                )
            }),
            (_, Some(TransponderStandard::Other)) => None,
            (digits, _) => Some((
                &record::TRANSPONDER_UNUSUAL,
                format!("{} has {digits} digits; an ISO 11784 number has {ISO_DIGITS}", shown(number)),
            )),
        };
    }
    if standard == Some(TransponderStandard::Other) {
        return None;
    }
    let (code, national) = plain.split_at(3);
    let code: u64 = code.parse().ok()?;
    let national: u64 = national.parse().ok()?;
    if code == TEST_CODE {
        return Some((
            &record::TRANSPONDER_TEST,
            format!("{} begins with 999, the code for tests", shown(number)),
        ));
    }
    if code == 0 {
        return Some((
            &record::TRANSPONDER_UNUSUAL,
            format!("{} begins with 000, which is no country and no maker", shown(number)),
        ));
    }
    (national > LARGEST_NATIONAL).then(|| {
        (
            &record::TRANSPONDER_UNUSUAL,
            format!(
                "the last 12 digits of {} are above {LARGEST_NATIONAL}, the most that fits a chip",
                shown(number)
            ),
        )
    })
}
