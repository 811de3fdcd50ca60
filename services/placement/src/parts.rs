//! The parts of a request file that changes concern, made anew one by one: what nothing concerns is
//! looked at where it is.

use std::cell::RefCell;

use json_patch::jsonptr::PointerBuf;
use json_patch::{AddOperation, PatchOperation, RemoveOperation};
use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::Value;

use crate::answer::Change;
use crate::case::{Asked, AtCentre, List};
use crate::request::Request;
use crate::view::{Centre, RegionView, Roads, Standstill, Unit};

/// Which part of the file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Whose {
    Request,
    Centre,
    /// The unit at a position of the file; one that is added comes after all others.
    Unit(usize),
    Roads,
    Standstills,
}

/// A part with changes applied.
pub(crate) enum Part {
    Request(Box<Request>),
    Centre(Box<Centre>),
    Unit(usize, Box<Unit>),
    Roads(Box<Roads>),
    Standstills(Vec<Standstill>),
}

impl Part {
    pub fn whose(&self) -> Whose {
        match self {
            Self::Request(_) => Whose::Request,
            Self::Centre(_) => Whose::Centre,
            Self::Unit(at, _) => Whose::Unit(*at),
            Self::Roads(_) => Whose::Roads,
            Self::Standstills(_) => Whose::Standstills,
        }
    }
}

/// The parts that decide about one centre, as they stand.
pub(crate) struct Parts<'a> {
    here: &'a AtCentre<'a>,
    /// Their documents, each made once.
    documents: RefCell<Vec<(Whose, Value)>>,
}

impl<'a> Parts<'a> {
    pub fn of(here: &'a AtCentre<'a>) -> Self {
        Self { here, documents: RefCell::default() }
    }

    /// The part that a change concerns; `None` where it leads nowhere.
    pub fn whose(&self, change: &Change) -> Option<Whose> {
        self.split(change.path()).map(|(whose, _)| whose)
    }

    /// The part that a pointer leads into, and the pointer within it.
    fn split<'b>(&self, path: &'b str) -> Option<(Whose, &'b str)> {
        let (list, rest) = path.strip_prefix('/')?.split_once('/')?;
        let within = |rest: &'b str| match rest.find('/') {
            Some(at) => rest.split_at(at),
            None => (rest, ""),
        };
        match list {
            "requests" => Some((Whose::Request, within(rest).1)),
            "centres" => Some((Whose::Centre, within(rest).1)),
            "units" => {
                let (at, rest) = within(rest);
                let at = if at == "-" { self.here.asked.view.units.len() } else { at.parse().ok()? };
                Some((Whose::Unit(at), rest))
            }
            "roads" | "standstills" => {
                let whose = if list == "roads" { Whose::Roads } else { Whose::Standstills };
                Some((whose, path.get(list.len() + 1..)?))
            }
            _ => None,
        }
    }

    /// Every part that the changes concern, with all of them applied in their order; `None` where one
    /// does not apply.
    pub fn changed(&self, changes: &[Change]) -> Option<Vec<Part>> {
        let mut concerned: Vec<(Whose, Vec<&Change>)> = Vec::new();
        for change in changes {
            let whose = self.whose(change)?;
            match concerned.iter_mut().find(|(one, _)| *one == whose) {
                Some((_, mine)) => mine.push(change),
                None => concerned.push((whose, vec![change])),
            }
        }
        concerned.into_iter().map(|(whose, mine)| self.made(whose, &mine)).collect()
    }

    /// One part with the changes that concern it.
    pub fn made(&self, whose: Whose, changes: &[&Change]) -> Option<Part> {
        let mut document = self.document(whose)?;
        for change in changes {
            let (_, path) = self.split(change.path())?;
            let path = PointerBuf::parse(path).ok()?;
            let operation = match change {
                Change::Add { value, .. } => PatchOperation::Add(AddOperation { path, value: value.clone() }),
                Change::Remove { .. } => PatchOperation::Remove(RemoveOperation { path }),
            };
            json_patch::patch(&mut document, &[operation]).ok()?;
        }
        Some(match whose {
            Whose::Request => Part::Request(read(document)?),
            Whose::Centre => Part::Centre(read(document)?),
            Whose::Unit(at) => Part::Unit(at, read(document)?),
            Whose::Roads => Part::Roads(read(document)?),
            Whose::Standstills => Part::Standstills(*read(document)?),
        })
    }

    /// The part as it stands; nothing, for a unit to be added.
    fn document(&self, whose: Whose) -> Option<Value> {
        if let Some((_, document)) = self.documents.borrow().iter().find(|(one, _)| *one == whose) {
            return Some(document.clone());
        }
        let view = self.here.asked.view;
        let document = match whose {
            Whose::Request => written(self.here.asked.request),
            Whose::Centre => written(self.here.centre),
            Whose::Unit(at) => view.units.get(at).map_or(Some(Value::Null), written),
            Whose::Roads => written(&view.roads),
            Whose::Standstills => written(&view.standstills),
        }?;
        self.documents.borrow_mut().push((whose, document.clone()));
        Some(document)
    }
}

