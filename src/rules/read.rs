//! A rule file to checked rules, with every problem in it collected.

use std::collections::BTreeMap;
use std::sync::Arc;

use toml::de::DeValue;

use crate::document::{self, Fault, Item, Problems, Source, Span, Table, Text, nearest, text_of};
use crate::facts::field::{Field, FieldSet, Scope};
use crate::facts::part::Subject;
use crate::facts::value::Value;
use crate::rules::check::{self, Checked, Names};
use crate::rules::parse::{SyntaxFault, parse};
use crate::rules::program::Test;
use crate::rules::rule::{OnFailing, OnUnknown, Outcome, Remedies, Rule, Witness};
use crate::rules::template::Template;

/// Reads the `[[rule]]` tables of one file.
pub(crate) fn rules_of(source: &Source, tables: Vec<Table<'_>>, problems: &mut Problems) -> Vec<Rule> {
    let mut rules: Vec<Rule> = Vec::with_capacity(tables.len());
    for table in tables {
        let Some(rule) = rule(source, table, problems) else {
            continue;
        };
        if rules.iter().any(|other| other.name == rule.name && other.on == rule.on) {
            problems.add(rule.span, Fault::NameTwice(rule.name.to_string()));
        }
        rules.push(rule);
    }
    rules
}

fn rule(source: &Source, mut table: Table<'_>, problems: &mut Problems) -> Option<Rule> {
    let name = table.need_text("name", problems);
    let on = table
        .need_text("on", problems)
        .and_then(|text| choice(&text, &Subject::ALL.map(|subject| (subject.name(), subject)), problems));
    let packs = table.texts("pack", problems);
    let when = table.text("when", problems);
    let demand = table.need_text("demand", problems);
    let failing = table.text("failing", problems);
    let unknown = table.text("unknown", problems);
    let spoils = table.texts("spoils", problems);
    let says = table.need_text("says", problems);
    let passes = table.text("passes", problems);
    let remedy = table.take("remedy");
    let basis = table.need_text("basis", problems);
    let given = table.table("given", problems);
    let mut terms = Terms::default();
    let witnesses = table.tables("witness", problems);
    table.finish(problems);

    let on = on?;
    terms.texts("when", when.iter());
    terms.texts("demand", demand.iter());
    let given = given.map_or_else(BTreeMap::new, |given| given_names(given, on, &mut terms, problems));
    terms.texts("failing", failing.iter());
    terms.texts("unknown", unknown.iter());
    terms.texts("spoils", &spoils);
    terms.texts("pack", &packs);
    let packs = packs.into_iter().map(|text| text.text).collect();
    let names = Names { on, given: &given };
    let when = when.and_then(|text| statement(&text, &names, problems));
    for text in
        [&name, &says, &passes, &basis].into_iter().flatten().filter(|text| text.text.trim().is_empty())
    {
        problems.add(text.span, Fault::Empty);
    }
    let demand_text = demand.as_ref().map_or_else(String::new, |text| one_line(&text.text));
    let demand = demand.and_then(|text| statement(&text, &names, problems));
    let says = says.and_then(|text| template(&text, on, problems));
    let passes_place = passes.as_ref().map(|text| text.span);
    let passes = passes.and_then(|text| template(&text, on, problems));
    let remedy_place = remedy.as_ref().map(|item| Span::from(item.span()));
    let remedies = remedy.map_or_else(Remedies::default, |item| remedies(item, on, problems));
    let failing = failing.map_or(Some(Failing::Reject), |text| {
        let choices = [("reject", Failing::Reject), ("caution", Failing::Caution), ("doubt", Failing::Doubt)];
        choice(&text, &choices, problems)
    });
    let unknown = unknown.map_or(Some(OnUnknown::Unproven), |text| {
        let choices = [
            ("unproven", OnUnknown::Unproven),
            ("caution", OnUnknown::Caution),
            ("nothing", OnUnknown::Nothing),
        ];
        choice(&text, &choices, problems)
    });
    let witnesses: Vec<Witness> =
        witnesses.into_iter().filter_map(|table| witness(table, on, problems)).collect();

    let demand = demand?;
    let reads = when.as_ref().map_or(FieldSet::EMPTY, Test::reads).union(demand.reads());
    let spoiled = spoiled_facts(&spoils, &demand, problems);
    let failing = match failing? {
        Failing::Reject => OnFailing::Reject,
        Failing::Caution => OnFailing::Caution,
        Failing::Doubt => OnFailing::Doubt(spoiled),
    };
    let name = name?;
    if on == Subject::Package && matches!(failing, OnFailing::Doubt(_)) {
        problems.add(name.span, Fault::DoubtOnPackage);
    }
    if matches!(failing, OnFailing::Doubt(_)) == spoils.is_empty() {
        problems.add(name.span, Fault::SpoilsOnlyDoubt);
    }
    if let (Some(place), OnFailing::Doubt(_)) = (remedy_place, failing) {
        problems.add(place, Fault::RemedyOfDoubt);
    }
    if let (Some(place), OnFailing::Doubt(_)) = (passes_place, failing) {
        problems.add(place, Fault::PassOfDoubt);
    }
    Some(Rule {
        name: Arc::from(name.text),
        on,
        packs,
        when,
        demand,
        demand_text: Arc::from(demand_text),
        terms: Arc::from(terms.text),
        failing,
        unknown: unknown?,
        says: says?,
        passes,
        remedies,
        basis: Arc::from(basis?.text),
        witnesses,
        reads,
        source: source.clone(),
        span: name.span,
    })
}

