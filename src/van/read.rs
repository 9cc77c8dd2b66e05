//! A van file to a [`Van`], with every problem in it collected.

use std::collections::BTreeMap;
use std::str::FromStr;
use std::sync::Arc;

use rust_decimal::Decimal;
use toml::de::DeValue;

use crate::document::{Fault, Item, Problems, Source, Table, Text, count_of, items_of, nearest, text_of};
use crate::facts::field::{Field, FieldSet, Scope};
use crate::facts::part::Subject;
use crate::facts::value::{Unit, Value};
use crate::notation::number::DecimalMark;
use crate::notation::wheel::wheel_mixed;
use crate::rules::check::Names;
use crate::rules::read::{statement, unknown_fact, value_of};
use crate::trade::bounds::{CENTER_BORE, OVERALL_DIAMETER, SECTION_WIDTH};
use crate::van::work::{Amount, Asks, Change, Effect, MOST_WORKS, Need, Per, Work, is_changeable};
use crate::van::{Van, VanFacts};

/// Reads the `[van]` table and the `[[work]]` tables of one file.
pub(crate) fn van_of(source: &Source, table: &mut Table<'_>, problems: &mut Problems) -> Option<Van> {
    let works = table.tables("work", problems);
    let mut van = table.table("van", problems)?;
    let span = van.span();
    let id = van.need_text("id", problems);
    let name = van.text("name", problems);
    let packs = van.texts("packs", problems);

    let mut facts = VanFacts::default();
    for (key, need) in
        [("gvwr", Stating::Optional), ("top_speed", Stating::Required), ("sensors", Stating::Optional)]
    {
        fact(&mut van, "", key, need, &mut facts, problems);
    }
    for axle in ["front", "rear"] {
        match van.need(axle, problems).and_then(|item| Table::from_item(item, problems)) {
            Some(table) => axle_of(table, axle, &mut facts, problems),
            None => continue,
        }
    }
    if let Some(hub) = van.need("hub", problems).and_then(|item| Table::from_item(item, problems)) {
        hub_of(hub, &mut facts, problems);
    }
    if let Some(stock) = van.table("stock", problems) {
        stock_of(stock, &mut facts, problems);
    }
    if let Some(room) = van.table("room", problems) {
        scope_of(room, "room", &mut facts, problems);
    }
    van.finish(problems);
    facts.follow();

    let works = works_of(works, problems);
    let id = id.filter(|id| is_id(id, problems))?;
    let name = name.map_or_else(|| id.text.clone(), |name| name.text);
    Some(Van {
        id: Arc::from(id.text),
        name: Arc::from(name),
        packs: packs.iter().map(|pack| pack.text.clone()).collect(),
        pack_places: packs,
        facts,
        works,
        source: source.clone(),
        span,
    })
}

/// Whether a fact must be stated.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Stating {
    Required,
    Optional,
}

fn is_id(id: &Text, problems: &mut Problems) -> bool {
    let good =
        !id.text.is_empty() && id.text.chars().all(|letter| letter.is_ascii_alphanumeric() || letter == '-');
    if !good {
        problems.add(id.span, Fault::IdLetters);
    }
    good
}

fn fact(
    table: &mut Table<'_>,
    before: &str,
    key: &'static str,
    need: Stating,
    facts: &mut VanFacts,
    problems: &mut Problems,
) {
    let item = if need == Stating::Required { table.need(key, problems) } else { table.take(key) };
    let field = Field::in_scope(Scope::Van, &format!("{before}{key}"));
    if let (Some(item), Some(field)) = (item, field)
        && let Some(value) = sound(field, &item, problems)
    {
        facts.put(field, value);
    }
}

