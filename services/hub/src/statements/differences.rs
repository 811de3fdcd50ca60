//! What a statement says differently as known at two instants, and the records that explain it.

use haulout_reckoning::Micros;
use haulout_reckoning::statement::Statement;
use haulout_schemas::Kind;
use haulout_store::clock::{instant_of, instant_text};
use haulout_store::{RecordFilter, Scope, Store};
use schemars::JsonSchema;
use serde::Serialize;
use serde_json::{Map, Value, json};
use std::collections::{BTreeMap, BTreeSet};

use super::make::{Asked, NoStatement};

/// Records read at once while looking for those that explain.
const A_PAGE: u64 = 1_000;

/// A figure that differs.
#[derive(Debug, PartialEq, Serialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Difference {
    /// Which: the row's place or journey, name, commodity, and the pointer of the figure within it.
    pub figure: String,
    /// As known at the earlier instant.
    pub from: Value,
    /// As known at the later one.
    pub to: Value,
}

/// A record that became known between the two instants.
#[derive(Debug, PartialEq, Serialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Explaining {
    /// Its author.
    #[serde(rename = "authorID")]
    pub author_id: String,
    /// The author's identifier.
    #[serde(rename = "recordID")]
    pub record_id: String,
    /// The revision.
    pub revision: u16,
    /// What it tells of.
    pub kind: String,
    /// The day on which it counts.
    pub event_day: String,
    /// Since when the hub knows it.
    pub known_from: String,
}

/// What differs.
#[derive(Debug, Serialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Differences {
    /// What was asked.
    pub question: Value,
    /// The earlier instant.
    pub from: String,
    /// The later one.
    pub to: String,
    /// Figures that differ.
    pub figures: Vec<Difference>,
    /// Findings that stand at the later instant only.
    pub findings_come: Vec<Value>,
    /// Findings that stood at the earlier instant only.
    pub findings_gone: Vec<Value>,
    /// Records of the period that became known in between: they explain it all, apart from a
    /// change of the region file.
    pub records: Vec<Explaining>,
    /// Whether the rules of the findings were changed in between.
    pub rules_changed: bool,
}

/// Compares two statements of one question.
///
/// # Errors
/// [`NoStatement`].
pub async fn between(
    store: &Store,
    scope: &Scope,
    asked: &Asked,
    from: &Statement,
    to: &Statement,
) -> Result<Differences, NoStatement> {
    let (known_from, known_to) = (stamp(from), stamp(to));
    let findings = |statement: &Statement| -> BTreeMap<String, Value> {
        statement.findings.iter().map(|finding| (finding.to_string(), finding.clone())).collect()
    };
    let (before, after) = (findings(from), findings(to));
    let only = |these: &BTreeMap<String, Value>, those: &BTreeMap<String, Value>| {
        these
            .iter()
            .filter(|(key, _)| !those.contains_key(*key))
            .map(|(_, finding)| finding.clone())
            .collect()
    };
    Ok(Differences {
        question: serde_json::to_value(&to.question)?,
        from: from.basis.as_known_at.clone(),
        to: to.basis.as_known_at.clone(),
        figures: figures(&serde_json::to_value(&from.account)?, &serde_json::to_value(&to.account)?),
        findings_come: only(&after, &before),
        findings_gone: only(&before, &after),
        records: explaining(store, scope, asked, known_from, known_to).await?,
        rules_changed: from.basis.rule_set != to.basis.rule_set,
    })
}

fn stamp(statement: &Statement) -> Micros {
    instant_of(&statement.basis.as_known_at).unwrap_or_default()
}

/// Every figure of the two accounts that is not the same, row by row.
fn figures(from: &Value, to: &Value) -> Vec<Difference> {
    let (from, to) = (flat(from), flat(to));
    let all: BTreeSet<&String> = from.keys().chain(to.keys()).collect();
    let of =
        |account: &BTreeMap<String, Value>, figure: &String| account.get(figure).cloned().unwrap_or(json!(0));
    all.into_iter()
        .map(|figure| Difference { figure: figure.clone(), from: of(&from, figure), to: of(&to, figure) })
        .filter(|difference| difference.from != difference.to)
        .collect()
}

