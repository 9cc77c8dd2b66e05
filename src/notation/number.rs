//! Decimal numbers as people write them in several countries.
//!
//! A point or a comma may set off decimals or thousands. Where the digits settle it the number has
//! one reading; where they do not, both are kept, and only evidence or physical bounds choose.

use super::Unread;
use super::text::Scanner;

/// The mark between the whole part of a number and its decimals.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum DecimalMark {
    /// `84.1`
    Point,
    /// `84,1`
    Comma,
}

/// A number as written.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Number {
    /// The digits allow one reading; `evidence` is the decimal mark it proves, if it proves one.
    One {
        /// The value.
        value: f64,
        /// The decimal mark this number proves for its neighbors.
        evidence: Option<DecimalMark>,
    },
    /// One to three digits, one mark, three digits: `1.450`, `3,200`.
    TwoReadings {
        /// The value if the mark sets off decimals.
        decimal: f64,
        /// The value if the mark sets off thousands.
        grouped: f64,
        /// The decimal mark that the decimal reading would need.
        mark: DecimalMark,
    },
}

/// How a number came to have its value.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum NumberFrom {
    /// The digits allow one reading.
    Plain,
    /// The decimal mark of the sheet or column settled it.
    Evidence,
    /// Only one of the readings is physically possible.
    OnlyPossible,
}

/// Whether spaces may set off thousands within a number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Spaces {
    /// `1 450` is one number.
    Group,
    /// A space ends the number.
    End,
}

/// More digits than this, a mark counted as one, are no figure of the trade. So few are exact in a number, and so are
/// they divided by a power of ten.
const MOST_DIGITS: usize = 15;

const POWERS_OF_TEN: [f64; MOST_DIGITS + 1] =
    [1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15];

/// The separator at this place if three digits, or for a mark at least one, follow it.
fn separator(scanner: Scanner<'_>, spaces: Spaces) -> Option<char> {
    let mut probe = scanner;
    let c = probe.bump()?;
    match c {
        '.' | ',' => probe.peek().is_some_and(|next| next.is_ascii_digit()).then_some(c),
        ' ' | '\'' => {
            let grouping = c == '\'' || spaces == Spaces::Group;
            let three = probe.digits().is_some_and(|(_, count)| count == 3);
            (grouping && three).then_some(c)
        }
        _ => None,
    }
}

/// Moves over an unsigned number. `None`, without moving, where none stands or the digits and
/// marks form no number (`1.2.3`).
pub fn number(scanner: &mut Scanner<'_>, spaces: Spaces) -> Option<Number> {
    let mut probe = *scanner;
    let (mut digits, mut count) = (0_u64, 0_usize);
    let mut group = 0_usize;
    let mut first_group = 0_usize;
    let mut starts_with_zero = false;
    let mut first_separator = None;
    let mut last_separator = None;
    let mut separators = 0_usize;
    let mut uneven_groups = false;
    loop {
        if let Some(digit) = probe.digit() {
            if count + usize::from(separators > 0) > MOST_DIGITS {
                return None;
            }
            starts_with_zero |= count == 0 && digit == 0;
            digits = digits * 10 + u64::from(digit);
            count += 1;
            group += 1;
            continue;
        }
        let Some(mark) = separator(probe, spaces) else {
            break;
        };
        if separators == 0 {
            if group == 0 && mark != '.' {
                return None;
            }
            first_group = group;
            first_separator = Some(mark);
        } else {
            // A mark before another must be setting off a group.
            uneven_groups |= group != 3 || last_separator != first_separator;
        }
        separators += 1;
        last_separator = Some(mark);
        if count > MOST_DIGITS {
            return None;
        }
        group = 0;
        probe.bump();
    }
    if count == 0 {
        return None;
    }
    let mark = match last_separator {
        Some('.') => Some(DecimalMark::Point),
        Some(',') => Some(DecimalMark::Comma),
        _ => None,
    };
    let whole = digits as f64;
    // Only the last mark can be a decimal one.
    let with_point = || POWERS_OF_TEN.get(group).map(|power| whole / power);
    let fraction = vulgar_fraction(&mut probe);
    let read = match (separators, mark) {
        (0, _) => Number::One { value: whole + fraction, evidence: None },
        (1, None) if (1..=3).contains(&first_group) => Number::One { value: whole, evidence: None },
        (1, Some(mark)) => {
            let decimal = with_point()?;
            if group == 3 && (1..=3).contains(&first_group) && !starts_with_zero {
                Number::TwoReadings { decimal, grouped: whole, mark }
            } else {
                Number::One { value: decimal, evidence: Some(mark) }
            }
        }
        // `1.234,5`: the groups before the last mark must be even.
        (_, Some(mark)) if first_separator != last_separator => {
            if uneven_before_last(separators, uneven_groups, first_group) {
                return None;
            }
            Number::One { value: with_point()?, evidence: Some(mark) }
        }
        // `1,234,567`: the repeated mark sets off thousands, so the other sets off decimals.
        (_, mark)
            if first_separator == last_separator
                && !uneven_groups
                && group == 3
                && (1..=3).contains(&first_group) =>
        {
            let evidence = mark.map(|mark| match mark {
                DecimalMark::Point => DecimalMark::Comma,
                DecimalMark::Comma => DecimalMark::Point,
            });
            Number::One { value: whole, evidence }
        }
        _ => return None,
    };
    if fraction > 0.0 && separators > 0 {
        return None;
    }
    *scanner = probe;
    Some(read)
}

