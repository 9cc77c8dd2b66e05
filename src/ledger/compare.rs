//! A fresh run against a ledger: what became of each part, by which facts, and why.

use std::cmp::Ordering;
use std::collections::HashMap;

use crate::facts::field::{Field, FieldSet};
use crate::facts::part::{PartKind, Subject};
use crate::judge::Judgement;
use crate::ledger::entry::{Entry, Key};
use crate::ledger::fresh::{Frame, Fresh, FreshPart, NOT_STATED};
use crate::ledger::problem::LedgerProblem;
use crate::ledger::terms::{Difference, Term, VanChange, differences};
use crate::ledger::text::{Held, Ledger};
use crate::rules::Rule;

/// What became of a part on the list of a van.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Standing {
    /// It was listed and no longer is.
    Lost,
    /// It needs work that it did not need.
    Weakened,
    /// It was listed and no sheet has it any more.
    Vanished,
    /// A fact that its listing rests on changed, and it is listed as before.
    Moved,
    /// It is listed and was not, or needs less work than it did.
    Gained,
}

impl Standing {
    /// All five, worst first.
    pub const ALL: [Self; 5] = [Self::Lost, Self::Weakened, Self::Vanished, Self::Moved, Self::Gained];

    /// The word in outputs.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Lost => "lost",
            Self::Weakened => "weakened",
            Self::Vanished => "vanished",
            Self::Moved => "moved",
            Self::Gained => "gained",
        }
    }
}

/// A fact that changed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FactChange {
    /// Which.
    pub field: Field,
    /// Before; none where nothing stated it.
    pub before: Option<String>,
    /// Now; none where nothing states it.
    pub now: Option<String>,
}

/// Why a part changed.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Cause {
    /// The sheet says something else of it.
    Sheet,
    /// The sheet says something else of it, or is read by another profile or other answers.
    SheetOrReading,
    /// A rule.
    Rule(Subject, String),
    /// A limit or another fact of the van.
    VanFact(Field),
    /// The packs chosen for the van.
    VanPacks,
    /// The van has no list in the ledger yet.
    VanNew,
    /// The van is not among those judged for.
    VanGone,
    /// A work on file for the van.
    Work(String),
    /// Nothing that a ledger records: the program, or the date it judged on.
    Elsewhere,
}

/// One part that changed on the list of one van.
#[derive(Debug)]
pub struct Change<'c> {
    /// What became of it.
    pub standing: Standing,
    /// Which part, for which van.
    pub key: Key<'c>,
    /// What was accepted; none where the ledger has no record.
    pub before: Option<Entry>,
    /// The ledger's line that says so.
    pub line: Option<usize>,
    /// What it comes to now; none where no sheet has it.
    pub now: Option<Entry>,
    /// Its van and part now, by place in the judgement.
    pub found: Option<(usize, usize)>,
    /// The facts that changed, in registry order.
    pub facts: Vec<FactChange>,
    /// Why; never empty.
    pub causes: Vec<Cause>,
    /// The number under which the same facts stand now, where a part vanished and another came.
    pub renumbered: Option<String>,
}

/// The facts whose change can make a wheel or tire fail: what carries the load, and what holds it on.
const LOAD_BEARING: [Field; 10] = [
    Field::WheelLoadRating,
    Field::WheelBoltPatterns,
    Field::WheelCenterBore,
    Field::WheelSeat,
    Field::TireLoadIndex,
    Field::TireLoadIndexDual,
    Field::TireLoadSingle,
    Field::TireLoadDual,
    Field::TireLoadRange,
    Field::TirePlyRating,
];

impl Change<'_> {
    /// Whether a fact of load, bolt pattern, bore or seat changed.
    #[must_use]
    pub fn is_load_bearing(&self) -> bool {
        self.facts.iter().any(|fact| LOAD_BEARING.contains(&fact.field))
    }
}

