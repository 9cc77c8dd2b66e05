//! What facts could become by work: bounds that show, before any set is tried, that none helps.
//!
//! Effects are followed in the order in which they apply: those of works that are sure to be done
//! change a fact, those of works that may be done leave it as it was or changed. Every value that
//! some set leads to lies within the bounds; not every value within them is led to by a set. So a
//! statement that cannot hold within the bounds holds under no set, and the converse is not said.

use std::borrow::Cow;

use crate::facts::fact::State;
use crate::facts::field::{Field, FieldSet, Scope};
use crate::facts::value::{BILLION, Value};
use crate::judge::bench::{Bench, WorkSet};
use crate::judge::case::{Case, Look};
use crate::judge::eval::{Figure, finite, load_of_index, meets, slack, told_by, years_before};
use crate::judge::truth::Truth;
use crate::judge::work::in_turn;
use crate::rules::program::{Allowance, Bounds, Number, Operand, Order, Test};
use crate::van::VanFacts;
use crate::van::work::{Amount, Change, Effect};

/// Which truth values a statement could have.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Could {
    /// It could hold.
    pub hold: bool,
    /// It could fail to hold.
    pub fail: bool,
    /// It could be unknown.
    pub be_unknown: bool,
}

impl Could {
    /// All that either could be.
    fn or(self, other: Self) -> Self {
        Self {
            hold: self.hold || other.hold,
            fail: self.fail || other.fail,
            be_unknown: self.be_unknown || other.be_unknown,
        }
    }
}

impl From<Truth> for Could {
    fn from(truth: Truth) -> Self {
        Self { hold: truth == Truth::True, fail: truth == Truth::False, be_unknown: truth == Truth::Unknown }
    }
}

/// The values that a fact or a sum could have.
#[derive(Clone, Debug, PartialEq)]
enum Known<'v> {
    /// None at all.
    Nothing,
    /// A number, both ends included; in base units.
    Between(f64, f64),
    /// One of these.
    OneOf(Vec<Cow<'v, Value>>),
}

/// What a fact or a sum could be.
#[derive(Clone, Debug, PartialEq)]
struct May<'v> {
    known: Known<'v>,
    /// Whether it may have no value that can be used.
    unknown: bool,
}

impl<'v> May<'v> {
    const UNKNOWN: Self = Self { known: Known::Nothing, unknown: true };
    const ANY_NUMBER: Self = Self { known: Known::Between(f64::NEG_INFINITY, f64::INFINITY), unknown: true };

    fn be(value: Cow<'v, Value>) -> Self {
        match value.number() {
            Some(number) => Self::figure(finite(number)),
            None => Self { known: Known::OneOf(vec![value]), unknown: false },
        }
    }

    fn figure(figure: Figure) -> Self {
        match figure {
            Figure::Known(number) => Self { known: Known::Between(number, number), unknown: false },
            Figure::Missing | Figure::Unusable => Self::UNKNOWN,
        }
    }

    /// All numbers between the ends, given in either order; any number where an end is none.
    fn between(ends: [f64; 2], unknown: bool) -> Self {
        if ends.iter().any(|end| end.is_nan()) {
            return Self::ANY_NUMBER;
        }
        let (from, to) = (ends[0].min(ends[1]), ends[0].max(ends[1]));
        // A sum that overflows cannot be used.
        Self { known: Known::Between(from, to), unknown: unknown || !(from.is_finite() && to.is_finite()) }
    }

    fn ends(&self) -> Option<(f64, f64)> {
        if let Known::Between(from, to) = self.known { Some((from, to)) } else { None }
    }

    fn point(&self) -> Option<f64> {
        self.ends().filter(|(from, to)| from == to).map(|(from, _)| from)
    }

    fn or(self, other: Self) -> Self {
        let known = match (self.known, other.known) {
            (Known::Nothing, known) | (known, Known::Nothing) => known,
            (Known::Between(a, b), Known::Between(c, d)) => Known::Between(a.min(c), b.max(d)),
            (Known::OneOf(mut values), Known::OneOf(others)) => {
                for value in others {
                    if !values.contains(&value) {
                        values.push(value);
                    }
                }
                Known::OneOf(values)
            }
            // A field has values of one kind.
            (Known::Between(..), Known::OneOf(_)) | (Known::OneOf(_), Known::Between(..)) => {
                return Self::ANY_NUMBER;
            }
        };
        Self { known, unknown: self.unknown || other.unknown }
    }

