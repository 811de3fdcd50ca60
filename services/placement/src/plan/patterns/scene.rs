//! What searches for better plans look at, and a plan on its way through them.

use std::collections::BTreeMap;

use super::coupled::Coupled;
use super::master::Master;
use super::mixture::Pattern;
use super::places::{Partly, Places};
use super::pricing::Placings;
use crate::plan::model::Model;
use crate::plan::solve::{Course, proven};
use crate::plan::start::as_figure;

/// What all searches look at.
pub(crate) struct Scene<'a> {
    pub model: &'a Model,
    pub coupled: &'a Coupled,
    pub costs: &'a [f64],
    /// By request, what it costs that it has no placing.
    pub nowhere: &'a [f64],
    /// Over the arcs that are looked at.
    pub placings: Vec<Placings>,
    /// Slots that each request looks at, the best first.
    pub slots: Vec<Vec<usize>>,
    /// By centre, its slots.
    pub beside: BTreeMap<usize, Vec<usize>>,
    /// By slot.
    pub centre_of: Vec<usize>,
    /// What no plan goes below.
    pub bound: f64,
    /// Animals of each request.
    counts: Vec<u32>,
    /// By arc.
    slot_of: Vec<usize>,
}

impl<'a> Scene<'a> {
    /// Over the arcs that requests look at, the best first, and those of a plan. No plan goes below
    /// `bound`.
    pub fn of(
        course: &'a Course<'_>,
        master: &'a Master<'_>,
        near: &[Vec<usize>],
        plan: &Partly,
        bound: f64,
    ) -> Self {
        let Course { model, whole, part, .. } = course;
        let slot_of: Vec<usize> = part.arcs.iter().map(|arc| whole.admitted.arcs[*arc].slot).collect();
        let mut looked_at = vec![false; model.arcs.len()];
        near.iter().flatten().for_each(|at| looked_at[*at] = true);
        plan.iter().flatten().flatten().for_each(|(at, _)| looked_at[*at] = true);
        let mut beside: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        for (slot, of) in whole.admitted.slots.iter().enumerate() {
            beside.entry(of.centre).or_default().push(slot);
        }
        Self {
            model,
            coupled: &master.coupled,
            costs: master.costs,
            nowhere: &master.nowhere,
            placings: Placings::of_all(whole, part, model, |at| looked_at[at]),
            slots: near.iter().map(|arcs| arcs.iter().map(|at| slot_of[*at]).collect()).collect(),
            beside,
            centre_of: whole.admitted.slots.iter().map(|slot| slot.centre).collect(),
            bound: as_figure(proven(bound)),
            counts: part.requests.iter().map(|request| whole.count(*request)).collect(),
            slot_of,
        }
    }

    /// A request's placing as a pattern.
    pub fn pattern(&self, request: usize, places: Places) -> Pattern {
        self.coupled.pattern(self.model, self.costs, request, self.counts[request], places)
    }

    /// A plan on its way.
    pub fn plan(&self, of: &Partly) -> Plan {
        let mut plan = Plan {
            cost: self.nowhere.iter().sum(),
            placed: vec![None; of.len()],
            left: self.coupled.limits.clone(),
            there: vec![Vec::new(); self.centre_of.len()],
        };
        for (request, places) in of.iter().enumerate() {
            plan.put(self, request, places.clone().map(|places| self.pattern(request, places)));
        }
        plan
    }
}

/// A plan on its way.
pub(crate) struct Plan {
    /// Those without a placing at what that costs.
    pub cost: f64,
    pub placed: Vec<Option<Pattern>>,
    /// What is left of each row.
    pub left: Vec<f64>,
    /// By slot, the requests in it.
    pub there: Vec<Vec<usize>>,
}

impl Plan {
    /// Places a request so instead, or nowhere, and says how it was.
    pub fn put(&mut self, scene: &Scene<'_>, request: usize, placed: Option<Pattern>) -> Option<Pattern> {
        let before = std::mem::replace(&mut self.placed[request], placed);
        let nowhere = scene.nowhere[request];
        if let Some(pattern) = &before {
            pattern.takes.iter().for_each(|(row, sum)| self.left[*row] += sum);
            for (at, _) in &pattern.places {
                self.there[scene.slot_of[*at]].retain(|there| *there != request);
            }
            self.cost += nowhere - pattern.cost;
        }
        if let Some(pattern) = &self.placed[request] {
            pattern.takes.iter().for_each(|(row, sum)| self.left[*row] -= sum);
            for (at, _) in &pattern.places {
                self.there[scene.slot_of[*at]].push(request);
            }
            self.cost += pattern.cost - nowhere;
        }
        before
    }

    /// True where no row is overdrawn.
    pub fn fits(&self) -> bool {
        self.left.iter().all(|left| *left > -1e-6)
    }

    /// As places.
    pub fn places(self) -> Partly {
        self.placed.into_iter().map(|placed| Some(placed?.places)).collect()
    }
}