/// A fresh run against a ledger.
#[derive(Debug)]
pub struct Comparison<'c> {
    /// Whether the ledger holds nothing yet.
    pub first: bool,
    /// The parts whose place on a list changed, worst first, then by key.
    pub changes: Vec<Change<'c>>,
    /// What differs of rules, vans, work and profiles.
    pub differences: Vec<Difference<'c>>,
    /// Records that are as accepted.
    pub same: usize,
    /// Records of parts that neither were nor are listed, or whose listing rests on the same facts by
    /// other rules: they differ, and no list does.
    pub quiet: usize,
    /// Records whose part no sheet has any more, listed or not.
    pub unexplained: Vec<Key<'c>>,
}

impl Comparison<'_> {
    /// How many parts came to a standing.
    #[must_use]
    pub fn count(&self, standing: Standing) -> usize {
        self.changes.iter().filter(|change| change.standing == standing).count()
    }

    /// Whether accepting would change the ledger.
    #[must_use]
    pub fn differs(&self) -> bool {
        self.first || !self.changes.is_empty() || self.quiet > 0 || !self.differences.is_empty()
    }
}

/// Compares.
///
/// # Errors
/// [`LedgerProblem::Line`] for a record that is not understood.
pub fn compare<'c>(
    ledger: &Ledger<'c>,
    fresh: &Fresh<'c>,
    judgement: &'c Judgement<'_>,
) -> Result<Comparison<'c>, LedgerProblem> {
    let differences = differences(&ledger.terms, &fresh.terms);
    let weigher = Weigher {
        judgement,
        ledger,
        frames: judgement.vans.iter().enumerate().map(|(at, van)| Frame::new(judgement, at, van)).collect(),
        van_changes: differences.iter().map(Difference::van_changes).collect(),
        differences: &differences,
    };
    let (mut changes, mut unexplained, mut same, mut quiet) = (Vec::new(), Vec::new(), 0, 0);
    let (mut held, mut found) = (ledger.parts.iter().peekable(), fresh.parts.iter().peekable());
    loop {
        let order = match (held.peek(), found.peek()) {
            (None, None) => break,
            (Some(_), None) => Ordering::Less,
            (None, Some(_)) => Ordering::Greater,
            (Some(held), Some(found)) => held.key.cmp(&found.key),
        };
        let before = if order.is_le() { held.next() } else { None };
        let now = if order.is_ge() { found.next() } else { None };
        match (before, now) {
            (Some(before), Some(now)) if before.body == &*now.body => {
                same += 1;
                continue;
            }
            (Some(before), None) => unexplained.push(before.key.clone()),
            _ => {}
        }
        match weigher.change(before, now)? {
            Some(change) => changes.push(change),
            None => quiet += 1,
        }
    }
    // By key within a standing: the sort is stable.
    changes.sort_by_key(|change| change.standing);
    renumber(&mut changes);
    drop(weigher);
    let first = ledger.terms.is_empty() && ledger.parts.is_empty();
    Ok(Comparison { first, changes, differences, same, quiet, unexplained })
}

/// Whatever vanished while the same facts came under another number was probably only renumbered.
fn renumber(changes: &mut [Change<'_>]) {
    let likeness = |key: &Key<'_>, entry: &Entry| {
        (key.van.to_string(), key.supplier.to_string(), key.kind, entry.facts.clone())
    };
    let came = changes.iter().filter(|change| change.standing == Standing::Gained && change.before.is_none());
    let came = came.filter_map(|change| {
        Some((likeness(&change.key, change.now.as_ref()?), change.key.number().to_owned()))
    });
    // Of several alike the first counts.
    let came: HashMap<_, String> = came.collect::<Vec<_>>().into_iter().rev().collect();
    for change in changes.iter_mut().filter(|change| change.standing == Standing::Vanished) {
        let before = change.before.as_ref();
        change.renumbered = before.and_then(|before| came.get(&likeness(&change.key, before)).cloned());
    }
}

/// Tells what a changed record means.
struct Weigher<'w, 'c> {
    judgement: &'c Judgement<'c>,
    ledger: &'w Ledger<'c>,
    frames: Vec<Frame<'c>>,
    differences: &'w [Difference<'c>],
    /// What differs of each van among the differences.
    van_changes: Vec<Vec<VanChange>>,
}

