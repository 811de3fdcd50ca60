//! Forms with nothing filled in but what they cannot do without.

use haulout_schemas::records::authority::{Order, OrderForm, OrderType};
use haulout_schemas::records::breeding::{Clutch, ClutchEvent};
use haulout_schemas::records::ending::{Loss, LossEvent, LostAs, Mortality, MortalityEvent};
use haulout_schemas::records::health::{
    Assessment, AssessmentEvent, LaboratoryResult, ResultOutcome, SampleType, Treatment, TreatmentEvent,
};
use haulout_schemas::records::keeping::{
    Care, CareEvent, Custody, CustodyEvent, MarkType, Marking, MarkingEvent, TransponderStandard,
};
use haulout_schemas::records::standing::{Readiness, ReadinessEvent};
use haulout_schemas::vocabulary::LifeStage;

/// An assessment.
pub(crate) fn assessment(event: AssessmentEvent) -> Assessment {
    Assessment {
        event,
        triage: None,
        body_condition: None,
        lengths_metre: Vec::new(),
        mass_kilogram: None,
        body_celsius: None,
        gravid: None,
        examined_count: None,
        injuries: Vec::new(),
        fit_to_travel: None,
        by_veterinarian: None,
        certificate_number: None,
        valid_through: None,
        findings: None,
    }
}

/// A treatment.
pub(crate) fn treatment(event: TreatmentEvent) -> Treatment {
    Treatment {
        event,
        drug: None,
        dose_milligram_per_kilogram: None,
        dose_milligram: None,
        volume_millilitre: None,
        route: None,
        procedure: None,
        binding_site: None,
        reason: None,
        by_veterinarian: None,
        consignment_id: None,
    }
}

/// A laboratory's answer.
pub(crate) fn result(
    sample: &str,
    sample_type: SampleType,
    test: &str,
    outcome: ResultOutcome,
) -> LaboratoryResult {
    LaboratoryResult {
        sample_id: sample.into(),
        sample_type,
        collected: None,
        test: test.to_owned(),
        agent: None,
        outcome,
        unit_id: None,
        water_circuit: None,
        sampled_count: None,
        standstill_id: None,
        laboratory_id: None,
    }
}

/// A step of marking with a transponder.
pub(crate) fn marking(event: MarkingEvent, number: &str) -> Marking {
    Marking {
        event,
        mark_type: MarkType::Transponder,
        mark_number: Some(number.into()),
        transponder_standard: Some(TransponderStandard::Iso11784),
        body_site: Some("left hind limb, before the joint".to_owned()),
        full_body_scan: None,
        replaced_number: None,
        frequency_megahertz: None,
    }
}

/// Care.
pub(crate) fn care(event: CareEvent) -> Care {
    Care {
        event,
        unit_id: None,
        food: None,
        food_kilogram: None,
        food_eaten_share: None,
        water_changed_share: None,
        scrubbed: None,
        water_celsius: None,
        air_celsius: None,
        basking_celsius: None,
        ph: None,
        ammonia_milligram_per_litre: None,
        salinity_gram_per_kilogram: None,
    }
}

/// A step after a death, of so many.
pub(crate) fn mortality(event: MortalityEvent, count: u32) -> Mortality {
    Mortality {
        event,
        individual_count: count,
        taken_from: None,
        consignment_id: None,
        end: None,
        order_number: None,
        when: None,
        cause_of_death: None,
        life_stage: None,
        sex: None,
        death_of: None,
        necropsy_done: None,
        not_possible_because: None,
        findings: None,
        agent: None,
        disposal_method: None,
    }
}

/// A loss, or its end, of one animal.
pub(crate) fn loss(event: LossEvent, lost_as: Option<LostAs>, stage: LifeStage) -> Loss {
    Loss {
        event,
        individual_count: 1,
        lost_as,
        consignment_id: None,
        life_stage: Some(stage),
        sex: None,
        place: None,
    }
}

/// A step of a clutch.
pub(crate) fn clutch(event: ClutchEvent, count: Option<u32>) -> Clutch {
    Clutch {
        event,
        individual_count: count,
        hatchlings_lot_id: None,
        mother_id: None,
        from_carcass: None,
        consignment_id: None,
        laid_on: None,
        tops_marked: None,
        fertile_count: None,
        place: None,
        nest_depth_metre: None,
        incubation: None,
        unit_id: None,
        celsius: None,
        humidity_share: None,
        reason: None,
    }
}

/// An order in writing.
pub(crate) fn order(number: &str, order_type: OrderType) -> Order {
    Order {
        order_number: number.into(),
        order_type,
        form: OrderForm::Written,
        organism_ids: Vec::new(),
        lot_ids: Vec::new(),
        allows: Vec::new(),
        case_number: None,
        party_ids: Vec::new(),
        waives: Vec::new(),
        end_date: None,
        about: None,
        text: None,
    }
}

/// A step of custody.
pub(crate) fn custody(event: CustodyEvent, case: &str) -> Custody {
    Custody { event, case_number: case.into(), forbids: Vec::new(), order_number: None }
}

/// Readiness.
pub(crate) fn readiness(event: ReadinessEvent) -> Readiness {
    Readiness {
        event,
        crews: Vec::new(),
        vet_level: None,
        vehicle_minutes: None,
        crates_free: None,
        arrivals_per_day: None,
        places_offered: Vec::new(),
        until: None,
        route: None,
    }
}
