//! The checked and resolved form of an expression: what is evaluated, once a spec and van.
//!
//! Only [`crate::rules::check`] makes these, so that names, kinds and dimensions hold by then.

use std::sync::Arc;

use crate::facts::field::{Field, FieldSet};
use crate::facts::value::{Dimension, Value};

/// A number in base units of its dimension.
#[derive(Clone, Debug, PartialEq)]
pub enum Number {
    /// Always this.
    Constant(f64),
    /// A fact.
    Fact(Field),
    /// The sum of two.
    Sum(Box<Number>, Box<Number>),
    /// The first less the second.
    Difference(Box<Number>, Box<Number>),
    /// The product, in whole units after division by the scale that one factor's billionths bring.
    Product(Box<Number>, Box<Number>),
    /// The quotient times this scale, in whole units; unknown where the divisor is zero.
    Quotient(Box<Number>, Box<Number>),
    /// With the sign turned.
    Negative(Box<Number>),
    /// Without its sign.
    Absolute(Box<Number>),
    /// The smaller of two.
    Lesser(Box<Number>, Box<Number>),
    /// The larger of two.
    Greater(Box<Number>, Box<Number>),
    /// The first, or the second where the first's cell is empty.
    Else(Box<Number>, Box<Number>),
    /// The mass that a load index stands for; unknown beyond the table.
    LoadOfIndex(Box<Number>),
    /// The design diameter of a tire size; unknown where the size has none.
    DesignDiameter(Field),
    /// The rim diameter in a tire size.
    RimOfSize(Field),
    /// The nominal diameter of a thread.
    ThreadDiameter(Field),
    /// The pitch of a thread.
    ThreadPitch(Field),
    /// The date that many whole years before a date.
    YearsBefore(Box<Number>, i32),
}

/// Which way two numbers must stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Order {
    /// Left at least right.
    AtLeast,
    /// Left at most right.
    AtMost,
    /// Left above right.
    Above,
    /// Left below right.
    Below,
    /// Both the same.
    Same,
}

/// By how much a comparison may miss.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Allowance {
    /// Not at all.
    None,
    /// This many base units.
    Amount(f64),
    /// This many billionths of the right side.
    Share(f64),
}

/// A value of another kind than a number: a constant or a fact.
#[derive(Clone, Debug, PartialEq)]
pub enum Operand {
    /// Always this.
    Constant(Value),
    /// A fact.
    Fact(Field),
}

/// One end or both of a window of numbers.
#[derive(Clone, Debug, PartialEq)]
pub enum Bounds {
    /// A fact that is a window.
    Fact(Field),
    /// Two numbers, both included.
    Between(Number, Number),
}

/// A statement that is true, false or unknown.
#[derive(Clone, Debug, PartialEq)]
pub enum Test {
    /// A yes-or-no fact.
    Flag(Field),
    /// Two numbers compared.
    Compare {
        /// Which way.
        order: Order,
        /// The left side.
        left: Number,
        /// The right side.
        right: Number,
        /// By how much it may miss.
        allowing: Allowance,
        /// What both measure.
        dimension: Dimension,
    },
    /// A number inside a window, both ends included.
    Inside {
        /// The number.
        number: Number,
        /// The window.
        bounds: Bounds,
        /// What both measure.
        dimension: Dimension,
    },
    /// Two values of one kind that must be the same; seats compare kind and size apart.
    Same(Operand, Operand),
    /// A word that must be one of a list.
    OneOf(Operand, Operand),
    /// A list of words that must hold one of these.
    HasAny(Operand, Operand),
    /// A list of drillings that must hold one like this, circles within so many nanometers.
    Drilled {
        /// The drillings.
        drillings: Operand,
        /// The one wanted.
        wanted: Operand,
        /// By how much the circles may differ, in nanometers.
        allowing: f64,
    },
    /// All of them.
    And(Vec<Test>),
    /// At least one of them.
    Or(Vec<Test>),
    /// The opposite.
    Not(Box<Test>),
}

impl Number {
    fn gather(&self, into: &mut FieldSet) {
        match self {
            Self::Constant(_) => {}
            Self::Fact(field)
            | Self::DesignDiameter(field)
            | Self::RimOfSize(field)
            | Self::ThreadDiameter(field)
            | Self::ThreadPitch(field) => into.insert(*field),
            Self::Sum(left, right)
            | Self::Difference(left, right)
            | Self::Product(left, right)
            | Self::Quotient(left, right)
            | Self::Lesser(left, right)
            | Self::Greater(left, right)
            | Self::Else(left, right) => {
                left.gather(into);
                right.gather(into);
            }
            Self::Negative(inner)
            | Self::Absolute(inner)
            | Self::LoadOfIndex(inner)
            | Self::YearsBefore(inner, _) => inner.gather(into),
        }
    }

    /// The facts it reads.
    #[must_use]
    pub fn reads(&self) -> FieldSet {
        let mut set = FieldSet::EMPTY;
        self.gather(&mut set);
        set
    }
}

impl Operand {
    fn gather(&self, into: &mut FieldSet) {
        if let Self::Fact(field) = self {
            into.insert(*field);
        }
    }
}

impl Bounds {
    fn gather(&self, into: &mut FieldSet) {
        match self {
            Self::Fact(field) => into.insert(*field),
            Self::Between(from, to) => {
                from.gather(into);
                to.gather(into);
            }
        }
    }
}

impl Bounds {
    /// The facts it reads.
    #[must_use]
    pub fn reads(&self) -> FieldSet {
        let mut set = FieldSet::EMPTY;
        self.gather(&mut set);
        set
    }
}

impl Test {
    fn gather(&self, into: &mut FieldSet) {
        match self {
            Self::Flag(field) => into.insert(*field),
            Self::Compare { left, right, .. } => {
                left.gather(into);
                right.gather(into);
            }
            Self::Inside { number, bounds, .. } => {
                number.gather(into);
                bounds.gather(into);
            }
            Self::Same(left, right) | Self::OneOf(left, right) | Self::HasAny(left, right) => {
                left.gather(into);
                right.gather(into);
            }
            Self::Drilled { drillings, wanted, .. } => {
                drillings.gather(into);
                wanted.gather(into);
            }
            Self::And(tests) | Self::Or(tests) => tests.iter().for_each(|test| test.gather(into)),
            Self::Not(test) => test.gather(into),
        }
    }

    /// Whether it compares a fact as it stands, and not a number that is told by it.
    #[must_use]
    pub fn compares(&self, field: Field) -> bool {
        let is = |operand: &Operand| *operand == Operand::Fact(field);
        match self {
            Self::Same(left, right) | Self::OneOf(left, right) | Self::HasAny(left, right) => {
                is(left) || is(right)
            }
            Self::Drilled { drillings, wanted, .. } => is(drillings) || is(wanted),
            Self::And(tests) | Self::Or(tests) => tests.iter().any(|test| test.compares(field)),
            Self::Not(test) => test.compares(field),
            Self::Flag(_) | Self::Compare { .. } | Self::Inside { .. } => false,
        }
    }

    /// The facts it reads: its read set.
    #[must_use]
    pub fn reads(&self) -> FieldSet {
        let mut set = FieldSet::EMPTY;
        self.gather(&mut set);
        set
    }
}

/// A word or list constant, for tests and messages.
#[must_use]
pub fn words(list: &[&str]) -> Value {
    Value::Words(list.iter().map(|word| Arc::from(*word)).collect())
}
