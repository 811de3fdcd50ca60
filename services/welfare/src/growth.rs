//! Growth from repeated measurements, and weight that is lost.

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use statrs::distribution::{ContinuousCDF, StudentsT};

use crate::condition::slips::{FAR, Slip};
use crate::grounds::Grounds;
use crate::mortality::{no_interval, tail};
use crate::refusal::Refusal;
use crate::units::{Interval, Kilograms, LEVEL, Ratio, Share};

/// One weighing.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Weighed {
    /// Day.
    pub on: NaiveDate,
    /// Mass, kilograms.
    pub kilogram: Kilograms,
}

/// Growth of one animal.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Growth {
    /// Specific growth rate from first to last weighing, % a day: 100 (ln M2 - ln M1) / days.
    pub percent_per_day: Ratio,
    /// The rate of the curve through all weighings, % a day, with interval; needs three.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub curve_percent_per_day: Option<Interval<Ratio>>,
    /// Share lost from the heaviest weighing to the last; absent where the last is the heaviest.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lost: Option<Share>,
    /// True where the loss reaches [`FLAGGED`].
    pub flagged: bool,
    /// What the flag rests on.
    pub flag_grounds: Grounds,
    /// Why there is no curve, where there is none.
    pub unknown: Vec<Refusal>,
}

/// Loss from the heaviest weighing that is flagged for the veterinarian (a proposal): 5 %. In the
/// seasonal rest and after laying some loss is usual.
pub const FLAGGED: Share = Share::of(0.05);

/// Growth by the weighings, in any order.
///
/// # Errors
/// Fewer than two days, or two masses of one day.
pub fn growth(weighings: &[Weighed]) -> Result<Growth, Refusal> {
    let mut all = weighings.to_vec();
    all.sort_by_key(|one| one.on);
    let refuse = |code, why: &str, mend: &str| Err(Refusal::new(code, "growth", why, mend));
    let (Some(first), Some(last)) = (all.first(), all.last()) else {
        return refuse("too-few-weighings", "there are no weighings", "weigh twice on two days");
    };
    if first.on == last.on {
        return refuse("too-few-weighings", "all weighings are of one day", "weigh twice on two days");
    }
    if all.iter().zip(all.iter().skip(1)).any(|(one, two)| one.on == two.on) {
        return refuse("weighed-twice", "two masses are of one day", "give the one that counts");
    }
    let days = (last.on - first.on).num_days() as f64;
    let percent = 100.0 * (last.kilogram.kg() / first.kilogram.kg()).ln() / days;
    let heaviest = all.iter().map(|one| one.kilogram.kg()).fold(0.0, f64::max);
    let lost = Share::new((1.0 - last.kilogram.kg() / heaviest).clamp(0.0, 1.0))?;
    let mut unknown = Vec::new();
    let curve = curve(&all, first.on).map_err(|refusal| unknown.push(refusal)).ok();
    Ok(Growth {
        percent_per_day: Ratio::new(percent)?,
        curve_percent_per_day: curve,
        lost: (lost.share() > 0.0).then_some(lost),
        // A hair: 1 - 0.95 is a little less than 0.05 in binary.
        flagged: lost.share() >= FLAGGED.share() - 1e-9,
        flag_grounds: Grounds::proposal("5 % of the heaviest weighing"),
        unknown,
    })
}

/// Days within which no reptile grows a thousandfold (a choice of this programme).
const YEAR: i64 = 366;

/// Weighings that read like grams written as kilograms: another of the same year is about a thousandth of
/// them (threefold either way, [`FAR`]). Named, never mended. Pounds are too near to kilograms to be told so.
#[must_use]
pub fn unit_slips(weighings: &[Weighed]) -> Vec<(Weighed, Slip)> {
    let near = |ratio: f64| (1.0 / FAR.value()..=FAR.value()).contains(&ratio);
    let thousandth = |one: &Weighed, other: &Weighed| {
        (one.on - other.on).num_days().abs() <= YEAR && near(one.kilogram.kg() / 1000.0 / other.kilogram.kg())
    };
    let slipped = weighings.iter().filter(|one| weighings.iter().any(|other| thousandth(one, other)));
    slipped.map(|one| (*one, Slip::GramsAsKilograms)).collect()
}

