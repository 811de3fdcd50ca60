//! Papers that travel: leave, orders, permits, certificates, the licence at the other end.

use haulout_schemas::records::health::AssessmentEvent;
use haulout_schemas::{Body, Record};
use schemars::JsonSchema;
use serde::Serialize;

use super::Making;

/// A paper.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Paper {
    /// What it is.
    pub what: String,
    /// Its number, or on whose word.
    pub number: String,
}

impl Paper {
    fn new(what: &str, number: impl ToString) -> Self {
        Self { what: what.to_owned(), number: number.to_string() }
    }
}

/// The papers of a journey, each once.
pub(super) fn of(making: &Making<'_>, of_animals: &[Record]) -> Vec<Paper> {
    let mut papers = Vec::new();
    let mut add = |paper: Paper| {
        if !papers.contains(&paper) {
            papers.push(paper);
        }
    };
    for (_, dispatch) in making.told.dispatches() {
        if let Some(number) = &dispatch.order_number {
            add(Paper::new("Order or leave under which it travels", number));
        }
        if let Some(number) = &dispatch.permit_number {
            add(Paper::new("Permit under which it travels", number));
        }
    }
    for request in making.requests {
        if let Some(leave) = request.custody.as_ref().and_then(|custody| custody.leave.as_ref()) {
            let until = leave.end_date.map_or_else(String::new, |day| format!(", through {day}"));
            add(Paper::new("Leave to move case property", format!("{}{until}", leave.order_number)));
        }
        for waiver in &request.waivers {
            let number = format!("{}, through {}", waiver.order_number, waiver.end_date);
            add(Paper::new(&format!("Order that waives the rule `{}`", waiver.rule), number));
        }
        if let Some(word) = &request.fit_to_travel.vets_word {
            add(Paper::new("Fit to travel on a vet's word", word));
        }
    }
    for record in of_animals {
        let Some(Body::Assessment(assessment)) = &record.body else { continue };
        let what = match assessment.event {
            AssessmentEvent::BeforeTransport => "Examination before transport",
            AssessmentEvent::Certificate => "Health certificate",
            _ => continue,
        };
        let day = record.envelope.event_date.day();
        let number = assessment.certificate_number.as_ref();
        add(Paper::new(
            what,
            number.map_or_else(|| format!("of {day}"), |number| format!("{number}, of {day}")),
        ));
    }
    let to = making.to().place_id;
    let centre = making.view.centres.iter().find(|centre| Some(&centre.centre_id) == to.as_ref());
    for licence in centre.iter().flat_map(|centre| &centre.licences) {
        if let Some(number) = &licence.licence_number {
            add(Paper::new("Licence of the receiving centre", number));
        }
    }
    papers
}