/// A value that a van can have: every rule rests on these, and a load of nothing passes all.
fn sound(field: Field, item: &Item<'_>, problems: &mut Problems) -> Option<Value> {
    let value = value_of(field, item, problems)?;
    let (least, most) = match field {
        Field::VanFrontAxleLoad | Field::VanRearAxleLoad => {
            (Unit::Kg.to_base(100.0), Unit::Kg.to_base(20_000.0))
        }
        Field::VanGvwr => (Unit::Kg.to_base(500.0), Unit::Kg.to_base(40_000.0)),
        Field::VanTopSpeed => (Unit::KmH.to_base(20.0), Unit::KmH.to_base(400.0)),
        Field::VanHubPilot => (CENTER_BORE.low().base(), CENTER_BORE.high().base()),
        Field::VanRoomTireDiameter | Field::VanRoomSpareDiameter => {
            (OVERALL_DIAMETER.low().base(), OVERALL_DIAMETER.high().base())
        }
        Field::VanRoomTireSection => (SECTION_WIDTH.low().base(), SECTION_WIDTH.high().base()),
        Field::VanRoomRoadSpeed => (0.0, Unit::Percent.to_base(100.0)),
        Field::VanRoomOutboardReach
        | Field::VanRoomInboardReach
        | Field::VanRoomDualGap
        | Field::VanHubFastenerShank => (0.0, Unit::Mm.to_base(1000.0)),
        _ => return Some(value),
    };
    if value.number().is_some_and(|count| least <= count && count <= most) {
        return Some(value);
    }
    let shown = value.number().zip(field.unit()).map_or_else(String::new, |(count, unit)| unit.show(count));
    problems.add(item.span().into(), Fault::OutOfRange { words: field.words(), shown });
    None
}

fn axle_of(mut table: Table<'_>, axle: &str, facts: &mut VanFacts, problems: &mut Problems) {
    let before = format!("{axle}.");
    fact(&mut table, &before, "axle_load", Stating::Required, facts, problems);
    if let Some(item) = table.need("wheels", problems) {
        let count = count_of(&item, problems);
        match count {
            Some(2 | 4) => {
                if let Some(field) = Field::in_scope(Scope::Van, &format!("{before}wheels")) {
                    facts.put(field, Value::plain(count.map_or(0.0, f64::from)));
                }
            }
            Some(_) => problems.add(item.span().into(), Fault::AxleWheels),
            None => {}
        }
    }
    table.finish(problems);
}

fn hub_of(mut hub: Table<'_>, facts: &mut VanFacts, problems: &mut Problems) {
    for key in ["bolt_pattern", "pilot", "fixing", "thread", "seat"] {
        fact(&mut hub, "hub.", key, Stating::Required, facts, problems);
    }
    fact(&mut hub, "hub.", "fastener_shank", Stating::Optional, facts, problems);
    hub.finish(problems);
}

/// The stock wheel and tire are written as the trade writes them, `6.5x16 ET62` and `235/65R16C`.
fn stock_of(mut stock: Table<'_>, facts: &mut VanFacts, problems: &mut Problems) {
    if let Some(wheel) = stock.text("wheel", problems) {
        let mixed = wheel_mixed(&wheel.text, Some(DecimalMark::Point));
        match (mixed.size(), mixed.offset()) {
            (Ok(Some(size)), Ok(Some(offset))) => {
                facts.put(Field::VanStockRimDiameter, Value::length(size.diameter));
                facts.put(Field::VanStockRimWidth, Value::length(size.width));
                facts.put(Field::VanStockOffset, Value::length(offset.value));
            }
            _ => problems.add(wheel.span, form(&wheel, "a wheel size with its offset", "6.5x16 ET62")),
        }
    }
    if let Some(tire) = stock.text("tire", problems) {
        match crate::notation::tire::tire(&tire.text) {
            Ok(read) => facts.put(Field::VanStockTire, Value::Size(read.size)),
            Err(_) => problems.add(tire.span, form(&tire, "a tire size", "235/65R16C 121/119R")),
        }
    }
    stock.finish(problems);
}

fn form(text: &Text, wanted: &'static str, example: &'static str) -> Fault {
    Fault::Literal(crate::document::literal::LiteralProblem::Form {
        text: text.text.clone(),
        wanted,
        example,
    })
}

