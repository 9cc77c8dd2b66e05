//! Rows judged by the numbers of their facts: what few facts come to is worked out once, and looked up after that.
//!
//! Takes in rows of numbers of [`AlikeFacts`]; yields for each van what [`Judge::finding`] gives on the same facts.
//! Each sense check, derivation and rule is asked of the facts that it reads and of no others, which its read set
//! tells, so a sheet of a million rows asks each some hundred times. What is rarer than that is judged whole: rows
//! that contradict themselves, and rows that work might help.

use std::sync::Arc;

use crate::facts::alike::{AlikeFacts, Combinations, NumberedRow, Standing};
use crate::facts::fact::Fact;
use crate::facts::field::{Field, FieldSet};
use crate::facts::part::{PartKind, Spec};
use crate::facts::value::Value;
use crate::judge::case::Case;
use crate::judge::derive::{Following, following};
use crate::judge::eval::{outcome, truth};
use crate::judge::finding::{Finding, VerdictKind};
use crate::judge::truth::Truth;
use crate::judge::verdict::{Judge, gaps_of, says_of};
use crate::judge::{derive, packs_of, placed, sense};
use crate::rules::program::Test;
use crate::rules::{OnFailing, OnUnknown, Outcome, Rule, RuleSet};
use crate::van::{Van, VanFacts};

/// How many vans there may be: each is a bit of a word.
pub const MOST_VANS: usize = 64;

/// One thing that is said of parts: a reason, or what cannot be shown.
#[derive(Clone, Debug)]
pub enum Saying {
    /// Why a part does not fit.
    Reason(Arc<str>),
    /// What cannot be shown: the rule, the fact, why, and the field whose cell it is.
    Gap {
        /// The rule's name.
        rule: Arc<str>,
        /// The field, where one is to blame.
        field: Option<Field>,
        /// Why it has no usable value.
        why: Arc<str>,
        /// The fact, for its cell.
        fact: Option<Arc<Fact>>,
    },
}

/// What a part comes to for one van.
#[derive(Debug)]
pub enum Comes<'a> {
    /// By what its rules say; what they say stands in [`AlikeJudge::reasons`] and [`AlikeJudge::gaps`].
    Said(VerdictKind),
    /// Judged whole.
    Whole(&'a Arc<Finding>),
}

/// Judges rows of numbers of facts.
#[derive(Debug)]
pub struct AlikeJudge<'j> {
    rules: &'j RuleSet,
    vans: &'j [Van],
    as_of: Option<&'j Value>,
    /// For each kind, the judge of each van.
    judges: [Vec<Judge<'j>>; 2],
    tables: [Table<'j>; 2],
    sayings: Vec<Saying>,
    /// Vans that have works.
    with_works: u64,
    /// What the row judged last comes to.
    row: RowStanding,
}

/// What is known of the parts of one kind.
#[derive(Debug)]
struct Table<'j> {
    kind: PartKind,
    /// The sense checks on one fact, by fact.
    on_one: Vec<OnOne<'j>>,
    /// Those on several.
    checks: Vec<Check<'j>>,
    follows: Vec<Follows>,
    rules: Vec<RuleTable<'j>>,
    /// Whole rows, each with what is doubted in it and its finding for each van, as far as asked.
    whole: Combinations,
    findings: Vec<Whole>,
    /// Every slot.
    slots: Vec<usize>,
}

#[derive(Debug)]
struct Whole {
    /// Remarks that the sense checks make on a row.
    doubts: u32,
    spec: Spec,
    findings: Vec<Option<Arc<Finding>>>,
}

/// One comparison of a sense check.
#[derive(Debug)]
struct Check<'j> {
    when: Option<&'j Test>,
    test: &'j Test,
    reads: Reads,
    seen: Combinations,
    fails: Vec<bool>,
}

/// The comparisons that sense checks make on one fact.
#[derive(Debug)]
struct OnOne<'j> {
    slot: usize,
    checks: Vec<Check<'j>>,
    /// For each number of a fact whether some of them fails, once it was asked.
    fails: Vec<Option<bool>>,
}

/// What follows from some facts of the row.
#[derive(Debug)]
struct Follows {
    /// What a part may get.
    gets: &'static [Field],
    /// Where it stands in a row.
    slots: Vec<usize>,
    from: Reads,
    seen: Combinations,
    /// For each combination, and each field that a part may get, the number of the fact it gets.
    given: Vec<Option<u32>>,
}