fn one_line(text: &str) -> String {
    let mut line = String::with_capacity(text.len());
    for word in text.split_whitespace() {
        if !line.is_empty() {
            line.push(' ');
        }
        line.push_str(word);
    }
    line
}

#[derive(Clone, Copy)]
enum Failing {
    Reject,
    Caution,
    Doubt,
}

/// The meaning of a word out of a few; a problem is added where it is none of them.
fn choice<T: Copy>(text: &Text, choices: &[(&str, T)], problems: &mut Problems) -> Option<T> {
    let found = choices.iter().find(|(word, _)| *word == text.text).map(|(_, meaning)| *meaning);
    if found.is_none() {
        let words = choices.iter().map(|(word, _)| *word);
        problems.add(
            text.span,
            Fault::WordNotAllowed {
                word: text.text.clone(),
                allowed: words.clone().map(str::to_owned).collect(),
                nearest: nearest(&text.text, words),
            },
        );
    }
    found
}

/// Gathers what decides what a rule gives, as its file writes it.
#[derive(Default)]
struct Terms {
    text: String,
}

impl Terms {
    fn texts<'t>(&mut self, key: &str, texts: impl IntoIterator<Item = &'t Text>) {
        for text in texts {
            if !self.text.is_empty() {
                self.text.push_str("; ");
            }
            self.text.push_str(key);
            self.text.push(' ');
            self.text.push_str(&one_line(&text.text));
        }
    }
}

fn given_names(
    table: Table<'_>,
    on: Subject,
    terms: &mut Terms,
    problems: &mut Problems,
) -> BTreeMap<String, Checked> {
    let mut given = BTreeMap::new();
    for (name, item) in table.into_entries() {
        if name.text.contains('.') {
            problems.add(name.span, Fault::NameTwice(name.text));
            continue;
        }
        let Some(text) = text_of(&item, problems) else {
            continue;
        };
        terms.texts(&format!("given {}", name.text), [&text]);
        let checked = parsed(&text, problems)
            .and_then(|tree| placed(&text, check::anything(&tree, &Names { on, given: &given }), problems));
        if let Some(checked) = checked {
            given.insert(name.text, checked);
        }
    }
    given
}

fn parsed(text: &Text, problems: &mut Problems) -> Option<crate::rules::tree::Expr> {
    match parse(&text.text) {
        Ok(tree) => Some(tree),
        Err(problem) => {
            let fault = match problem.what {
                SyntaxFault::TooDeep => Fault::TooDeep,
                what => Fault::Expression(what),
            };
            problems.add(text.within(problem.span), fault);
            None
        }
    }
}

fn placed<T>(text: &Text, result: Result<T, check::Placed>, problems: &mut Problems) -> Option<T> {
    match result {
        Ok(value) => Some(value),
        Err((span, fault)) => {
            problems.add(text.within(span), fault);
            None
        }
    }
}