    /// Works a number out of two; unknown where either is.
    fn with(&self, other: &Self, combine: impl FnOnce((f64, f64), (f64, f64)) -> Self) -> Self {
        let unknown = self.unknown || other.unknown;
        match (self.ends(), other.ends()) {
            (Some(one), Some(two)) => {
                let combined = combine(one, two);
                Self { unknown: unknown || combined.unknown, ..combined }
            }
            _ => Self::UNKNOWN,
        }
    }

    fn map(&self, change: impl FnOnce(f64, f64) -> Self) -> Self {
        self.with(&Self::figure(Figure::Known(0.0)), |(from, to), _| change(from, to))
    }
}

/// The facts of a case with some works done and others that may be.
#[derive(Debug)]
pub struct Reachable<'r> {
    bench: &'r Bench<'r>,
    before: Case<'r>,
    done: Case<'r>,
    maybe: WorkSet,
    changed: Vec<(Field, May<'r>)>,
}

impl<'r> Reachable<'r> {
    /// Follows every effect. `before` are the facts before any work, `done` those with the works of
    /// `sure` done; the works of `maybe` may be done beside them.
    #[must_use]
    pub fn new(
        bench: &'r Bench<'r>,
        before: Case<'r>,
        done: Case<'r>,
        sure: WorkSet,
        maybe: WorkSet,
    ) -> Self {
        let mut facts = Self { bench, before, done, maybe, changed: Vec::new() };
        let of = |at: usize| bench.works().get(at).map(|work| (at, work));
        for (at, effect) in in_turn(sure.union(maybe).iter().filter_map(of)) {
            facts.follow_effect(effect, sure.contains(at));
        }
        let on_van = |set: WorkSet| {
            set.iter().filter_map(of).any(|(_, work)| work.touches.meets(FieldSet::of_scope(Scope::Van)))
        };
        if on_van(sure) || on_van(maybe) {
            facts.follow_van(on_van(sure));
        }
        facts
    }

    /// The same facts with one number of the van as much as so far away from what it is.
    #[must_use]
    pub(super) fn widened(mut self, field: Field, by: f64) -> Self {
        let wide = self.look(field).map(|from, to| May::between([from - by, to + by], false));
        self.put(field, wide);
        self.follow_van(true);
        self
    }

    /// Which truth values a statement could have.
    #[must_use]
    pub fn could(&self, test: &Test) -> Could {
        match test {
            Test::Flag(field) => {
                pairs(&self.look(*field), &May::be(Cow::Owned(Value::Flag(true))), |flag, yes| {
                    Truth::from(flag == yes)
                })
            }
            Test::Compare { order, left, right, allowing, .. } => {
                compare(*order, &self.sum(left), &self.sum(right), *allowing)
            }
            Test::Inside { number, bounds, .. } => self.inside(number, bounds),
            Test::Same(left, right)
            | Test::OneOf(left, right)
            | Test::HasAny(left, right)
            | Test::Drilled { drillings: left, wanted: right, .. } => {
                pairs(&self.operand(left), &self.operand(right), |left, right| meets(test, left, right))
            }
            Test::And(tests) => {
                let all: Vec<Could> = tests.iter().map(|test| self.could(test)).collect();
                Could {
                    hold: all.iter().all(|could| could.hold),
                    fail: all.iter().any(|could| could.fail),
                    be_unknown: all.iter().any(|could| could.be_unknown),
                }
            }
            Test::Or(tests) => {
                let all: Vec<Could> = tests.iter().map(|test| self.could(test)).collect();
                Could {
                    hold: all.iter().any(|could| could.hold),
                    fail: all.iter().all(|could| could.fail),
                    be_unknown: all.iter().any(|could| could.be_unknown),
                }
            }
            Test::Not(test) => {
                let could = self.could(test);
                Could { hold: could.fail, fail: could.hold, ..could }
            }
        }
    }