/// A rule with what it gave so far.
#[derive(Debug)]
struct RuleTable<'j> {
    rule: &'j Rule,
    /// For each van, the rule's place among those the van's judge goes by.
    places: Vec<Option<usize>>,
    reads: Reads,
    seen: Combinations,
    outcomes: Vec<Outcomes>,
    /// For each combination and van, what is said: from and to among `said`.
    spans: Vec<(u32, u32)>,
    said: Vec<u32>,
}

/// What a rule gives on one combination; a bit for each van.
#[derive(Clone, Copy, Debug, Default)]
struct Outcomes {
    fails: u64,
    unknown: u64,
    /// Where it does either and no work of the van touches what it reads.
    hopeless: u64,
}

/// The fields that something reads of a part, by slot; and a part that states nothing else, to ask of.
#[derive(Debug)]
struct Reads {
    fields: Vec<Field>,
    slots: Vec<usize>,
    part: Spec,
}

impl Reads {
    fn of(kind: PartKind, set: FieldSet) -> Self {
        Self::in_order(kind, set.intersection(FieldSet::of_scope(kind.scope())).iter().collect())
    }

    fn in_order(kind: PartKind, fields: Vec<Field>) -> Self {
        let missing = Arc::new(Fact::missing(None));
        let part = Spec::new(kind, |_| Arc::clone(&missing));
        Self { slots: fields.iter().map(|field| field.slot()).collect(), fields, part }
    }

    /// A part that states what a row states of the fields that are read, and nothing else.
    fn part(&mut self, row: &[u32], facts: &AlikeFacts) -> &Spec {
        for (field, slot) in self.fields.iter().zip(&self.slots) {
            self.part.share(*field, facts.fact(row[*slot]));
        }
        &self.part
    }
}

#[derive(Debug, Default)]
struct RowStanding {
    kind: usize,
    numbers: Vec<u32>,
    /// For each rule its combination, where some van fails or does not know.
    told: Vec<(u32, u32)>,
    fails: u64,
    unknown: u64,
    hopeless_fails: u64,
    hopeless_unknown: u64,
    /// The row in `whole`, if the row contradicts itself.
    doubted: Option<u32>,
    /// Likewise, of a row that work might help.
    helped: Option<u32>,
}

