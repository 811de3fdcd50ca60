//! The answer as a picture: units and journeys in the order of time, who may have carried in each, and
//! the contacts by which each was first reached. SVG, told apart by shape and pattern, not by colour.

use super::carrier::Carrier;
use super::contact::Contact;
use super::told::{Bar, Lane, Traced};
use chrono::{Days as Count, NaiveDate};
use maud::{Markup, html};
use std::collections::BTreeMap;

const LEFT: f64 = 210.0;
const PLOT: f64 = 900.0;
const RIGHT: f64 = 40.0;
const TOP: f64 = 96.0;
const ROW: f64 = 27.0;
const GAP: f64 = 9.0;
const LINE: f64 = 15.0;
/// Rows drawn; a picture of more is read by nobody, and the list has all of them.
const ROWS: usize = 300;

/// One row of the picture.
struct Row<'t> {
    lane: &'t Lane,
    bar: &'t Bar,
    y: f64,
}

/// Days across the picture.
struct Scale {
    first: NaiveDate,
    last: NaiveDate,
}

impl Scale {
    fn days(&self) -> i64 {
        (self.last - self.first).num_days() + 1
    }

    /// The left edge of a day.
    #[allow(clippy::cast_precision_loss, reason = "days of a few years")]
    fn x(&self, day: NaiveDate) -> f64 {
        let at = (day - self.first).num_days().clamp(0, self.days());
        LEFT + PLOT * at as f64 / self.days() as f64
    }

    fn middle(&self, day: NaiveDate) -> f64 {
        let next = day.checked_add_days(Count::new(1)).unwrap_or(day);
        f64::midpoint(self.x(day), self.x(next))
    }

    /// At most ten days with a label, whole steps apart.
    fn ticks(&self) -> Vec<NaiveDate> {
        let step = usize::try_from(self.days() / 10 + 1).unwrap_or(1);
        self.first.iter_days().take_while(|day| *day <= self.last).step_by(step).collect()
    }
}

/// Draws an answer.
pub fn svg(traced: &Traced) -> String {
    let bars = || traced.lanes.iter().flat_map(|lane| &lane.bars);
    let last = traced.question.through;
    let first = bars().map(|bar| bar.from).min().unwrap_or(last).min(last);
    let scale = Scale { first, last };
    let mut y = TOP;
    let mut heads: Vec<(f64, &Lane)> = Vec::new();
    let mut rows: Vec<Row<'_>> = Vec::new();
    for lane in &traced.lanes {
        if rows.len() >= ROWS {
            break;
        }
        heads.push((y, lane));
        for bar in &lane.bars {
            rows.push(Row { lane, bar, y });
            y += ROW;
        }
        y += GAP;
    }
    let contacts = contacts(traced);
    let left_out = bars().count().saturating_sub(rows.len());
    let below = y + 20.0;
    #[allow(clippy::cast_precision_loss, reason = "a few hundred lines")]
    let height = below + LINE * (contacts.len() + 5) as f64;
    let width = LEFT + PLOT + RIGHT;
    let sources: Vec<String> = traced.sources.iter().map(|source| source.who.to_string()).collect();
    let title = format!("Tracing from {}", some(&sources));
    let drawn = html! {
        svg xmlns="http://www.w3.org/2000/svg" viewBox=(format!("0 0 {width} {height}")) width=(width) height=(height)
            role="img" aria-labelledby="traced-title traced-desc" font-family="sans-serif" font-size="12" fill="#000" {
            title id="traced-title" { (title) }
            desc id="traced-desc" { (described(traced)) }
            (patterns())
            rect x="0" y="0" width=(width) height=(height) fill="#fff" {}
            text x="10" y="22" font-size="16" font-weight="bold" { (title) }
            text x="10" y="40" {
                "Window of " (traced.question.window_days) " days before the sign, " (traced.question.depth)
                " removes, through " (traced.question.through) "."
            }
            (legend())
            @for tick in scale.ticks() {
                line x1=(scale.x(tick)) x2=(scale.x(tick)) y1=(TOP - 8.0) y2=(y) stroke="#bbb" stroke-width="0.7" {}
                text x=(scale.x(tick) + 2.0) y=(TOP - 12.0) font-size="11" { (tick) }
            }
            @for (y, lane) in &heads { (head(*y, lane, width)) }
            @for row in &rows { (bar(row, &scale)) }
            // Numbers last: none is hidden by another's line.
            @for numbers in [false, true] {
                @for (at, contact) in contacts.iter().enumerate() { (joined(at + 1, contact, &rows, &scale, numbers)) }
            }
            @for (at, contact) in contacts.iter().enumerate() { (line_of(at, contact, below)) }
            @if left_out > 0 {
                text x="10" y=(height - 58.0) { (left_out) " more stays are in the list and not drawn." }
            }
            @for (line, at) in wrapped(traced.caution).iter().zip([height - 40.0, height - 26.0, height - 12.0]) {
                text x="10" y=(at) font-size="11" { (line) }
            }
        }
    };
    drawn.into_string()
}

