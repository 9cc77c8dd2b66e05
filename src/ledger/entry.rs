//! One record: whose it is, what it came to, and by which facts.

use std::borrow::Cow;

use crate::facts::field::Field;
use crate::facts::part::PartKind;
use crate::judge::VerdictKind;
use crate::ledger::text::{Line, joined, split};

/// Whose record it is. Records stand in this order.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Key<'k> {
    /// The van's id.
    pub van: Cow<'k, str>,
    /// The supplier; may be empty.
    pub supplier: Cow<'k, str>,
    /// The supplier's number; empty where the sheet states none.
    pub sku: Cow<'k, str>,
    /// Wheel or tire.
    pub kind: PartKind,
    /// What tells a part without a number from others: its name and facts. Empty for all others.
    pub described: Cow<'k, str>,
}

impl Key<'_> {
    /// What people know the part by.
    #[must_use]
    pub fn number(&self) -> &str {
        if self.sku.is_empty() { &self.described } else { &self.sku }
    }

    /// The heading of its record, without the word before it.
    pub(super) fn heading(&self) -> String {
        let described = Some(&*self.described).filter(|text| !text.is_empty());
        joined([&*self.van, &*self.supplier, &*self.sku, self.kind.name()].into_iter().chain(described))
    }
}

impl<'k> Key<'k> {
    /// The key that a heading writes.
    pub(super) fn read(heading: &'k str) -> Option<Self> {
        let mut fields = split(heading).into_iter();
        let (van, supplier, sku) = (fields.next()?, fields.next()?, fields.next()?);
        let kind = fields.next()?;
        let kind = PartKind::ALL.into_iter().find(|known| known.name() == kind)?;
        let described = fields.next().unwrap_or_default();
        fields.next().is_none().then_some(Self { van, supplier, sku, kind, described })
    }
}

/// What a part came to on a van.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Entry {
    /// The verdict.
    pub verdict: VerdictKind,
    /// The rules that stand in its way, or that work cures; ascending.
    pub against: Vec<String>,
    /// The works it needs; ascending.
    pub works: Vec<String>,
    /// The facts that decided, in registry order, each as outputs write it. For a part that is listed
    /// these are all that a rejecting rule reads; for another, those that the rules in its way read.
    pub facts: Vec<(Field, String)>,
}

impl Entry {
    /// Whether the part is on the published list.
    #[must_use]
    pub fn is_listed(&self) -> bool {
        matches!(self.verdict, VerdictKind::Fits | VerdictKind::FitsWithWork)
    }

    /// The fact it records.
    #[must_use]
    pub fn fact(&self, field: Field) -> Option<&str> {
        self.facts.iter().find(|(known, _)| *known == field).map(|(_, text)| text.as_str())
    }

    /// It on one line.
    pub(super) fn body(&self) -> String {
        let mut line = Line::default();
        line.add(self.verdict.name());
        let mut field = String::new();
        let mut add = |name: &str, text: &str| {
            field.clear();
            field.push_str(name);
            field.push(' ');
            field.push_str(text);
            line.add(&field);
        };
        for rule in &self.against {
            add(AGAINST, rule);
        }
        for work in &self.works {
            add(BY, work);
        }
        for (fact, text) in &self.facts {
            add(fact.name(), text);
        }
        line.text()
    }

    /// What a line records about a part of a kind.
    pub(super) fn read(kind: PartKind, body: &str) -> Option<Self> {
        let mut fields = split(body).into_iter();
        let verdict = fields.next()?;
        let verdict = VerdictKind::ALL.into_iter().find(|known| known.name() == verdict)?;
        let mut entry = Self { verdict, against: Vec::new(), works: Vec::new(), facts: Vec::new() };
        for field in fields {
            let (name, text) = field.split_once(' ')?;
            match name {
                AGAINST => entry.against.push(text.to_owned()),
                BY => entry.works.push(text.to_owned()),
                _ => entry.facts.push((Field::in_scope(kind.scope(), name)?, text.to_owned())),
            }
        }
        Some(entry)
    }
}

const AGAINST: &str = "against";
const BY: &str = "by";

#[cfg(test)]
mod tests {
    use super::{Entry, Key};
    use crate::facts::field::Field;
    use crate::facts::part::PartKind;
    use crate::judge::VerdictKind;

    #[test]
    fn whatever_a_supplier_writes_is_read_back() {
        for text in
            ["plain", "a | b", " edges ", "back\\slash", "two\nlines", "", "\\u{20}", "||", "é☃", "\u{a0}x"]
        {
            let key = Key {
                van: "v".into(),
                supplier: text.into(),
                sku: text.into(),
                kind: PartKind::Tire,
                described: "".into(),
            };
            let heading = key.heading();
            assert!(!heading.contains('\n'));
            assert_eq!(Key::read(&heading), Some(key), "{text:?}");
            let entry = Entry {
                verdict: VerdictKind::FitsWithWork,
                against: vec![format!("a{text}b")],
                works: vec![format!("x{text}y")],
                facts: vec![(Field::TireLoadIndex, format!("1{text}2"))],
            };
            assert_eq!(Entry::read(PartKind::Tire, &entry.body()), Some(entry), "{text:?}");
        }
    }

    #[test]
    fn what_is_no_record_is_refused() {
        for body in ["", "fitz", "fits | nothing", "fits | no_such_fact 1", "fits | offset 3 mm"] {
            assert_eq!(Entry::read(PartKind::Tire, body), None, "{body}");
        }
        for heading in ["", "v | s | n", "v | s | n | axle", "v | s | n | tire | d | e"] {
            assert_eq!(Key::read(heading), None, "{heading}");
        }
    }
}