/// Reads every key of a table as the van's fact of that name.
fn scope_of(table: Table<'_>, scope: &str, facts: &mut VanFacts, problems: &mut Problems) {
    let before = format!("{scope}.");
    for (key, item) in table.into_entries() {
        match Field::in_scope(Scope::Van, &format!("{before}{}", key.text)) {
            Some(field) => {
                if let Some(value) = sound(field, &item, problems) {
                    facts.put(field, value);
                }
            }
            None => {
                let names = Field::of(Scope::Van).iter().map(|field| field.name());
                let known: Vec<&'static str> = names.filter_map(|name| name.strip_prefix(&before)).collect();
                let nearest = nearest(&key.text, known.iter().copied());
                problems.add(key.span, Fault::UnknownKey { key: key.text, known, nearest });
            }
        }
    }
}

fn works_of(tables: Vec<Table<'_>>, problems: &mut Problems) -> Vec<Work> {
    let mut read: Vec<(Work, Vec<Text>, Vec<Text>)> = Vec::new();
    for table in tables {
        let Some((name, work, excludes, requires)) = work_of(table, problems) else {
            continue;
        };
        if read.iter().any(|(other, ..)| other.name == work.name) {
            problems.add(name.span, Fault::NameTwice(name.text));
            continue;
        }
        if read.len() == MOST_WORKS {
            problems.add(name.span, Fault::TooManyWorks { most: MOST_WORKS });
            break;
        }
        read.push((work, excludes, requires));
    }
    let names: Vec<Arc<str>> = read.iter().map(|(work, ..)| Arc::clone(&work.name)).collect();
    let mut works = Vec::new();
    for (at, (work, excludes, requires)) in read.into_iter().enumerate() {
        let mut placed = |texts: &[Text], never: &dyn Fn(usize) -> bool| -> Vec<usize> {
            let place = |text: &Text| {
                let found = names.iter().position(|name| **name == *text.text);
                match found {
                    None => {
                        let nearest = nearest(&text.text, names.iter().map(AsRef::as_ref));
                        problems.add(text.span, Fault::UnknownWork { name: text.text.clone(), nearest });
                    }
                    Some(found) if never(found) => {
                        problems.add(text.span, Fault::NeverDone(text.text.clone()));
                    }
                    Some(_) => {}
                }
                found
            };
            texts.iter().filter_map(place).collect()
        };
        let excludes = placed(&excludes, &|other| other == at);
        let requires = placed(&requires, &|other| other == at || excludes.contains(&other));
        works.push(Work { excludes, requires, ..work });
    }
    works
}

fn work_of(mut table: Table<'_>, problems: &mut Problems) -> Option<(Text, Work, Vec<Text>, Vec<Text>)> {
    let name = table.need_text("name", problems);
    let mut effects = Vec::new();
    let mut changes_nothing = true;
    for change in [Change::Set, Change::Raise, Change::Lower, Change::Shift] {
        // Something stated and unreadable is told at its place; it is not nothing.
        let stated = table.has(change.key());
        let changes = table.table(change.key(), problems);
        changes_nothing &= !(stated && changes.is_none());
        if let Some(changes) = changes {
            for (key, item) in changes.into_entries() {
                changes_nothing = false;
                effects.extend(effect(&key, &item, change, problems));
            }
        }
    }
    let asks = table.text("asks", problems).and_then(|text| asks_of(&text, problems));
    let needs = table.take("needs").map_or_else(Vec::new, |item| items_of(item, problems));
    let needs: Vec<Need> = needs.into_iter().filter_map(|item| need(item, problems)).collect();
    let costs = table.need("costs", problems).and_then(|item| money(&item, problems));
    let leaves = table.texts("leaves", problems).into_iter().map(|text| Arc::from(text.text)).collect();
    let excludes = table.texts("excludes", problems);
    let requires = table.texts("requires", problems);
    table.finish(problems);

    let name = name.filter(|name| says_something(name, problems))?;
    if let Some(field) = both_ways(&effects) {
        problems.add(name.span, Fault::RaisedAndLowered(field.full_name()));
    }
    if changes_nothing {
        problems.add(name.span, Fault::WorkWithoutEffect);
    }
    effects.sort_by_key(|effect: &Effect| effect.change.turn());
    let touches: FieldSet = effects.iter().map(|effect| effect.field).collect();
    let work = Work {
        name: Arc::from(name.text.as_str()),
        effects,
        asks,
        needs,
        costs: costs?,
        leaves,
        excludes: Vec::new(),
        requires: Vec::new(),
        touches,
    };
    Some((name, work, excludes, requires))
}