/// A text in lines as long as the picture is wide.
fn wrapped(text: &str) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if line.len() + word.len() < 150 => {
                if !line.is_empty() {
                    line.push(' ');
                }
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

fn some(names: &[String]) -> String {
    match names {
        [] => "nobody".to_owned(),
        [one] => one.clone(),
        [one, rest @ ..] => format!("{one} and {} more", rest.len()),
    }
}

/// The contacts by which each was first reached, numbered in the order of time.
fn contacts(traced: &Traced) -> Vec<Contact> {
    let lasts = traced.exposed.iter().filter_map(|one| {
        let mut chain = one.chain.iter().rev();
        let last = chain.next()?;
        // Across a crate the line starts at whoever dirtied it.
        let from = chain.next().filter(|_| last.from.is_crate()).map_or(&last.from, |before| &before.from);
        Some(Contact { from: from.clone(), ..last.clone() })
    });
    let mut contacts: Vec<Contact> = lasts.collect();
    contacts.sort();
    contacts
}

/// The whole picture in words.
fn described(traced: &Traced) -> String {
    let mut told = String::new();
    for source in &traced.sources {
        told += &format!(
            "Source: {}, first sign on {}, may have carried since {}. ",
            source.who, source.sign_day, source.since
        );
    }
    for one in &traced.exposed {
        told +=
            &format!("{} may have been exposed since {} at {} removes. ", one.who, one.first_day, one.remove);
    }
    if traced.exposed.is_empty() {
        told += "No contact was found. ";
    }
    told + traced.caution
}

fn patterns() -> Markup {
    html! {
        defs {
            pattern id="first" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)" {
                rect width="6" height="6" fill="#fff" {}
                rect width="3" height="6" fill="#000" {}
            }
            pattern id="later" width="5" height="5" patternUnits="userSpaceOnUse" {
                rect width="5" height="5" fill="#fff" {}
                circle cx="2.5" cy="2.5" r="1.1" fill="#000" {}
            }
        }
    }
}

/// Solid is a source, hatched shared something with a source itself, dotted is further away.
fn fill(remove: u32) -> &'static str {
    match remove {
        0 => "#000",
        1 => "url(#first)",
        _ => "url(#later)",
    }
}

fn diamond(x: f64, y: f64) -> Markup {
    let points = format!("{},{y} {x},{} {},{y} {x},{}", x - 7.0, y - 7.0, x + 7.0, y + 7.0);
    html! { polygon points=(points) fill="#fff" stroke="#000" stroke-width="2" {} }
}

fn legend() -> Markup {
    let samples = [(0, "source"), (1, "one remove"), (2, "two removes or more")];
    html! {
        @for ((remove, words), x) in samples.into_iter().zip([24.0, 150.0, 290.0]) {
            rect x=(x) y="52" width="30" height="9" fill=(fill(remove)) stroke="#000" stroke-width="0.8" {}
            @if remove == 0 { (diamond(x, 56.5)) }
            text x=(x + 36.0) y="61" { (words) }
        }
        circle cx="470" cy="56.5" r="7" fill="#fff" stroke="#000" {}
        text x="470" y="60" font-size="9" text-anchor="middle" { "n" }
        text x="482" y="61" { "contact, numbered below; arrow: still there" }
    }
}

fn head(y: f64, lane: &Lane, width: f64) -> Markup {
    let place = lane.place_id.as_ref().map(ToString::to_string).unwrap_or_default();
    let what = match (&lane.consignment_id, &lane.unit_id) {
        (Some(id), _) => format!("journey {id}"),
        (None, Some(unit)) => format!("unit {unit}"),
        (None, None) => "no unit".to_owned(),
    };
    html! {
        line x1="0" x2=(width) y1=(y - 4.0) y2=(y - 4.0) stroke="#000" stroke-width="0.6" {}
        text x="10" y=(y + 11.0) font-weight="bold" { (what) }
        text x="10" y=(y + 24.0) font-size="11" {
            @if lane.consignment_id.is_some() { "to " }
            (place)
        }
    }
}

