//! Made-up expressions: typed ones, nearly all of which check, and any that can be written.

use rimsieve::document::Span;
use rimsieve::facts::{Dimension, Field, Kind, Scope, Unit};
use rimsieve::rules::tree::{Arithmetic, Comparison, Expr, Node, Place};

use crate::tape::Tape;

const DIMENSIONS: [Dimension; 7] = [
    Dimension::Length,
    Dimension::Mass,
    Dimension::Plain,
    Dimension::Ply,
    Dimension::Speed,
    Dimension::Day,
    Dimension::Pressure,
];

/// A node without a place; places do not count in comparisons of trees.
pub(crate) fn expr(node: Node) -> Expr {
    Expr { span: Span::default(), node }
}

fn boxed(node: Node) -> Box<Expr> {
    Box::new(expr(node))
}

fn text(text: &str) -> Expr {
    expr(Node::Text(text.to_owned()))
}

fn within_reach(field: Field, on: Scope) -> bool {
    field.scope() == on || matches!(field.scope(), Scope::Van | Scope::Run)
}

/// The facts within reach of some kinds.
fn facts(on: Scope, wanted: impl Fn(Kind) -> bool) -> Vec<Field> {
    Field::ALL.iter().copied().filter(|field| within_reach(*field, on) && wanted(field.kind())).collect()
}

fn fact(tape: &mut Tape, on: Scope, wanted: impl Fn(Kind) -> bool) -> Option<Field> {
    let known = facts(on, wanted);
    (!known.is_empty()).then(|| tape.one_of(&known))
}

fn named(field: Field) -> Expr {
    expr(Node::Name(field.full_name()))
}

/// Makes typed expressions about one kind of part.
pub(crate) struct Maker {
    /// The part they are about.
    pub(crate) on: Scope,
    /// Whether one fact may stand in for another.
    pub(crate) stand_ins: bool,
}

impl Maker {
    /// A statement.
    pub(crate) fn statement(&self, tape: &mut Tape, depth: usize) -> Expr {
        let choice = tape.pick(if depth == 0 { 6 } else { 9 });
        match choice {
            0 | 1 => self.comparison(tape, depth),
            2 => self.inside(tape, depth),
            3 => self.same(tape),
            4 => self.holds(tape),
            5 => fact(tape, self.on, |kind| kind == Kind::Flag).map_or(expr(Node::Flag(true)), named),
            6 | 7 => {
                let items = (0..2 + tape.pick(2)).map(|_| self.statement(tape, depth - 1)).collect();
                expr(if choice == 6 { Node::And(items) } else { Node::Or(items) })
            }
            _ => expr(Node::Not(Box::new(self.statement(tape, depth - 1)))),
        }
    }

    fn comparison(&self, tape: &mut Tape, depth: usize) -> Expr {
        use Comparison::{Above, AtLeast, AtMost, Below, Differs, Same};
        let comparison = tape.one_of(&[AtLeast, AtMost, Above, Below, Same, Differs]);
        let dimension = self.dimension(tape);
        let (left, right) = self.two(tape, dimension, depth);
        let allowing = match (tape.pick(4), dimension) {
            (2, Dimension::Length | Dimension::Mass) => Some(Box::new(literal(tape, dimension))),
            (2, Dimension::Plain) => Some(boxed(Node::Number { count: 0.5, unit: None })),
            (3, _) => {
                let count = tape.one_of(&[0.0, 2.0, 0.5, 100.0]);
                Some(boxed(Node::Number { count, unit: Some(Unit::Percent) }))
            }
            _ => None,
        };
        expr(Node::Compare { comparison, left: Box::new(left), right: Box::new(right), allowing })
    }

    /// A dimension of which some fact is.
    pub(crate) fn dimension(&self, tape: &mut Tape) -> Dimension {
        let dimension = tape.one_of(&DIMENSIONS);
        // A dimension without a fact gives only comparisons that never change.
        if fact(&mut tape.clone(), self.on, |kind| kind == Kind::Quantity(dimension)).is_some() {
            dimension
        } else {
            Dimension::Length
        }
    }

    /// Two numbers of one dimension; one of them may be written as a text.
    fn two(&self, tape: &mut Tape, dimension: Dimension, depth: usize) -> (Expr, Expr) {
        let (mut left, mut right) =
            (self.number(tape, dimension, depth), self.number(tape, dimension, depth));
        if let Some(written) = spelt(tape, dimension).filter(|_| tape.pick(3) == 2) {
            if tape.pick(2) == 0 { right = text(written) } else { left = text(written) }
        }
        (left, right)
    }

