//! Local code laid over the shipped profiles.

use super::*;

/// The patch that a local rule book would send.
fn local(patch: Value) -> Result<Profiles, ProfileError> {
    Profiles::standard().with_overrides(&patch)
}

fn pointers(patch: Value) -> Vec<String> {
    let error = local(patch).expect_err("a refused override");
    error.faults.into_iter().map(|fault| fault.pointer).collect()
}

#[test]
fn merge_patch_follows_the_examples_of_rfc_7396() {
    // RFC 7396, appendix A: original, patch, result.
    let examples = json!([
        [{"a":"b"}, {"a":"c"}, {"a":"c"}],
        [{"a":"b"}, {"b":"c"}, {"a":"b","b":"c"}],
        [{"a":"b"}, {"a":null}, {}],
        [{"a":"b","b":"c"}, {"a":null}, {"b":"c"}],
        [{"a":["b"]}, {"a":"c"}, {"a":"c"}],
        [{"a":"c"}, {"a":["b"]}, {"a":["b"]}],
        [{"a":{"b":"c"}}, {"a":{"b":"d","c":null}}, {"a":{"b":"d"}}],
        [{"a":[{"b":"c"}]}, {"a":[1]}, {"a":[1]}],
        [["a","b"], ["c","d"], ["c","d"]],
        [{"a":"b"}, ["c"], ["c"]],
        [{"a":"foo"}, null, null],
        [{"a":"foo"}, "bar", "bar"],
        [{"e":null}, {"a":1}, {"e":null,"a":1}],
        [[1,2], {"a":"b","c":null}, {"a":"b"}],
        [{}, {"a":{"bb":{"ccc":null}}}, {"a":{"bb":{}}}],
    ]);
    for example in examples.as_array().unwrap() {
        let mut result = example[0].clone();
        merge_patch(&mut result, &example[1]);
        assert_eq!(result, example[2], "{example}");
    }
}

#[test]
fn a_local_figure_replaces_the_shipped_one_with_its_source() {
    let profiles = local(json!({
        "version": "meruva.2",
        "sources": { "meruva-code": { "title": "Code of the Meruva basin" } },
        "Crocodylus palustris": { "quarantineDays": { "value": 60, "source": "meruva-code" } }
    }))
    .unwrap();
    let mugger = profiles.get("Crocodylus palustris").unwrap();
    assert_eq!((mugger.quarantine_days.value, mugger.quarantine_days.source.as_str()), (60, "meruva-code"));
    assert_eq!(mugger.hazard, get("Crocodylus palustris").hazard);
    assert_eq!(profiles.get("Gavialis gangeticus").unwrap().quarantine_days.value, 30);
    assert_eq!(profiles.version(), format!("{}+meruva.2", Profiles::standard().version()));
}

#[test]
fn a_figure_without_a_source_is_refused_and_never_keeps_the_old_one() {
    let figure = json!({ "Crocodylus palustris": { "quarantineDays": { "value": 60 } } });
    assert_eq!(pointers(figure), ["/Crocodylus palustris/quarantineDays"]);
    let hearsay = json!({ "Crocodylus palustris": { "quarantineDays": { "value": 60, "source": "x" } } });
    assert_eq!(pointers(hearsay), ["/Crocodylus palustris/quarantineDays/source"]);
}

#[test]
fn a_rule_of_another_kind_replaces_the_whole_rule() {
    let floor = json!({ "rule": "floor", "class": "small", "baseAnimals": 2, "baseM2": 2.0,
        "furtherM2": 0.5, "substrateDepthM": 0.05 });
    let profiles = local(json!({ "Melanochelys trijuga": { "space": {
        "value": floor, "source": "common practice" } } }))
    .unwrap();
    let space = profiles.get("Melanochelys trijuga").unwrap().space.value;
    assert!(matches!(space, SpaceRule::Floor { class: FloorClass::Small, .. }));
}