/// Whether the groups before a decimal mark are not groups of thousands.
fn uneven_before_last(separators: usize, uneven_groups: bool, first_group: usize) -> bool {
    separators > 4 || uneven_groups || !(1..=3).contains(&first_group)
}

/// Moves over `½`, `¼`, `¾` or an eighth written as one character.
fn vulgar_fraction(scanner: &mut Scanner<'_>) -> f64 {
    let value = match scanner.peek() {
        Some('½') => 0.5,
        Some('¼') => 0.25,
        Some('¾') => 0.75,
        Some('⅛') => 0.125,
        Some('⅜') => 0.375,
        Some('⅝') => 0.625,
        Some('⅞') => 0.875,
        _ => return 0.0,
    };
    scanner.bump();
    value
}

impl Number {
    /// The value, chosen by the known decimal mark, else by what is possible.
    ///
    /// # Errors
    ///
    /// [`Unread::AmbiguousNumber`] where both or neither reading is possible and no mark is known,
    /// or where the known mark leads to an impossible value and the other reading is possible.
    pub fn resolve(
        self,
        known: Option<DecimalMark>,
        possible: impl Fn(f64) -> bool,
    ) -> Result<(f64, NumberFrom), Unread> {
        match self {
            Self::One { value, .. } => Ok((value, NumberFrom::Plain)),
            Self::TwoReadings { decimal, grouped, mark } => match known {
                Some(known) => {
                    let (taken, other) = if known == mark { (decimal, grouped) } else { (grouped, decimal) };
                    if !possible(taken) && possible(other) {
                        return Err(Unread::AmbiguousNumber);
                    }
                    Ok((taken, NumberFrom::Evidence))
                }
                None => match (possible(decimal), possible(grouped)) {
                    (true, false) => Ok((decimal, NumberFrom::OnlyPossible)),
                    (false, true) => Ok((grouped, NumberFrom::OnlyPossible)),
                    _ => Err(Unread::AmbiguousNumber),
                },
            },
        }
    }
}

/// Which decimal marks the texts of a column have proven so far.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct ProvenMarks {
    /// A comma.
    pub comma: bool,
    /// A point.
    pub point: bool,
}

