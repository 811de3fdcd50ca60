//! A relaxation over patterns: each request has one of those known, or a mixture of some, within the rows
//! that they share. It begins without rows, and takes them in as mixtures break them.

use std::collections::{HashMap, HashSet};
use std::iter::repeat;

use super::coupled::summed;
use super::places::Places;
use crate::plan::growing::{Growing, Relaxed};

/// A request's whole placing.
#[derive(Debug, Clone)]
pub(crate) struct Pattern {
    pub request: usize,
    /// Arcs of the part, with animals; what is not in them has no place.
    pub places: Places,
    /// What it takes of each row.
    pub takes: Vec<(usize, f64)>,
    pub cost: f64,
}

/// The relaxation, with the patterns known.
pub(crate) struct Mixture {
    /// By row, how much there is.
    limits: Vec<f64>,
    /// Of each row, which of the relaxation's it is.
    rows: Vec<Option<usize>>,
    /// By request, what it costs to have none.
    nowhere: Vec<f64>,
    requests: usize,
    /// In the sequence of the relaxation's columns, after one for each request that has none.
    pub patterns: Vec<Pattern>,
    known: HashSet<(usize, Places)>,
    relaxation: Growing,
}

impl Mixture {
    /// Without patterns, at what it costs each request to have none.
    ///
    /// # Errors
    /// The solver's own words.
    pub fn of(limits: Vec<f64>, nowhere: Vec<f64>) -> Result<Self, String> {
        let (relaxation, requests) = (empty(&nowhere)?, nowhere.len());
        let (rows, patterns, known) = (vec![None; limits.len()], Vec::new(), HashSet::new());
        Ok(Self { limits, rows, nowhere, requests, patterns, known, relaxation })
    }

    /// Adds the pattern of these places, sorted; false where it is known.
    ///
    /// # Errors
    /// The solver's own words.
    pub fn learn(
        &mut self,
        request: usize,
        places: Places,
        pattern: impl FnOnce(Places) -> Pattern,
    ) -> Result<bool, String> {
        if !self.known.insert((request, places.clone())) {
            return Ok(false);
        }
        self.add(pattern(places))?;
        Ok(true)
    }

    fn add(&mut self, pattern: Pattern) -> Result<(), String> {
        let mut terms = vec![(pattern.request, 1.0)];
        terms.extend(pattern.takes.iter().filter_map(|(row, sum)| Some((self.rows[*row]?, *sum))));
        self.relaxation.add(pattern.cost, &terms)?;
        self.patterns.push(pattern);
        Ok(())
    }

    /// True of places, sorted, of a pattern known.
    pub fn knows(&self, request: usize, places: &Places) -> bool {
        self.known.contains(&(request, places.clone()))
    }

    /// Adds rows that every plan keeps; `takes` says what each pattern takes of all rows then.
    ///
    /// # Errors
    /// The solver's own words.
    pub fn cut(
        &mut self,
        limits: &[f64],
        takes: impl Fn(&Pattern) -> Vec<(usize, f64)>,
    ) -> Result<(), String> {
        let before = self.limits.len();
        let mut terms: Vec<Vec<(usize, f64)>> = vec![Vec::new(); limits.len()];
        for (at, pattern) in self.patterns.iter_mut().enumerate() {
            pattern.takes = takes(pattern);
            for (row, sum) in pattern.takes.iter().filter(|(row, _)| *row >= before) {
                terms[row - before].push((self.requests + at, *sum));
            }
        }
        for (limit, terms) in limits.iter().zip(terms) {
            self.rows.push(Some(self.relaxation.limit(*limit, &terms)?));
            self.limits.push(*limit);
        }
        Ok(())
    }

    /// Begins anew with the rows that bind a relaxation and the patterns that are little dearer than those
    /// that it uses: what else has come in on the way makes it slow.
    ///
    /// # Errors
    /// The solver's own words.
    pub fn renew(&mut self, relaxed: &Relaxed, within: f64) -> Result<(), String> {
        let duals = self.duals(relaxed);
        self.relaxation = empty(&self.nowhere)?;
        for (row, at) in self.rows.iter_mut().enumerate() {
            *at = if duals[row] < -1e-9 { Some(self.relaxation.limit(self.limits[row], &[])?) } else { None };
        }
        // What was learnt since it was solved has no reduced cost yet, and stays.
        let dearer = relaxed.reduced[self.requests..].iter().copied().chain(repeat(f64::NEG_INFINITY));
        for (pattern, dearer) in std::mem::take(&mut self.patterns).into_iter().zip(dearer) {
            if dearer < within {
                self.add(pattern)?;
            } else {
                self.known.remove(&(pattern.request, pattern.places));
            }
        }
        Ok(())
    }