#[test]
fn defaults_are_patched_for_a_whole_order_and_null_goes_back_to_them() {
    let sixty = json!({ "quarantineDays": { "value": 60, "source": "common practice" } });
    let profiles = local(json!({ "defaults": { "Testudines": sixty } })).unwrap();
    assert_eq!(profiles.get("Lissemys punctata").unwrap().quarantine_days.value, 60);
    assert_eq!(profiles.get("Crocodylus palustris").unwrap().quarantine_days.value, 30);
    let back =
        local(json!({ "Hardella thurjii": { "synonyms": null }, "Lissemys punctata": { "diet": null } }));
    let back = back.unwrap();
    assert!(back.get("Hardella thurjii").unwrap().synonyms.is_empty());
    assert_eq!(back.get("Lissemys punctata").unwrap().diet.value, Diet::Carnivore);
}

#[test]
fn a_species_may_be_added_or_taken_away() {
    let added = json!({ "Chelodina longicollis": {
        "order": "Testudines", "family": "Chelidae", "group": "pondTurtle",
        "commonNames": { "value": ["eastern long-necked turtle"], "source": "from memory" },
        "adultSize": { "value": { "measure": "straightCarapaceLength", "typicalM": 0.2, "largestM": 0.28 },
            "source": "from memory" },
        "treaty": { "value": { "appendix": "notListed", "asOf": "2023" }, "source": "from memory" }
    }, "Apalone ferox": null });
    let profiles = local(added).unwrap();
    assert_eq!(profiles.get("Chelodina longicollis").unwrap().quarantine_days.value, 90);
    assert!(profiles.get("Apalone ferox").is_none());
    assert_eq!(profiles.len(), Profiles::standard().len());
}

#[test]
fn every_fault_is_named_with_its_place() {
    assert_eq!(pointers(json!([])), [""]);
    assert_eq!(pointers(json!({ "crocodylus palustris": {} })), ["/crocodylus palustris"]);
    assert_eq!(pointers(json!({ "Crocodylus palustris": 3 })), ["/Crocodylus palustris"]);
    assert_eq!(pointers(json!({ "version": 3 })), ["/version"]);
    assert_eq!(pointers(json!({ "sources": { "x": {} } })), ["/sources/x"]);
    assert_eq!(pointers(json!({ "defaults": { "turtles": {} } })), ["/defaults/turtles"]);
    assert_eq!(pointers(json!({ "Chelodina longicollis": {} })), ["/Chelodina longicollis/order"]);
    let group = json!({ "Crocodylus palustris": { "group": "softshell" } });
    assert_eq!(pointers(group), ["/Crocodylus palustris/group"]);
    let unknown = json!({ "Crocodylus palustris": { "colour/s": 1 } });
    assert_eq!(pointers(unknown), ["/Crocodylus palustris/colour~1s"]);
    let two = json!({ "Crocodylus palustris": {
        "diet": { "value": "goats", "source": "from memory" },
        "keepingTemperature": { "value": { "lowC": 40.0 }, "source": "from memory" } } });
    let mut found = pointers(two);
    found.sort();
    let wanted = ["/Crocodylus palustris/diet/value", "/Crocodylus palustris/keepingTemperature/value"];
    assert_eq!(found, wanted);
    let band = json!({ "Crocodylus palustris": { "keepingTemperature":
        { "value": { "lowC": 40.0, "highC": 20.0 }, "source": "from memory" } } });
    assert_eq!(pointers(band), ["/Crocodylus palustris/keepingTemperature/value"]);
    let basin = json!({ "Crocodylus palustris": { "basins": { "meruva": {
        "sensitivity": { "value": 7, "source": "proposal" } } } } });
    assert_eq!(pointers(basin), ["/Crocodylus palustris/basins/meruva/sensitivity/value"]);
    let synonym = json!({ "Hardella thurjii": { "synonyms":
        [{ "value": "Batagur baska", "source": "from memory" }] } });
    assert_eq!(pointers(synonym), ["/Hardella thurjii/synonyms/0/value"]);
    let softshells =
        json!({ "defaults": { "softshell": { "space": { "value": 1, "source": "proposal" } } } });
    let found = pointers(softshells);
    assert!(!found.is_empty() && found.iter().all(|p| p == "/defaults/softshell/space/value"), "{found:?}");
}
