//! The page of one van's list, and the index of all.
//!
//! A page is one file: style, script and drawings stand in it, and its own policy forbids everything
//! else. What the script does (search, filters, order) is on top: without it the whole list is there.

use std::collections::{BTreeMap, BTreeSet};

use askama::Template;
use rayon::prelude::*;

use crate::facts::field::Field;
use crate::facts::part::PartKind;
use crate::judge::explain::show_field;
use crate::report::drawing;
use crate::report::html::{Head, Loads};
use crate::report::page::counted;
use crate::report::publish::entry::{Entry, VanList, picture_address, web_address};
use crate::report::publish::structured;
use crate::report::record::WorkRecord;
use crate::report::words::CAUTIONS;
use crate::van::Van;

/// The most parts that a page has drawings of: with more it would be slow to open on a phone.
const MOST_DRAWN: usize = 1000;

const SCRIPT: &str = include_str!("../templates/list.js");

#[derive(Template)]
#[template(path = "list.html")]
struct ListPage<'l> {
    head: Head,
    script: &'static str,
    van: &'l str,
    id: &'l str,
    van_facts: Vec<(&'static str, String)>,
    as_of: Option<&'l str>,
    summary: String,
    set: u32,
    cautions: &'static str,
    rims: Vec<String>,
    currencies: BTreeSet<&'static str>,
    priced: bool,
    snow: bool,
    groups: Vec<Group<'l>>,
    linked: String,
    /// The most parts that are drawn, where these are more.
    most_drawn: Option<usize>,
}

/// The wheels or the tires of a list.
struct Group<'l> {
    name: &'static str,
    heading: &'static str,
    entries: Vec<Shown<'l>>,
}

/// An entry as the template shows it.
struct Shown<'l> {
    id: String,
    kind: &'static str,
    title: String,
    /// What the part is, where the title does not say so already.
    description: Option<String>,
    /// The lines of its label, each with a place where it may break.
    spine: Vec<(&'l str, &'l str)>,
    supplier: &'l str,
    sku: &'l str,
    link: Option<&'l str>,
    image: Option<&'l str>,
    image_words: String,
    price: String,
    facts: &'l [(&'static str, String)],
    margins: Vec<&'l str>,
    also: String,
    /// The part in section on the van, and its offset in the window.
    drawings: Vec<String>,
    /// Why it does not fit as it comes.
    cured: Vec<&'l str>,
    work: &'l [WorkRecord<'l>],
    work_cost: Option<String>,
    cautions: Vec<String>,
    keys: Keys,
}

/// What the script searches, filters and sorts by.
struct Keys {
    find: String,
    rim: String,
    amount: String,
    currency: &'static str,
    snow: bool,
    offset: String,
    load: String,
}

#[derive(Template)]
#[template(path = "index.html")]
struct IndexPage<'l> {
    head: Head,
    vans: Vec<IndexEntry<'l>>,
    as_of: Option<&'l str>,
    cautions: &'static str,
}

struct IndexEntry<'l> {
    id: &'l str,
    name: &'l str,
    facts: Vec<(&'static str, String)>,
    summary: String,
}

