//! What was typed, filled up from the shop file.

use std::fmt;
use std::path::PathBuf;

use crate::document::{FileProblem, FileProblems, Problems, Text, toml_files};
use crate::plan::{Inputs, SheetSource};
use crate::rules::RuleSet;
use crate::shop::{Shop, paths};

/// What a shop file gave to a run, to be said aloud: nobody should wonder where a van came from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Taken {
    /// The file, as shown.
    pub file: String,
    /// The settings it gave, in the order they were asked for.
    pub settings: Vec<&'static str>,
}

impl fmt::Display for Taken {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "from {}: {}", self.file, self.settings.join(", "))
    }
}

/// Fills what a command line leaves open, one setting after the other.
///
/// Only what a command asks for is looked up, so that a shop without a ledger can still be vetted. Each
/// question takes what was typed and gives it back, or what the shop file says where nothing was typed.
#[derive(Debug)]
pub struct Fill<'s> {
    stated: Option<&'s Shop>,
    problems: Vec<FileProblem>,
    taken: Vec<&'static str>,
}

impl<'s> Fill<'s> {
    /// Fills from a shop file; where there is none, what was typed is all there is.
    #[must_use]
    pub fn new(stated: Option<&'s Shop>) -> Self {
        Self { stated, problems: Vec::new(), taken: Vec::new() }
    }

    /// The sheets.
    pub fn sheets(&mut self, typed: Vec<SheetSource>) -> Vec<SheetSource> {
        if !typed.is_empty() {
            return typed;
        }
        self.found("sheets", Vec::new(), |shop| &shop.sheets).into_iter().map(SheetSource::Path).collect()
    }

    /// Van files and folders of them.
    pub fn vans(&mut self, typed: Vec<PathBuf>) -> Vec<PathBuf> {
        self.found("vans", typed, |shop| &shop.vans)
    }

    /// Rule files and folders of them.
    pub fn rules(&mut self, typed: Vec<PathBuf>) -> Vec<PathBuf> {
        self.found("rules", typed, |shop| &shop.rules)
    }

    /// Supplier profiles; a folder that the shop file names stands for those in it.
    pub fn profiles(&mut self, typed: Vec<PathBuf>) -> Vec<PathBuf> {
        if !typed.is_empty() {
            return typed;
        }
        let mut files = Vec::new();
        for path in self.found("profiles", Vec::new(), |shop| &shop.profiles) {
            match toml_files(&path) {
                Ok(found) => files.extend(found),
                Err(problem) => self.problems.push(problem),
            }
        }
        files
    }

    /// Rule packs for all vans; those of the shop file must belong to the shipped rules or to these.
    pub fn packs(&mut self, typed: Vec<String>, rules: &[PathBuf]) -> Vec<String> {
        let Some(shop) = self.open(typed.is_empty()).filter(|shop| !shop.packs.is_empty()) else {
            return typed;
        };
        self.taken.push("packs");
        self.problems.extend(unknown_packs(shop, rules));
        shop.packs.iter().map(|pack| pack.text.clone()).collect()
    }

    /// How many wheels a set has.
    pub fn set(&mut self, typed: Option<u32>) -> Option<u32> {
        typed.or_else(|| {
            let set = self.stated?.set?;
            self.taken.push("set");
            Some(set)
        })
    }

    /// The ledger file, whether it is there already or not.
    pub fn ledger(&mut self, typed: Option<PathBuf>) -> Option<PathBuf> {
        self.place("ledger", typed, |shop| shop.ledger.as_ref())
    }

    /// The folder that lists are published in, whether it is there already or not.
    pub fn outputs(&mut self, typed: Option<PathBuf>) -> Option<PathBuf> {
        self.place("outputs", typed, |shop| shop.outputs.as_ref())
    }

    /// All that a judging command works on.
    pub fn inputs(&mut self, typed: Inputs) -> Inputs {
        let sheets = self.sheets(typed.sheets);
        let vans = self.vans(typed.vans);
        let profiles = self.profiles(typed.profiles);
        let rules = self.rules(typed.rules);
        let packs = self.packs(typed.packs, &rules);
        let set = self.set(typed.set);
        Inputs { sheets, vans, profiles, rules, packs, set, ..typed }
    }

    /// What the shop file had to give; none where all was typed.
    ///
    /// # Errors
    /// Every problem met: a path or pattern that leads to nothing, a pack that no rule belongs to.
    pub fn finish(self) -> Result<Option<Taken>, FileProblems> {
        if !self.problems.is_empty() {
            return Err(FileProblems(self.problems));
        }
        let settings = self.taken;
        Ok(self
            .stated
            .filter(|_| !settings.is_empty())
            .map(|shop| Taken { file: shop.source.name().to_owned(), settings }))
    }

    /// The shop file, where there is one and nothing was typed.
    fn open(&self, nothing_typed: bool) -> Option<&'s Shop> {
        self.stated.filter(|_| nothing_typed)
    }

    fn found(
        &mut self,
        setting: &'static str,
        typed: Vec<PathBuf>,
        of: impl FnOnce(&'s Shop) -> &'s [Text],
    ) -> Vec<PathBuf> {
        let Some(shop) = self.open(typed.is_empty()) else { return typed };
        let texts = of(shop);
        if texts.is_empty() {
            return typed;
        }
        self.taken.push(setting);
        let mut problems = Problems::new(shop.source.clone());
        let found = paths::found(&shop.folder, texts, &mut problems);
        self.problems.extend(problems.into_found());
        found
    }

    fn place(
        &mut self,
        setting: &'static str,
        typed: Option<PathBuf>,
        of: impl FnOnce(&'s Shop) -> Option<&'s Text>,
    ) -> Option<PathBuf> {
        typed.or_else(|| {
            let shop = self.stated?;
            let place = shop.folder.join(&of(shop)?.text);
            self.taken.push(setting);
            Some(place)
        })
    }
}

/// A problem for every pack that no rule belongs to. Rules that cannot be read are told of by the run
/// itself; nobody can say then which packs there are.
fn unknown_packs(shop: &Shop, rules: &[PathBuf]) -> Vec<FileProblem> {
    let Ok(mut set) = RuleSet::shipped_to_judge() else { return Vec::new() };
    if rules.iter().any(|path| set.add_from(path).is_err()) {
        return Vec::new();
    }
    let mut problems = Problems::new(shop.source.clone());
    for pack in &shop.packs {
        if let Some(fault) = set.unknown_pack(&pack.text) {
            problems.add(pack.span, fault);
        }
    }
    problems.into_found()
}
