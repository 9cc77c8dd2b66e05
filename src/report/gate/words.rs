//! The sentences of the gate.

use crate::facts::field::Field;
use crate::facts::part::{Part, Subject};
use crate::judge::VerdictKind;
use crate::ledger::{Cause, Change, Difference, Entry, FactChange, Standing, Term};
use crate::report::gate::{Gate, GateOutcome};
use crate::report::page::{clean, counted};
use crate::report::record::{cell_of, money};
use crate::report::words::{description, place};

/// What a standing means, after a count of parts.
pub(super) fn meaning(standing: Standing, one: bool) -> &'static str {
    match (standing, one) {
        (Standing::Lost, true) => "lost: it was on the list and cannot stay",
        (Standing::Lost, false) => "lost: they were on the list and cannot stay",
        (Standing::Weakened, true) => "weakened: it needs work that it did not need",
        (Standing::Weakened, false) => "weakened: they need work that they did not need",
        (Standing::Vanished, true) => "vanished: it was on the list and no sheet has it",
        (Standing::Vanished, false) => "vanished: they were on the list and no sheet has them",
        (Standing::Moved, true) => "moved: it stays on the list, and its sheet says something else of it",
        (Standing::Moved, false) => {
            "moved: they stay on the list, and their sheets say something else of them"
        }
        (Standing::Gained, true) => "gained: it is new on the list, or needs less work",
        (Standing::Gained, false) => "gained: they are new on the list, or need less work",
    }
}

/// The one line that tells how it went.
pub(super) fn headline(gate: &Gate<'_>) -> String {
    let differs = gate.comparison.differs();
    match gate.outcome {
        GateOutcome::Held if !differs => "All is as accepted.".to_owned(),
        GateOutcome::Held => "Nothing got worse.".to_owned(),
        GateOutcome::Worse => format!(
            "THE LIST GOT WORSE: {} to look at before it is published.",
            counted(gate.failing(), "change", "changes")
        ),
        GateOutcome::Accepted if !differs => {
            format!("Accepted: {} says so already.", clean(&gate.ledger))
        }
        GateOutcome::Accepted => format!("Accepted: {} holds what there is now.", clean(&gate.ledger)),
    }
}

/// The counts: `1 lost, 2 moved, 110 as accepted`.
pub(super) fn counts(gate: &Gate<'_>) -> String {
    let count = |standing: Standing| (gate.comparison.count(standing), standing.name());
    let counts = Standing::ALL.map(count).into_iter().filter(|(count, _)| *count > 0);
    let mut told: Vec<String> = counts.map(|(count, name)| format!("{count} {name}")).collect();
    told.push(format!("{} as accepted", gate.comparison.same));
    if gate.comparison.quiet > 0 {
        told.push(format!("{} changed that are on no list", gate.comparison.quiet));
    }
    told.join(", ")
}

/// The part of a change, where a sheet has it.
pub(super) fn part_of<'g>(gate: &Gate<'g>, change: &Change<'_>) -> Option<&'g Part<'g>> {
    gate.judgement.catalog.parts.get(change.found?.1)
}

/// What a part is, after its number: `Skarnwell Forge, 17x8 ET45 6x130`.
pub(super) fn identity(gate: &Gate<'_>, change: &Change<'_>) -> String {
    let spec = part_of(gate, change).and_then(|part| gate.judgement.spec(part));
    let told = spec.map_or_else(|| change.key.kind.name().to_owned(), description);
    let texts = [change.key.supplier.to_string(), told];
    clean(&texts.into_iter().filter(|text| !text.is_empty()).collect::<Vec<_>>().join(", "))
}

/// What was accepted.
pub(super) fn before(entry: &Entry) -> String {
    match entry.verdict {
        VerdictKind::Fits => "fits".to_owned(),
        VerdictKind::FitsWithWork => format!("fits with {}", entry.works.join(" + ")),
        VerdictKind::Unproven => format!("unproven by {}", entry.against.join(", ")),
        VerdictKind::Rejected => format!("does not fit by {}", entry.against.join(", ")),
    }
}

/// What there is now, with what stands in the way.
pub(super) fn now(gate: &Gate<'_>, change: &Change<'_>) -> String {
    let finding = change
        .found
        .and_then(|(van, part)| gate.judgement.finding(van, gate.judgement.catalog.parts.get(part)?));
    let (Some(entry), Some(finding)) = (&change.now, finding) else {
        return match change.causes.as_slice() {
            [Cause::VanGone] => "the van is not judged for any more".to_owned(),
            _ => "no sheet has it".to_owned(),
        };
    };
    let reasons = finding.reasons().iter().map(|reason| reason.says.to_string());
    let gaps = finding.gaps().iter().map(|gap| {
        gap.field.map_or_else(|| gap.why.to_string(), |field| format!("{}: {}", field.words(), gap.why))
    });
    match entry.verdict {
        VerdictKind::Fits => "fits".to_owned(),
        VerdictKind::FitsWithWork => {
            let cost = finding.cure().map_or_else(String::new, |cure| format!(" ({})", money(cure.cost)));
            let why: Vec<String> = reasons.collect();
            let why = if why.is_empty() { String::new() } else { format!(": {}", why.join("; ")) };
            format!("fits with {}{cost}{why}", entry.works.join(" + "))
        }
        VerdictKind::Unproven => format!("unproven: {}", each_once(gaps)),
        VerdictKind::Rejected => format!("does not fit: {}", each_once(reasons.chain(gaps))),
    }
}