impl ProvenMarks {
    /// Takes in what a text proves beyond doubt.
    pub fn learn(&mut self, text: &str) {
        if !self.could_learn(text) {
            return;
        }
        match decimal_evidence(text) {
            Some(DecimalMark::Comma) => self.comma = true,
            Some(DecimalMark::Point) => self.point = true,
            None => {}
        }
    }

    /// Both together.
    #[must_use]
    pub fn and(self, other: Self) -> Self {
        Self { comma: self.comma || other.comma, point: self.point || other.point }
    }

    /// Whether a text could prove more, at a glance: only marks of decimals or thousands prove a mark, and those of one
    /// kind prove the other where they set thousands apart twice.
    fn could_learn(self, text: &str) -> bool {
        if self.comma && self.point {
            return false;
        }
        let bytes = text.as_bytes();
        let (mut points, mut commas, mut letters) = (0_u32, 0_u32, 0_u8);
        for byte in bytes {
            points += u32::from(*byte == b'.');
            commas += u32::from(*byte == b',');
            letters |= *byte;
        }
        // The marks of other scripts are rare, and left to the whole reading.
        if !letters.is_ascii() {
            return true;
        }
        let is_mark = |byte: &u8| matches!(*byte, b'.' | b',');
        let marks = points + commas;
        if self.point && commas == 0 || self.comma && points == 0 {
            let group = |five: &[u8]| five[1..4].iter().all(u8::is_ascii_digit);
            return marks > 1
                && bytes.windows(5).any(|five| is_mark(&five[0]) && is_mark(&five[4]) && group(five));
        }
        match marks {
            0 => false,
            1 => !bytes.iter().position(is_mark).is_some_and(|at| sets_thousands_apart(bytes, at)),
            _ => true,
        }
    }
}

/// Whether an only mark stands before three figures and behind one to three, as in `3,200`: that proves nothing,
/// whether it is a decimal mark or not. `0,125` does, and so may what goes on with something else than words.
fn sets_thousands_apart(text: &[u8], at: usize) -> bool {
    let (before, after) = (&text[..at], &text[at + 1..]);
    let leading = before.iter().rev().take_while(|byte| byte.is_ascii_digit()).count();
    let trailing = after.iter().take_while(|byte| byte.is_ascii_digit()).count();
    let plain = |byte: Option<&u8>| byte.is_none_or(|byte| byte.is_ascii_alphabetic() || *byte == b' ');
    let start = at - leading;
    (1..=3).contains(&leading)
        && trailing == 3
        && text[start] != b'0'
        && plain(start.checked_sub(1).and_then(|at| text.get(at)))
        && plain(after.get(3))
}

/// The decimal mark that a cell proves beyond doubt: `84,1` and `1.234,5` prove a comma, `8.5` a
/// point, `3,200` neither. A cell whose numbers disagree proves nothing.
#[must_use]
pub fn decimal_evidence(text: &str) -> Option<DecimalMark> {
    let mut scanner = Scanner::new(text);
    let mut proved = None;
    while let Some(c) = scanner.peek() {
        if !c.is_ascii_digit() {
            scanner.bump();
            continue;
        }
        match number(&mut scanner, Spaces::End) {
            Some(Number::One { evidence: Some(mark), .. }) => {
                if proved.is_some_and(|earlier| earlier != mark) {
                    return None;
                }
                proved = Some(mark);
            }
            Some(_) => {}
            // Digits that form no number, such as a date, prove nothing about numbers.
            None => return None,
        }
    }
    proved
}

#[cfg(test)]
mod tests {
    use super::{DecimalMark, Number, NumberFrom, ProvenMarks, Spaces, decimal_evidence, number};
    use crate::notation::Unread;
    use crate::notation::text::Scanner;

    fn read(text: &str) -> Option<Number> {
        let mut scanner = Scanner::new(text);
        let number = number(&mut scanner, Spaces::Group)?;
        scanner.at_end().then_some(number)
    }

