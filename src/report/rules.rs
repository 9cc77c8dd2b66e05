//! The rules in force, and what checking rule and van files came to.

use std::io::{self, Write};

use crate::facts::part::Subject;
use crate::plan::Styling;
use crate::report::page::{Page, counted};
use crate::rules::{OnFailing, OnUnknown, Rule, RuleSet};

/// Writes the rules in force with some packs, or of every pack if none is named: with what failing
/// means, their demand and their basis.
///
/// # Errors
/// Where `out` does not take the bytes.
pub fn write(rules: &RuleSet, packs: &[String], out: &mut dyn Write) -> io::Result<()> {
    let mut page = Page::new(Styling::Plain);
    for subject in Subject::ALL {
        let chosen = |rule: &&Rule| {
            packs.is_empty() || rule.packs.is_empty() || rule.packs.iter().any(|pack| packs.contains(pack))
        };
        let of_kind = |rule: &&Rule| rule.on == subject && !rule.is_sense_check() && chosen(rule);
        section(&mut page, &format!("Rules on {}s", subject.name()), rules.all().iter().filter(of_kind));
    }
    section(&mut page, "Sense checks on a row", rules.all().iter().filter(|rule| rule.is_sense_check()));
    page.gap();
    page.line(
        0,
        "Besides, in reading: `sku-repeated` (one SKU of one supplier on two rows with different facts), `stated-twice` \
         (two cells of a row disagree), `unit-not-stated`, `date-for-text`, `unreadable`.",
    );
    out.write_all(page.into_text().as_bytes())
}

fn section<'r>(page: &mut Page, heading: &str, rules: impl Iterator<Item = &'r Rule>) {
    page.heading(heading);
    for rule in rules {
        let mut notes = Vec::new();
        if !rule.packs.is_empty() {
            notes.push(format!("pack {}", rule.packs.join(", ")));
        }
        if rule.is_sense_check() {
            notes.push(format!("on {}s", rule.on.name()));
        }
        match (rule.failing, rule.unknown) {
            (OnFailing::Caution, _) => notes.push("failing is a caution".to_owned()),
            (OnFailing::Reject, OnUnknown::Caution) => {
                notes.push("unknown is a caution".to_owned());
            }
            (OnFailing::Reject, OnUnknown::Nothing) => notes.push("unknown says nothing".to_owned()),
            (OnFailing::Reject, OnUnknown::Unproven) | (OnFailing::Doubt(_), _) => {}
        }
        let notes = if notes.is_empty() { String::new() } else { format!(" ({})", notes.join("; ")) };
        page.hanging(0, 2, &format!("{}{notes}", rule.name));
        page.hanging(4, 6, &format!("demands {}", rule.demand_text));
        page.hanging(4, 6, &format!("basis: {}", rule.basis));
    }
}

/// What was checked.
#[derive(Clone, Copy, Debug, Default)]
pub struct Checked {
    /// Files read.
    pub files: usize,
    /// Van files among them.
    pub vans: usize,
    /// Work files among them.
    pub work_files: usize,
    /// Rules in them.
    pub rules: usize,
    /// Witnesses run.
    pub witnesses: usize,
}

impl Checked {
    /// Counts rules and their witnesses.
    pub fn count_rules(&mut self, rules: &[Rule]) {
        self.rules += rules.len();
        self.witnesses += rules.iter().map(|rule| rule.witnesses.len()).sum::<usize>();
    }
}

/// Writes what checking came to, in a line.
///
/// # Errors
/// Where `out` does not take the bytes.
pub fn write_checked(checked: &Checked, problems: usize, out: &mut dyn Write) -> io::Result<()> {
    let mut page = Page::new(Styling::Plain);
    page.line(
        0,
        &format!(
            "{}{}, {} with {}: {}",
            counted(checked.vans, "van", "vans"),
            match checked.work_files {
                0 => String::new(),
                files => format!(", {}", counted(files, "work file", "work files")),
            },
            counted(checked.rules, "rule", "rules"),
            counted(checked.witnesses, "witness", "witnesses"),
            if problems == 0 { "all in order".to_owned() } else { counted(problems, "problem", "problems") }
        ),
    );
    out.write_all(page.into_text().as_bytes())
}