    fn put(&mut self, field: Field, may: May<'r>) {
        match self.changed.iter_mut().find(|(known, _)| *known == field) {
            Some((_, known)) => *known = may,
            None => self.changed.push((field, may)),
        }
    }

    /// What a fact could be.
    fn look(&self, field: Field) -> May<'r> {
        if field.scope() == Scope::Package {
            return self.of_package(field);
        }
        self.as_followed(field)
    }

    /// What a fact of a part or the van could be.
    fn as_followed(&self, field: Field) -> May<'r> {
        match self.changed.iter().find(|(known, _)| *known == field) {
            Some((_, may)) => may.clone(),
            None => as_it_is(field, self.before),
        }
    }

    fn follow_effect(&mut self, effect: &'r Effect, sure: bool) {
        // A part that is not there has no facts to change, and nothing settles a contradiction.
        let stuck = matches!(effect.field.scope(), Scope::Wheel | Scope::Tire)
            && self.before.fact(effect.field).is_none_or(|fact| matches!(fact.state, State::Contradicted(_)));
        if stuck {
            return;
        }
        let before = self.as_followed(effect.field);
        let amount = match &effect.amount {
            Amount::Fixed(value) => May::be(Cow::Borrowed(value)),
            // What follows from both parts is worked out once all effects are done.
            Amount::Of(field) if field.scope() == Scope::Package => May::UNKNOWN,
            Amount::Of(field) => self.as_followed(*field),
        };
        let changed = match effect.change {
            Change::Set => May { unknown: false, ..amount.clone() },
            Change::Raise => before.with(&amount, |(a, b), (c, d)| May::between([a.max(c), b.max(d)], false)),
            Change::Lower => before.with(&amount, |(a, b), (c, d)| May::between([a.min(c), b.min(d)], false)),
            Change::Shift => before.with(&amount, |(a, b), (c, d)| May::between([a + c, b + d], false)),
        };
        // Without an amount, or without a value to change, nothing is changed.
        let nothing_changes = amount.unknown || (effect.change != Change::Set && before.unknown);
        let after = if sure && !nothing_changes { changed } else { before.or(changed) };
        self.put(effect.field, after);
    }

    /// What follows from the van's facts, worked out again where an effect on them is sure.
    fn follow_van(&mut self, sure: bool) {
        let followed = [
            (Field::VanCornerLoad, self.corner_load()),
            (Field::VanStockTireDiameter, self.stock_diameter()),
        ];
        for (field, may) in followed {
            let before = self.as_followed(field);
            self.put(field, if sure { may } else { may.or(before) });
        }
    }

    /// The load on the heaviest wheel grows with each axle's load.
    fn corner_load(&self) -> May<'r> {
        let wheels = [Field::VanFrontWheels, Field::VanRearWheels];
        let axles = [Field::VanFrontAxleLoad, Field::VanRearAxleLoad];
        let mut ends = [self.before.van.clone(), self.before.van.clone()];
        for field in wheels.into_iter().chain(axles) {
            let may = self.as_followed(field);
            let Some((from, to)) = may.ends().filter(|_| !may.unknown) else { return May::ANY_NUMBER };
            if wheels.contains(&field) && from != to {
                return May::ANY_NUMBER;
            }
            for (facts, end) in ends.iter_mut().zip([from, to]) {
                facts.put(field, Value::Number(end));
            }
        }
        let [least, most] = ends.map(|facts| followed(facts, Field::VanCornerLoad));
        least.or(most)
    }

    fn stock_diameter(&self) -> May<'r> {
        let tire = self.as_followed(Field::VanStockTire);
        let none = May { known: Known::Nothing, unknown: false };
        let sizes = if let Known::OneOf(sizes) = tire.known { sizes } else { Vec::new() };
        let of_sizes = sizes.into_iter().fold(none, |all, size| {
            let mut facts = self.before.van.clone();
            facts.put(Field::VanStockTire, size.into_owned());
            all.or(followed(facts, Field::VanStockTireDiameter))
        });
        // Of a size without a diameter nothing follows: what was stated stays.
        let stated = self.as_followed(Field::VanStockTireDiameter);
        if of_sizes.known == Known::Nothing || tire.unknown { of_sizes.or(stated) } else { of_sizes }
    }

    /// A package's fact is what it is now where no further work touches what it follows from.
    fn of_package(&self, field: Field) -> May<'r> {
        let moves = |field: Field| !self.bench.touching_package(field).intersection(self.maybe).is_empty();
        if !moves(field) {
            return as_it_is(field, self.done);
        }
        // Spacers change both reaches, and nothing else of them.
        let half = Field::PackageHalfWidth;
        if moves(half) {
            return May::ANY_NUMBER;
        }
        let (half, offset) = (as_it_is(half, self.done), self.as_followed(Field::WheelOffset));
        match field {
            Field::PackageOutboardReach => {
                half.with(&offset, |(a, b), (c, d)| May::between([a - d, b - c], false))
            }
            Field::PackageInboardReach => {
                half.with(&offset, |(a, b), (c, d)| May::between([a + c, b + d], false))
            }
            _ => May::ANY_NUMBER,
        }
    }

    fn operand(&self, operand: &'r Operand) -> May<'r> {
        match operand {
            Operand::Constant(value) => May::be(Cow::Borrowed(value)),
            Operand::Fact(field) => self.look(*field),
        }
    }

    fn inside(&self, number: &Number, bounds: &Bounds) -> Could {
        let number = self.sum(number);
        match bounds {
            Bounds::Between(from, to) => window(&number, &self.sum(from), &self.sum(to)),
            Bounds::Fact(field) => {
                let may = self.look(*field);
                let unknown = Could { be_unknown: may.unknown, ..Could::default() };
                let Known::OneOf(windows) = &may.known else { return unknown };
                windows.iter().fold(unknown, |all, value| {
                    let Value::Window { from, to } = **value else { return all.or(Truth::Unknown.into()) };
                    let [from, to] = [from, to].map(|end| May::figure(Figure::Known(end)));
                    all.or(window(&number, &from, &to))
                })
            }
        }
    }

    /// What a sum could be.
    fn sum(&self, number: &Number) -> May<'r> {
        match number {
            Number::Constant(count) => May::figure(finite(*count)),
            Number::Fact(field) => self.look(*field),
            Number::Sum(left, right) => {
                self.both(left, right, |(a, b), (c, d)| May::between([a + c, b + d], false))
            }
            Number::Difference(left, right) => {
                self.both(left, right, |(a, b), (c, d)| May::between([a - d, b - c], false))
            }
            Number::Product(left, right) => {
                self.both(left, right, |one, two| corners(one, two, |a, b| (a * b / BILLION).round()))
            }
            Number::Quotient(left, right) => self.both(left, right, |one, two| {
                let by_zero = two.0 <= 0.0 && two.1 >= 0.0;
                if by_zero { May::ANY_NUMBER } else { corners(one, two, |a, b| (a * BILLION / b).round()) }
            }),
            Number::Negative(inner) => self.sum(inner).map(|from, to| May::between([-to, -from], false)),
            Number::Absolute(inner) => self.sum(inner).map(|from, to| {
                let least = if from <= 0.0 && to >= 0.0 { 0.0 } else { from.abs().min(to.abs()) };
                May::between([least, from.abs().max(to.abs())], false)
            }),
            Number::Lesser(left, right) => {
                self.both(left, right, |(a, b), (c, d)| May::between([a.min(c), b.min(d)], false))
            }
            Number::Greater(left, right) => {
                self.both(left, right, |(a, b), (c, d)| May::between([a.max(c), b.max(d)], false))
            }
            Number::Else(first, second) => {
                let first = self.sum(first);
                if first.unknown { first.or(self.sum(second)) } else { first }
            }
            Number::LoadOfIndex(index) => {
                of_point(&self.sum(index), |index| load_of_index(Figure::Known(index)))
            }
            Number::YearsBefore(date, years) => {
                of_point(&self.sum(date), |days| Figure::Known(days).map(|days| years_before(days, *years)))
            }
            Number::DesignDiameter(field)
            | Number::RimOfSize(field)
            | Number::ThreadDiameter(field)
            | Number::ThreadPitch(field) => {
                let may = self.look(*field);
                let none = May { known: Known::Nothing, unknown: may.unknown };
                let Known::OneOf(values) = may.known else { return May::UNKNOWN };
                values.iter().fold(none, |all, value| {
                    let told = told_by(number, value).map_or(Figure::Unusable, Figure::Known);
                    all.or(May::figure(told))
                })
            }
        }
    }

    fn both(
        &self,
        left: &Number,
        right: &Number,
        combine: impl FnOnce((f64, f64), (f64, f64)) -> May<'r>,
    ) -> May<'r> {
        self.sum(left).with(&self.sum(right), combine)
    }
}