    /// A number of a dimension.
    pub(crate) fn number(&self, tape: &mut Tape, dimension: Dimension, depth: usize) -> Expr {
        let leaf = depth == 0 || tape.pick(3) == 0;
        if leaf {
            let fact = fact(tape, self.on, |kind| kind == Kind::Quantity(dimension));
            return match fact.filter(|_| has_no_unit(dimension) || tape.pick(4) != 3) {
                Some(field) => named(field),
                None => literal(tape, dimension),
            };
        }
        let deeper = depth - 1;
        match tape.pick(9) {
            choice @ (0 | 1) => {
                let operation = if choice == 0 { Arithmetic::Add } else { Arithmetic::Subtract };
                let (left, right) = self.two(tape, dimension, deeper);
                expr(Node::Arithmetic(operation, Box::new(left), Box::new(right)))
            }
            2 => {
                let (first, second) =
                    (self.number(tape, dimension, deeper), self.number(tape, Dimension::Plain, deeper));
                let (left, right) = if tape.pick(2) == 0 { (first, second) } else { (second, first) };
                expr(Node::Arithmetic(Arithmetic::Multiply, Box::new(left), Box::new(right)))
            }
            3 => {
                let divisor =
                    if dimension == Dimension::Plain { self.dimension(tape) } else { Dimension::Plain };
                let dividend = if dimension == Dimension::Plain { divisor } else { dimension };
                let left = Box::new(self.number(tape, dividend, deeper));
                let right = Box::new(self.number(tape, divisor, deeper));
                expr(Node::Arithmetic(Arithmetic::Divide, left, right))
            }
            4 if self.stand_ins => {
                let (first, second) = self.two(tape, dimension, deeper);
                expr(Node::Else(Box::new(first), Box::new(second)))
            }
            5 => {
                let (first, second) = self.two(tape, dimension, deeper);
                call(tape.one_of(&["min", "max"]), vec![first, second])
            }
            6 => expr(Node::Negative(Box::new(self.number(tape, dimension, deeper)))),
            7 => self.special(tape, dimension, deeper),
            _ => call("abs", vec![self.number(tape, dimension, deeper)]),
        }
    }

    /// A function that only some dimensions have.
    fn special(&self, tape: &mut Tape, dimension: Dimension, depth: usize) -> Expr {
        let of = |tape: &mut Tape, kind: Kind| fact(tape, self.on, |found| found == kind).map(named);
        match dimension {
            Dimension::Mass => call("index_load", vec![self.number(tape, Dimension::Plain, 0)]),
            Dimension::Day => {
                let years = expr(Node::Number { count: tape.one_of(&[5.0, 1.0, 10.0]), unit: None });
                call("years_before", vec![years, self.number(tape, Dimension::Day, depth.min(1))])
            }
            Dimension::Length => {
                let (name, kind) = tape.one_of(&[
                    ("diameter", Kind::Thread),
                    ("pitch", Kind::Thread),
                    ("design_diameter", Kind::Size),
                    ("rim_of", Kind::Size),
                ]);
                match of(tape, kind) {
                    Some(field) => call(name, vec![field]),
                    None => self.number(tape, dimension, 0),
                }
            }
            Dimension::Plain | Dimension::Ply | Dimension::Speed | Dimension::Pressure => {
                self.number(tape, dimension, 0)
            }
        }
    }

    fn inside(&self, tape: &mut Tape, depth: usize) -> Expr {
        let (dimension, window) = if tape.pick(2) == 0 {
            let window = fact(tape, self.on, |kind| matches!(kind, Kind::Window(_)));
            (Dimension::Length, named(window.expect("vans have windows")))
        } else {
            let dimension = self.dimension(tape);
            let ends = vec![self.number(tape, dimension, 0), self.number(tape, dimension, 0)];
            (dimension, expr(Node::List(ends)))
        };
        let mut number = self.number(tape, dimension, depth);
        if ends_in_bare_figure(&number) {
            number = self.number(&mut Tape::blank(), dimension, 0);
        }
        compared(Comparison::In, number, window)
    }

    fn same(&self, tape: &mut Tape) -> Expr {
        let kinds = [
            Kind::Seat,
            Kind::Drillings,
            Kind::Word(&[]),
            Kind::Flag,
            Kind::Thread,
            Kind::Size,
            Kind::Words(&[]),
        ];
        let kind = tape.one_of(&kinds);
        let alike = |found: Kind| {
            matches!((kind, found), (Kind::Word(_), Kind::Word(_)) | (Kind::Words(_), Kind::Words(_)))
                || kind == found
        };
        let Some(field) = fact(tape, self.on, alike) else {
            return self.comparison(tape, 0);
        };
        let other = if tape.pick(3) == 2 {
            fact(tape, self.on, alike).map(named)
        } else {
            constant(tape, field.kind())
        };
        let (left, right) = (named(field), other.unwrap_or_else(|| named(field)));
        let (left, right) = if tape.pick(4) == 3 { (right, left) } else { (left, right) };
        compared(tape.one_of(&[Comparison::Same, Comparison::Differs]), left, right)
    }