impl<'j> AlikeJudge<'j> {
    /// A judge that has seen nothing yet; none where there are more vans than it has room for, or where a rule
    /// compares sizes by their spelling.
    #[must_use]
    pub fn new(
        rules: &'j RuleSet,
        vans: &'j [Van],
        packs: &[String],
        as_of: Option<&'j Value>,
    ) -> Option<Self> {
        if vans.len() > MOST_VANS || rules.all().iter().any(shows_a_size) {
            return None;
        }
        let judges = PartKind::ALL.map(|kind| {
            let judge = |van: &'j Van| {
                let packs = packs_of(van, packs);
                Judge::new(van, placed(rules, kind.into(), &packs), &packs)
            };
            vans.iter().map(judge).collect::<Vec<_>>()
        });
        let tables = PartKind::ALL.map(|kind| Table::new(kind, rules, &judges[kind.place()]));
        let with_works = bits(vans.iter().map(|van| !van.works.is_empty()));
        let (sayings, row) = (Vec::new(), RowStanding::default());
        Some(Self { rules, vans, as_of, judges, tables, sayings, with_works, row })
    }

    /// How many distinct things are kept.
    #[must_use]
    pub fn kept(&self) -> usize {
        self.sayings.len() + self.tables.iter().map(Table::kept).sum::<usize>()
    }

    /// Forgets everything; the numbers of facts may start again.
    pub fn forget(&mut self) {
        let [wheels, tires] = &self.judges;
        self.tables =
            [Table::new(PartKind::Wheel, self.rules, wheels), Table::new(PartKind::Tire, self.rules, tires)];
        self.sayings.clear();
        self.row = RowStanding::default();
    }

    /// Everything said so far; a saying keeps its place.
    #[must_use]
    pub fn sayings(&self) -> &[Saying] {
        &self.sayings
    }

    /// Judges a row by what the sheet states.
    ///
    /// Gives the remarks that it earns by contradicting itself.
    pub fn judge(&mut self, kind: PartKind, stated: NumberedRow<'_>) -> u32 {
        let NumberedRow { numbers, contradicted, facts } = stated;
        let row = &mut self.row;
        row.kind = kind.place();
        row.numbers.clear();
        row.numbers.extend_from_slice(numbers);
        (row.doubted, row.helped) = (None, None);
        let table = &mut self.tables[row.kind];
        let mut doubted = contradicted;
        for check in &mut table.on_one {
            doubted |= check.fails(row, facts);
        }
        for check in &mut table.checks {
            doubted |= check.fails(row, facts);
        }
        if doubted {
            let at = table.whole(row, facts, self.rules, self.vans.len());
            row.doubted = Some(at);
            return table.findings[at as usize].doubts;
        }
        for follows in &mut table.follows {
            follows.fill(row, facts);
        }
        row.told.clear();
        (row.fails, row.unknown, row.hopeless_fails, row.hopeless_unknown) = (0, 0, 0, 0);
        for (at, rule) in table.rules.iter_mut().enumerate() {
            let (seen, new) = rule.seen.number(&row.numbers, &rule.reads.slots);
            if new {
                rule.ask(&row.numbers, facts, &self.judges[row.kind], self.as_of, &mut self.sayings);
            }
            let outcomes = rule.outcomes[seen as usize];
            if outcomes.fails | outcomes.unknown != 0 {
                row.fails |= outcomes.fails;
                row.unknown |= outcomes.unknown;
                row.hopeless_fails |= outcomes.fails & outcomes.hopeless;
                row.hopeless_unknown |= outcomes.unknown & outcomes.hopeless;
                row.told.push((at as u32, seen));
            }
        }
        // Work is looked for where something stands in the way and nothing shows that none can help.
        let in_the_way =
            (row.fails & !row.hopeless_fails) | (row.unknown & !row.fails & !row.hopeless_unknown);
        if in_the_way & self.with_works & !row.hopeless_fails != 0 {
            row.numbers.clear();
            row.numbers.extend_from_slice(numbers);
            row.helped = Some(table.whole(row, facts, self.rules, self.vans.len()));
        }
        0
    }

    /// What the row judged last comes to for a van.
    pub fn comes(&mut self, van: usize) -> Comes<'_> {
        let row = &self.row;
        let bit = 1_u64 << van;
        let (fails, unknown) = (row.fails & bit != 0, row.unknown & bit != 0);
        let hopeless = if fails { row.hopeless_fails & bit != 0 } else { row.hopeless_unknown & bit != 0 };
        let whole = row
            .doubted
            .or(row.helped.filter(|_| self.with_works & bit != 0 && (fails || unknown) && !hopeless));
        let Some(at) = whole else {
            return Comes::Said(match (fails, unknown) {
                (false, false) => VerdictKind::Fits,
                (false, true) => VerdictKind::Unproven,
                (true, _) => VerdictKind::Rejected,
            });
        };
        let whole = &mut self.tables[row.kind].findings[at as usize];
        let judge = &self.judges[row.kind][van];
        let case = Case::of_part(&whole.spec, &self.vans[van].facts, self.as_of);
        Comes::Whole(whole.findings[van].get_or_insert_with(|| Arc::new(judge.finding(case))))
    }

    /// The spec of a row that was judged whole.
    #[must_use]
    pub fn spec(&self) -> Option<&Spec> {
        let at = self.row.doubted.or(self.row.helped)?;
        Some(&self.tables[self.row.kind].findings.get(at as usize)?.spec)
    }

    /// The places of what is said of the row judged last for a van: why it does not fit.
    pub fn reasons(&self, van: usize) -> impl Iterator<Item = usize> {
        self.said(van, |outcomes| outcomes.fails)
    }

    /// The places of what is said of the row judged last for a van: what cannot be shown.
    pub fn gaps(&self, van: usize) -> impl Iterator<Item = usize> {
        self.said(van, |outcomes| outcomes.unknown)
    }

    fn said(&self, van: usize, which: fn(&Outcomes) -> u64) -> impl Iterator<Item = usize> {
        let table = &self.tables[self.row.kind];
        let vans = self.vans.len();
        let told = self.row.told.iter().filter(move |(rule, seen)| {
            which(&table.rules[*rule as usize].outcomes[*seen as usize]) & (1 << van) != 0
        });
        told.flat_map(move |(rule, seen)| {
            let rule = &table.rules[*rule as usize];
            let (from, to) = rule.spans[*seen as usize * vans + van];
            rule.said[from as usize..to as usize].iter().map(|at| *at as usize)
        })
    }
}

