//! What a card says. The wording is ours; what each sentence rests on stands beside it.

use haulout_schemas::profile::{Group, HazardClass, Profile};

use super::{Part, Section};
use crate::grounds::{Advice, Grounds};

/// What the sentences turn on.
#[derive(Debug, Clone, Copy)]
pub(super) struct Size {
    pub large: bool,
    pub hazard: HazardClass,
    pub people_in_danger: bool,
    pub least: u8,
}

/// Things in or on an animal that are reported before it is moved, with the words that tell of them.
const FOREIGN: [(&str, &[&str]); 4] = [
    ("a spit or spear", &["spit", "spear", "harpoon", "arrow", "rod"]),
    ("a hook or line", &["hook", "line", "fishhook"]),
    ("tape, cord or wire", &["tape", "taped", "cord", "wire", "rope", "bound", "tied"]),
    ("a snare or net", &["snare", "snared", "net", "netting"]),
];

pub(super) fn sections(profile: &Profile, size: Size, injuries: &[String]) -> Vec<Section> {
    let crocodilian = profile.group == Group::Crocodilian;
    let parts = [
        (Part::Cautions, cautions(size)),
        (Part::ReportFirst, report_first(injuries)),
        (Part::Never, never(profile.group)),
        (Part::Light, light(size)),
        (Part::Wear, wear(profile.group)),
        (Part::Catch, catch(profile.group, size.large)),
        (Part::Hold, hold(profile.group, size.large)),
        (Part::Restrain, restrain(profile.group)),
        (Part::Cover, cover(crocodilian)),
        (Part::WaterLoss, water_loss(crocodilian)),
        (Part::Zoonosis, zoonosis(profile)),
    ];
    parts.into_iter().map(|(part, lines)| Section { part, heading: part.heading(), lines }).collect()
}

fn common(text: &'static str) -> Advice {
    Advice::new(text, Grounds::common_practice())
}

fn memory(text: &'static str) -> Advice {
    Advice::new(text, Grounds::memory())
}

fn proposal(text: &'static str) -> Advice {
    Advice::new(text, Grounds::proposal("Haulout: caution on the side of people"))
}

fn cautions(size: Size) -> Vec<Advice> {
    let mut lines = vec![proposal(
        "For trained people only. Local code and the licensed veterinarian stand above this card; it says nothing is safe.",
    )];
    match size.hazard {
        HazardClass::Deadly => lines.push(memory(
            "Can kill when grown. Keep out of the arc between head and tail, and 5 m from the water's edge; keep bystanders back.",
        )),
        HazardClass::Severe => lines.push(memory("Its bite maims. Never within reach of the head.")),
        HazardClass::Biting => {
            lines.push(memory("Its bite wounds, and the neck reaches far back over the shell."));
        }
        HazardClass::Low => lines.push(common("It bites and scratches when frightened.")),
    }
    if size.least > 1 || size.hazard >= HazardClass::Severe {
        lines.push(memory("Nobody works alone with it, nor near its nest."));
    }
    lines
}

/// What the injuries tell of comes first, then what to look for whatever was told.
fn report_first(injuries: &[String]) -> Vec<Advice> {
    let mut lines = Vec::new();
    for (what, words) in FOREIGN {
        if injuries.iter().any(|injury| tells_of(injury, words)) {
            let text = format!(
                "Told: {what}. Report it to the veterinarian before the animal is moved; leave it where it is unless it stops the breath."
            );
            lines.push(Advice::new(text, Grounds::records("injuries as told")));
        }
    }
    let others: Vec<&str> = injuries
        .iter()
        .filter(|injury| FOREIGN.iter().all(|(_, words)| !tells_of(injury, words)))
        .map(String::as_str)
        .collect();
    if !others.is_empty() {
        let text = format!("Told: {}. Keep hands and straps off it.", others.join("; "));
        lines.push(Advice::new(text, Grounds::records("injuries as told")));
    }
    lines.push(proposal(
        "Look for spits, hooks, lines, tape and snares, in the mouth and under the limbs too, and report them first. Never pull a line: it may hold a hook inside.",
    ));
    lines
}

/// Whole words only, so that a `decline` is no line.
fn tells_of(injury: &str, words: &[&str]) -> bool {
    injury.split(|letter: char| !letter.is_alphabetic()).any(|word| {
        let word = word.to_lowercase();
        words.iter().any(|known| word == *known || word.strip_suffix('s') == Some(known))
    })
}