    /// Words in lists, and drillings among drillings.
    fn holds(&self, tape: &mut Tape) -> Expr {
        match tape.pick(4) {
            0 => {
                let field = fact(tape, self.on, |kind| kind == Kind::Drillings).expect("a hub has one");
                let wanted = if tape.pick(2) == 0 {
                    named(Field::VanHubBoltPattern)
                } else {
                    text(tape.one_of(&DRILLINGS))
                };
                let allowing = (tape.pick(2) == 0).then(|| {
                    let count = tape.one_of(&[0.15, 0.0, 10.0]);
                    boxed(Node::Number { count, unit: Some(Unit::Mm) })
                });
                let (left, right) = (Box::new(named(field)), Box::new(wanted));
                expr(Node::Compare { comparison: Comparison::Has, left, right, allowing })
            }
            1 => {
                let field = fact(tape, self.on, |kind| matches!(kind, Kind::Word(_))).expect("a van has one");
                let list = if field == Field::TireService && tape.pick(2) == 0 {
                    named(Field::VanRoomTireService)
                } else {
                    words(tape, field.kind())
                };
                compared(Comparison::In, named(field), list)
            }
            choice => {
                let field =
                    fact(tape, self.on, |kind| matches!(kind, Kind::Words(_))).expect("a van has one");
                if choice == 2 {
                    compared(Comparison::HasAny, named(field), words(tape, field.kind()))
                } else {
                    compared(Comparison::Has, named(field), word(tape, field.kind()))
                }
            }
        }
    }
}

fn compared(comparison: Comparison, left: Expr, right: Expr) -> Expr {
    expr(Node::Compare { comparison, left: Box::new(left), right: Box::new(right), allowing: None })
}

fn call(name: &str, arguments: Vec<Expr>) -> Expr {
    expr(Node::Call { name: name.to_owned(), name_span: Place(Span::default()), arguments })
}

/// Dimensions whose figures are never written with a unit in an expression.
fn has_no_unit(dimension: Dimension) -> bool {
    matches!(dimension, Dimension::Day)
}

fn literal(tape: &mut Tape, dimension: Dimension) -> Expr {
    let units: &[(Option<Unit>, &[f64])] = match dimension {
        Dimension::Length => &[
            (Some(Unit::Mm), &[84.1, 0.05, 0.15, 1.0, 30.0, 12.7, 130.0, 712.0, 0.0]),
            (Some(Unit::Inch), &[1.0, 5.118, 16.0, 8.5]),
            (Some(Unit::Cm), &[2.5]),
        ],
        Dimension::Mass => &[
            (Some(Unit::Kg), &[1.0, 1215.0, 925.0, 1250.5, 0.0]),
            (Some(Unit::Lb), &[2425.0, 1.0]),
            (Some(Unit::Tonne), &[1.25]),
        ],
        Dimension::Pressure => {
            &[(Some(Unit::KPa), &[550.0]), (Some(Unit::Bar), &[4.75]), (Some(Unit::Psi), &[80.0])]
        }
        Dimension::Speed => &[(Some(Unit::KmH), &[150.0, 130.0]), (Some(Unit::Mph), &[93.0])],
        Dimension::Plain | Dimension::Day => {
            &[(None, &[2.0, 1.0, 4.0, 0.5, 1.1, 121.0, 0.0, 3.0]), (Some(Unit::Percent), &[3.0, 18.0, 0.5])]
        }
        Dimension::Ply => &[(Some(Unit::Ply), &[10.0, 8.0])],
    };
    let (unit, counts) = tape.one_of(units);
    expr(Node::Number { count: tape.one_of(counts), unit })
}

/// A number of a dimension as a text in quotes.
fn spelt(tape: &mut Tape, dimension: Dimension) -> Option<&'static str> {
    let fitting: Vec<&str> =
        SPELT.iter().filter(|(_, found, _)| *found == dimension).map(|(text, ..)| *text).collect();
    (!fitting.is_empty()).then(|| tape.one_of(&fitting))
}

/// Numbers written as texts, and their base units: SI arithmetic, days by `date -d ... +%s` / 86400, ply
/// ratings 6 8 10 12 for C D E F and speed symbols N and T by the handbook's tables.
pub(crate) const SPELT: [(&str, Dimension, i128); 9] = [
    ("84.1 mm", Dimension::Length, 84_100_000),
    ("1 in", Dimension::Length, 25_400_000),
    ("1215 kg", Dimension::Mass, 1_215_000_000_000),
    ("E", Dimension::Ply, 10),
    ("C", Dimension::Ply, 6),
    ("N", Dimension::Speed, 140_000_000),
    ("T", Dimension::Speed, 190_000_000),
    ("2024-02-29", Dimension::Day, 19_782),
    ("2025-09-01", Dimension::Day, 20_332),
];