/// The page of a list.
pub(super) fn list(list: &VanList<'_>, as_of: Option<&str>, images: bool) -> Result<String, askama::Error> {
    let linked = structured::script(list).map_err(|error| askama::Error::Custom(Box::new(error)))?;
    let drawn = list.entries.len() <= MOST_DRAWN;
    let mut ids = Ids::default();
    let ids: Vec<String> = list.entries.iter().map(|entry| ids.next(entry)).collect();
    let entries = list.entries.par_iter().enumerate().zip(ids);
    let shown: Vec<(PartKind, Shown<'_>)> = entries
        .map(|((at, entry), id)| {
            let drawings = if drawn { drawings(entry, list.van, at) } else { Vec::new() };
            (entry.kind, shown(entry, id, drawings))
        })
        .collect();
    let mut groups = [("wheels", "Wheels"), ("tires", "Tires")].map(|(name, heading)| Group {
        name,
        heading,
        entries: Vec::new(),
    });
    for (kind, shown) in shown {
        let [wheels, tires] = &mut groups;
        match kind {
            PartKind::Wheel => wheels.entries.push(shown),
            PartKind::Tire => tires.entries.push(shown),
        }
    }
    let page = ListPage {
        head: Head::new(
            format!("What fits the {}", list.van.name),
            "",
            Some(SCRIPT),
            if images { Loads::Pictures } else { Loads::Nothing },
        ),
        script: SCRIPT,
        van: &list.van.name,
        id: &list.van.id,
        van_facts: van_facts(list.van),
        as_of,
        summary: summary(list),
        set: list.set,
        cautions: CAUTIONS,
        rims: rims(list),
        currencies: list.entries.iter().filter_map(|entry| entry.price.currency).collect(),
        priced: list.entries.iter().any(|entry| entry.price.amount.is_some()),
        snow: list.entries.iter().any(Entry::snow),
        groups: groups.into_iter().filter(|group| !group.entries.is_empty()).collect(),
        linked,
        most_drawn: (!drawn).then_some(MOST_DRAWN),
    };
    page.render()
}

/// The page that leads to all lists.
pub(super) fn index(lists: &[VanList<'_>], as_of: Option<&str>) -> Result<String, askama::Error> {
    let vans = lists.iter().map(|list| IndexEntry {
        id: &list.van.id,
        name: &list.van.name,
        facts: van_facts(list.van),
        summary: summary(list),
    });
    let head = Head::new("Wheels and tires that fit, van by van".to_owned(), "", None, Loads::Nothing);
    IndexPage { head, vans: vans.collect(), as_of, cautions: CAUTIONS }.render()
}

/// What a reader knows a van by, beside its name.
fn van_facts(van: &Van) -> Vec<(&'static str, String)> {
    let facts = [
        (Field::VanHubBoltPattern, "bolt pattern"),
        (Field::VanHubPilot, "hub pilot"),
        (Field::VanHubThread, "thread"),
        (Field::VanStockTire, "stock tire"),
        (Field::VanGvwr, "gross weight"),
        (Field::VanTopSpeed, "top speed"),
    ];
    let known = facts
        .into_iter()
        .filter_map(|(field, words)| Some((words, show_field(field, van.facts.get(field)?))));
    known.collect()
}

/// How many parts are listed: `13 wheels and 8 tires fit as they are; 11 wheels and 19 tires fit with work.`
fn summary(list: &VanList<'_>) -> String {
    let counts = |work: bool| {
        let of_kind = |kind: PartKind| {
            list.entries.iter().filter(|entry| entry.kind == kind && entry.needs_work() == work).count()
        };
        let [wheels, tires] = PartKind::ALL.map(of_kind);
        let words = [(wheels, counted(wheels, "wheel", "wheels")), (tires, counted(tires, "tire", "tires"))];
        let some: Vec<String> =
            words.into_iter().filter(|(count, _)| *count > 0).map(|(_, words)| words).collect();
        (!some.is_empty()).then(|| (some.join(" and "), wheels + tires == 1))
    };
    let fit = |one: bool| if one { "fits" } else { "fit" };
    match (counts(false), counts(true)) {
        (None, None) => "Nothing on hand is proven for this van.".to_owned(),
        (Some((plain, one)), None) => {
            format!("{plain} {} as {}.", fit(one), if one { "it is" } else { "they are" })
        }
        (None, Some((work, one))) => format!("{work} {} with work.", fit(one)),
        (Some((plain, one)), Some((work, other))) => {
            let are = if one { "it is" } else { "they are" };
            format!("{plain} {} as {are}; {work} {} with work.", fit(one), fit(other))
        }
    }
}

/// The rim diameters of a list in inches, smallest first.
fn rims(list: &VanList<'_>) -> Vec<String> {
    let mut rims: Vec<f64> = list.entries.iter().filter_map(|entry| entry.told.rim).collect();
    rims.sort_by(f64::total_cmp);
    rims.dedup();
    rims.iter().map(ToString::to_string).collect()
}

/// The drawings of a part with its work done; none of what is not known.
fn drawings(entry: &Entry<'_>, van: &Van, at: usize) -> Vec<String> {
    let cure = entry.finding.cure();
    let drawings = [
        drawing::section(entry.spec, cure, van, &format!("s{at}")),
        drawing::offset_strip(entry.spec, cure, van, &format!("o{at}")),
    ];
    drawings.into_iter().flatten().collect()
}

fn shown<'l>(entry: &'l Entry<'_>, id: String, drawings: Vec<String>) -> Shown<'l> {
    let told = &entry.told;
    let description = entry.description();
    let (title, description) = match (entry.name.is_empty(), description.is_empty()) {
        (false, false) => (entry.name.clone(), Some(description)),
        (false, true) => (entry.name.clone(), None),
        (true, false) => (description, None),
        (true, true) if entry.sku.is_empty() => (entry.kind.name().to_owned(), None),
        (true, true) => (entry.sku.clone(), None),
    };
    let words = |number: Option<f64>| number.map_or_else(String::new, |number| number.to_string());
    let facts = [entry.supplier.as_str(), &entry.sku, &entry.name, &entry.description()].join(" ");
    Shown {
        id,
        drawings,
        kind: entry.kind.name(),
        image_words: format!("Picture of the {} {title}", entry.kind.name()),
        title,
        description,
        spine: told.pieces.iter().map(|piece| breakable(piece)).collect(),
        supplier: &entry.supplier,
        sku: &entry.sku,
        link: web_address(&entry.link),
        image: picture_address(&entry.image),
        price: entry.price.words(),
        facts: &told.facts,
        margins: told.room().map(|margin| margin.says.as_str()).collect(),
        also: told.proven().map(|margin| margin.says.as_str()).collect::<Vec<_>>().join("; "),
        cured: told.cured.iter().map(|cured| cured.says.as_str()).collect(),
        work: &told.work,
        work_cost: entry.work_cost(),
        cautions: entry.cautions_in_short(),
        keys: Keys {
            find: facts.to_lowercase(),
            rim: words(told.rim),
            amount: entry.price.amount.map_or_else(String::new, |amount| amount.to_string()),
            currency: entry.price.currency.unwrap_or_default(),
            snow: entry.snow(),
            offset: words(told.offset),
            load: words(told.load),
        },
    }
}

/// A long size in two: it may break before what it says of the rim.
fn breakable(piece: &str) -> (&str, &str) {
    let rim = piece.char_indices().skip(1).find(|(_, letter)| matches!(letter, 'R' | 'D' | 'B'));
    rim.filter(|_| piece.len() > 9).map_or((piece, ""), |(at, _)| piece.split_at(at))
}

/// Names that addresses can lead to, one for each entry: by its part number where that is one.
#[derive(Default)]
struct Ids {
    taken: BTreeMap<String, usize>,
}

impl Ids {
    fn next(&mut self, entry: &Entry<'_>) -> String {
        let letter =
            |letter: char| if letter.is_ascii_alphanumeric() { letter.to_ascii_lowercase() } else { '-' };
        let number: String = entry.sku.chars().map(letter).take(60).collect();
        let id = format!("{}-{}", entry.kind.name(), number.trim_matches('-'));
        let count = self.taken.entry(id.clone()).or_default();
        *count += 1;
        // No part number ends in two underscores and a count.
        if *count == 1 { id } else { format!("{id}__{count}") }
    }
}