impl<'c> Weigher<'_, 'c> {
    fn change(
        &self,
        held: Option<&Held<'c>>,
        found: Option<&FreshPart<'c>>,
    ) -> Result<Option<Change<'c>>, LedgerProblem> {
        let before = held.map(|held| {
            Entry::read(held.key.kind, held.body)
                .ok_or_else(|| LedgerProblem::Line { line: held.line, text: held.body.to_owned() })
        });
        let before = before.transpose()?;
        let now = found.and_then(|found| {
            let spec = self.judgement.catalog.parts.get(found.part)?.spec;
            Some(self.frames.get(found.van)?.record(spec)?.0)
        });
        let Some(key) = held.map(|held| &held.key).or(found.map(|found| &found.key)) else {
            return Ok(None);
        };
        let facts = match (&before, &now) {
            (Some(before), Some(now)) => self.fact_changes(key, before, now),
            _ => Vec::new(),
        };
        let standing = standing(before.as_ref(), now.as_ref(), !facts.is_empty());
        Ok(standing.map(|standing| Change {
            causes: self.causes(standing, key, before.as_ref(), now.as_ref(), &facts),
            standing,
            key: key.clone(),
            line: held.map(|held| held.line),
            found: found.map(|found| (found.van, found.part)),
            before,
            now,
            facts,
            renumbered: None,
        }))
    }

    fn frame(&self, van: &str) -> Option<&Frame<'c>> {
        let at = self.judgement.vans.iter().position(|known| *known.id == *van)?;
        self.frames.get(at)
    }

    fn difference(&self, term: &Term<'_>) -> Option<&Difference<'c>> {
        self.differences.iter().find(|difference| difference.term == *term)
    }

    fn van_changes(&self, van: &str) -> &[VanChange] {
        let of_van = |difference: &Difference<'_>| matches!(&difference.term, Term::Van(id) if **id == *van);
        let at = self.differences.iter().position(of_van);
        at.and_then(|at| self.van_changes.get(at)).map_or(&[], Vec::as_slice)
    }

    /// The facts that changed. A fact that one side alone records changed only where the other side
    /// looked at it too: a new rule that reads one more fact changes no fact.
    fn fact_changes(&self, key: &Key<'_>, before: &Entry, now: &Entry) -> Vec<FactChange> {
        let looked_at = |field: Field, entry: &Entry| {
            entry.fact(field).is_some() || (entry.is_listed() && self.always_read(key, field))
        };
        let fields: FieldSet = before.facts.iter().chain(&now.facts).map(|(field, _)| *field).collect();
        let both = fields.iter().filter(|field| looked_at(*field, before) && looked_at(*field, now));
        let stated = |entry: &'_ Entry, field: Field| {
            entry.fact(field).filter(|text| *text != NOT_STATED).map(str::to_owned)
        };
        both.filter(|field| stated(before, *field) != stated(now, *field))
            .map(|field| FactChange {
                field,
                before: before.fact(field).map(str::to_owned),
                now: now.fact(field).map(str::to_owned),
            })
            .collect()
    }

    /// Whether a rule that is as it was reads a fact.
    fn always_read(&self, key: &Key<'_>, field: Field) -> bool {
        let rules = self.frame(&key.van).map_or(&[][..], |frame| frame.rules(key.kind));
        rules.iter().any(|(_, rule)| rule.reads.contains(field) && self.difference(&term_of(rule)).is_none())
    }

    fn causes(
        &self,
        standing: Standing,
        key: &Key<'_>,
        before: Option<&Entry>,
        now: Option<&Entry>,
        facts: &[FactChange],
    ) -> Vec<Cause> {
        if now.is_none() && self.frame(&key.van).is_none() {
            return vec![Cause::VanGone];
        }
        if before.is_none() && !self.ledger.terms.contains_key(&Term::Van(key.van.clone())) {
            return vec![Cause::VanNew];
        }
        let (Some(before), Some(now)) = (before, now) else { return vec![self.sheet()] };
        let mut causes = Vec::new();
        let mut in_sheet = standing == Standing::Moved;
        let packs = self.van_changes(&key.van).iter().any(|change| change.field.is_none());
        for name in at_issue(standing, before, now) {
            let rule = self.rule(key.kind, name);
            let difference = self.difference(&Term::Rule(key.kind.into(), name.into()));
            let came_or_went = difference.is_some_and(|known| known.before.is_none() || known.now.is_none());
            // A rule of a pack comes and goes with the packs that are chosen for the van.
            let of_pack = packs && rule.is_none_or(|rule| !rule.packs.is_empty());
            if of_pack && (came_or_went || (difference.is_none() && facts.is_empty())) {
                causes.push(Cause::VanPacks);
            } else if difference.is_some() {
                causes.push(Cause::Rule(key.kind.into(), name.to_owned()));
            }
            let Some(rule) = rule else { continue };
            let fields = self.van_changes(&key.van).iter().filter_map(|change| change.field);
            causes.extend(fields.filter(|field| rule.reads.contains(*field)).map(Cause::VanFact));
            in_sheet |= facts.iter().any(|fact| rule.reads.contains(fact.field));
        }
        let works = before.works.iter().chain(&now.works);
        causes.extend(works.filter_map(|work| {
            let term = Term::Work(key.van.clone(), work.as_str().into());
            self.difference(&term).map(|_| Cause::Work(work.clone()))
        }));
        if in_sheet || (causes.is_empty() && !facts.is_empty()) {
            causes.push(self.sheet());
        }
        causes.sort();
        causes.dedup();
        if causes.is_empty() { vec![Cause::Elsewhere] } else { causes }
    }

    fn sheet(&self) -> Cause {
        let reading = |term: &Term<'_>| matches!(term, Term::Profile(_) | Term::Answers);
        let reread = self.differences.iter().any(|difference| reading(&difference.term));
        if reread { Cause::SheetOrReading } else { Cause::Sheet }
    }

    fn rule(&self, kind: PartKind, name: &str) -> Option<&Rule> {
        self.judgement.rules.all().iter().find(|rule| rule.on == kind.into() && *rule.name == *name)
    }
}

