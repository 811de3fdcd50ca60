//! The relation of mass to length: least squares on the logarithms, and the same robust to outliers.

use serde::{Deserialize, Serialize};
use statrs::distribution::{ContinuousCDF, StudentsT};

use crate::mortality::{no_interval, tail};
use crate::refusal::Refusal;
use crate::units::{Interval, Kilograms, Metres, Ratio, Share};

/// An animal's mass and length.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Measured {
    /// Mass.
    #[serde(rename = "massKilogram")]
    pub mass: Kilograms,
    /// Length, of the same measure throughout a reference.
    #[serde(rename = "lengthMetre")]
    pub length: Metres,
}

/// Fewest animals of a fit (a proposal: below it the interval says nothing).
pub const FEWEST: usize = 5;

/// A relation ln M = ln a + b ln L, M in kilograms and L in metres.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Fit {
    /// Animals it rests on.
    pub n: usize,
    /// Shortest length of them.
    pub shortest: Metres,
    /// Longest length of them.
    pub longest: Metres,
    /// Arithmetic mean of their lengths: the standard length of the scaled mass index.
    pub mean_length: Metres,
    /// ln a, with interval.
    pub intercept: Interval<Ratio>,
    /// b, with interval.
    pub slope: Interval<Ratio>,
    /// Standard error of b.
    pub slope_error: Ratio,
    /// Standard error of ln a.
    pub intercept_error: Ratio,
    /// Correlation of the logarithms.
    pub correlation: Ratio,
    /// Slope of the standardised major axis, b / r.
    pub sma_slope: Ratio,
    /// Standard deviation of the residuals, of ln M.
    pub residual: Ratio,
    /// Animals that the robust refit gave less than full weight; 0 for plain least squares.
    pub outliers: usize,
    mean_ln_length: f64,
    squares: f64,
    quantile: f64,
}

impl Fit {
    /// That a length lies within those of the reference.
    ///
    /// # Errors
    /// A refusal that names the range: a relation is never drawn out beyond its animals.
    pub fn within(&self, length: Metres) -> Result<(), Refusal> {
        // A hair for lengths that were converted to and fro.
        let hair = 1e-9;
        if length.m() >= self.shortest.m() - hair && length.m() <= self.longest.m() + hair {
            return Ok(());
        }
        Err(Refusal::new(
            "beyond-reference",
            format!("length {:.3} m", length.m()),
            format!(
                "the reference of {} animals runs from {:.3} to {:.3} m and is not drawn out beyond",
                self.n,
                self.shortest.m(),
                self.longest.m()
            ),
            "judge by eye and hand, and post the measures: they widen the reference",
        ))
    }

    /// Mass expected at a length, with the interval in which a further animal is expected.
    ///
    /// # Errors
    /// As [`Fit::within`].
    pub fn expected(&self, length: Metres) -> Result<Interval<Kilograms>, Refusal> {
        self.within(length)?;
        let x = length.m().ln();
        let middle = self.intercept.value.value() + self.slope.value.value() * x;
        let spread = 1.0 + 1.0 / self.n as f64 + (x - self.mean_ln_length).powi(2) / self.squares;
        let half = self.quantile * self.residual.value() * spread.sqrt();
        Ok(Interval {
            value: Kilograms::new(middle.exp())?,
            low: Kilograms::new((middle - half).exp())?,
            high: Kilograms::new((middle + half).exp())?,
            level: self.slope.level,
        })
    }
}

/// Ordinary least squares of ln mass on ln length.
///
/// # Errors
/// Fewer than [`FEWEST`] animals, or lengths or masses that do not vary.
pub fn least_squares(sample: &[Measured], level: Share) -> Result<Fit, Refusal> {
    weighted(sample, &vec![1.0; sample.len()], level)
}