/// Clauses in their order, each once: one gap may keep several rules open.
fn each_once(clauses: impl Iterator<Item = String>) -> String {
    let mut told: Vec<String> = Vec::new();
    for clause in clauses {
        if !told.contains(&clause) {
            told.push(clause);
        }
    }
    told.join("; ")
}

/// A fact that changed: `load rating was 1250 kg and is 1100 kg, wheels.csv, cell H12`.
pub(super) fn fact(gate: &Gate<'_>, change: &Change<'_>, fact: &FactChange) -> String {
    let was = fact.before.as_deref().unwrap_or("not stated");
    let is = fact.now.as_deref().unwrap_or("not stated");
    let at = cell(gate, change, fact.field).map_or_else(String::new, |at| format!(", in {at}"));
    format!("{} was {was} and is {is}{at}", fact.field.words())
}

/// Where a fact stands now: `wheels.xlsx, tab Price list, cell H12`.
pub(super) fn cell(gate: &Gate<'_>, change: &Change<'_>, field: Field) -> Option<String> {
    let part = part_of(gate, change)?;
    let row = place(gate.judgement, part);
    let Some(cell) = cell_of(gate.judgement.spec(part), Some(field), part) else { return Some(row) };
    let sheet = row.rsplit_once(", row ").map_or(row.as_str(), |(sheet, _)| sheet);
    // An answer stands in a file of its own, which the cell names.
    let own = cell.contains(' ');
    Some(if own { cell } else { format!("{sheet}, cell {cell}") })
}

/// Why a part changed, a clause for each cause.
pub(super) fn causes(gate: &Gate<'_>, change: &Change<'_>) -> String {
    let told: Vec<String> = change.causes.iter().map(|cause| self::cause(gate, change, cause)).collect();
    told.join("; ")
}

fn cause(gate: &Gate<'_>, change: &Change<'_>, cause: &Cause) -> String {
    let van = &change.key.van;
    let differences = &gate.comparison.differences;
    let differing = |term: &Term<'_>| differences.iter().find(|difference| difference.term == *term);
    let how = |term: &Term<'_>| match differing(term).map(|known| (&known.before, &known.now)) {
        Some((None, Some(_))) => "is new",
        Some((Some(_), None)) => "is gone",
        _ => "changed",
    };
    match cause {
        Cause::Sheet if change.standing == Standing::Vanished => renumbered(change),
        Cause::Sheet if change.before.is_none() => "the part is new on the sheet".to_owned(),
        Cause::Sheet => "the sheet changed".to_owned(),
        Cause::SheetOrReading => "the sheet changed, or the profile or answers it is read by".to_owned(),
        Cause::Rule(on, name) => {
            format!("the rule {name} {}", how(&Term::Rule(*on, name.as_str().into())))
        }
        Cause::VanFact(field) => {
            let changes = differing(&Term::Van(van.clone())).map(Difference::van_changes).unwrap_or_default();
            let change = changes.into_iter().find(|change| change.field == Some(*field));
            let told = change.map_or_else(String::new, |change| was_and_is(&change.before, &change.now));
            format!("the van changed: {} {told}", field.words())
        }
        Cause::VanPacks => "other rule packs are chosen for the van".to_owned(),
        Cause::VanNew => "the van has no list in the ledger yet".to_owned(),
        Cause::VanGone => "the van is not among those judged for".to_owned(),
        Cause::Work(name) => {
            let how = how(&Term::Work(van.clone(), name.as_str().into()));
            format!("the work `{name}` on file for the van {how}")
        }
        Cause::Elsewhere => {
            "neither the sheet nor a rule nor the van changed: another date was judged on, or another version of \
             rimsieve judged"
                .to_owned()
        }
    }
}

fn renumbered(change: &Change<'_>) -> String {
    change.renumbered.as_ref().map_or_else(
        || "the sheet has no such number any more".to_owned(),
        |number| format!("the sheet has no such number any more; a new part {number} has the same facts"),
    )
}

fn was_and_is(before: &Option<String>, now: &Option<String>) -> String {
    let stated = |text: &Option<String>| text.clone().unwrap_or_else(|| "not stated".to_owned());
    format!("was {} and is {}", stated(before), stated(now))
}