fn term_of(rule: &Rule) -> Term<'_> {
    Term::Rule(rule.on, (&*rule.name).into())
}

fn standing(before: Option<&Entry>, now: Option<&Entry>, facts_changed: bool) -> Option<Standing> {
    let listed = |entry: Option<&Entry>| entry.is_some_and(Entry::is_listed);
    match (before, now) {
        (Some(before), Some(now)) if before.is_listed() && now.is_listed() => {
            if before.works == now.works {
                // Nothing that the listing rests on changed, or only by which rules it does.
                return facts_changed.then_some(Standing::Moved);
            }
            let less = now.works.iter().all(|work| before.works.contains(work));
            Some(if less { Standing::Gained } else { Standing::Weakened })
        }
        (Some(_), None) if listed(before) => Some(Standing::Vanished),
        (Some(_), Some(_)) if listed(before) => Some(Standing::Lost),
        (_, Some(_)) if listed(now) => Some(Standing::Gained),
        _ => None,
    }
}

/// The rules by which a part changed.
fn at_issue<'e>(standing: Standing, before: &'e Entry, now: &'e Entry) -> Vec<&'e str> {
    let entry = match standing {
        Standing::Lost | Standing::Weakened => now,
        Standing::Gained => before,
        Standing::Vanished | Standing::Moved => return Vec::new(),
    };
    // Where some stood in the way all along and others came, or went, those did it.
    let other = if std::ptr::eq(entry, now) { before } else { now };
    let new: Vec<&str> =
        entry.against.iter().filter(|name| !other.against.contains(name)).map(String::as_str).collect();
    if new.is_empty() { entry.against.iter().map(String::as_str).collect() } else { new }
}