const DRILLINGS: [&str; 4] = ["6x130", "5x120.65", "6x139.7", "6x205"];
const SERVICES: [&str; 3] = ["LT", "C", "passenger"];

fn word(tape: &mut Tape, kind: Kind) -> Expr {
    let (Kind::Word(allowed) | Kind::Words(allowed)) = kind else {
        return text("LT");
    };
    text(match allowed {
        [] => tape.one_of(&["Northfell", "SAE J2530", "JWL", "JWL-T", "Skarnwell Forge"]),
        allowed if allowed.contains(&"LT") => tape.one_of(&SERVICES),
        allowed => tape.one_of(allowed),
    })
}

fn words(tape: &mut Tape, kind: Kind) -> Expr {
    let count = 1 + tape.pick(3);
    expr(Node::List((0..count).map(|_| word(tape, kind)).collect()))
}

fn constant(tape: &mut Tape, kind: Kind) -> Option<Expr> {
    Some(match kind {
        Kind::Seat => text(tape.one_of(&["ball R14", "cone 60", "ball", "cone", "flat", "shank"])),
        Kind::Drillings => text(tape.one_of(&DRILLINGS)),
        Kind::Word(_) => word(tape, kind),
        Kind::Words(_) => words(tape, kind),
        Kind::Flag => expr(Node::Flag(tape.pick(2) == 0)),
        Kind::Thread => text(tape.one_of(&["M14x1.5", "9/16-18"])),
        Kind::Size => text(tape.one_of(&["235/65R16C", "LT265/70R17", "35x12.50R17LT"])),
        Kind::Quantity(_) | Kind::Window(_) => return None,
    })
}

/// Whether its text ends in a figure without a unit. `wheel.offset / 2 in [...]` is read as two
/// inches, so that such an expression before `in` does not print to what it was.
fn ends_in_bare_figure(tree: &Expr) -> bool {
    tree.to_string().ends_with(|letter: char| letter.is_ascii_digit()) && !matches!(tree.node, Node::Name(_))
}

/// Any expression that can be written, whether it makes sense or not.
pub(crate) fn anything(tape: &mut Tape, depth: usize) -> Expr {
    use Comparison::{Above, AtLeast, AtMost, Below, Differs, Has, HasAny, In, Same};
    if depth == 0 {
        return leaf(tape);
    }
    let one = |tape: &mut Tape| Box::new(anything(tape, depth - 1));
    let many = |tape: &mut Tape, least: usize| -> Vec<Expr> {
        (0..least + tape.pick(3)).map(|_| anything(tape, depth - 1)).collect()
    };
    expr(match tape.pick(10) {
        0 => return leaf(tape),
        1 => Node::List(many(tape, 0)),
        2 => {
            let name = tape.one_of(&["abs", "min", "f", "index_load", "a.b"]).to_owned();
            Node::Call { name, name_span: Place(Span::default()), arguments: many(tape, 0) }
        }
        3 => Node::Negative(one(tape)),
        4 => Node::Not(one(tape)),
        5 => Node::Else(one(tape), one(tape)),
        6 => {
            use Arithmetic::{Add, Divide, Multiply, Subtract};
            Node::Arithmetic(tape.one_of(&[Add, Subtract, Multiply, Divide]), one(tape), one(tape))
        }
        7 => {
            let comparison = tape.one_of(&[AtLeast, AtMost, Above, Below, Same, Differs, In, Has, HasAny]);
            let mut left = one(tape);
            if comparison == In && ends_in_bare_figure(&left) {
                left = boxed(Node::Name("wheel.offset".to_owned()));
            }
            let allowing = (tape.pick(3) == 2).then(|| one(tape));
            Node::Compare { comparison, left, right: one(tape), allowing }
        }
        8 => Node::And(many(tape, 2)),
        _ => Node::Or(many(tape, 2)),
    })
}

fn leaf(tape: &mut Tape) -> Expr {
    expr(match tape.pick(4) {
        0 => {
            let names = ["wheel.offset", "a", "x_1", "van.hub.pilot", "inside", "t", "in_", "allowing.x"];
            Node::Name(tape.one_of(&names).to_owned())
        }
        1 => {
            let count = tape.one_of(&[0.0, 1.0, 84.1, 0.05, 1e21, 1e-9, 123_456.789, 5.118]);
            let unit = (tape.pick(2) == 0).then(|| tape.one_of(&Unit::ALL));
            Node::Number { count, unit }
        }
        2 => {
            let texts = ["cone 60", "", "it's", "5\" lift", "ü — ≥", "a\nb", "[x] and (y)"];
            Node::Text(tape.one_of(&texts).to_owned())
        }
        _ => Node::Flag(tape.pick(2) == 0),
    })
}
