//! A wheel or tire on a sheet: who it is, where it stands, and its facts.
//!
//! What identifies a part (SKU, price, link) differs from row to row; what judges it often does not.
//! So the facts stand in a [`Spec`] that alike rows share, and every rule is evaluated once for a
//! spec rather than once for a row.

use std::sync::Arc;

use rust_decimal::Decimal;

use crate::facts::fact::Fact;
use crate::facts::field::{Field, Scope};

/// A wheel or a tire.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum PartKind {
    /// A wheel.
    Wheel,
    /// A tire.
    Tire,
}

impl PartKind {
    /// Both, wheels first.
    pub const ALL: [Self; 2] = [Self::Wheel, Self::Tire];

    /// The word in outputs.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Wheel => "wheel",
            Self::Tire => "tire",
        }
    }

    /// Its place among [`PartKind::ALL`], from 0.
    #[must_use]
    pub fn place(self) -> usize {
        self as usize
    }

    /// The scope of its facts.
    #[must_use]
    pub fn scope(self) -> Scope {
        match self {
            Self::Wheel => Scope::Wheel,
            Self::Tire => Scope::Tire,
        }
    }
}

/// What a rule is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Subject {
    /// A wheel by itself.
    Wheel,
    /// A tire by itself.
    Tire,
    /// A wheel and a tire together.
    Package,
}

impl Subject {
    /// All three; the parts come before what is made of them.
    pub const ALL: [Self; 3] = [Self::Wheel, Self::Tire, Self::Package];

    /// The word in rule files and outputs.
    #[must_use]
    pub fn name(self) -> &'static str {
        self.scope().name()
    }

    /// The scope of its own facts.
    #[must_use]
    pub fn scope(self) -> Scope {
        match self {
            Self::Wheel => Scope::Wheel,
            Self::Tire => Scope::Tire,
            Self::Package => Scope::Package,
        }
    }

    /// Whether a rule about it may name a fact: its own, the van's and the run's; a package's rule
    /// also those of its wheel and tire.
    #[must_use]
    pub fn reaches(self, field: Field) -> bool {
        match field.scope() {
            Scope::Van | Scope::Run => true,
            Scope::Wheel | Scope::Tire if self == Self::Package => true,
            scope => scope == self.scope(),
        }
    }
}

impl From<PartKind> for Subject {
    fn from(kind: PartKind) -> Self {
        match kind {
            PartKind::Wheel => Self::Wheel,
            PartKind::Tire => Self::Tire,
        }
    }
}

/// All facts of a wheel or tire, one a field, in slot order.
#[derive(Clone, Debug, PartialEq)]
pub struct Spec {
    kind: PartKind,
    facts: Box<[Arc<Fact>]>,
}

impl Spec {
    /// A spec in which `fact` gives the fact of each field of the kind.
    pub fn new(kind: PartKind, fact: impl FnMut(Field) -> Arc<Fact>) -> Self {
        Self { kind, facts: Field::of(kind.scope()).iter().copied().map(fact).collect() }
    }

    /// Wheel or tire.
    #[must_use]
    pub fn kind(&self) -> PartKind {
        self.kind
    }

    /// The fact of a field; none where the field belongs to another kind of part.
    #[must_use]
    pub fn fact(&self, field: Field) -> Option<&Arc<Fact>> {
        if field.scope() == self.kind.scope() { self.facts.get(field.slot()) } else { None }
    }

    /// Puts a fact in the place of another; a field of another kind changes nothing.
    pub fn put(&mut self, field: Field, fact: Fact) {
        if field.scope() == self.kind.scope()
            && let Some(place) = self.facts.get_mut(field.slot())
        {
            *place = Arc::new(fact);
        }
    }

    /// Puts a shared fact in the place of another; a field of another kind changes nothing.
    pub fn share(&mut self, field: Field, fact: &Arc<Fact>) {
        if field.scope() == self.kind.scope()
            && let Some(place) = self.facts.get_mut(field.slot())
        {
            *place = Arc::clone(fact);
        }
    }

    /// Every field of the kind with its fact.
    pub fn iter(&self) -> impl Iterator<Item = (Field, &Arc<Fact>)> {
        Field::of(self.kind.scope()).iter().copied().zip(self.facts.iter())
    }
}

/// What one piece of a part costs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Price {
    /// The amount, exact.
    pub amount: Decimal,
    /// The currency by its ISO 4217 code, where cell or heading state one.
    pub currency: Option<&'static str>,
}

/// One row of a sheet that is a wheel or tire.
#[derive(Clone, Debug)]
pub struct Part<'s> {
    /// Wheel or tire.
    pub kind: PartKind,
    /// Who sells it; empty where the sheet does not say.
    pub supplier: &'s str,
    /// The supplier's number for it; empty where the sheet does not say.
    pub sku: &'s str,
    /// Its model name; may be empty.
    pub name: &'s str,
    /// The price as the sheet writes it; may be empty.
    pub price: &'s str,
    /// The price, where what the sheet writes is one.
    pub amount: Option<Price>,
    /// The link the sheet gives; may be empty.
    pub link: &'s str,
    /// The address of a picture that the sheet gives; may be empty.
    pub image: &'s str,
    /// Which sheet, in the order given.
    pub sheet: usize,
    /// Which tab of the sheet.
    pub tab: usize,
    /// The row as people count it, from 1.
    pub row: u32,
    /// Which spec of the catalog it has.
    pub spec: usize,
}
