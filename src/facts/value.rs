//! What a fact can be: kinds, values, and the units they are shown in.
//!
//! Numbers are whole counts of a small base unit (see [`crate::trade::quantity`]); plain numbers
//! and ratios count billionths, so that `3 %` and a quotient meet exactly at equality.

use std::fmt;
use std::sync::Arc;

use jiff::civil::Date;

use crate::trade::bolt_circle::Drilling;
use crate::trade::quantity::{Length, Mass, Pressure, Speed};
use crate::trade::seat::Seat;
use crate::trade::thread::Thread;
use crate::trade::tire::Size;

/// Billionths in one: the base unit of plain numbers and ratios.
pub const BILLION: f64 = 1e9;

/// What a number measures; numbers of different dimensions never meet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Dimension {
    /// Nanometers.
    Length,
    /// Micrograms.
    Mass,
    /// Pascals.
    Pressure,
    /// Millimeters an hour.
    Speed,
    /// Billionths of one; counts, ratios and percentages.
    Plain,
    /// Plies; load ranges stand at the ply rating they are named for.
    Ply,
    /// Days since 1970-01-01.
    Day,
}

impl fmt::Display for Dimension {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Length => "a length",
            Self::Mass => "a mass",
            Self::Pressure => "a pressure",
            Self::Speed => "a speed",
            Self::Plain => "a plain number",
            Self::Ply => "a ply rating",
            Self::Day => "a date",
        })
    }
}

/// What kind of value a fact or an expression has.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A number with a dimension.
    Quantity(Dimension),
    /// An inclusive window of numbers.
    Window(Dimension),
    /// Yes or no.
    Flag,
    /// A word; one of these where the list is not empty.
    Word(&'static [&'static str]),
    /// A list of words, with the same rule.
    Words(&'static [&'static str]),
    /// One or several drillings.
    Drillings,
    /// A fastener seat.
    Seat,
    /// A fastener thread.
    Thread,
    /// A tire size designation.
    Size,
}

impl Kind {
    /// Whether two values of the kind say the same: kg beside lb, and mm beside in, are rounded apart
    /// from one another.
    #[must_use]
    pub fn agree(self, one: &Value, other: &Value) -> bool {
        let (Some(first), Some(second)) = (one.number(), other.number()) else { return one == other };
        let apart = (first - second).abs();
        match self {
            Self::Quantity(Dimension::Mass) => apart <= first.abs() * 0.005,
            Self::Quantity(Dimension::Length) => apart <= Unit::Mm.to_base(0.6),
            Self::Quantity(Dimension::Pressure) => apart <= first.abs() * 0.02,
            _ => one == other,
        }
    }
}

impl fmt::Display for Kind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Quantity(dimension) => dimension.fmt(f),
            Self::Window(_) => f.write_str("a window from one value to another"),
            Self::Flag => f.write_str("a yes or no"),
            Self::Word(_) => f.write_str("a word"),
            Self::Words(_) => f.write_str("a list of words"),
            Self::Drillings => f.write_str("a bolt pattern"),
            Self::Seat => f.write_str("a fastener seat"),
            Self::Thread => f.write_str("a thread"),
            Self::Size => f.write_str("a tire size"),
        }
    }
}

/// The value of a fact; which variant a field has follows from its [`Kind`].
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// A whole count of the dimension's base unit.
    Number(f64),
    /// Both ends included, in base units.
    Window {
        /// The least.
        from: f64,
        /// The most.
        to: f64,
    },
    /// Yes or no.
    Flag(bool),
    /// A word.
    Word(Arc<str>),
    /// Words, in the order given.
    Words(Arc<[Arc<str>]>),
    /// Drillings, in the order given; never empty.
    Drillings(Arc<[Drilling]>),
    /// A fastener seat.
    Seat(Seat),
    /// A fastener thread.
    Thread(Thread),
    /// A tire size designation.
    Size(Size),
}

impl Value {
    /// A length as a value.
    #[must_use]
    pub fn length(length: Length) -> Self {
        Self::Number(length.base())
    }

    /// A mass as a value.
    #[must_use]
    pub fn mass(mass: Mass) -> Self {
        Self::Number(mass.base())
    }

    /// A pressure as a value.
    #[must_use]
    pub fn pressure(pressure: Pressure) -> Self {
        Self::Number(pressure.base())
    }