    #[test]
    fn digits_that_allow_one_reading_have_one() {
        for (text, wanted) in [
            ("17", 17.0),
            ("84,1", 84.1),
            ("84.10", 84.1),
            (".5", 0.5),
            ("0.125", 0.125),
            ("1 450", 1450.0),
            ("1'450", 1450.0),
            ("1,234.5", 1234.5),
            ("1.234,5", 1234.5),
            ("1 234,5", 1234.5),
            ("1,234,567", 1_234_567.0),
            ("1234.567", 1234.567),
            ("6½", 6.5),
        ] {
            match read(text) {
                Some(Number::One { value, .. }) => {
                    assert!((value - wanted).abs() < 1e-12, "{text} gave {value}");
                }
                other => panic!("{text} gave {other:?}"),
            }
        }
    }

    #[test]
    fn one_mark_before_three_digits_has_two_readings() {
        let wanted = Number::TwoReadings { decimal: 1.45, grouped: 1450.0, mark: DecimalMark::Point };
        assert_eq!(read("1.450"), Some(wanted));
        let wanted = Number::TwoReadings { decimal: 3.2, grouped: 3200.0, mark: DecimalMark::Comma };
        assert_eq!(read("3,200"), Some(wanted));
    }

    #[test]
    fn digits_and_marks_that_form_no_number_are_none() {
        for text in ["", "1.2.3", "12.05.2026", "1,23,456", "x", ",5", "1.234.56", "1234567890123456789"] {
            assert_eq!(read(text), None, "{text}");
        }
    }

    #[test]
    fn evidence_is_only_what_is_beyond_doubt() {
        for (text, wanted) in [
            ("84,1", Some(DecimalMark::Comma)),
            ("1.234,5", Some(DecimalMark::Comma)),
            ("8.5", Some(DecimalMark::Point)),
            ("1,234,567", Some(DecimalMark::Point)),
            ("3,200", None),
            ("17", None),
            ("8.5 / 8,5", None),
            ("12.05.2026", None),
        ] {
            assert_eq!(decimal_evidence(text), wanted, "{text}");
        }
    }

    #[test]
    fn evidence_that_leads_to_an_impossible_value_leaves_the_number_ambiguous() {
        let load = |kg: f64| (200.0..=5000.0).contains(&kg);
        let number = read("1.450").expect("a number");
        assert_eq!(number.resolve(None, load), Ok((1450.0, NumberFrom::OnlyPossible)));
        assert_eq!(number.resolve(Some(DecimalMark::Comma), load), Ok((1450.0, NumberFrom::Evidence)));
        assert_eq!(number.resolve(Some(DecimalMark::Point), load), Err(Unread::AmbiguousNumber));
        assert_eq!(number.resolve(None, |_| true), Err(Unread::AmbiguousNumber));
    }

    #[test]
    fn no_text_is_passed_over_that_could_prove_a_mark() {
        let figures = ["0", "3", "17", "3200", "450", "125", "000", "1"];
        let marks = [".", ",", "'", "/", "x", " ", "-", "½", ".5", ",5"];
        let ends = ["", " lb", "lb", "½", "#", "/120", " mm 8.5"];
        let mut texts: Vec<String> = figures.map(str::to_owned).to_vec();
        for _ in 0..3 {
            let mut longer = Vec::new();
            for text in &texts {
                for mark in marks {
                    longer.extend(figures.map(|figure| format!("{text}{mark}{figure}")));
                }
            }
            texts.extend(longer.into_iter().take(60_000));
        }
        let mut proving = 0;
        for text in texts.iter().flat_map(|text| ends.iter().map(move |end| format!("{text}{end}"))) {
            let Some(mark) = decimal_evidence(&text) else { continue };
            proving += 1;
            let comma = mark == DecimalMark::Comma;
            for known in [ProvenMarks::default(), ProvenMarks { comma: !comma, point: comma }] {
                assert!(known.could_learn(&text), "{text} proves {mark:?} beside {known:?}");
            }
        }
        assert!(proving > 10_000, "{proving} texts prove something");
    }
}