/// A change in one sentence.
pub(super) fn sentence(gate: &Gate<'_>, change: &Change<'_>) -> String {
    let who = format!("{} {}", change.key.kind.name(), change.key.number());
    let van = &change.key.van;
    let what = match change.standing {
        Standing::Lost => {
            let unproven = change.now.as_ref().is_some_and(|now| now.verdict == VerdictKind::Unproven);
            let is = if unproven { "is " } else { "" };
            format!("cannot stay on the list of {van}: it {is}{}", now(gate, change))
        }
        Standing::Weakened if change.before.as_ref().is_some_and(|before| before.works.is_empty()) => {
            format!("needs work for {van} that it did not need: it {}", now(gate, change))
        }
        Standing::Weakened => format!("needs other work for {van} than accepted: it {}", now(gate, change)),
        Standing::Vanished => format!("was on the list of {van}, and {}", now(gate, change)),
        Standing::Moved => format!("stays on the list of {van}"),
        Standing::Gained if change.before.as_ref().is_some_and(Entry::is_listed) => {
            format!("needs less work for {van}: it {}", now(gate, change))
        }
        Standing::Gained => format!("is new on the list of {van}: it {}", now(gate, change)),
    };
    let facts: String =
        change.facts.iter().map(|changed| format!("; {}", fact(gate, change, changed))).collect();
    clean(&format!("{who} {what}{facts}. Why: {}.", causes(gate, change)))
}

/// What differs of rules, vans, work and profiles, a line each.
///
/// None for the first ledger, to which all is new.
pub(super) fn differences(gate: &Gate<'_>) -> Vec<String> {
    if gate.comparison.first {
        return Vec::new();
    }
    gate.comparison.differences.iter().flat_map(|difference| told(gate, difference)).collect()
}

fn told(gate: &Gate<'_>, difference: &Difference<'_>) -> Vec<String> {
    let (before, now) = (difference.before.as_deref(), difference.now.as_deref());
    let how = match (before, now) {
        (None, _) => "is new",
        (_, None) => "is gone",
        _ => "changed",
    };
    let of = |cause: &Cause| {
        let counted_of = |standing: Standing| {
            let changes = gate.comparison.changes.iter();
            let caused = changes
                .filter(|change| change.standing == standing && change.causes.contains(cause))
                .filter(|change| match &difference.term {
                    Term::Van(van) | Term::Work(van, _) => change.key.van == *van,
                    Term::Profile(_) | Term::Answers | Term::Rule(..) => true,
                })
                .count();
            (caused > 0).then(|| format!("{caused} {}", standing.name()))
        };
        let caused: Vec<String> = Standing::ALL.into_iter().filter_map(counted_of).collect();
        if caused.is_empty() { ": no list shows it".to_owned() } else { format!(": {}", caused.join(", ")) }
    };
    match &difference.term {
        Term::Profile(name) => vec![format!("profile `{name}` {how}")],
        Term::Answers => vec![format!("the file of answers {how}")],
        Term::Rule(on, name) => {
            let subject = match on {
                Subject::Wheel => "wheels",
                Subject::Tire => "tires",
                Subject::Package => "packages",
            };
            let caused = of(&Cause::Rule(*on, name.to_string()));
            let mut lines = vec![format!("rule {name} on {subject} {how}{caused}")];
            let line = |word: &str, text: Option<&str>| text.map(|text| format!("  {word} {text}"));
            lines.extend(line("was:", before).into_iter().chain(line("is:", now)));
            lines
        }
        Term::Van(id) if before.is_none() || now.is_none() => {
            let cause = if before.is_none() { Cause::VanNew } else { Cause::VanGone };
            vec![format!("van {id} {how}{}", of(&cause))]
        }
        Term::Van(id) => difference
            .van_changes()
            .into_iter()
            .map(|change| {
                let cause = change.field.map_or(Cause::VanPacks, Cause::VanFact);
                let words = change.field.map_or("rule packs", Field::words);
                format!("van {id}, {words} {}{}", was_and_is(&change.before, &change.now), of(&cause))
            })
            .collect(),
        Term::Work(van, name) => {
            vec![format!("van {van}, work `{name}` {how}{}", of(&Cause::Work(name.to_string())))]
        }
    }
}

/// What no part of these sheets needs, a heading and lines each.
pub(super) fn review(gate: &Gate<'_>) -> Vec<(&'static str, Vec<String>)> {
    let Some(review) = &gate.review else { return Vec::new() };
    let van = |at: usize| gate.judgement.vans.get(at).map_or("", |van| &*van.id);
    let rules = review.idle_rules.iter().map(|rule| format!("{} on {}s", rule.name, rule.on.name()));
    let limits = review.roomy_limits.iter().map(|(at, field)| format!("{}, {}", van(*at), field.words()));
    let works = review.idle_works.iter().map(|(at, work)| format!("{}, {}", van(*at), work.name));
    let records =
        gate.comparison.unexplained.iter().map(|key| {
            clean(&format!("{}, {} {} of {}", key.van, key.kind.name(), key.number(), key.supplier))
        });
    vec![
        ("Rules that decided nothing", rules.collect()),
        ("Limits of vans that no part came near", limits.collect()),
        ("Works on file that no part needs", works.collect()),
        ("Records of the ledger that no sheet explains", records.collect()),
    ]
}
