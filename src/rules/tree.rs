//! The parsed form of an expression: every node with its place, nothing resolved yet.
//!
//! Printing a tree gives text that parses to the same tree.

use std::fmt;

use crate::document::Span;
use crate::facts::value::{Unit, plain_text};

/// A node and its place in the expression's text.
#[derive(Clone, Debug)]
pub struct Expr {
    /// Where it stands.
    pub span: Span,
    /// What it is.
    pub node: Node,
}

impl PartialEq for Expr {
    /// Trees are equal where their nodes are; places do not count.
    fn eq(&self, other: &Self) -> bool {
        self.node == other.node
    }
}

/// A place within a node; places do not count when trees are compared.
#[derive(Clone, Copy, Debug)]
pub struct Place(pub Span);

impl PartialEq for Place {
    fn eq(&self, _: &Self) -> bool {
        true
    }
}

/// What an expression can be.
#[derive(Clone, Debug, PartialEq)]
pub enum Node {
    /// `84.1 mm`, `3 %`, `4`.
    Number {
        /// The figure, never negative.
        count: f64,
        /// Its unit, where one is written.
        unit: Option<Unit>,
    },
    /// `"cone 60"`.
    Text(String),
    /// `true` or `false`.
    Flag(bool),
    /// `[a, b]`.
    List(Vec<Expr>),
    /// `wheel.offset`, or a name given by the rule.
    Name(String),
    /// `abs(x)`.
    Call {
        /// The function.
        name: String,
        /// Its name's place.
        name_span: Place,
        /// What it is given.
        arguments: Vec<Expr>,
    },
    /// `-x`.
    Negative(Box<Expr>),
    /// `not x`.
    Not(Box<Expr>),
    /// `a else b`: b where a's cell is empty.
    Else(Box<Expr>, Box<Expr>),
    /// `a + b` and its kin.
    Arithmetic(Arithmetic, Box<Expr>, Box<Expr>),
    /// `a >= b allowing c` and its kin.
    Compare {
        /// Which comparison.
        comparison: Comparison,
        /// The left side.
        left: Box<Expr>,
        /// The right side.
        right: Box<Expr>,
        /// By how much it may miss.
        allowing: Option<Box<Expr>>,
    },
    /// `a and b and c`.
    And(Vec<Expr>),
    /// `a or b or c`.
    Or(Vec<Expr>),
}

/// The four operations.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Arithmetic {
    /// `+`
    Add,
    /// `-`
    Subtract,
    /// `*`
    Multiply,
    /// `/`
    Divide,
}

impl Arithmetic {
    /// As written.
    #[must_use]
    pub fn text(self) -> &'static str {
        match self {
            Self::Add => "+",
            Self::Subtract => "-",
            Self::Multiply => "*",
            Self::Divide => "/",
        }
    }
}

/// The comparisons.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Comparison {
    /// `>=`
    AtLeast,
    /// `<=`
    AtMost,
    /// `>`
    Above,
    /// `<`
    Below,
    /// `==`
    Same,
    /// `!=`
    Differs,
    /// `in`: inside a window, or one of a list.
    In,
    /// `has`: a list holds this.
    Has,
    /// `has any`: a list holds one of these.
    HasAny,
}

impl Comparison {
    /// As written.
    #[must_use]
    pub fn text(self) -> &'static str {
        match self {
            Self::AtLeast => ">=",
            Self::AtMost => "<=",
            Self::Above => ">",
            Self::Below => "<",
            Self::Same => "==",
            Self::Differs => "!=",
            Self::In => "in",
            Self::Has => "has",
            Self::HasAny => "has any",
        }
    }
}

/// How tightly a node binds; a child that binds less tightly is printed in parentheses.
fn tightness(node: &Node) -> u8 {
    match node {
        Node::Or(_) => 0,
        Node::And(_) => 1,
        Node::Not(_) => 2,
        Node::Compare { .. } => 3,
        Node::Arithmetic(Arithmetic::Add | Arithmetic::Subtract, ..) => 4,
        Node::Arithmetic(Arithmetic::Multiply | Arithmetic::Divide, ..) => 5,
        Node::Negative(_) => 6,
        Node::Else(..) => 7,
        Node::Number { .. }
        | Node::Text(_)
        | Node::Flag(_)
        | Node::List(_)
        | Node::Name(_)
        | Node::Call { .. } => 8,
    }
}

struct Child<'e>(&'e Expr, u8);

impl fmt::Display for Child<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if tightness(&self.0.node) < self.1 { write!(f, "({})", self.0) } else { write!(f, "{}", self.0) }
    }
}

fn joined(f: &mut fmt::Formatter<'_>, items: &[Expr], between: &str, at_least: u8) -> fmt::Result {
    for (index, item) in items.iter().enumerate() {
        if index > 0 {
            f.write_str(between)?;
        }
        write!(f, "{}", Child(item, at_least))?;
    }
    Ok(())
}

impl fmt::Display for Expr {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.node {
            Node::Number { count, unit: None } => f.write_str(&plain_text(*count)),
            Node::Number { count, unit: Some(unit) } => write!(f, "{} {}", plain_text(*count), unit.text()),
            Node::Text(text) if text.contains('"') => write!(f, "'{text}'"),
            Node::Text(text) => write!(f, "\"{text}\""),
            Node::Flag(flag) => write!(f, "{flag}"),
            Node::List(items) => {
                f.write_str("[")?;
                joined(f, items, ", ", 0)?;
                f.write_str("]")
            }
            Node::Name(name) => f.write_str(name),
            Node::Call { name, arguments, .. } => {
                write!(f, "{name}(")?;
                joined(f, arguments, ", ", 0)?;
                f.write_str(")")
            }
            Node::Negative(inner) => write!(f, "-{}", Child(inner, 6)),
            Node::Not(inner) => write!(f, "not {}", Child(inner, 2)),
            Node::Else(first, second) => write!(f, "{} else {}", Child(first, 7), Child(second, 8)),
            Node::Arithmetic(operation, left, right) => {
                let own = tightness(&self.node);
                write!(f, "{} {} {}", Child(left, own), operation.text(), Child(right, own + 1))
            }
            Node::Compare { comparison, left, right, allowing } => {
                write!(f, "{} {} {}", Child(left, 4), comparison.text(), Child(right, 4))?;
                if let Some(allowing) = allowing {
                    write!(f, " allowing {}", Child(allowing, 4))?;
                }
                Ok(())
            }
            Node::And(items) => joined(f, items, " and ", 2),
            Node::Or(items) => joined(f, items, " or ", 1),
        }
    }
}
