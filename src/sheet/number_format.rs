//! What a number format adds to a number that the number itself does not say: a unit, a percent sign, a currency,
//! or that a date is shown as no more than a day and a month.
//!
//! Reads format codes only so far as that. The language of codes: ECMA-376 part 1, section 18.8.31 (from memory).

use std::fmt;

/// The code of a number format, such as `0" kg"`, `0%` or `d-mmm`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NumberFormat<'s> {
    code: &'s str,
}

/// Which parts of a date a format shows, in which order.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DateShape {
    /// Day and month without a year, the day first: a pattern or size such as `5-12` was probably typed.
    DayMonth,
    /// Month and day without a year, the month first: a pattern or size was probably typed.
    MonthDay,
    /// Month and year without a day: a pattern or size such as `5-98` may have been typed.
    MonthYear,
    /// Day, month and year in any order.
    Whole,
    /// A time of day or a length of time, with or without a date, or a part of a date alone.
    Other,
}

/// A part of a format code.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Token<'s> {
    /// A character shown as it is.
    Literal(char),
    /// A digit's place: `0`, `#` or `?`.
    Place,
    /// `[...]`: a currency, a condition, a color or a count of hours.
    Bracket(&'s str),
    /// A letter of a date, in lower case.
    Letter(char),
    /// Anything else, such as a decimal mark.
    Other(char),
}

/// Splits the first section of a code, which is that of positive numbers.
fn tokens(code: &str) -> impl Iterator<Item = Token<'_>> {
    let mut rest = code;
    let mut quoted = false;
    std::iter::from_fn(move || {
        loop {
            // A number as it is.
            if let Some(after) = rest.strip_prefix("General")
                && !quoted
            {
                rest = after;
                return Some(Token::Place);
            }
            let first = rest.chars().next()?;
            let (token, length) = match first {
                '"' => {
                    quoted = !quoted;
                    rest = &rest[1..];
                    continue;
                }
                _ if quoted => (Token::Literal(first), first.len_utf8()),
                ';' => return None,
                '\\' => match rest[1..].chars().next() {
                    Some(next) => (Token::Literal(next), 1 + next.len_utf8()),
                    None => return None,
                },
                // A blank as wide as the next character, or that character repeated to fill the cell.
                '_' | '*' => {
                    let next = rest[1..].chars().next().map_or(0, char::len_utf8);
                    (Token::Literal(' '), 1 + next)
                }
                '[' => match rest.find(']') {
                    Some(end) => (Token::Bracket(&rest[1..end]), end + 1),
                    None => return None,
                },
                '0' | '#' | '?' => (Token::Place, 1),
                'd' | 'D' | 'm' | 'M' | 'y' | 'Y' | 'h' | 'H' | 's' | 'S' => {
                    (Token::Letter(first.to_ascii_lowercase()), 1)
                }
                ' ' | '-' | '+' | '(' | ')' | '/' | ':' => (Token::Other(first), 1),
                '$' | '€' | '£' | '¥' => (Token::Literal(first), first.len_utf8()),
                _ if first.is_alphabetic() && !first.is_ascii() => (Token::Literal(first), first.len_utf8()),
                _ => (Token::Other(first), first.len_utf8()),
            };
            rest = &rest[length..];
            return Some(token);
        }
    })
}

impl<'s> NumberFormat<'s> {
    pub(super) fn new(code: &'s str) -> Self {
        Self { code }
    }

    /// The code as the workbook stores it.
    #[must_use]
    pub fn code(self) -> &'s str {
        self.code
    }

    /// The words shown before the number, such as `ET` of `"ET"0`; empty if none. Nothing for dates.
    #[must_use]
    pub fn words_before(self) -> String {
        let before = tokens(self.code).take_while(|token| !matches!(token, Token::Place));
        if self.date_shape().is_some() { String::new() } else { words(before) }
    }

    /// The words shown after the number, such as `kg` of `0" kg"`; empty if none. Nothing for dates.
    #[must_use]
    pub fn words_after(self) -> String {
        if self.date_shape().is_some() {
            return String::new();
        }
        let all: Vec<_> = tokens(self.code).collect();
        match all.iter().rposition(|token| *token == Token::Place) {
            Some(last) => words(all[last + 1..].iter().copied()),
            None => String::new(),
        }
    }

    /// Whether a percent sign is shown; the number is then stored as a hundredth of what is seen.
    #[must_use]
    pub fn is_percent(self) -> bool {
        tokens(self.code).any(|token| token == Token::Other('%'))
    }

    /// The currency shown, as a sign or letters (`€`, `USD`); `None` if there is none.
    #[must_use]
    pub fn currency(self) -> Option<&'s str> {
        let bracket = tokens(self.code).find_map(|token| match token {
            Token::Bracket(inside) => {
                let sign = inside.strip_prefix('$')?;
                let sign = sign.split('-').next().unwrap_or_default();
                (!sign.is_empty()).then_some(sign)
            }
            _ => None,
        });
        bracket.or_else(|| {
            ["€", "£", "¥", "$"]
                .into_iter()
                .find(|sign| tokens(self.code).any(|token| sign.starts_with(|c| token == Token::Literal(c))))
        })
    }

    /// Which parts of a date are shown; `None` for the format of a number.
    #[must_use]
    pub fn date_shape(self) -> Option<DateShape> {
        let mut letters: Vec<char> = Vec::new();
        let mut timed = false;
        for token in tokens(self.code) {
            match token {
                Token::Letter(letter) if letters.last() != Some(&letter) => letters.push(letter),
                Token::Bracket(inside) => {
                    timed |= !inside.is_empty() && inside.chars().all(|c| "hmsHMS".contains(c));
                }
                Token::Place if letters.last() != Some(&'s') => return None,
                _ => {}
            }
        }
        if letters.is_empty() && !timed {
            return None;
        }
        Some(match letters.as_slice() {
            ['d', 'm'] => DateShape::DayMonth,
            ['m', 'd'] => DateShape::MonthDay,
            ['m', 'y'] | ['y', 'm'] => DateShape::MonthYear,
            [_, _, _] if "dmy".chars().all(|part| letters.contains(&part)) => DateShape::Whole,
            // A weekday before or after, as in `ddd d/m/yyyy`, reads as one run or two.
            letters
                if !timed && !letters.contains(&'h') && "dmy".chars().all(|part| letters.contains(&part)) =>
            {
                DateShape::Whole
            }
            _ => DateShape::Other,
        })
    }

    /// Whether the format says anything that the number does not.
    pub(super) fn tells(self) -> bool {
        self.is_percent()
            || self.currency().is_some()
            || self.date_shape().is_some()
            || !self.words_before().is_empty()
            || !self.words_after().is_empty()
    }
}

