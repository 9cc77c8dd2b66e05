//! Rules: TOML files to checked, compiled rules.
//!
//! Takes in rule files; yields [`RuleSet`]s, or every problem in the files at once. Knows facts by
//! the registry and never sees a sheet. One expression goes text → tokens ([`mod@lex`]) → tree
//! ([`mod@parse`], [`tree`]) → program ([`mod@check`], [`program`]); only programs are evaluated.

pub mod check;
pub mod lex;
pub mod parse;
pub mod program;
pub(crate) mod read;
pub mod rule;
mod shipped;
pub mod template;
pub mod tree;

use std::path::Path;

use crate::document::{
    Fault, FileProblem, FileProblems, Problems, Source, Span, nearest, parse as parse_toml, read_source,
    toml_files,
};
use crate::facts::field::FieldSet;
use crate::facts::part::{PartKind, Subject};

pub use rule::{OnFailing, OnUnknown, Outcome, Remedies, Rule, Witness};

/// Rules in the order in which they are judged and listed.
#[derive(Clone, Debug, Default)]
pub struct RuleSet {
    rules: Vec<Rule>,
}

impl RuleSet {
    /// The rules that ship with the program.
    ///
    /// # Errors
    /// None in a program that was tested; the type says it all the same.
    pub fn shipped() -> Result<Self, FileProblems> {
        shipped::read()
    }

    /// The rules that ship with the program, without the witnesses that prove them: all that judging needs, and far
    /// sooner read.
    ///
    /// # Errors
    /// As [`shipped`](Self::shipped).
    pub fn shipped_to_judge() -> Result<Self, FileProblems> {
        shipped::without_witnesses()
    }

    /// Adds rules; one that has the name of a rule already there, for the same kind of part, takes
    /// its place.
    pub fn add(&mut self, rules: Vec<Rule>) {
        for rule in rules {
            match self.rules.iter_mut().find(|old| old.name == rule.name && old.on == rule.on) {
                Some(old) => *old = rule,
                None => self.rules.push(rule),
            }
        }
    }

    /// Adds the rules of a folder's `.toml` files, or of one file.
    ///
    /// # Errors
    /// Every problem in the files.
    pub fn add_from(&mut self, path: &Path) -> Result<(), FileProblems> {
        let files = toml_files(path).map_err(|problem| FileProblems(vec![problem]))?;
        let mut problems = Vec::new();
        for file in files {
            match read_source(&file) {
                Ok(source) => {
                    let (rules, found) = read_rules(&source);
                    problems.extend(found);
                    self.add(rules);
                }
                Err(problem) => problems.push(problem),
            }
        }
        if problems.is_empty() { Ok(()) } else { Err(FileProblems(problems)) }
    }

    /// Every rule.
    #[must_use]
    pub fn all(&self) -> &[Rule] {
        &self.rules
    }

    /// The packs that any rule belongs to, by name.
    #[must_use]
    pub fn packs(&self) -> Vec<&str> {
        let mut packs: Vec<&str> =
            self.rules.iter().flat_map(|rule| &rule.packs).map(String::as_str).collect();
        packs.sort_unstable();
        packs.dedup();
        packs
    }

    /// Why a pack cannot be chosen: no rule belongs to it.
    #[must_use]
    pub fn unknown_pack(&self, pack: &str) -> Option<Fault> {
        let known = self.packs();
        (!known.contains(&pack)).then(|| Fault::WordNotAllowed {
            word: pack.to_owned(),
            allowed: known.iter().map(|pack| (*pack).to_owned()).collect(),
            nearest: nearest(pack, known.iter().copied()),
        })
    }

    /// The sense checks on a kind of part.
    pub fn sense_checks(&self, kind: PartKind) -> impl Iterator<Item = &Rule> {
        self.rules.iter().filter(move |rule| rule.on == kind.into() && rule.is_sense_check())
    }

    /// Whether a rule is in force on a subject with these packs; sense checks never are: they look at
    /// rows, not at fitting.
    #[must_use]
    pub fn is_in_force(&self, rule: &Rule, on: Subject, packs: &[String]) -> bool {
        let chosen = rule.packs.is_empty() || rule.packs.iter().any(|pack| packs.contains(pack));
        rule.on == on && !rule.is_sense_check() && chosen
    }

    /// Every fact of a kind of part that some rule reads, sense checks and rules on packages included.
    #[must_use]
    pub fn reads(&self, kind: PartKind) -> FieldSet {
        let all = self.rules.iter().fold(FieldSet::EMPTY, |set, rule| set.union(rule.reads));
        all.intersection(FieldSet::of_scope(kind.scope()))
    }

    /// Every fact of a kind of part that some rule reads or names in its sentence.
    #[must_use]
    pub fn reads_or_names(&self, kind: PartKind) -> FieldSet {
        let named = self.rules.iter().flat_map(|rule| rule.says.facts()).collect();
        self.reads(kind).union(FieldSet::of_scope(kind.scope()).intersection(named))
    }
}

/// The rules of one file, and every problem in it.
#[must_use]
pub fn read_rules(source: &Source) -> (Vec<Rule>, Vec<FileProblem>) {
    let mut problems = Problems::new(source.clone());
    let mut rules = Vec::new();
    if let Some(mut table) = parse_toml(source, &mut problems) {
        let some = table.has("rule");
        let tables = table.tables("rule", &mut problems);
        rules = read::rules_of(source, tables, &mut problems);
        table.finish(&mut problems);
        if !some && !problems.any() {
            problems.add(Span::default(), Fault::NothingKnown);
        }
    }
    (rules, problems.into_found())
}