/// Bits set for what holds.
fn bits(flags: impl Iterator<Item = bool>) -> u64 {
    flags.enumerate().fold(0, |bits, (at, flag)| bits | u64::from(flag) << at)
}

impl<'j> Table<'j> {
    fn new(kind: PartKind, rules: &'j RuleSet, judges: &[Judge<'j>]) -> Self {
        let (mut checks, mut on_one) = (Vec::new(), Vec::<OnOne<'_>>::new());
        for rule in rules.sense_checks(kind).filter(|rule| matches!(rule.failing, OnFailing::Doubt(_))) {
            comparisons(&rule.demand, &mut |test| {
                let check = Check::new(kind, rule.when.as_ref(), test);
                let [slot] = check.reads.slots[..] else { return checks.push(check) };
                match on_one.iter_mut().find(|known| known.slot == slot) {
                    Some(known) => known.checks.push(check),
                    None => on_one.push(OnOne { slot, checks: vec![check], fails: Vec::new() }),
                }
            });
        }
        let in_force = rules.all().iter().enumerate().filter_map(|(place, rule)| {
            let at = |judge: &Judge<'_>| judge.rules().iter().position(|(known, _)| *known == place);
            let places: Vec<Option<usize>> = judges.iter().map(at).collect();
            // What only ever cautions stands in no list.
            let tells = rule.failing == OnFailing::Reject || rule.unknown == OnUnknown::Unproven;
            (tells && places.iter().any(Option::is_some)).then(|| RuleTable::new(kind, rule, places))
        });
        Self {
            kind,
            on_one,
            checks,
            follows: following(kind).iter().map(|following| Follows::of(kind, following)).collect(),
            rules: in_force.collect(),
            whole: Combinations::of(Field::of(kind.scope()).len()),
            findings: Vec::new(),
            slots: (0..Field::of(kind.scope()).len()).collect(),
        }
    }

    /// How many distinct combinations of facts were asked about.
    fn kept(&self) -> usize {
        let seen = self.follows.iter().map(|follows| &follows.seen);
        let seen = seen.chain(self.checks.iter().map(|check| &check.seen));
        seen.chain(self.rules.iter().map(|rule| &rule.seen))
            .chain([&self.whole])
            .map(Combinations::count)
            .sum()
    }

    /// The row's place among those judged whole.
    fn whole(&mut self, row: &RowStanding, facts: &AlikeFacts, rules: &RuleSet, vans: usize) -> u32 {
        let (at, new) = self.whole.number(&row.numbers, &self.slots);
        if new {
            let mut spec = Spec::new(self.kind, |field| Arc::clone(facts.fact(row.numbers[field.slot()])));
            let doubts = sense::check(&mut spec, rules).len() as u32;
            derive::derive(&mut spec);
            self.findings.push(Whole { doubts, spec, findings: vec![None; vans] });
        }
        at
    }
}

/// The comparisons that fail on their own in a sense check.
fn comparisons<'t>(test: &'t Test, each: &mut impl FnMut(&'t Test)) {
    match test {
        Test::And(tests) => tests.iter().for_each(|test| comparisons(test, each)),
        _ => each(test),
    }
}

impl<'j> Check<'j> {
    fn new(kind: PartKind, when: Option<&'j Test>, test: &'j Test) -> Self {
        let reads = when.map_or(FieldSet::EMPTY, Test::reads).union(test.reads());
        let reads = Reads::of(kind, reads);
        Self { when, test, seen: Combinations::of(reads.fields.len()), reads, fails: Vec::new() }
    }

    fn fails(&mut self, row: &RowStanding, facts: &AlikeFacts) -> bool {
        let (at, new) = self.seen.number(&row.numbers, &self.reads.slots);
        if new {
            let fails = self.ask(row, facts);
            self.fails.push(fails);
        }
        self.fails[at as usize]
    }

    fn ask(&mut self, row: &RowStanding, facts: &AlikeFacts) -> bool {
        let spec = self.reads.part(&row.numbers, facts);
        let nowhere = VanFacts::default();
        let case = Case::of_part(spec, &nowhere, None);
        let applies = self.when.is_none_or(|when| truth(when, case) == Truth::True);
        applies && truth(self.test, case) == Truth::False
    }
}

