//! The `[[work]]` tables of van and work files to [`Work`]s.
//!
//! A work is first read by itself, as a draft: what it excludes and requires are names until the
//! van's own works and those of its work files stand together.

use std::collections::BTreeMap;
use std::path::Path;
use std::str::FromStr;
use std::sync::Arc;

use rust_decimal::Decimal;
use toml::de::DeValue;

use crate::document::{
    Fault, FileProblem, Item, Problems, Source, Span, Table, Text, count_of, items_of, nearest, parse,
    read_source, text_of,
};
use crate::facts::field::{Field, FieldSet};
use crate::facts::part::Subject;
use crate::rules::check::Names;
use crate::rules::read::{statement, unknown_fact, value_of};
use crate::van::work::{Amount, Asks, Change, Effect, MOST_WORKS, Need, Per, Work, is_changeable};

/// A work with what it excludes and requires still by name.
#[derive(Debug)]
pub(super) struct Draft {
    work: Work,
    excludes: Vec<Text>,
    requires: Vec<Text>,
}

/// Reads the work tables of one file; a name used twice in it is a problem.
pub(super) fn drafts_of(source: &Source, tables: Vec<Table<'_>>, problems: &mut Problems) -> Vec<Draft> {
    let mut drafts: Vec<Draft> = Vec::new();
    for table in tables {
        let Some(draft) = draft_of(source, table, problems) else {
            continue;
        };
        if drafts.iter().any(|other| other.work.name == draft.work.name) {
            problems.add(draft.work.span, Fault::NameTwice(draft.work.name.to_string()));
            continue;
        }
        drafts.push(draft);
    }
    drafts
}

/// Reads a file of works; anything else in it is a problem.
pub(super) fn work_file(source: &Source, problems: &mut Problems) -> Vec<Draft> {
    let Some(mut table) = parse(source, problems) else {
        return Vec::new();
    };
    let tables = table.tables("work", problems);
    if tables.is_empty() && table.is_empty() && !problems.any() {
        problems.add(Span::default(), Fault::NothingKnown);
    }
    table.finish(problems);
    drafts_of(source, tables, problems)
}

/// Reads the work files that a van names, as paths from a folder, in the order named.
pub(super) fn shared(files: &[Text], folder: &Path, problems: &mut Problems) -> Vec<Draft> {
    let mut drafts: Vec<Draft> = Vec::new();
    for (at, file) in files.iter().enumerate() {
        if files[..at].iter().any(|other| other.text == file.text) {
            problems.add(file.span, Fault::NameTwice(file.text.clone()));
            continue;
        }
        let source = match read_source(&folder.join(&file.text)) {
            Ok(source) => source,
            Err(problem) => {
                problems
                    .add(file.span, Fault::WorkFile { path: file.text.clone(), why: problem.to_string() });
                continue;
            }
        };
        let mut within = Problems::new(source.clone());
        for draft in work_file(&source, &mut within) {
            if drafts.iter().any(|other| other.work.name == draft.work.name) {
                within.add(draft.work.span, Fault::NameTwice(draft.work.name.to_string()));
            } else {
                drafts.push(draft);
            }
        }
        problems.take_over(within.into_found());
    }
    drafts
}

/// Shared works, then a van's own; an own work with the name of a shared one takes its place. What
/// they exclude and require is found among all of them.
pub(super) fn together(mut drafts: Vec<Draft>, own: Vec<Draft>, problems: &mut Problems) -> Vec<Work> {
    for draft in own {
        match drafts.iter_mut().find(|shared| shared.work.name == draft.work.name) {
            Some(shared) => *shared = draft,
            None => drafts.push(draft),
        }
    }
    if let Some(beyond) = drafts.get(MOST_WORKS) {
        let place = (beyond.work.source.clone(), beyond.work.span);
        problems.take_over(vec![FileProblem::new(
            place.0,
            place.1,
            Fault::TooManyWorks { most: MOST_WORKS },
        )]);
        drafts.truncate(MOST_WORKS);
    }
    let names: Vec<Arc<str>> = drafts.iter().map(|draft| Arc::clone(&draft.work.name)).collect();
    let mut found = Vec::new();
    let mut works = Vec::new();
    for (at, Draft { work, excludes, requires }) in drafts.into_iter().enumerate() {
        let mut placed = |texts: &[Text], never: &dyn Fn(usize) -> bool| -> Vec<usize> {
            let place = |text: &Text| {
                let place = names.iter().position(|name| **name == *text.text);
                let fault = match place {
                    None => {
                        let nearest = nearest(&text.text, names.iter().map(AsRef::as_ref));
                        Some(Fault::UnknownWork { name: text.text.clone(), nearest })
                    }
                    Some(place) => never(place).then(|| Fault::NeverDone(text.text.clone())),
                };
                found.extend(fault.map(|fault| FileProblem::new(work.source.clone(), text.span, fault)));
                place
            };
            texts.iter().filter_map(place).collect()
        };
        let excludes = placed(&excludes, &|other| other == at);
        let requires = placed(&requires, &|other| other == at || excludes.contains(&other));
        works.push(Work { excludes, requires, ..work });
    }
    problems.take_over(found);
    works
}

fn draft_of(source: &Source, mut table: Table<'_>, problems: &mut Problems) -> Option<Draft> {
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
                if let Some(effect) = effect(&key, &item, change, problems) {
                    effects.push((effect, key.span));
                }
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
    let mut effects = free_of_contradictions(effects, problems);
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
        source: source.clone(),
        span: name.span,
    };
    Some(Draft { work, excludes, requires })
}

fn says_something(text: &Text, problems: &mut Problems) -> bool {
    let empty = text.text.trim().is_empty();
    if empty {
        problems.add(text.span, Fault::Empty);
    }
    !empty
}

/// The effects of one work, each with its place; a problem is added for every one that another makes
/// void, or that leaves open which of the two counts.
fn free_of_contradictions(effects: Vec<(Effect, Span)>, problems: &mut Problems) -> Vec<Effect> {
    for (at, (effect, span)) in effects.iter().enumerate() {
        let earlier = effects[..at].iter().find(|(other, _)| other.field == effect.field);
        let Some((other, _)) = earlier else { continue };
        let fact = effect.field.full_name();
        match (other.change, effect.change) {
            (Change::Raise, Change::Lower) => problems.add(*span, Fault::RaisedAndLowered(fact)),
            (Change::Set, then) => {
                problems.add(*span, Fault::SetAndChanged { fact, then: then.key() });
            }
            _ => {}
        }
    }
    effects.into_iter().map(|(effect, _)| effect).collect()
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