impl fmt::Display for NumberFormat<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.code)
    }
}

fn words<'s>(tokens: impl Iterator<Item = Token<'s>>) -> String {
    let text: String = tokens
        .filter_map(|token| match token {
            Token::Literal(c) => Some(c),
            Token::Other(c @ (' ' | '/')) => Some(c),
            Token::Place | Token::Bracket(_) | Token::Letter(_) | Token::Other(_) => None,
        })
        .collect();
    let text = text.trim();
    // A slash or dash alone is the shape of a fraction, not a word.
    if text.chars().any(|c| c.is_alphabetic() || matches!(c, '"' | '\'' | '″' | '°')) {
        text.to_owned()
    } else {
        String::new()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_stand_before_or_after_the_number() {
        for (code, before, after) in [
            ("0\" kg\"", "", "kg"),
            ("\"ET\"0", "ET", ""),
            ("#,##0\\ \\k\\g", "", "kg"),
            ("0.0\" in\";-0.0\" in\"", "", "in"),
            ("General\" mm\"", "", "mm"),
            ("0\"\"\"\"", "", ""),
            ("0\\\"", "", "\""),
            ("0.00", "", ""),
            ("# ?/?", "", ""),
            ("#,##0.00_);(#,##0.00)", "", ""),
            ("d-mmm", "", ""),
            ("General", "", ""),
            ("@", "", ""),
            ("0\" lb/in\"", "", "lb/in"),
        ] {
            let format = NumberFormat::new(code);
            assert_eq!(
                (format.words_before().as_str(), format.words_after().as_str()),
                (before, after),
                "{code}"
            );
        }
    }

    #[test]
    fn percents_and_currencies_are_told() {
        for (code, percent, currency) in [
            ("0%", true, None),
            ("0\"%\"", false, None),
            ("#,##0.00\\ [$€-407]", false, Some("€")),
            ("[$USD] #,##0", false, Some("USD")),
            ("\"£\"#,##0.00", false, Some("£")),
            ("$#,##0", false, Some("$")),
            ("[$-409]d\\-mmm;@", false, None),
            ("[Red]0", false, None),
        ] {
            let format = NumberFormat::new(code);
            assert_eq!((format.is_percent(), format.currency()), (percent, currency), "{code}");
        }
    }

    #[test]
    fn dates_without_a_year_are_told_by_their_order() {
        for (code, shape) in [
            ("d-mmm", Some(DateShape::DayMonth)),
            ("[$-409]d\\-mmm;@", Some(DateShape::DayMonth)),
            ("dd/mm", Some(DateShape::DayMonth)),
            ("DD\\.MM\\.", Some(DateShape::DayMonth)),
            ("m/d", Some(DateShape::MonthDay)),
            ("mmm-yy", Some(DateShape::MonthYear)),
            ("yyyy-mm-dd", Some(DateShape::Whole)),
            ("dddd, d mmmm yyyy", Some(DateShape::Whole)),
            ("d/m/yy h:mm", Some(DateShape::Other)),
            ("h:mm", Some(DateShape::Other)),
            ("mm:ss.0", Some(DateShape::Other)),
            ("[h]:mm", Some(DateShape::Other)),
            ("0.00", None),
            ("0\" days\"", None),
            ("General", None),
            ("[Red]0", None),
        ] {
            assert_eq!(NumberFormat::new(code).date_shape(), shape, "{code}");
        }
    }

    #[test]
    fn plain_formats_tell_nothing_and_broken_ones_do_no_harm() {
        for code in ["General", "0", "0.00", "#,##0", "@", "", "# ??/??", "0_ ;-0\\ "] {
            assert!(!NumberFormat::new(code).tells(), "{code}");
        }
        for code in ["\"", "\\", "[", "_", "*", "[$", "Genera", "é", "0é", "_é", "\\é", ";;;"] {
            let _ = NumberFormat::new(code).tells();
        }
    }
}