    /// A speed as a value.
    #[must_use]
    pub fn speed(speed: Speed) -> Self {
        Self::Number(speed.base())
    }

    /// A plain number as a value, rounded to a billionth.
    #[must_use]
    pub fn plain(number: f64) -> Self {
        Self::Number((number * BILLION).round())
    }

    /// The count of base units, where the value is a number.
    #[must_use]
    pub fn number(&self) -> Option<f64> {
        if let Self::Number(count) = self { Some(*count) } else { None }
    }
}

/// A unit that a supplier, a van file or our outputs write.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Unit {
    /// Millimeters.
    Mm,
    /// Centimeters.
    Cm,
    /// Inches.
    Inch,
    /// Kilograms.
    Kg,
    /// Metric tonnes.
    Tonne,
    /// Pounds.
    Lb,
    /// Kilopascals.
    KPa,
    /// Pounds-force per square inch.
    Psi,
    /// Bar.
    Bar,
    /// Kilometers an hour.
    KmH,
    /// Miles an hour.
    Mph,
    /// Hundredths.
    Percent,
    /// Plies.
    Ply,
}

impl Unit {
    /// Every unit.
    pub const ALL: [Self; 13] = [
        Self::Mm,
        Self::Cm,
        Self::Inch,
        Self::Kg,
        Self::Tonne,
        Self::Lb,
        Self::KPa,
        Self::Psi,
        Self::Bar,
        Self::KmH,
        Self::Mph,
        Self::Percent,
        Self::Ply,
    ];

    /// As rule and van files write it, and as we print it.
    #[must_use]
    pub fn text(self) -> &'static str {
        match self {
            Self::Mm => "mm",
            Self::Cm => "cm",
            Self::Inch => "in",
            Self::Kg => "kg",
            Self::Tonne => "t",
            Self::Lb => "lb",
            Self::KPa => "kPa",
            Self::Psi => "psi",
            Self::Bar => "bar",
            Self::KmH => "km/h",
            Self::Mph => "mph",
            Self::Percent => "%",
            Self::Ply => "ply",
        }
    }

    /// The unit written so, exactly.
    #[must_use]
    pub fn from_text(text: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|unit| unit.text() == text)
    }

    /// What it measures.
    #[must_use]
    pub fn dimension(self) -> Dimension {
        match self {
            Self::Mm | Self::Cm | Self::Inch => Dimension::Length,
            Self::Kg | Self::Tonne | Self::Lb => Dimension::Mass,
            Self::KPa | Self::Psi | Self::Bar => Dimension::Pressure,
            Self::KmH | Self::Mph => Dimension::Speed,
            Self::Percent => Dimension::Plain,
            Self::Ply => Dimension::Ply,
        }
    }

    /// Base units in one of this unit.
    #[must_use]
    pub fn factor(self) -> f64 {
        use crate::trade::quantity::{KG_PER_LB, KM_PER_MILE, MM_PER_INCH, PA_PER_PSI};
        match self {
            Self::Mm | Self::KmH => 1e6,
            Self::Cm => 1e7,
            Self::Inch => MM_PER_INCH * 1e6,
            Self::Kg => 1e9,
            Self::Tonne => 1e12,
            Self::Lb => KG_PER_LB * 1e9,
            Self::KPa => 1e3,
            Self::Psi => PA_PER_PSI,
            Self::Bar => 1e5,
            Self::Mph => KM_PER_MILE * 1e6,
            Self::Percent => BILLION / 100.0,
            Self::Ply => 1.0,
        }
    }

    /// This many of the unit, in whole base units.
    #[must_use]
    pub fn to_base(self, count: f64) -> f64 {
        (count * self.factor()).round()
    }

    /// The SI unit that people read beside it: itself unless it is an inch, pound, psi or mile unit.
    #[must_use]
    pub fn si(self) -> Self {
        match self {
            Self::Inch | Self::Cm => Self::Mm,
            Self::Lb | Self::Tonne => Self::Kg,
            Self::Psi | Self::Bar => Self::KPa,
            Self::Mph => Self::KmH,
            Self::Mm | Self::Kg | Self::KPa | Self::KmH | Self::Percent | Self::Ply => self,
        }
    }

    /// The unit that outputs give a dimension in, unless the field has its own; none for counts
    /// and dates.
    #[must_use]
    pub fn of(dimension: Dimension) -> Option<Self> {
        match dimension {
            Dimension::Length => Some(Self::Mm),
            Dimension::Mass => Some(Self::Kg),
            Dimension::Pressure => Some(Self::KPa),
            Dimension::Speed => Some(Self::KmH),
            Dimension::Ply => Some(Self::Ply),
            Dimension::Plain | Dimension::Day => None,
        }
    }

    /// Decimals that people can use of this unit.
    fn decimals(self) -> i32 {
        match self {
            Self::Mm | Self::Percent => 2,
            Self::Cm | Self::Inch | Self::Tonne | Self::Bar => 3,
            Self::Kg | Self::Lb | Self::KPa | Self::Psi | Self::KmH | Self::Mph => 1,
            Self::Ply => 0,
        }
    }

    /// A count of base units in this unit, rounded to what people can use, trailing zeros dropped.
    #[must_use]
    pub fn show(self, base: f64) -> String {
        let scale = 10_f64.powi(self.decimals());
        let rounded = (base / self.factor() * scale).round() / scale;
        let mut text = plain_text(rounded);
        text.push_str(if self == Self::Percent { "" } else { " " });
        text.push_str(self.text());
        text
    }
}

