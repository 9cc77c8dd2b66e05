//! By what was judged: rules, vans and their work, and the profiles that sheets were read by.
//!
//! Each stands in a ledger in its own words rather than as a sum over them, so that whoever reviews a
//! changed ledger reads what changed; only what is no statement of ours, a profile, is a fingerprint.

use std::borrow::Cow;
use std::collections::BTreeMap;

use crate::facts::field::{Field, Scope};
use crate::facts::part::{PartKind, Subject};
use crate::judge::Judgement;
use crate::judge::explain::show_field;
use crate::ledger::text::{joined, split};
use crate::rules::Rule;
use crate::van::Van;
use crate::van::work::{Amount, Per, Work};

/// One thing that parts are judged by.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Term<'t> {
    /// A supplier profile, by name.
    Profile(Cow<'t, str>),
    /// The file of answers.
    Answers,
    /// A rule, by what it is about and its name.
    Rule(Subject, Cow<'t, str>),
    /// A van, by id.
    Van(Cow<'t, str>),
    /// A work, by its van's id and its name.
    Work(Cow<'t, str>, Cow<'t, str>),
}

/// All of them, each with the lines that say it.
pub type Terms<'t> = BTreeMap<Term<'t>, String>;

/// What sheets were read by, beside themselves.
#[derive(Clone, Debug, Default)]
pub struct ReadBy {
    /// The supplier profiles: name and fingerprint.
    pub profiles: Vec<(String, u64)>,
    /// The fingerprint of the file of answers.
    pub answers: Option<u64>,
}

impl<'t> Term<'t> {
    pub(super) fn heading(&self) -> String {
        match self {
            Self::Profile(name) => format!("profile {}", joined([&**name])),
            Self::Answers => "answers".to_owned(),
            Self::Rule(on, name) => format!("rule {}", joined([on.name(), name])),
            Self::Van(id) => format!("van {}", joined([&**id])),
            Self::Work(van, name) => format!("work {}", joined([&**van, name])),
        }
    }

    pub(super) fn read(heading: &'t str) -> Option<Self> {
        if heading == "answers" {
            return Some(Self::Answers);
        }
        let (word, rest) = heading.split_once(' ')?;
        let mut fields = split(rest).into_iter();
        let first = fields.next()?;
        match (word, fields.next(), fields.next()) {
            ("profile", None, None) => Some(Self::Profile(first)),
            ("van", None, None) => Some(Self::Van(first)),
            ("work", Some(name), None) => Some(Self::Work(first, name)),
            ("rule", Some(name), None) => {
                let on = Subject::ALL.into_iter().find(|on| on.name() == first)?;
                Some(Self::Rule(on, name))
            }
            _ => None,
        }
    }
}

/// Everything that a judgement on parts rests on beside the sheets.
#[must_use]
pub fn terms_of<'j>(judgement: &'j Judgement<'_>, read_by: &'j ReadBy) -> Terms<'j> {
    let mut terms = Terms::new();
    for (name, sum) in &read_by.profiles {
        let lines: &mut String = terms.entry(Term::Profile(Cow::Borrowed(name))).or_default();
        if !lines.is_empty() {
            lines.push('\n');
        }
        lines.push_str(&format!("{sum:016x}"));
    }
    if let Some(sum) = read_by.answers {
        terms.insert(Term::Answers, format!("{sum:016x}"));
    }
    for rule in in_force(judgement) {
        terms.insert(Term::Rule(rule.on, Cow::Borrowed(&rule.name)), joined([&*rule.terms]));
    }
    for van in &judgement.vans {
        terms.insert(Term::Van(Cow::Borrowed(&van.id)), van_lines(van, &judgement.packs));
        for work in &van.works {
            let name = Term::Work(Cow::Borrowed(&van.id), Cow::Borrowed(&work.name));
            terms.insert(name, work_line(van, work));
        }
    }
    terms
}

/// The rules that can decide what a part comes to on any van, sense checks included.
pub(super) fn in_force<'j>(judgement: &'j Judgement<'_>) -> impl Iterator<Item = &'j Rule> {
    let subjects = PartKind::ALL.map(Subject::from);
    judgement.rules.all().iter().enumerate().filter_map(move |(place, rule)| {
        let for_van = |van| judgement.in_force(van, rule.on).iter().any(|(known, _)| *known == place);
        let on_parts = subjects.contains(&rule.on);
        (on_parts && (rule.is_sense_check() || judgement.vans.iter().any(for_van))).then_some(rule)
    })
}

