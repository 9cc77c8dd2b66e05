//! Work: what the shop can buy or do that changes facts, at a price, with drawbacks.

use std::sync::Arc;

use rust_decimal::Decimal;

use crate::document::{Source, Span};
use crate::facts::field::{Field, FieldSet, Scope};
use crate::facts::value::{Dimension, Kind, Value};
use crate::rules::program::Test;

/// How many works a van may have on file.
pub const MOST_WORKS: usize = 128;

/// What an effect changes a fact to, or by.
#[derive(Clone, Debug, PartialEq)]
pub enum Amount {
    /// This value.
    Fixed(Value),
    /// The value that another fact has.
    Of(Field),
}

/// How a fact changes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Change {
    /// To the value.
    Set,
    /// To at least the value.
    Raise,
    /// To at most the value.
    Lower,
    /// By the value.
    Shift,
}

impl Change {
    /// The key in van files.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::Set => "sets",
            Self::Raise => "raises",
            Self::Lower => "lowers",
            Self::Shift => "shifts",
        }
    }

    /// Whether a fact can change so. Nothing changes what tells parts apart, what follows from other
    /// facts, or the date; only a number can be shifted, raised or lowered.
    #[must_use]
    pub fn suits(self, field: Field) -> bool {
        let numeric = matches!(field.kind(), Kind::Quantity(dimension) if dimension != Dimension::Day);
        is_changeable(field) && (self == Self::Set || numeric)
    }

    /// The order in which changes apply: sets, then raises and lowers, then shifts.
    #[must_use]
    pub fn turn(self) -> u8 {
        match self {
            Self::Set => 0,
            Self::Raise | Self::Lower => 1,
            Self::Shift => 2,
        }
    }
}

/// Whether any work can change a fact.
#[must_use]
pub fn is_changeable(field: Field) -> bool {
    use Field as F;
    let follows = matches!(
        field,
        F::WheelSupplier
            | F::WheelName
            | F::TireSupplier
            | F::TireName
            | F::VanCornerLoad
            | F::VanStockTireDiameter
    );
    !follows && !matches!(field.scope(), Scope::Package | Scope::Run)
}

/// One change of one fact.
#[derive(Clone, Debug, PartialEq)]
pub struct Effect {
    /// The fact.
    pub field: Field,
    /// How it changes.
    pub change: Change,
    /// To or by what.
    pub amount: Amount,
}

/// What a count is per.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Per {
    /// For every wheel of the set, the spare included.
    Wheel,
    /// Once.
    Van,
}

/// A thing that a work needs.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Need {
    /// What it is.
    pub item: Arc<str>,
    /// What its count is per.
    pub per: Per,
    /// How many.
    pub count: u32,
}

/// What a work asks before it may be done, by the kind of part it is asked of.
///
/// A work that asks about the wheel cannot be judged on a tire alone; it is then not allowed there.
#[derive(Clone, Debug)]
pub struct Asks {
    /// The statement as the file writes it.
    pub text: Arc<str>,
    /// The statement on wheels, where it makes sense there.
    pub of_wheel: Option<Test>,
    /// The statement on tires, where it makes sense there.
    pub of_tire: Option<Test>,
    /// The statement on packages of both.
    pub of_package: Test,
}

/// Something the shop can buy or do.
#[derive(Clone, Debug)]
pub struct Work {
    /// Its name, unique for the van.
    pub name: Arc<str>,
    /// What it changes.
    pub effects: Vec<Effect>,
    /// What it asks first.
    pub asks: Option<Asks>,
    /// What it needs.
    pub needs: Vec<Need>,
    /// What it costs for one set.
    pub costs: Decimal,
    /// Its drawbacks.
    pub leaves: Vec<Arc<str>>,
    /// Works it cannot be combined with, by place among the van's works.
    pub excludes: Vec<usize>,
    /// Works it needs beside it, by place among the van's works.
    pub requires: Vec<usize>,
    /// Every fact it changes.
    pub touches: FieldSet,
    /// The file it stands in.
    pub source: Source,
    /// Where its name stands in the file.
    pub span: Span,
}
