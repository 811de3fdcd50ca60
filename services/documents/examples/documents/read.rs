//! Reads a statement back from its JSON. The service never does: it makes statements from records.

use haulout_reckoning::statement::{
    Acceptance, Account, AccountRow, ApartLine, Basis, CensusCell, ChainHead, Completeness, Deaths,
    LicenceScope, Mortality, NIGHT_LATE, Necropsies, Notice, Office, PartyNights, PermitLine, Proportion,
    Question, Reason, Remark, SignOff, SpeciesLine, Statement, Total, TransitRow, TrialBalance,
};
use haulout_schemas::profile::Appendix;
use serde::de::DeserializeOwned;
use serde_json::Value;
use std::collections::BTreeMap;

type Read<T> = Result<T, serde_json::Error>;

/// A member, read as what it is expected to be; an absent one as null.
fn member<T: DeserializeOwned>(value: &Value, name: &str) -> Read<T> {
    serde_json::from_value(value.get(name).cloned().unwrap_or_default())
}

/// An absent list is an empty one.
fn list<T>(value: &Value, name: &str, read: impl Fn(&Value) -> Read<T>) -> Read<Vec<T>> {
    member::<Option<Vec<Value>>>(value, name)?.unwrap_or_default().iter().map(read).collect()
}

fn counts(value: &Value, name: &str) -> Read<BTreeMap<String, i64>> {
    member(value, name)
}

/// Words of a vocabulary live as long as the programme.
fn word(text: String) -> &'static str {
    Box::leak(text.into_boxed_str())
}

pub fn statement(value: &Value) -> Read<Statement> {
    let (question, account, basis): (Value, Value, Value) =
        (member(value, "question")?, member(value, "account")?, member(value, "basis")?);
    let (mortality, completeness): (Value, Value) =
        (member(value, "mortality")?, member(value, "completeness")?);
    let deaths: Value = member(&account, "deaths")?;
    let trial: Option<Value> = member(value, "trialBalance")?;
    let dead: Option<Value> = member(value, "necropsies")?;
    Ok(Statement {
        question: Question {
            period: member(&question, "period")?,
            centre_id: member(&question, "centreID")?,
            scientific_name: member(&question, "scientificName")?,
        },
        account: Account {
            rows: list(&account, "rows", row)?,
            transit: list(&account, "transit", journey)?,
            deaths: Deaths {
                before_rescue: member(&deaths, "beforeRescue")?,
                in_transit: member(&deaths, "inTransit")?,
                within48h: member(&deaths, "within48h")?,
                in_care: member(&deaths, "inCare")?,
            },
        },
        evaluated_through: member(value, "evaluatedThrough")?,
        remarks: list(value, "remarks", remark)?,
        findings: member(value, "findings")?,
        relocations: list(value, "relocations", apart)?,
        nests: list(value, "nests", apart)?,
        totals: list(value, "totals", total)?,
        trial_balance: trial.as_ref().map(balance).transpose()?,
        mortality: Mortality {
            in_care: member(&mortality, "inCare")?,
            arrived: member(&mortality, "arrived")?,
            within48h: proportion(&mortality, "within48h")?,
            later: proportion(&mortality, "later")?,
            together: proportion(&mortality, "together")?,
        },
        necropsies: dead.as_ref().map(necropsies).transpose()?,
        permits: list(value, "permits", permit)?,
        species: list(value, "species", species)?,
        completeness: Completeness {
            parties: list(&completeness, "parties", nights)?,
            notices: list(&completeness, "notices", notice)?,
        },
        sign_offs: list(value, "signOffs", sign_off)?,
        acceptances: list(value, "acceptances", acceptance)?,
        basis: Basis {
            as_known_at: member(&basis, "asKnownAt")?,
            chain_heads: heads(&basis)?,
            posting_rules: member(&basis, "postingRules")?,
            rule_set: member(&basis, "ruleSet")?,
            release: member(&basis, "release")?,
            demonstration: member(&basis, "demonstration")?,
        },
        account_digest: member(value, "accountDigest")?,
        findings_digest: member(value, "findingsDigest")?,
    })
}

fn row(value: &Value) -> Read<AccountRow> {
    let census: Option<Value> = member(value, "census")?;
    let cell = |census: &Value| -> Read<CensusCell> {
        Ok(CensusCell { day: member(census, "day")?, individual_count: member(census, "individualCount")? })
    };
    Ok(AccountRow {
        centre_id: member(value, "centreID")?,
        point_id: member(value, "pointID")?,
        scientific_name: member(value, "scientificName")?,
        commodity: word(member(value, "commodity")?),
        opening: member(value, "opening")?,
        gains: counts(value, "in")?,
        losses: counts(value, "out")?,
        closing: member(value, "closing")?,
        census: census.as_ref().map(cell).transpose()?,
        stages: counts(value, "stages")?.into_iter().map(|(stage, count)| (word(stage), count)).collect(),
    })
}

fn journey(value: &Value) -> Read<TransitRow> {
    Ok(TransitRow {
        consignment_id: member(value, "consignmentID")?,
        scientific_name: member(value, "scientificName")?,
        commodity: word(member(value, "commodity")?),
        opening: member(value, "opening")?,
        gains: counts(value, "in")?,
        losses: counts(value, "out")?,
        closing: member(value, "closing")?,
    })
}