fn bar(row: &Row<'_>, scale: &Scale) -> Markup {
    let (from, end) = (scale.x(row.bar.from), row.bar.through.unwrap_or(scale.last));
    let to = scale.x(end.checked_add_days(Count::new(1)).unwrap_or(end));
    let wide = (to - from).max(3.0);
    let late = from > LEFT + 0.7 * PLOT;
    let (x, anchor) = if late { (from + wide, "end") } else { (from, "start") };
    let source = row.bar.remove == 0;
    // The diamond of a source stands before its name.
    let x = if source && !late { x + 10.0 } else { x };
    let tip = from + wide;
    let arrow = format!("{tip},{} {},{} {tip},{}", row.y + 11.0, tip + 10.0, row.y + 17.5, row.y + 24.0);
    html! {
        rect x=(from) y=(row.y + 13.0) width=(wide) height="9" fill=(fill(row.bar.remove)) stroke="#000" stroke-width="0.8" {}
        @if row.bar.through.is_none() { polygon points=(arrow) fill="#fff" stroke="#000" {} }
        @if source { (diamond(from, row.y + 17.5)) }
        text x=(x) y=(row.y + 10.0) font-size="11" text-anchor=(anchor) {
            @if source { "SOURCE " }
            (row.bar.who)
        }
    }
}

/// A line from the one that may have passed it on to the other, on the day of the contact; or its number.
fn joined(number: usize, contact: &Contact, rows: &[Row<'_>], scale: &Scale, numbers: bool) -> Markup {
    let on_the_day = |who: &Carrier| {
        let held = || {
            rows.iter().filter(|row| {
                row.bar.who == *who
                    && row.bar.from <= contact.day
                    && row.bar.through.is_none_or(|through| contact.day <= through)
            })
        };
        let there = held().find(|row| {
            contact.at.consignment_id == row.lane.consignment_id
                && (row.lane.consignment_id.is_some() || contact.at.place_id == row.lane.place_id)
                && [&contact.at.unit_id, &contact.at.other_unit_id].contains(&&row.lane.unit_id)
        });
        there.or_else(|| held().next()).or_else(|| rows.iter().find(|row| row.bar.who == *who))
    };
    let Some(to) = on_the_day(&contact.to) else { return html! {} };
    let x = scale.middle(contact.day);
    let end = to.y + 17.5;
    html! {
        @if let Some(from) = on_the_day(&contact.from).filter(|_| !numbers) {
            line x1=(x) x2=(x) y1=(from.y + 17.5) y2=(end) stroke="#000" stroke-width="1"
                stroke-dasharray=(if contact.from.is_crate() { "4 3" } else { "none" }) {}
            rect x=(x - 2.5) y=(from.y + 15.0) width="5" height="5" fill="#000" stroke="#fff" {}
        }
        @if numbers {
            circle cx=(x) cy=(end) r="7" fill="#fff" stroke="#000" {}
            text x=(x) y=(end + 3.5) font-size="9" text-anchor="middle" { (number) }
        }
    }
}

fn line_of(at: usize, contact: &Contact, below: f64) -> Markup {
    #[allow(clippy::cast_precision_loss, reason = "a few hundred lines")]
    let y = below + LINE * at as f64;
    let mut where_it_was: BTreeMap<&str, String> = BTreeMap::new();
    where_it_was.extend(contact.at.place_id.as_ref().map(|place| ("at", place.to_string())));
    where_it_was.extend(contact.at.unit_id.as_ref().map(|unit| ("in", unit.clone())));
    where_it_was.extend(contact.at.water_circuit.as_ref().map(|water| ("water", water.clone())));
    where_it_was.extend(contact.at.consignment_id.as_ref().map(|id| ("journey", id.to_string())));
    where_it_was.extend(contact.at.crate_id.as_ref().map(|id| ("crate", id.clone())));
    let place: Vec<String> = where_it_was.into_iter().map(|(word, name)| format!("{word} {name}")).collect();
    html! {
        text x="10" y=(y) font-size="11" {
            (at + 1) ".  " (contact.day) "  " (contact.from) " to " (contact.to) ": shared " (words(contact))
            " (" (place.join(", ")) ")"
        }
    }
}

fn words(contact: &Contact) -> &'static str {
    use super::contact::Shared;
    match contact.shared {
        Shared::Lot => "a lot",
        Shared::Unit => "a unit",
        Shared::WaterCircuit => "water",
        Shared::Crate => "a crate",
        Shared::Consignment => "a journey",
        Shared::Point => "a holding point",
        Shared::NoUnit => "a centre, in no unit that is named",
    }
}