/// A number as its shortest decimal text, never `-0`.
#[must_use]
pub fn plain_text(number: f64) -> String {
    // No two decimals of up to fifteen digits are one number, so one that stands for this number is its shortest text.
    let thousandths = (number * 1000.0).round();
    if thousandths.abs() < 1e15 && thousandths / 1000.0 == number {
        return text_of_thousandths(thousandths as i64);
    }
    number.to_string()
}

fn text_of_thousandths(count: i64) -> String {
    let size = count.unsigned_abs();
    let (mut whole, mut rest) = (size / 1000, size % 1000);
    let mut digits = [0; 16];
    let mut start = digits.len();
    for digit in digits.iter_mut().rev() {
        *digit = b'0' + (whole % 10) as u8;
        whole /= 10;
        start -= 1;
        if whole == 0 {
            break;
        }
    }
    // Room for a unit behind it.
    let mut text = String::with_capacity(digits.len() + 8);
    if count < 0 {
        text.push('-');
    }
    text.extend(digits.iter().skip(start).map(|digit| char::from(*digit)));
    if rest > 0 {
        text.push('.');
    }
    while rest > 0 {
        text.push(char::from(b'0' + (rest / 100) as u8));
        rest = rest % 100 * 10;
    }
    text
}

const EPOCH: Date = Date::constant(1970, 1, 1);

/// A date as whole days since 1970-01-01.
#[must_use]
pub fn days_of_date(date: Date) -> f64 {
    f64::from((date - EPOCH).get_days())
}

/// The date of whole days since 1970-01-01; none beyond what calendars hold.
#[must_use]
pub fn date_of_days(days: f64) -> Option<Date> {
    if days.abs() > 4e6 {
        return None;
    }
    EPOCH.checked_add(jiff::Span::new().days(days as i64)).ok()
}

#[cfg(test)]
mod tests {
    use super::plain_text;

    #[test]
    fn a_number_is_written_as_the_shortest_text_that_reads_back() {
        let near = [
            0.0,
            0.5,
            1.0,
            12.7,
            84.1,
            130.048,
            999.999,
            1e9,
            1e12,
            999_999_999_999.999,
            1e15,
            1e16,
            0.1 + 0.2,
        ];
        let mut numbers: Vec<f64> = near.to_vec();
        for step in [1.0, 0.1, 0.001, 0.0001, 25.4, 0.453_592_37, 1.0 / 3.0] {
            numbers.extend((0..20_000).map(|nth| f64::from(nth) * step));
            numbers.extend((0..20_000).map(|nth| (f64::from(nth) * step * 100.0).round() / 100.0));
        }
        for number in numbers {
            for signed in [number, -number] {
                let expected = if signed == 0.0 { "0".to_owned() } else { signed.to_string() };
                assert_eq!(plain_text(signed), expected);
            }
        }
        assert_eq!([f64::NAN, f64::INFINITY].map(plain_text), ["NaN", "inf"]);
    }
}
