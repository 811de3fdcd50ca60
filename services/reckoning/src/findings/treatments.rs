//! What the clinic did to an animal or lot: drugs that may kill it, bindings left on.

use super::judging::{Judging, days_after, parameters};
use super::sequence::surely_before;
use super::stays::leaves;
use crate::subject::Subject;
use haulout_schemas::profile::TaxonOrder;
use haulout_schemas::records::health::{BindingSite, Treatment, TreatmentEvent};
use haulout_schemas::rule::{Layer, Rule, Severity, Threshold};
use haulout_schemas::{Body, Record};

/// A drug that may kill this group. Parameters: `drug` (as the catalogue knows it), `order`,
/// `organismID` or `lotID`.
pub(super) static DANGEROUS_DRUG: Rule = Rule {
    code: "drug-dangerous-to-group",
    layer: Layer::Finding,
    severity: Severity::Critical,
    title: "Drug that is dangerous to this group",
    meaning: "A treatment names a drug that is known to kill animals of this order: ivermectin in turtles and tortoises. A name above the species counts where any species in it belongs to the order. Crocodilians are not judged, nor animals whose order nobody knows.",
    why: "A dose that other reptiles bear can paralyse and kill; hours matter.",
    mend: "Call a veterinarian at once and watch the animal. If another drug was given, revise the treatment; what was given stays told.",
    source: "from memory",
    thresholds: &[],
};

/// A binding nobody took off. Parameters: `bindingSite`, `organismID` or `lotID`.
pub(crate) static BOUND: Rule = Rule {
    code: "bound-too-long",
    layer: Layer::Finding,
    severity: Severity::Major,
    title: "Jaws, limbs or eyes bound for too long",
    meaning: "A binding was put on and by the deadline no record tells that it was taken off. An animal that died, went free, was lost or handed on beyond the region is exempt, and a lot that became others.",
    why: "A bound animal cannot cool itself by gaping, spit out water or ease its limbs.",
    mend: "Look at the animal now; then the `treatment`, event `bindingOff`, of the same site, with the time at which it was taken off.",
    source: "common practice",
    thresholds: &[Threshold { name: "days", value: 1, unit: "day", source: "common practice" }],
};

/// Drugs and the order to which they are dangerous, by their generic names in lower case. From memory.
const DANGEROUS: [(&str, TaxonOrder); 1] = [("ivermectin", TaxonOrder::Testudines)];

pub(super) fn judge(judging: &mut Judging<'_>) {
    let Some(subject) = Subject::of_key(judging.key) else { return };
    let own = judging.own();
    let records: Vec<&Record> = own.iter().map(|one| &one.record).collect();
    for record in &records {
        let Some(Body::Treatment(treatment)) = &record.body else { continue };
        if Subject::of_frame(&record.envelope).as_ref() != Some(&subject) {
            continue;
        }
        match treatment.event {
            TreatmentEvent::Drug => drug(judging, &subject, record, treatment),
            TreatmentEvent::BindingOn => binding(judging, &subject, record, treatment, &records),
            _ => {}
        }
    }
}

fn drug(judging: &mut Judging<'_>, subject: &Subject, record: &Record, treatment: &Treatment) {
    let Some(given) = treatment.drug.as_ref().map(|drug| drug.to_lowercase()) else { return };
    let Some(name) = &record.envelope.scientific_name else { return };
    let members = judging.world.names.members(name.as_str());
    for (drug, order) in DANGEROUS {
        if given.contains(drug) && members.iter().any(|profile| profile.order == order) {
            let told = parameters([
                ("drug", drug.into()),
                ("order", order.name().into()),
                (subject.member(), subject.id().into()),
            ]);
            judging.find(&DANGEROUS_DRUG, [record], None, told);
        }
    }
}

fn binding(
    judging: &mut Judging<'_>,
    subject: &Subject,
    record: &Record,
    treatment: &Treatment,
    records: &[&Record],
) {
    let Some(site) = treatment.binding_site else { return };
    let due = days_after(record.envelope.event_date.day(), judging.threshold(&BOUND, "days"));
    if stays_on(record, subject, site, records) && judging.passed(due) {
        let told =
            parameters([("bindingSite", site.as_str().into()), (subject.member(), subject.id().into())]);
        judging.find(&BOUND, [record], Some(due), told);
    }
}

/// Whether a binding that a record tells of is on by the other records about its subject.
pub(crate) fn is_still_on(record: &Record, about: &[&Record]) -> bool {
    match (&record.body, Subject::of_frame(&record.envelope)) {
        (Some(Body::Treatment(treatment)), Some(subject)) => {
            treatment.event == TreatmentEvent::BindingOn
                && treatment.binding_site.is_some_and(|site| stays_on(record, &subject, site, about))
        }
        _ => false,
    }
}

/// Nobody took it off since, and its bearer is still in care.
fn stays_on(record: &Record, subject: &Subject, site: BindingSite, records: &[&Record]) -> bool {
    let on = &record.envelope.event_date;
    !records.iter().any(|other| {
        let later = !surely_before(&other.envelope.event_date, on);
        later && (takes_off(other, subject, site) || leaves(other, subject))
    })
}

fn takes_off(record: &Record, subject: &Subject, site: BindingSite) -> bool {
    match &record.body {
        Some(Body::Treatment(treatment)) => {
            treatment.event == TreatmentEvent::BindingOff
                && treatment.binding_site == Some(site)
                && Subject::of_frame(&record.envelope).as_ref() == Some(subject)
        }
        _ => false,
    }
}
