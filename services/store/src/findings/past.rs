//! The findings of a past day or instant, judged from all records.

use crate::configuration::Configuration;
use crate::database::Store;
use crate::effective::{AsOf, EffectiveFilter};
use crate::error::{Result, StoreError};
use crate::scope::Scope;
use haulout_reckoning::{Finding, Micros, evaluate_all};
use std::collections::VecDeque;
use std::sync::{Arc, Mutex, PoisonError};

/// Answers kept: a period and the one before it, which are read beside each other.
const KEPT: usize = 2;

/// What was judged lately: a closed period's statement is asked for in one format after the other.
#[derive(Default)]
pub(crate) struct PastFindings(Mutex<VecDeque<(Question, Arc<Vec<Finding>>)>>);

/// What decides about the answer: acts may blank texts, records add to what is known.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Question {
    as_of: AsOf,
    configuration: i64,
    act_sequence: i64,
}

impl PastFindings {
    fn get(&self, question: &Question) -> Option<Arc<Vec<Finding>>> {
        let kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        kept.iter().find(|(known, _)| known == question).map(|(_, findings)| Arc::clone(findings))
    }

    fn put(&self, question: Question, findings: Arc<Vec<Finding>>) {
        let mut kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        kept.push_front((question, findings));
        kept.truncate(KEPT);
    }
}

impl Store {
    /// Every finding as of a day and an instant, by the configuration given.
    pub(super) async fn judged_anew(
        &self,
        as_of: AsOf,
        configuration: &Arc<Configuration>,
    ) -> Result<Arc<Vec<Finding>>> {
        let state = self.state().await?;
        // Nothing is known from after the newest stamp: later instants ask the same.
        let known_at: Micros =
            as_of.known_at.map_or(state.last_known_from, |instant| instant.min(state.last_known_from));
        let as_of = AsOf { known_at: Some(known_at), ..as_of };
        let question =
            Question { as_of, configuration: configuration.sequence, act_sequence: state.act_sequence };
        if let Some(known) = self.inner.past_findings.get(&question) {
            return Ok(known);
        }
        let records = self.effective(&Scope::Authority, as_of, &EffectiveFilter::default()).await?;
        let configuration = Arc::clone(configuration);
        let judged = tokio::task::spawn_blocking(move || {
            let world = as_of.through.and_then(|through| configuration.world(through));
            world.map_or_else(Vec::new, |world| evaluate_all(&records, &world))
        });
        let findings = Arc::new(judged.await.map_err(StoreError::bug)?);
        self.inner.past_findings.put(question, Arc::clone(&findings));
        Ok(findings)
    }
}