const PACKS: &str = "packs";

fn van_lines(van: &Van, chosen: &[String]) -> String {
    let mut packs: Vec<&str> = van.packs.iter().chain(chosen).map(String::as_str).collect();
    packs.sort_unstable();
    packs.dedup();
    let packs = (!packs.is_empty()).then(|| format!("{PACKS} {}", joined(packs)));
    let facts = Field::of(Scope::Van).iter().filter_map(|field| {
        let value = van.facts.get(*field)?;
        Some(format!("{} {}", field.name(), joined([&*show_field(*field, value)])))
    });
    packs.into_iter().chain(facts).collect::<Vec<_>>().join("\n")
}

/// Everything of a work that decides when it is chosen, and what is bought for it.
fn work_line(van: &Van, work: &Work) -> String {
    let named = |places: &[usize], word: &'static str| -> Vec<String> {
        let works = places.iter().filter_map(|place| van.works.get(*place));
        works.map(|work| format!("{word} {}", work.name)).collect()
    };
    let effects = work.effects.iter().map(|effect| {
        let amount = match &effect.amount {
            Amount::Fixed(value) => show_field(effect.field, value),
            Amount::Of(field) => field.full_name(),
        };
        format!("{} {} {amount}", effect.change.key(), effect.field.full_name())
    });
    let asks = work.asks.as_ref().map(|asks| format!("asks {}", asks.text));
    let needs = work.needs.iter().map(|need| {
        let per = match need.per {
            Per::Wheel => "wheel",
            Per::Van => "van",
        };
        format!("needs {} per {per}: {}", need.count, need.item)
    });
    let all: Vec<String> = std::iter::once(format!("costs {}", work.costs))
        .chain(effects)
        .chain(asks)
        .chain(named(&work.requires, "requires"))
        .chain(named(&work.excludes, "excludes"))
        .chain(needs)
        .collect();
    joined(all.iter().map(String::as_str))
}

/// One thing that parts are judged by, before and now; not both are there without differing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Difference<'t> {
    /// What it is.
    pub term: Term<'t>,
    /// What the ledger says of it.
    pub before: Option<String>,
    /// What is so now.
    pub now: Option<String>,
}

/// A fact of a van, or its packs, before and now.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct VanChange {
    /// Which fact; none for the packs.
    pub field: Option<Field>,
    /// Before.
    pub before: Option<String>,
    /// Now.
    pub now: Option<String>,
}

impl Difference<'_> {
    /// What differs of a van.
    #[must_use]
    pub fn van_changes(&self) -> Vec<VanChange> {
        let stated = |lines: &Option<String>| -> BTreeMap<String, String> {
            let lines = lines.iter().flat_map(|lines| lines.lines());
            let stated = lines.filter_map(|line| line.split_once(' '));
            stated.map(|(name, text)| (name.to_owned(), split(text).join(", "))).collect()
        };
        let (before, now) = (stated(&self.before), stated(&self.now));
        let fields = Field::of(Scope::Van).iter().map(|field| (Some(*field), field.name()));
        let all = std::iter::once((None, PACKS)).chain(fields);
        let changes = all.filter(|(_, name)| before.get(*name) != now.get(*name));
        changes
            .map(|(field, name)| VanChange {
                field,
                before: before.get(name).cloned(),
                now: now.get(name).cloned(),
            })
            .collect()
    }
}

/// What differs between what a ledger rests on and what is so now.
#[must_use]
pub fn differences<'t>(before: &Terms<'t>, now: &Terms<'t>) -> Vec<Difference<'t>> {
    let gone = before.keys().filter(|term| !now.contains_key(*term));
    let mut terms: Vec<&Term<'t>> = now.keys().chain(gone).collect();
    terms.sort();
    let difference = |term: &Term<'t>| Difference {
        term: term.clone(),
        before: before.get(term).cloned(),
        now: now.get(term).cloned(),
    };
    let all = terms.into_iter().map(difference);
    all.filter(|difference| difference.before != difference.now).collect()
}