/// Least squares, refitted with less weight for what stands far off: Huber's weights at 1.345
/// standard deviations, the deviation estimated from the median absolute residual (Huber 1964,
/// constants from memory), until nothing changes. The intervals are those of the weighted fit and
/// are narrower than they should be when much was down-weighted.
///
/// # Errors
/// As [`least_squares`].
pub fn robust(sample: &[Measured], level: Share) -> Result<Fit, Refusal> {
    let mut fit = least_squares(sample, level)?;
    let mut weights = vec![1.0; sample.len()];
    for _ in 0..200 {
        let residuals: Vec<f64> = sample.iter().map(|one| residual(&fit, one)).collect();
        let mut sizes: Vec<f64> = residuals.iter().map(|residual| residual.abs()).collect();
        sizes.sort_unstable_by(f64::total_cmp);
        // The median absolute residual of a normal sample is 0.6745 standard deviations.
        let scale = super::percentile(&sizes, 0.5) / 0.674_489_750_196_081_7;
        if scale <= f64::EPSILON {
            break;
        }
        weights = residuals.iter().map(|residual| (1.345 * scale / residual.abs()).min(1.0)).collect();
        let next = weighted(sample, &weights, level)?;
        let moved = (next.slope.value.value() - fit.slope.value.value()).abs()
            + (next.intercept.value.value() - fit.intercept.value.value()).abs();
        fit = next;
        if moved < 1e-12 {
            break;
        }
    }
    fit.outliers = weights.iter().filter(|weight| **weight < 1.0).count();
    Ok(fit)
}

fn residual(fit: &Fit, one: &Measured) -> f64 {
    one.mass.kg().ln() - fit.intercept.value.value() - fit.slope.value.value() * one.length.m().ln()
}