/// Slope of ln mass on days by least squares, with its interval by Student's t.
fn curve(all: &[Weighed], start: NaiveDate) -> Result<Interval<Ratio>, Refusal> {
    let n = all.len() as f64;
    if all.len() < 3 {
        return Err(Refusal::new(
            "curve-needs-three",
            "growth curve",
            "a curve with an interval needs three weighings",
            "weigh again",
        ));
    }
    let points = || all.iter().map(|one| ((one.on - start).num_days() as f64, one.kilogram.kg().ln()));
    let (mean_x, mean_y) =
        (points().map(|(x, _)| x).sum::<f64>() / n, points().map(|(_, y)| y).sum::<f64>() / n);
    let squares: f64 = points().map(|(x, _)| (x - mean_x).powi(2)).sum();
    let slope = points().map(|(x, y)| (x - mean_x) * (y - mean_y)).sum::<f64>() / squares;
    let left: f64 = points().map(|(x, y)| (y - mean_y - slope * (x - mean_x)).powi(2)).sum();
    let what = "growth curve";
    let student = StudentsT::new(0.0, 1.0, n - 2.0).map_err(|_| no_interval(what))?;
    let half = student.inverse_cdf(1.0 - tail(LEVEL)?) * (left / (n - 2.0) / squares).sqrt();
    let percent = |slope: f64| Ratio::new(100.0 * slope);
    Ok(Interval {
        value: percent(slope)?,
        low: percent(slope - half)?,
        high: percent(slope + half)?,
        level: LEVEL,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn weighed(on: &str, kg: f64) -> Weighed {
        Weighed { on: on.parse().unwrap(), kilogram: Kilograms::new(kg).unwrap() }
    }

    /// By hand: doubled in 100 days is 100 ln 2 / 100 = 0.693147 % a day; three points on the line
    /// have no spread.
    #[test]
    fn doubled_in_a_hundred_days() {
        let told = growth(&[
            weighed("2026-04-11", 2.0),
            weighed("2026-01-01", 1.0),
            weighed("2026-02-20", 2.0_f64.sqrt()),
        ])
        .unwrap();
        assert!((told.percent_per_day.value() - std::f64::consts::LN_2).abs() < 1e-6);
        let curve = told.curve_percent_per_day.unwrap();
        assert!((curve.value.value() - std::f64::consts::LN_2).abs() < 1e-6);
        assert!((curve.high.value() - curve.low.value()).abs() < 1e-6);
        assert!(!told.flagged && told.lost.is_none());
    }

    /// By hand: ln M of 0, 1, 1 at days 0, 10, 20: slope 0.05, residuals -1/6, 1/3, -1/6, squares 1/6,
    /// error sqrt(1/6 / 200) = 0.0288675, t(1, 0.975) = 12.7062: half 0.366796.
    #[test]
    fn the_interval_of_three() {
        let e = std::f64::consts::E;
        let told = growth(&[weighed("2026-01-01", 1.0), weighed("2026-01-11", e), weighed("2026-01-21", e)])
            .unwrap();
        let curve = told.curve_percent_per_day.unwrap();
        assert!((curve.value.value() - 5.0).abs() < 1e-9);
        assert!((curve.high.value() - 5.0 - 36.6796).abs() < 1e-3, "{curve:?}");
    }

    /// 1250 is a thousandfold of 1.2 within days; 60 kg three years after 60 g is growth.
    #[test]
    fn grams_as_kilograms_are_named_and_growth_is_not() {
        let all = [weighed("2026-01-01", 1.2), weighed("2026-01-11", 1250.0), weighed("2026-01-21", 1.3)];
        let slips = unit_slips(&all);
        assert_eq!(slips, vec![(all[1], Slip::GramsAsKilograms)]);
        assert!(unit_slips(&[weighed("2023-01-01", 0.06), weighed("2026-01-11", 60.0)]).is_empty());
        assert!(unit_slips(&all[..1]).is_empty());
    }

    #[test]
    fn loss_is_flagged_from_the_heaviest() {
        let told = |last| {
            growth(&[weighed("2026-01-01", 8.0), weighed("2026-02-01", 10.0), weighed("2026-03-01", last)])
                .unwrap()
        };
        assert!(told(9.5).flagged && !told(9.6).flagged);
        assert!((told(9.0).lost.unwrap().share() - 0.1).abs() < 1e-9);
        let code = |all: &[Weighed]| growth(all).unwrap_err().code;
        assert_eq!(code(&[]), "too-few-weighings");
        assert_eq!(code(&[weighed("2026-01-01", 1.0)]), "too-few-weighings");
        let twice = [weighed("2026-01-01", 1.0), weighed("2026-01-01", 2.0), weighed("2026-01-02", 2.0)];
        assert_eq!(code(&twice), "weighed-twice");
        let two = growth(&[weighed("2026-01-01", 1.0), weighed("2026-01-02", 2.0)]).unwrap();
        assert_eq!(two.unknown[0].code, "curve-needs-three");
    }
}
