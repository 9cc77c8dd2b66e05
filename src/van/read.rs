//! A van file to a [`Van`], with every problem in it collected.

use std::path::Path;
use std::sync::Arc;

use crate::document::{Fault, Item, Problems, Source, Table, Text, count_of, nearest};
use crate::facts::field::{Field, Scope};
use crate::facts::value::{Unit, Value};
use crate::notation::number::DecimalMark;
use crate::notation::wheel::wheel_mixed;
use crate::rules::read::value_of;
use crate::trade::bounds::{CENTER_BORE, OVERALL_DIAMETER, SECTION_WIDTH};
use crate::van::read_work::{drafts_of, shared, together};
use crate::van::{Van, VanFacts};

/// Reads the `[van]` table and the `[[work]]` tables of one file, with the work files it names, as
/// paths from a folder.
pub(crate) fn van_of(
    source: &Source,
    folder: &Path,
    table: &mut Table<'_>,
    problems: &mut Problems,
) -> Option<Van> {
    let works = table.tables("work", problems);
    let mut van = table.table("van", problems)?;
    let span = van.span();
    let id = van.need_text("id", problems);
    let name = van.text("name", problems);
    let packs = van.texts("packs", problems);
    let work_files = van.texts("work_files", problems);

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

    let shared = shared(&work_files, folder, problems);
    let works = together(shared, drafts_of(source, works, problems), problems);
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