/// The figures of an account by place, name, commodity and pointer.
fn flat(account: &Value) -> BTreeMap<String, Value> {
    let mut figures = BTreeMap::new();
    for row in ["rows", "transit"].into_iter().filter_map(|list| account[list].as_array()).flatten() {
        let text = |name: &str| row[name].as_str().unwrap_or_default();
        let place = ["centreID", "pointID", "consignmentID"]
            .into_iter()
            .map(text)
            .find(|id| !id.is_empty())
            .unwrap_or_default();
        let of = format!("{place} {} {}", text("scientificName"), text("commodity"));
        let members = row.as_object().cloned().unwrap_or_default();
        leaves(&of, &members, &mut figures);
    }
    if let Some(deaths) = account["deaths"].as_object() {
        leaves("deaths", deaths, &mut figures);
    }
    figures
}

fn leaves(of: &str, members: &Map<String, Value>, figures: &mut BTreeMap<String, Value>) {
    for (name, value) in members {
        match value {
            Value::Object(inner) => leaves(&format!("{of} {name}"), inner, figures),
            Value::Number(_) => drop(figures.insert(format!("{of} {name}"), value.clone())),
            _ => {}
        }
    }
}

/// Records of the period that became known after one instant, up to another. A link holds from the
/// beginning whatever its date, so links of any day count.
async fn explaining(
    store: &Store,
    scope: &Scope,
    asked: &Asked,
    after: Micros,
    through: Micros,
) -> Result<Vec<Explaining>, NoStatement> {
    let mut found = Vec::new();
    let mut cursor = None;
    loop {
        let filter =
            RecordFilter { place: asked.centre_id.clone(), newest_first: true, ..RecordFilter::default() };
        let page = store.records(scope, &filter, cursor, A_PAGE).await?;
        for record in &page.items {
            if record.known_from <= after {
                found.reverse();
                return Ok(found);
            }
            let day = record.event_day.as_str();
            let early = day <= asked.period.last.to_string().as_str();
            if record.known_from <= through && (early || record.kind == Kind::Link) {
                found.push(Explaining {
                    author_id: record.author_id.clone(),
                    record_id: record.record_id.clone(),
                    revision: record.revision,
                    kind: record.kind.to_string(),
                    event_day: record.event_day.clone(),
                    known_from: instant_text(record.known_from),
                });
            }
        }
        cursor = page.next;
        if cursor.is_none() {
            found.reverse();
            return Ok(found);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_figures_that_differ_are_told_and_a_missing_row_is_zero() {
        let row = |closing: i64| {
            json!({ "centreID": "meruva.thulmar", "scientificName": "Indotestudo elongata", "commodity": "animals",
            "opening": 42, "closing": closing, "in": {}, "out": {}, "stages": { "adult": closing } })
        };
        let of = |rows: Value| json!({ "rows": rows, "transit": [], "deaths": { "inCare": 1 } });
        let told = figures(&of(json!([row(41)])), &of(json!([row(42)])));
        let names: Vec<&str> = told.iter().map(|one| one.figure.as_str()).collect();
        assert_eq!(
            names,
            [
                "meruva.thulmar Indotestudo elongata animals closing",
                "meruva.thulmar Indotestudo elongata animals stages adult",
            ]
        );
        assert_eq!((told[0].from.clone(), told[0].to.clone()), (json!(41), json!(42)));
        let gone = figures(&of(json!([row(42)])), &of(json!([])));
        assert!(gone.iter().all(|one| one.to == json!(0)) && gone.len() == 3, "{gone:?}");
        assert!(figures(&of(json!([row(42)])), &of(json!([row(42)]))).is_empty());
    }
}