fn weighted(sample: &[Measured], weights: &[f64], level: Share) -> Result<Fit, Refusal> {
    let n = sample.len();
    let what = || format!("relation of {n} animals");
    if n < FEWEST {
        return Err(Refusal::new(
            "reference-too-small",
            what(),
            format!("a relation needs at least {FEWEST} animals of the same species and stage"),
            "pool the region's records, or register an authority's relation with its source",
        ));
    }
    let points =
        || sample.iter().zip(weights).map(|(one, weight)| (one.length.m().ln(), one.mass.kg().ln(), *weight));
    let total: f64 = weights.iter().sum();
    let mean_x = points().map(|(x, _, w)| w * x).sum::<f64>() / total;
    let mean_y = points().map(|(_, y, w)| w * y).sum::<f64>() / total;
    let sxx: f64 = points().map(|(x, _, w)| w * (x - mean_x).powi(2)).sum();
    let syy: f64 = points().map(|(_, y, w)| w * (y - mean_y).powi(2)).sum();
    let sxy: f64 = points().map(|(x, y, w)| w * (x - mean_x) * (y - mean_y)).sum();
    if sxx <= 1e-12 || syy <= 1e-12 || sxy <= 0.0 {
        return Err(Refusal::new(
            "no-relation",
            what(),
            "lengths and masses do not grow together",
            "look for swapped columns, mixed units or a wrong species among the records",
        ));
    }
    let slope = sxy / sxx;
    let intercept = mean_y - slope * mean_x;
    let left: f64 = points().map(|(x, y, w)| w * (y - intercept - slope * x).powi(2)).sum();
    let freedom = (n - 2) as f64;
    let residual = (left / freedom).sqrt();
    let slope_error = residual / sxx.sqrt();
    let intercept_error = residual * (1.0 / total + mean_x * mean_x / sxx).sqrt();
    let quantile =
        StudentsT::new(0.0, 1.0, freedom).map_err(|_| no_interval(&what()))?.inverse_cdf(1.0 - tail(level)?);
    let about = |value: f64, error: f64| {
        let half = quantile * error;
        Ok::<_, Refusal>(Interval {
            value: Ratio::new(value)?,
            low: Ratio::new(value - half)?,
            high: Ratio::new(value + half)?,
            level,
        })
    };
    let correlation = sxy / (sxx * syy).sqrt();
    let lengths = || sample.iter().map(|one| one.length.m());
    Ok(Fit {
        n,
        shortest: Metres::new(lengths().fold(f64::INFINITY, f64::min))?,
        longest: Metres::new(lengths().fold(0.0, f64::max))?,
        mean_length: Metres::new(lengths().sum::<f64>() / n as f64)?,
        intercept: about(intercept, intercept_error)?,
        slope: about(slope, slope_error)?,
        slope_error: Ratio::new(slope_error)?,
        intercept_error: Ratio::new(intercept_error)?,
        correlation: Ratio::new(correlation)?,
        sma_slope: Ratio::new(slope / correlation)?,
        residual: Ratio::new(residual)?,
        outliers: 0,
        mean_ln_length: mean_x,
        squares: sxx,
        quantile,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::condition::{measured, tests::made_up};
    use crate::units::LEVEL;

    fn near(one: f64, other: f64, by: f64) -> bool {
        (one - other).abs() < by
    }

    /// Made-up sample, scipy 1.17.1: slope 3.121599, r 0.998090, b/r 3.127572, mean length 27.125 cm.
    #[test]
    fn the_made_up_sample() {
        let fit = least_squares(&made_up(), LEVEL).unwrap();
        assert!(
            near(fit.slope.value.value(), 3.121_599, 1e-6) && near(fit.correlation.value(), 0.998_090, 1e-6)
        );
        assert!(near(fit.sma_slope.value(), 3.127_572, 1e-6) && near(fit.mean_length.cm(), 27.125, 1e-9));
        // ln a of grams and centimetres is -2.375166: one gram is ln 1000 less, one centimetre b ln 100 more.
        let metric = -2.375_166 - 1000_f64.ln() + fit.slope.value.value() * 100_f64.ln();
        assert!(near(fit.intercept.value.value(), metric, 1e-5));
    }

    /// Fifteen alligators of a public teaching page: slope 3.4311 (0.1330), published; r 0.990378 and
    /// b/r 3.464433 by scipy. Numbers of the code only, not the species' truth. Inches and pounds there.
    #[test]
    fn the_published_alligators() {
        let x =
            [3.87, 3.61, 4.33, 3.43, 3.81, 3.83, 3.46, 3.76, 3.50, 3.58, 4.19, 3.78, 3.71, 3.73, 3.78_f64];
        let y =
            [4.87, 3.93, 6.46, 3.33, 4.38, 4.70, 3.50, 4.50, 3.58, 3.64, 5.90, 4.43, 4.38, 4.42, 4.25_f64];
        let sample: Vec<Measured> = x
            .iter()
            .zip(y)
            .map(|(x, y)| measured(y.exp() * 0.453_592_37, x.exp() * 0.0254).unwrap())
            .collect();
        let fit = least_squares(&sample, LEVEL).unwrap();
        assert!(near(fit.slope.value.value(), 3.4311, 5e-5) && near(fit.slope_error.value(), 0.1330, 5e-5));
        assert!(
            near(fit.correlation.value(), 0.990_378, 1e-6) && near(fit.sma_slope.value(), 3.464_433, 1e-6)
        );
        // Published intercept -8.4761 (0.5007), of pounds and inches; computed in kilograms and
        // centimetres -12.464970, which metres make b ln 100 more.
        let metric = -12.464_970 + fit.slope.value.value() * 100_f64.ln();
        assert!(near(fit.intercept.value.value(), metric, 1e-5));
        let pounds =
            fit.intercept.value.value() + fit.slope.value.value() * 0.0254_f64.ln() - 0.453_592_37_f64.ln();
        assert!(near(pounds, -8.4761, 5e-5), "{pounds}");
        // Predicted at a snout-vent length of 1 m: 28.1015 kg.
        assert!(near(fit.expected(Metres::new(1.0).unwrap()).unwrap().value.kg(), 28.1015, 1e-3));
    }

    #[test]
    fn one_slip_does_not_move_the_robust_fit() {
        let mut sample = made_up().repeat(3);
        let clean = least_squares(&sample, LEVEL).unwrap().slope.value.value();
        sample.push(measured(0.069, 0.36).unwrap());
        let plain = least_squares(&sample, LEVEL).unwrap().slope.value.value();
        let robust = robust(&sample, LEVEL).unwrap();
        assert!((robust.slope.value.value() - clean).abs() < 0.1 * (plain - clean).abs());
        assert!(robust.outliers >= 1);
    }

    #[test]
    fn no_relation_is_said_so() {
        assert_eq!(least_squares(&made_up()[..4], LEVEL).unwrap_err().code, "reference-too-small");
        let flat: Vec<Measured> = (0..6).map(|_| measured(1.0, 0.3).unwrap()).collect();
        assert_eq!(least_squares(&flat, LEVEL).unwrap_err().code, "no-relation");
    }
}