fn never(group: Group) -> Vec<Advice> {
    if group == Group::Crocodilian {
        return vec![
            memory("Never stand in line with the jaws or the tail. Never by the tail alone."),
            common("Never cover the nostrils."),
            memory("Never leave bindings on longer than the veterinarian or local code allows."),
        ];
    }
    let mut lines = vec![
        common(
            "Never on its back: it has no true diaphragm, and the organs press on the lungs under the shell.",
        ),
        common(
            "Never reach across a large turtle that is not restrained; never point its head at the handler.",
        ),
    ];
    if matches!(group, Group::Softshell | Group::SnappingTurtle) {
        lines.push(memory("Never lift it by the tail. Never rely on gloves: they do not stop its bite."));
    }
    lines
}

fn light(size: Size) -> Vec<Advice> {
    if size.people_in_danger {
        return vec![proposal(
            "People are in danger: bring the people away first, then act with light from two sides; nobody enters the water in the dark.",
        )];
    }
    vec![proposal(
        "By daylight. At night keep people back and watch from a distance, unless people are in danger.",
    )]
}

fn wear(group: Group) -> Vec<Advice> {
    let mut lines = vec![common("Gloves, long sleeves and closed boots; a mask where dust or spray flies.")];
    if group != Group::Crocodilian {
        lines.push(common("Gloves keep off scratches and germs; they are no leave to go near the beak."));
    }
    lines
}

fn catch(group: Group, large: bool) -> Vec<Advice> {
    match (group, large) {
        (Group::Crocodilian, false) => {
            vec![common("Below 1 m: by hand, tongs, noose, dip net, cast net or chain net; the head first.")]
        }
        (Group::Crocodilian, true) => vec![
            common("1 m and above, or of unknown length: noose, trap or net, never by hand."),
            memory("Control of the head comes first."),
        ],
        (Group::Softshell | Group::SnappingTurtle, _) => {
            vec![memory("From behind, with a net or a board between its head and people.")]
        }
        _ => vec![common("From behind, both hands to the sides of the shell.")],
    }
}

fn hold(group: Group, large: bool) -> Vec<Advice> {
    match (group, large) {
        (Group::Crocodilian, false) => vec![memory(
            "One hand behind the head, one at the base of the tail; level, and held against the body.",
        )],
        (Group::Crocodilian, true) => vec![memory(
            "On a board or sling, never dragged: the head is held until the jaws are bound, and the tail with it.",
        )],
        (Group::Softshell, _) => vec![common(
            "Firmly at the rear of the shell with both hands; a large one by two people, rear and front.",
        )],
        (Group::SnappingTurtle, _) => {
            vec![memory(
                "At the rear of the shell, the head away from everybody; a large one in a lidded tub.",
            )]
        }
        (_, false) => vec![common("Both hands on the sides of the shell, between fore and hind limbs.")],
        (_, true) => vec![common(
            "One hand on each side, or behind the head and above the tail; the head away from the handler.",
        )],
    }
}

fn restrain(group: Group) -> Vec<Advice> {
    match group {
        Group::Crocodilian => vec![
            memory("Jaws bound with a band that comes off in one pull, nostrils free; note the time."),
            memory("No drug but by a veterinarian."),
        ],
        Group::Softshell | Group::SnappingTurtle => {
            vec![memory(
                "In a padded tub with a lid that holds, the padding wet for softshells; no straps over the neck.",
            )]
        }
        _ => {
            vec![common("In a padded box just larger than the animal; no straps over head, limbs or wounds.")]
        }
    }
}

fn cover(crocodilian: bool) -> Vec<Advice> {
    if crocodilian {
        return vec![common(
            "Once caught: eyes covered from a distance with cloth or sacking, nostrils left free.",
        )];
    }
    vec![common("Eyes or box covered with cloth, air let in; quiet and shade.")]
}

fn water_loss(crocodilian: bool) -> Vec<Advice> {
    let mut lines = vec![common(
        "A frightened animal passes urine and loses water: note it, and plan fluids on arrival.",
    )];
    if !crocodilian {
        lines.push(memory("Moist padding, never water deep enough to drown or slosh in."));
    }
    lines
}

fn zoonosis(profile: &Profile) -> Vec<Advice> {
    vec![
        Advice::new(profile.zoonosis.value.clone(), Grounds::profile(&profile.zoonosis.source)),
        memory("Wash hands after animals, water and tanks. No eating there."),
    ]
}
