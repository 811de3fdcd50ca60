//! Papers that travel: leave, orders, permits, certificates, the licence at the other end.

use haulout_schemas::records::health::AssessmentEvent;
use haulout_schemas::{Body, Record};
use haulout_store::Configuration;
use haulout_welfare::transport::papers::{Giver, Reach, papers as needed};
use schemars::JsonSchema;
use serde::Serialize;

use super::Making;
use super::bodies::Traveller;
use super::crating::source;
use super::form::PaperAsked;

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

/// Papers to ask for, each once, and what to know about the list. Whether the way crosses the line
/// between two states no record says, so the shorter list is given and the longer one named.
pub(super) fn to_ask_for(
    configuration: &Configuration,
    travellers: &[Traveller<'_>],
    reach: Reach,
) -> (Vec<PaperAsked>, Vec<String>) {
    let (mut asked, mut notes): (Vec<PaperAsked>, Vec<String>) = (Vec::new(), Vec::new());
    for one in travellers {
        for profile in &one.profiles {
            let told = needed(profile, reach, one.case_property);
            for paper in told.papers {
                let paper = PaperAsked {
                    what: paper.paper,
                    giver: giver(paper.giver),
                    source: source(configuration, &paper.grounds),
                };
                if !asked.contains(&paper) {
                    asked.push(paper);
                }
            }
            for note in told.notes {
                if !notes.contains(&note) {
                    notes.push(note);
                }
            }
        }
    }
    if reach == Reach::InsideState {
        notes.push(
            "across a state line also a health certificate that the place of arrival accepts, and its authority's leave"
                .to_owned(),
        );
    }
    (asked, notes)
}

fn giver(giver: Giver) -> &'static str {
    match giver {
        Giver::Sender => "the sender",
        Giver::Veterinarian => "a licensed veterinarian",
        Giver::AuthorityThere => "the authority of the place of departure",
        Giver::AuthorityHere => "the authority of the place of arrival",
        Giver::ManagementAuthorityThere => "the treaty's management authority there",
        Giver::ManagementAuthorityHere => "the treaty's management authority at arrival",
        Giver::CaseHolder => "the court or agency of the case",
    }
}