/// Reads a statement, such as a work's `asks`; problems are added at their place.
pub(crate) fn statement(text: &Text, names: &Names<'_>, problems: &mut Problems) -> Option<Test> {
    let tree = parsed(text, problems)?;
    placed(text, check::statement(&tree, names), problems)
}

fn template(text: &Text, on: Subject, problems: &mut Problems) -> Option<Template> {
    placed(text, Template::read(&text.text, on), problems)
}

/// One text for every way to fail, or a table with one for each.
fn remedies(item: Item<'_>, on: Subject, problems: &mut Problems) -> Remedies {
    let said = |text: Text, problems: &mut Problems| {
        if text.text.trim().is_empty() {
            problems.add(text.span, Fault::Empty);
        }
        template(&text, on, problems)
    };
    if matches!(item.get_ref(), DeValue::String(_)) {
        let one = text_of(&item, problems).and_then(|text| said(text, problems));
        return Remedies { short: one.clone(), over: one.clone(), off: one };
    }
    let Some(mut table) = Table::from_item(item, problems) else { return Remedies::default() };
    let [short, over, off] =
        ["short", "over", "off"].map(|way| table.text(way, problems).and_then(|text| said(text, problems)));
    table.finish(problems);
    Remedies { short, over, off }
}

fn spoiled_facts(spoils: &[Text], demand: &Test, problems: &mut Problems) -> FieldSet {
    let reads = demand.reads();
    let mut set = FieldSet::EMPTY;
    for text in spoils {
        match Field::from_full_name(&text.text) {
            Some(field) if reads.contains(field) => set.insert(field),
            Some(_) => problems.add(text.span, Fault::SpoilsUnread(text.text.clone())),
            None => problems.add(text.span, unknown_fact(&text.text)),
        }
    }
    set
}

/// The fault for a name that is no fact, with the nearest one that is.
pub(crate) fn unknown_fact(name: &str) -> Fault {
    let known: Vec<String> = Field::ALL.iter().map(|field| field.full_name()).collect();
    Fault::UnknownFact { name: name.to_owned(), nearest: nearest(name, known.iter().map(String::as_str)) }
}

fn witness(mut table: Table<'_>, on: Subject, problems: &mut Problems) -> Option<Witness> {
    let span = table.span();
    let gives = table
        .need_text("gives", problems)
        .and_then(|text| choice(&text, &Outcome::ALL.map(|outcome| (outcome.name(), outcome)), problems));
    let mut facts = Vec::new();
    let told_of =
        Scope::ALL.into_iter().filter(|scope| Field::of(*scope).iter().any(|field| on.reaches(*field)));
    for scope in told_of {
        if let Some(table) = table.table(scope.name(), problems) {
            facts_of(table, scope, "", &mut facts, problems);
        }
    }
    table.finish(problems);
    Some(Witness { facts, gives: gives?, span })
}

/// Reads a table of facts; tables within it are the dotted names of a scope.
fn facts_of(
    table: Table<'_>,
    scope: Scope,
    before: &str,
    facts: &mut Vec<(Field, Value)>,
    problems: &mut Problems,
) {
    for (key, item) in table.into_entries() {
        let name = format!("{before}{}", key.text);
        let Some(field) = Field::in_scope(scope, &name) else {
            if !matches!(item.get_ref(), DeValue::Table(_)) {
                problems.add(key.span, unknown_fact(&format!("{}.{name}", scope.name())));
            } else if let Some(inner) = Table::from_item(item, problems) {
                facts_of(inner, scope, &format!("{name}."), facts, problems);
            }
            continue;
        };
        if let Some(value) = value_of(field, &item, problems) {
            facts.push((field, value));
        }
    }
}

/// A TOML value as the value of a fact; problems are added at their place.
pub(crate) fn value_of(field: Field, item: &Item<'_>, problems: &mut Problems) -> Option<Value> {
    match document::value_of(field.kind(), item) {
        Ok(value) => Some(value),
        Err((span, problem)) => {
            problems.add(span, Fault::Literal(problem));
            None
        }
    }
}
