//! The rules that ship with the program: their files, and the same rules laid out by the build script.

use std::borrow::Cow;

use toml::Spanned;
use toml::de::{DeArray, DeValue};

use crate::document::{FileProblem, FileProblems, Item, Problems, Source, Table};
use crate::rules::read::rules_of;
use crate::rules::{Rule, RuleSet, read_rules};

mod laid {
    use super::{Entry, Laid, Says};

    include!(concat!(env!("OUT_DIR"), "/rules.rs"));
}

/// A shipped file: its name, its text and its rules without their witnesses.
struct File {
    name: &'static str,
    text: &'static str,
    rules: &'static [Laid],
}

macro_rules! files {
    ($($stem:literal $laid:ident,)+) => {
        [$(File {
            name: concat!("rules/", $stem, ".toml"),
            text: include_str!(concat!("../../rules/", $stem, ".toml")),
            rules: &laid::$laid,
        },)+]
    };
}

/// The shipped files, in the order in which their rules stand.
const FILES: [File; 7] = files! {
    "wheel" WHEEL,
    "tire" TIRE,
    "road" ROAD,
    "winter" WINTER,
    "package" PACKAGE,
    "drawbacks" DRAWBACKS,
    "sense" SENSE,
};

/// A value of a shipped file, with its place there in bytes.
struct Laid {
    start: usize,
    end: usize,
    says: Says,
}

enum Says {
    Text(&'static str),
    List(&'static [Laid]),
    Table(&'static [Entry]),
}

/// A key of a table, with its place, and its value.
struct Entry {
    start: usize,
    end: usize,
    key: &'static str,
    value: Laid,
}

impl Laid {
    fn item(&self) -> Item<'static> {
        let value = match self.says {
            Says::Text(text) => DeValue::String(Cow::Borrowed(text)),
            Says::List(items) => {
                let mut list = DeArray::new();
                items.iter().for_each(|item| list.push(item.item()));
                DeValue::Array(list)
            }
            Says::Table(entries) => DeValue::Table(entries.iter().map(Entry::item).collect()),
        };
        Spanned::new(self.start..self.end, value)
    }
}

impl Entry {
    fn item(&self) -> (Spanned<Cow<'static, str>>, Item<'static>) {
        (Spanned::new(self.start..self.end, Cow::Borrowed(self.key)), self.value.item())
    }
}

/// The rules of all files, read as everyone's are.
pub(super) fn read() -> Result<RuleSet, FileProblems> {
    gathered(|file| read_rules(&Source::new(file.name, file.text)))
}

/// The same as the build laid them out, without their witnesses: a quarter of the work.
pub(super) fn without_witnesses() -> Result<RuleSet, FileProblems> {
    gathered(|file| {
        let source = Source::new(file.name, file.text);
        let mut problems = Problems::new(source.clone());
        let tables: Vec<Table<'_>> =
            file.rules.iter().filter_map(|rule| Table::from_item(rule.item(), &mut problems)).collect();
        let rules = rules_of(&source, tables, &mut problems);
        (rules, problems.into_found())
    })
}

fn gathered(read: impl Fn(&File) -> (Vec<Rule>, Vec<FileProblem>)) -> Result<RuleSet, FileProblems> {
    let mut set = RuleSet::default();
    let mut problems = Vec::new();
    for file in &FILES {
        let (rules, found) = read(file);
        problems.extend(found);
        set.add(rules);
    }
    if problems.is_empty() { Ok(set) } else { Err(FileProblems(problems)) }
}