fn written(part: &impl Serialize) -> Option<Value> {
    serde_json::to_value(part).ok()
}

fn read<T: DeserializeOwned>(document: Value) -> Option<Box<T>> {
    serde_json::from_value(document).ok()
}

impl<'a> AtCentre<'a> {
    /// What is answered of the same centre with some parts of the file changed.
    pub fn with_parts<'b, T>(
        &'b self,
        changed: impl Iterator<Item = &'b Part>,
        answer: impl FnOnce(&AtCentre<'_>) -> T,
    ) -> T {
        let (mut request, mut centre, mut units) = (self.asked.request, self.centre, self.units.clone());
        let (mut roads, mut standstills) = (None, None);
        let mut other_units = false;
        for part in changed {
            match part {
                Part::Request(changed) => request = changed,
                Part::Centre(changed) => centre = changed,
                Part::Unit(at, changed) => {
                    units = List::Owned(with_unit(&units, *at, changed));
                    other_units = true;
                }
                Part::Roads(changed) => roads = Some(&**changed),
                Part::Standstills(changed) => standstills = Some(changed),
            }
        }
        let view = (roads.is_some() || standstills.is_some()).then(|| around(self, roads, standstills));
        let asked = (view.is_some() || !std::ptr::eq(request, self.asked.request))
            .then(|| self.asked.with(view.as_ref().unwrap_or(self.asked.view), request));
        let unmoved = asked.is_none();
        let asked: &Asked<'_> = asked.as_ref().unwrap_or(self.asked);
        let unchanged = !other_units && std::ptr::eq(centre, self.centre);
        let here = AtCentre::again(self, asked, centre, units, unmoved, unchanged);
        answer(&here)
    }
}

/// The units with one of them changed, or added.
fn with_unit<'a>(units: &[(usize, &'a Unit)], at: usize, changed: &'a Unit) -> Vec<(usize, &'a Unit)> {
    let mut units = units.to_vec();
    match units.iter_mut().find(|(unit_at, _)| *unit_at == at) {
        Some((_, unit)) => *unit = changed,
        None => units.push((at, changed)),
    }
    units
}

/// The region around a centre, with other roads or standstills.
fn around(here: &AtCentre<'_>, roads: Option<&Roads>, standstills: Option<&Vec<Standstill>>) -> RegionView {
    let asked = here.asked;
    let view = asked.view;
    let from = asked.request.from.place_id.as_ref();
    let base = asked.request.team.as_ref().and_then(|team| team.place_id.as_ref());
    // Where the animal or its team stands at a centre, that one's position counts.
    let centres = view.centres.iter().filter(|other| {
        let id = Some(&other.centre_id);
        id == from || id == base
    });
    RegionView {
        centres: centres.cloned().collect(),
        units: Vec::new(),
        points: view.points.iter().filter(|point| Some(&point.point_id) == from).cloned().collect(),
        roads: roads.unwrap_or(&view.roads).clone(),
        standstills: standstills.unwrap_or(&view.standstills).clone(),
        settings: view.settings.clone(),
    }
}