fn as_it_is<'r>(field: Field, case: Case<'r>) -> May<'r> {
    match case.look(field) {
        Look::Known(value) => May::be(Cow::Borrowed(value)),
        Look::Missing | Look::Unusable => May::UNKNOWN,
    }
}

/// A fact of a van once the others are followed.
fn followed<'r>(mut facts: VanFacts, field: Field) -> May<'r> {
    facts.follow();
    facts.get(field).cloned().map_or(May::UNKNOWN, |value| May::be(Cow::Owned(value)))
}

/// The extremes of a product or quotient are at the ends of its parts.
fn corners<'r>(one: (f64, f64), two: (f64, f64), combine: impl Fn(f64, f64) -> f64) -> May<'r> {
    let all = [combine(one.0, two.0), combine(one.0, two.1), combine(one.1, two.0), combine(one.1, two.1)];
    if all.iter().any(|corner| corner.is_nan()) {
        return May::ANY_NUMBER;
    }
    May::between(
        [all.into_iter().fold(f64::INFINITY, f64::min), all.into_iter().fold(f64::NEG_INFINITY, f64::max)],
        false,
    )
}

/// What a table tells of a number; of several numbers anything.
fn of_point<'r>(may: &May<'r>, told: impl FnOnce(f64) -> Figure) -> May<'r> {
    match may.point() {
        Some(point) if !may.unknown => May::figure(told(point)),
        _ if may.known == Known::Nothing => May::UNKNOWN,
        _ => May::ANY_NUMBER,
    }
}

