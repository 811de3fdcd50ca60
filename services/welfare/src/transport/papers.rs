//! Papers of a journey: inside a state, between states, across a border.
//!
//! A list to ask the authority with, not a statement of law: what a state asks
//! for is local code, and treaty listings change.

use haulout_schemas::profile::{Appendix, Profile};
use haulout_schemas::vocabulary::Known;
use serde::{Deserialize, Serialize};

use crate::grounds::Grounds;

/// How far a journey goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub enum Reach {
    /// Inside one state of a country.
    InsideState,
    /// From one state of a country to another.
    BetweenStates,
    /// Across a border.
    AcrossBorder,
}

/// Who gives a paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub enum Giver {
    /// The sending centre.
    Sender,
    /// A licensed veterinarian.
    Veterinarian,
    /// The licensing authority of the place of departure.
    AuthorityThere,
    /// The licensing authority of the place of arrival.
    AuthorityHere,
    /// The treaty's management authority of the country of departure.
    ManagementAuthorityThere,
    /// The treaty's management authority of the country of arrival.
    ManagementAuthorityHere,
    /// The court or agency of the case.
    CaseHolder,
}

/// A paper.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Paper {
    /// What it is.
    pub paper: String,
    /// Who gives it.
    pub giver: Giver,
    /// What the demand rests on.
    pub grounds: Grounds,
}

/// The list.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Papers {
    /// The papers.
    pub papers: Vec<Paper>,
    /// What to know about the listing, with its day.
    pub notes: Vec<String>,
    /// Shown with every list.
    pub caution: &'static str,
}

/// The papers to ask for. `case_property`: whether the animals are bound by a case.
#[must_use]
pub fn papers(profile: &Profile, reach: Reach, case_property: Known) -> Papers {
    let paper = |text: &str, giver, grounds| Paper { paper: text.to_owned(), giver, grounds };
    let memory = Grounds::memory;
    let mut papers = vec![
        paper("list of animals with species, number and marks", Giver::Sender, Grounds::common_practice()),
        paper("word that they are fit to travel", Giver::Veterinarian, Grounds::common_practice()),
        paper("leave to transport", Giver::AuthorityThere, memory()),
    ];
    if case_property != Known::No {
        papers.push(paper("leave to move case property", Giver::CaseHolder, memory()));
    }
    if reach >= Reach::BetweenStates {
        papers.push(paper(
            "health certificate that the place of arrival accepts",
            Giver::Veterinarian,
            memory(),
        ));
        papers.push(paper("leave to bring them in", Giver::AuthorityHere, memory()));
    }
    let mut notes = Vec::new();
    let listing = &profile.treaty.value;
    if case_property == Known::Unknown {
        notes.push("not known whether a case binds them: ask before loading".to_owned());
    }
    if reach == Reach::AcrossBorder {
        let grounds = || Grounds::profile(&profile.treaty.source);
        let export = "treaty export permit (six months, from memory)";
        let import = "treaty import permit (twelve months, from memory)";
        notes.push(format!("treaty listing as of {}; later changes not checked", listing.as_of));
        match listing.appendix {
            Appendix::I => {
                papers.push(paper(import, Giver::ManagementAuthorityHere, grounds()));
                papers.push(paper(export, Giver::ManagementAuthorityThere, grounds()));
            }
            Appendix::ByPopulation => {
                notes.push(
                    "Appendix I or II by population: both permits, until the authority says which".into(),
                );
                papers.push(paper(import, Giver::ManagementAuthorityHere, grounds()));
                papers.push(paper(export, Giver::ManagementAuthorityThere, grounds()));
            }
            Appendix::II => papers.push(paper(export, Giver::ManagementAuthorityThere, grounds())),
            Appendix::III => papers.push(paper(
                "treaty export permit or certificate of origin",
                Giver::ManagementAuthorityThere,
                grounds(),
            )),
            Appendix::NotListed => notes
                .push("not listed by the treaty as far as is known; national law may ask for more".into()),
        }
        if listing.zero_quota_wild {
            notes.push("zero quota for wild animals in commercial trade".into());
        }
        notes.push(
            "source code I of confiscated animals stands only together with another (50 CFR 23.24)".into(),
        );
    }
    Papers {
        papers,
        notes,
        caution: "a list to ask with, no statement of law: the authorities of both ends decide what is needed",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use haulout_schemas::profile::Profiles;

    fn givers(name: &str, reach: Reach, case: Known) -> Vec<Giver> {
        let told = papers(Profiles::standard().get(name).unwrap(), reach, case);
        told.papers.iter().map(|paper| paper.giver).collect()
    }

    /// Appendix I asks for both permits, Appendix II for the export permit.
    #[test]
    fn the_further_the_more() {
        use Giver::{
            AuthorityHere, AuthorityThere, CaseHolder, ManagementAuthorityHere, ManagementAuthorityThere,
            Sender, Veterinarian,
        };
        let gharial = "Gavialis gangeticus";
        let inside = [Sender, Veterinarian, AuthorityThere];
        assert_eq!(givers(gharial, Reach::InsideState, Known::No), inside);
        assert_eq!(
            givers(gharial, Reach::InsideState, Known::Unknown),
            [Sender, Veterinarian, AuthorityThere, CaseHolder]
        );
        let between = [Sender, Veterinarian, AuthorityThere, Veterinarian, AuthorityHere];
        assert_eq!(givers(gharial, Reach::BetweenStates, Known::No), between);
        let abroad = givers(gharial, Reach::AcrossBorder, Known::No);
        assert_eq!(abroad[5..], [ManagementAuthorityHere, ManagementAuthorityThere]);
    }

    #[test]
    fn the_listing_comes_with_its_day() {
        for profile in Profiles::standard().iter() {
            let told = papers(profile, Reach::AcrossBorder, Known::No);
            assert!(told.notes.iter().any(|note| note.contains(&profile.treaty.value.as_of)));
            let treaty = told.papers.len() - 5;
            let expected = match profile.treaty.value.appendix {
                Appendix::I | Appendix::ByPopulation => 2,
                Appendix::II | Appendix::III => 1,
                Appendix::NotListed => 0,
            };
            assert_eq!(treaty, expected, "{}", profile.scientific_name);
        }
    }
}
