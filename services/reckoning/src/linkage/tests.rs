//! Comparison and weights, against published values and by hand.

#![allow(clippy::unwrap_used, clippy::float_cmp)]

use super::*;
use std::collections::BTreeMap;

/// Published values of the reference list of string similarities (three digits given there).
#[test]
fn texts_as_published() {
    for (one, other, expected) in [
        ("dixon", "dicksonx", 0.813),
        ("martha", "marhta", 0.961),
        ("dwayne", "duane", 0.84),
        ("William", "Williams", 0.975),
        ("", "foo", 0.0),
    ] {
        assert!((text(one, other) - expected).abs() < 0.0006, "{one} {other}: {}", text(one, other));
    }
}

#[test]
fn numbers_and_days_fall_in_a_straight_line() {
    // Equal within the offset; a half at the scale; nothing at twice the scale.
    assert_eq!(numeric(3.4, 3.4, 0.0, 0.5), 1.0);
    assert_eq!(numeric(2.0, 2.5, 0.0, 0.5), 0.5);
    assert_eq!(numeric(2.0, 3.0, 0.5, 0.5), 0.5);
    assert_eq!(numeric(2.0, 9.0, 0.0, 0.5), 0.0);
    let day = |text: &str| text.parse().unwrap();
    assert_eq!(days(day("2026-07-01"), day("2026-07-08"), 0.0, 7.0), 0.5);
}

/// One degree of latitude at the equator is 110.574 km on WGS 84.
#[test]
fn kilometres_on_the_ellipsoid() {
    assert!((kilometres((0.0, 78.0), (1.0, 78.0)) - 110.574).abs() < 0.001);
}

#[test]
fn weights_in_bits() {
    // log2(0.8 / 0.1) = 3; log2(0.2 / 0.9) = -2.1699.
    let field = Agreement { m: 0.8, u: 0.1 };
    assert_eq!(field.weight(Some(true)), 3.0);
    assert!((field.weight(Some(false)) + 2.1699).abs() < 0.0001);
    assert_eq!(field.weight(None), 0.0);
}

/// A mixture made by hand: 100 of 1,000 pairs are the same, three fields agree with m 0.9, 0.8, 0.7 and
/// u 0.1, 0.2, 0.3. The counts are the exact expectations of 1,000,000 pairs, so the figures come back.
#[test]
fn a_known_mixture_comes_back() {
    let (m, u, share) = ([0.9, 0.8, 0.7], [0.1, 0.2, 0.3], 0.1);
    let mut patterns = BTreeMap::new();
    for bits in 0..8_u32 {
        let pattern: Vec<bool> = (0..3).map(|at| bits >> at & 1 == 1).collect();
        let of = |given: &[f64; 3]| -> f64 {
            pattern.iter().zip(given).map(|(agrees, p)| if *agrees { *p } else { 1.0 - p }).product()
        };
        let expected = 1_000_000.0 * (share * of(&m) + (1.0 - share) * of(&u));
        patterns.insert(pattern, expected.round() as u64);
    }
    let found = estimate(&patterns, 1e-13, 100_000).unwrap();
    assert!(found.settled);
    assert!((found.share - share).abs() < 1e-3, "{found:?}");
    for ((field, m), u) in found.fields.iter().zip(m).zip(u) {
        assert!((field.m - m).abs() < 2e-3 && (field.u - u).abs() < 2e-3, "{found:?}");
    }
}

#[test]
fn nothing_to_estimate_from() {
    assert!(estimate(&BTreeMap::new(), 1e-9, 10).is_none());
    let uneven = BTreeMap::from([(vec![true], 1), (vec![true, false], 1)]);
    assert!(estimate(&uneven, 1e-9, 10).is_none());
}