    /// Solves it; nothing where the time was not enough.
    ///
    /// # Errors
    /// The solver's own words.
    pub fn solve(&mut self, seconds: f64) -> Result<Option<Relaxed>, String> {
        self.relaxation.solve(seconds)
    }

    /// Patterns that a relaxation uses, with their weight.
    pub fn used<'a>(&'a self, relaxed: &'a Relaxed) -> impl Iterator<Item = (usize, &'a Pattern, f64)> {
        let weights = &relaxed.columns[self.requests..];
        let used = self.patterns.iter().zip(weights).enumerate();
        used.filter(|(_, (_, weight))| **weight > 0.0).map(|(at, (pattern, weight))| (at, pattern, *weight))
    }

    /// Patterns that a relaxation uses or that are little dearer than those, with their weight and how
    /// much dearer.
    pub fn near(&self, relaxed: &Relaxed, within: f64) -> impl Iterator<Item = (&Pattern, f64, f64)> {
        let (weights, dearer) = (&relaxed.columns[self.requests..], &relaxed.reduced[self.requests..]);
        let patterns = self.patterns.iter().zip(weights).zip(dearer);
        let patterns = patterns.map(|((pattern, weight), dearer)| (pattern, *weight, dearer.max(0.0)));
        patterns.filter(move |(_, weight, dearer)| *weight > 1e-9 || *dearer < within)
    }

    /// Adds the rows that a relaxation does not keep; false where it keeps all.
    ///
    /// # Errors
    /// The solver's own words.
    pub fn tighten(&mut self, relaxed: &Relaxed) -> Result<bool, String> {
        let mut sums: Vec<(usize, f64)> = Vec::new();
        for (_, pattern, weight) in self.used(relaxed) {
            let unmet = pattern.takes.iter().filter(|(row, _)| self.rows[*row].is_none());
            sums.extend(unmet.map(|(row, sum)| (*row, weight * sum)));
        }
        let sums = summed(sums).into_iter();
        let broken = sums.filter(|(row, sum)| *sum > self.limits[*row] + 1e-6);
        let broken: Vec<usize> = broken.map(|(row, _)| row).collect();
        let mut terms: HashMap<usize, Vec<(usize, f64)>> =
            broken.iter().map(|row| (*row, Vec::new())).collect();
        for (at, pattern) in self.patterns.iter().enumerate() {
            for (row, sum) in &pattern.takes {
                if let Some(terms) = terms.get_mut(row) {
                    terms.push((self.requests + at, *sum));
                }
            }
        }
        for row in &broken {
            self.rows[*row] = Some(self.relaxation.limit(self.limits[*row], &terms[row])?);
        }
        Ok(!broken.is_empty())
    }

    /// The prices of a relaxation's duals, those of the wrong sign and of rows left out taken as none.
    pub fn duals(&self, relaxed: &Relaxed) -> Vec<f64> {
        let dual = |row: &Option<usize>| row.and_then(|row| relaxed.duals.get(row)).copied().unwrap_or(0.0);
        self.rows.iter().map(|row| dual(row).min(0.0)).collect()
    }

    /// Has every relaxation use a pattern whole, or as it likes.
    ///
    /// # Errors
    /// The solver's own words.
    pub fn hold(&mut self, at: usize, whole: bool) -> Result<(), String> {
        self.relaxation.hold(self.requests + at, whole)
    }
}

/// A relaxation in which each request can have none of its patterns, at this cost, and no other yet.
fn empty(nowhere: &[f64]) -> Result<Growing, String> {
    let mut relaxation = Growing::of(nowhere.len())?;
    for (request, cost) in nowhere.iter().enumerate() {
        relaxation.add(*cost, &[(request, 1.0)])?;
    }
    Ok(relaxation)
}
