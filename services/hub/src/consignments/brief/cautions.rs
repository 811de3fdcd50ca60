//! What can hurt somebody and what forbids the journey, and what else to know.

use haulout_schemas::profile::{Group, Profile};
use haulout_schemas::vocabulary::Known;

use super::super::carrying::{self, Said};
use super::bodies::Traveller;
use super::{Making, handling};
use crate::reservations::alarms::UNCONFIRMED;

impl Making<'_> {
    /// What forbids the journey, then what can hurt people.
    pub(super) fn hazards(&self, profiles: &[&Profile], travellers: &[Traveller<'_>]) -> Vec<Said> {
        let alarms = self.kept.iter().flat_map(|one| &one.alarms);
        let mut hazards: Vec<Said> = alarms
            .filter(|alarm| alarm.severity == "critical")
            .map(|alarm| Said::new(format!("STOP. {}", alarm.sentence), format!("alarm {}", alarm.code)))
            .collect();
        // A name above the species may mean any of them: the worst stands for all.
        let listed: Vec<&&Profile> = match profiles {
            [worst, .., _] if profiles.len() > 8 => vec![worst],
            all => all.iter().collect(),
        };
        // A sentence that holds for several is said once.
        let mut lines: Vec<(Vec<String>, Said)> = Vec::new();
        for profile in listed {
            let crew = handling::crew(profile, travellers);
            for (by_name, said) in carrying::hazards(profile, &self.state.configuration.profiles, crew) {
                let name = by_name.then(|| carrying::called(profile));
                match lines.iter_mut().find(|(_, known)| *known == said) {
                    Some((names, _)) => names.extend(name),
                    None => lines.push((name.into_iter().collect(), said)),
                }
            }
        }
        hazards.extend(lines.into_iter().map(|(names, said)| match names.as_slice() {
            [] => said,
            names => Said::new(format!("{}: {}", names.join(", "), said.text), said.source),
        }));
        if profiles.is_empty() {
            hazards.push(Said::new(
                "No profile is known for what travels: treat it as able to maim, and ask the vet.",
                "common practice",
            ));
        }
        hazards
    }

    /// Alarms, crates, case property, and what holds on every road; the last line says what all this means.
    pub(super) fn cautions(&self, groups: &[Group]) -> Vec<Said> {
        let mut cautions: Vec<Said> = self
            .kept
            .iter()
            .flat_map(|one| &one.alarms)
            // Grave ones stand among the hazards, and what was not confirmed beside its telephone call.
            .filter(|alarm| alarm.severity != "critical" && alarm.code != UNCONFIRMED.code)
            .map(|alarm| Said::new(alarm.sentence.clone(), format!("alarm {}", alarm.code)))
            .collect();
        let unclean: Vec<&str> = self
            .told
            .crates_out()
            .into_iter()
            .filter(|(_, one)| one.disinfected != Known::Yes)
            .map(|(_, one)| one.crate_id.as_str())
            .collect();
        if !unclean.is_empty() {
            cautions.push(Said::new(
                format!("Not known to be disinfected: {}. Disinfect before loading.", unclean.join(", ")),
                "dispatch",
            ));
        }
        if self.requests.iter().any(|one| one.custody.as_ref().is_some_and(|c| c.case_property != Known::No))
        {
            cautions.push(Said::new(
                "Case property, or it may be: nothing is handed over to anybody but the office at the other end.",
                "common practice",
            ));
        }
        if self.from().place_id.is_none() {
            cautions.push(Said::new(
                "Where wild animals live is not told to others: keep this page with you.",
                "common practice",
            ));
        }
        cautions.extend(carrying::on_the_road(groups));
        cautions.push(Said::new(
            "No reason was found against this journey by the rules that were checked. That is all it means: local \
             codes, the vet and the crew on the spot decide.",
            "Haulout",
        ));
        cautions
    }
}