fn says_something(text: &Text, problems: &mut Problems) -> bool {
    let empty = text.text.trim().is_empty();
    if empty {
        problems.add(text.span, Fault::Empty);
    }
    !empty
}

/// A fact that is both raised and lowered: nothing says which counts.
fn both_ways(effects: &[Effect]) -> Option<Field> {
    let changes =
        |field, change| effects.iter().any(|effect| effect.field == field && effect.change == change);
    let raised =
        effects.iter().find(|effect| effect.change == Change::Raise && changes(effect.field, Change::Lower));
    raised.map(|effect| effect.field)
}

fn effect(key: &Text, item: &Item<'_>, change: Change, problems: &mut Problems) -> Option<Effect> {
    let Some(field) = Field::from_full_name(&key.text) else {
        problems.add(key.span, unknown_fact(&key.text));
        return None;
    };
    if !is_changeable(field) {
        problems.add(key.span, Fault::Unchangeable(key.text.clone()));
        return None;
    }
    if !change.suits(field) {
        problems.add(key.span, Fault::NotANumber { name: key.text.clone(), kind: field.kind() });
        return None;
    }
    // The name of another fact stands for that fact's value: a ring lowers a bore to the pilot.
    if let DeValue::String(text) = item.get_ref()
        && let Some(other) = Field::from_full_name(text)
    {
        if other.kind() != field.kind() || change == Change::Shift {
            let fault = Fault::KindsDiffer {
                left: field.kind().to_string(),
                right: other.kind().to_string(),
                verb: "set from one another",
            };
            problems.add(item.span().into(), fault);
            return None;
        }
        return Some(Effect { field, change, amount: Amount::Of(other) });
    }
    let value = value_of(field, item, problems)?;
    Some(Effect { field, change, amount: Amount::Fixed(value) })
}

/// What a work asks: it must make sense on a package at least, and may on one of its parts alone.
fn asks_of(text: &Text, problems: &mut Problems) -> Option<Asks> {
    let given = BTreeMap::new();
    let of_package = statement(text, &Names { on: Subject::Package, given: &given }, problems)?;
    let [of_wheel, of_tire] = [Subject::Wheel, Subject::Tire]
        .map(|on| of_package.reads().iter().all(|field| on.reaches(field)).then(|| of_package.clone()));
    Some(Asks { text: Arc::from(text.text.as_str()), of_wheel, of_tire, of_package })
}

fn need(item: Item<'_>, problems: &mut Problems) -> Option<Need> {
    let mut table = Table::from_item(item, problems)?;
    let name = table.need_text("item", problems);
    let per = table.need_text("per", problems);
    let count = table.need("count", problems).and_then(|item| {
        let count = count_of(&item, problems)?;
        if count == 0 {
            problems.add(item.span().into(), Fault::Empty);
        }
        Some(count)
    });
    table.finish(problems);
    let name = name.filter(|name| says_something(name, problems));
    let per = per.and_then(|per| match per.text.as_str() {
        "wheel" => Some(Per::Wheel),
        "van" => Some(Per::Van),
        _ => {
            let allowed = ["wheel", "van"];
            let fault = Fault::WordNotAllowed {
                nearest: nearest(&per.text, allowed),
                word: per.text,
                allowed: allowed.map(str::to_owned).to_vec(),
            };
            problems.add(per.span, fault);
            None
        }
    });
    Some(Need { item: Arc::from(name?.text), per: per?, count: count? })
}

/// Money is written as text, so that every digit counts; a whole number may stand bare.
fn money(item: &Item<'_>, problems: &mut Problems) -> Option<Decimal> {
    if let DeValue::Integer(_) = item.get_ref() {
        return count_of(item, problems).map(Decimal::from);
    }
    let text = text_of(item, problems)?;
    match Decimal::from_str(&text.text) {
        Ok(amount) if amount >= Decimal::ZERO => Some(amount),
        _ => {
            problems.add(text.span, Fault::Money(text.text.clone()));
            None
        }
    }
}