fn remark(value: &Value) -> Read<Remark> {
    let known = [Remark::NothingKnown, Remark::PeriodNotBegun, Remark::PeriodNotOver];
    let found = known.into_iter().find(|one| serde_json::to_value(one).is_ok_and(|text| text == *value));
    found.ok_or_else(|| serde::de::Error::custom("no such remark"))
}

fn office(value: &Value) -> Read<Office> {
    let by: Value = member(value, "by")?;
    Ok(Office { role: member(&by, "role")?, party_id: member(&by, "partyID")? })
}

fn sign_off(value: &Value) -> Read<SignOff> {
    Ok(SignOff {
        by: office(value)?,
        signed_at: member(value, "signedAt")?,
        as_known_at: member(value, "asKnownAt")?,
        account_digest: member(value, "accountDigest")?,
        findings_digest: member(value, "findingsDigest")?,
        same_figures: member(value, "sameFigures")?,
        same_findings: member(value, "sameFindings")?,
        note: member(value, "note")?,
    })
}

fn acceptance(value: &Value) -> Read<Acceptance> {
    Ok(Acceptance {
        code: member(value, "code")?,
        records: member(value, "records")?,
        by: office(value)?,
        accepted_at: member(value, "acceptedAt")?,
        reason: member(value, "reason")?,
    })
}

fn apart(value: &Value) -> Read<ApartLine> {
    Ok(ApartLine {
        centre_id: member(value, "centreID")?,
        scientific_name: member(value, "scientificName")?,
        records: member(value, "records")?,
        individual_count: member(value, "individualCount")?,
    })
}

fn total(value: &Value) -> Read<Total> {
    Ok(Total {
        scientific_name: member(value, "scientificName")?,
        commodity: word(member(value, "commodity")?),
        opening: member(value, "opening")?,
        gains: counts(value, "in")?,
        losses: counts(value, "out")?,
        closing: member(value, "closing")?,
        opening_in_transit: member(value, "openingInTransit")?,
        closing_in_transit: member(value, "closingInTransit")?,
    })
}

fn balance(value: &Value) -> Read<TrialBalance> {
    Ok(TrialBalance {
        commodities: member(value, "commodities")?,
        out_of_balance: counts(value, "outOfBalance")?,
    })
}

fn proportion(value: &Value, name: &str) -> Read<Option<Proportion>> {
    let told: Option<Value> = member(value, name)?;
    let read = |one: &Value| -> Read<Proportion> {
        Ok(Proportion {
            count: member(one, "count")?,
            of: member(one, "of")?,
            rate: member(one, "rate")?,
            low: member(one, "low")?,
            high: member(one, "high")?,
        })
    };
    told.as_ref().map(read).transpose()
}

fn necropsies(value: &Value) -> Read<Necropsies> {
    Ok(Necropsies {
        deaths: member(value, "deaths")?,
        done: member(value, "done")?,
        not_possible: member(value, "notPossible")?,
        reasons: list(value, "reasons", |one| {
            Ok(Reason { because: member(one, "because")?, individual_count: member(one, "individualCount")? })
        })?,
        open: member(value, "open")?,
    })
}

fn permit(value: &Value) -> Read<PermitLine> {
    Ok(PermitLine {
        permit_number: member(value, "permitNumber")?,
        permit_type: word(member(value, "permitType")?),
        species: member(value, "species")?,
        holder_ids: member(value, "holderIDs")?,
        valid_through: member(value, "validThrough")?,
        quantity: member(value, "quantity")?,
        used_before: member(value, "usedBefore")?,
        used: member(value, "used")?,
        used_in_all: member(value, "usedInAll")?,
        left: member(value, "left")?,
    })
}

fn species(value: &Value) -> Read<SpeciesLine> {
    let licence: String = member(value, "licence")?;
    let appendix: Option<Appendix> = member(value, "treatyAppendix")?;
    Ok(SpeciesLine {
        centre_id: member(value, "centreID")?,
        scientific_name: member(value, "scientificName")?,
        treaty_appendix: appendix,
        treaty_as_of: member(value, "treatyAsOf")?,
        licence: match licence.as_str() {
            "within" => LicenceScope::Within,
            "outside" => LicenceScope::Outside,
            _ => LicenceScope::NoneKnown,
        },
        licence_numbers: list(value, "licenceNumbers", |one| serde_json::from_value(one.clone()))?,
        heads_limit: member(value, "headsLimit")?,
    })
}

fn nights(value: &Value) -> Read<PartyNights> {
    Ok(PartyNights {
        place_id: member(value, "placeID")?,
        nights: member(value, "nights")?,
        posted: member(value, "posted")?,
        missing: member(value, "missing")?,
    })
}

fn notice(value: &Value) -> Read<Notice> {
    Ok(Notice {
        code: NIGHT_LATE.code,
        place_id: member(value, "placeID")?,
        day: member(value, "day")?,
        known_from: member(value, "knownFrom")?,
    })
}

fn heads(basis: &Value) -> Read<BTreeMap<String, ChainHead>> {
    let heads: BTreeMap<String, Value> = member(basis, "chainHeads")?;
    let head = |(party, one): (String, Value)| -> Read<(String, ChainHead)> {
        Ok((party, ChainHead { sequence: member(&one, "sequence")?, link: member(&one, "link")? }))
    };
    heads.into_iter().map(head).collect()
}