/// What two values that are no numbers could come to.
fn pairs(left: &May<'_>, right: &May<'_>, truth: impl Fn(&Value, &Value) -> Truth) -> Could {
    let unknown = Could { be_unknown: left.unknown || right.unknown, ..Could::default() };
    let (Known::OneOf(lefts), Known::OneOf(rights)) = (&left.known, &right.known) else { return unknown };
    let pairs = lefts.iter().flat_map(|left| rights.iter().map(move |right| (left, right)));
    pairs.fold(unknown, |all, (left, right)| all.or(truth(left, right).into()))
}

fn compare(order: Order, left: &May<'_>, right: &May<'_>, allowing: Allowance) -> Could {
    let be_unknown = left.unknown || right.unknown;
    let (Some((a, b)), Some((c, d))) = (left.ends(), right.ends()) else {
        return Could { be_unknown, ..Could::default() };
    };
    let slacks = [slack(allowing, c), slack(allowing, d)];
    let most = slacks[0].max(slacks[1]);
    // A window that spans zero has a point with no slack where the slack is a share.
    let spans_zero = c < 0.0 && d > 0.0 && matches!(allowing, Allowance::Share(_));
    let least = if spans_zero { 0.0 } else { slacks[0].min(slacks[1]) };
    let (hold, fail) = match order {
        Order::AtLeast => (b >= c - most, a < d - least),
        Order::AtMost => (a <= d + most, b > c + least),
        Order::Above => (b > c - most, a <= d - least),
        Order::Below => (a < d + most, b >= c + least),
        Order::Same => {
            let apart = (c - b).max(a - d).max(0.0);
            (apart <= most, (b - c).abs().max((d - a).abs()) > least)
        }
    };
    Could { hold, fail, be_unknown }
}

fn window(number: &May<'_>, from: &May<'_>, to: &May<'_>) -> Could {
    let at_least = compare(Order::AtLeast, number, from, Allowance::None);
    let at_most = compare(Order::AtMost, number, to, Allowance::None);
    Could {
        hold: at_least.hold && at_most.hold,
        fail: at_least.fail || at_most.fail,
        // A window is known where both its ends are.
        be_unknown: at_least.be_unknown || at_most.be_unknown,
    }
}