impl OnOne<'_> {
    #[inline]
    fn fails(&mut self, row: &RowStanding, facts: &AlikeFacts) -> bool {
        let number = row.numbers[self.slot] as usize;
        if let Some(Some(fails)) = self.fails.get(number) {
            return *fails;
        }
        let fails = self.checks.iter_mut().any(|check| check.ask(row, facts));
        self.fails.resize(self.fails.len().max(number + 1), None);
        self.fails[number] = Some(fails);
        fails
    }
}

impl Follows {
    fn of(kind: PartKind, following: &Following) -> Self {
        let gets = following.gets;
        let slots = gets.iter().map(|field| field.slot()).collect();
        let from = Reads::in_order(kind, following.from.to_vec());
        Self { gets, slots, seen: Combinations::of(from.fields.len()), from, given: Vec::new() }
    }

    /// Gives a row what follows from its facts where nothing is stated.
    fn fill(&mut self, row: &mut RowStanding, facts: &mut AlikeFacts) {
        let lacks = |number: u32, facts: &AlikeFacts| facts.standing(number) == Standing::Missing;
        if !self.slots.iter().any(|slot| lacks(row.numbers[*slot], facts)) {
            return;
        }
        let (at, new) = self.seen.number(&row.numbers, &self.from.slots);
        if new {
            let before = self.from.part(&row.numbers, facts);
            let mut after = before.clone();
            derive::derive_only(self.gets, &mut after);
            for field in self.gets {
                let given = match (before.fact(*field), after.fact(*field)) {
                    (Some(before), Some(after)) if before != after => Some(facts.number(*field, after)),
                    _ => None,
                };
                self.given.push(given);
            }
        }
        let given = &self.given[at as usize * self.gets.len()..];
        for (slot, given) in self.slots.iter().zip(given) {
            let number = &mut row.numbers[*slot];
            if let Some(given) = given.filter(|_| lacks(*number, facts)) {
                *number = given;
            }
        }
    }
}

impl<'j> RuleTable<'j> {
    fn new(kind: PartKind, rule: &'j Rule, places: Vec<Option<usize>>) -> Self {
        let reads = Reads::of(kind, rule.reads.union(rule.says.facts().collect()));
        let seen = Combinations::of(reads.fields.len());
        Self { rule, places, reads, seen, outcomes: Vec::new(), spans: Vec::new(), said: Vec::new() }
    }

    /// Asks the rule of a combination for every van.
    fn ask(
        &mut self,
        row: &[u32],
        facts: &AlikeFacts,
        judges: &[Judge<'j>],
        as_of: Option<&Value>,
        sayings: &mut Vec<Saying>,
    ) {
        let spec = self.reads.part(row, facts);
        let mut outcomes = Outcomes::default();
        for (van, (judge, place)) in judges.iter().zip(&self.places).enumerate() {
            let from = self.said.len() as u32;
            let bit = 1_u64 << van;
            if let Some(place) = *place {
                let case = Case::of_part(spec, &judge.van().facts, as_of);
                let mut say = |saying: Saying| {
                    self.said.push(sayings.len() as u32);
                    sayings.push(saying);
                };
                match (outcome(self.rule, case), self.rule.failing, self.rule.unknown) {
                    (Outcome::Fail, OnFailing::Reject, _) => {
                        outcomes.fails |= bit;
                        say(Saying::Reason(says_of(self.rule, case)));
                    }
                    (Outcome::Unknown, _, OnUnknown::Unproven) => {
                        outcomes.unknown |= bit;
                        for gap in gaps_of(self.rule, case) {
                            let fact = gap.field.and_then(|field| spec.fact(field)).map(Arc::clone);
                            say(Saying::Gap { rule: gap.rule, field: gap.field, why: gap.why, fact });
                        }
                    }
                    (Outcome::Fail | Outcome::Unknown | Outcome::Pass | Outcome::NotApplicable, _, _) => {}
                }
                if judge.demands().get(place).is_none_or(|demand| demand.touching.is_empty()) {
                    outcomes.hopeless |= bit;
                }
            }
            self.spans.push((from, self.said.len() as u32));
        }
        self.outcomes.push(outcomes);
    }
}

/// Whether a rule compares a size, or shows it as it is spelled.
fn shows_a_size(rule: &Rule) -> bool {
    let tests = rule.when.iter().chain([&rule.demand]);
    tests.into_iter().any(|test| test.compares(Field::TireSize))
}
