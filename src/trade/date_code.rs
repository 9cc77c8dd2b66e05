//! Date codes: the last digits of a tire identification number, week and year of manufacture.
//!
//! Four digits are week then year of this century (49 CFR 574.5(b)(3), order of the digits
//! *memory*); three digits ended with 1999 (64 FR 36807 of 8 July 1999, *seen*). Weeks are taken as
//! ISO weeks, which start on Monday; the regulation's own weeks may begin on Sunday, a day's
//! difference that no rule of ours turns on.
//!
//! A sheet that holds the code as a number has lost a leading zero: 519 in a number cell may be
//! `0519`. Whoever reads cells must settle that before asking here.

use jiff::civil::{Date, ISOWeekDate, Weekday};
use thiserror::Error;

/// What a date code says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DateCode {
    /// Made in the week that began on this Monday.
    WeekOf(Date),
    /// Three digits: made before 2000; the decade is not told.
    Before2000,
}

/// Why a text is no date code.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum DateCodeError {
    /// Not three or four digits.
    #[error("not a date code of four digits, week and year")]
    NotADateCode,
    /// The year has no such week.
    #[error("the year has no week {week}")]
    NoSuchWeek {
        /// The week as printed.
        week: u8,
    },
}

/// Reads the digits of a date code: `3619` is week 36 of 2019. A year still to come is read as it
/// stands; today is not known here.
///
/// # Errors
///
/// * [`DateCodeError::NotADateCode`] unless the text is three or four digits and nothing else.
/// * [`DateCodeError::NoSuchWeek`] for week 00, 54 and above, and 53 in a year of 52 ISO weeks.
pub fn parse(text: &str) -> Result<DateCode, DateCodeError> {
    let not = DateCodeError::NotADateCode;
    if !text.bytes().all(|b| b.is_ascii_digit()) {
        return Err(not);
    }
    let week = text.get(..2).and_then(|digits| digits.parse::<u8>().ok()).ok_or(not)?;
    let no_such_week = DateCodeError::NoSuchWeek { week };
    match text.len() {
        3 if (1..=53).contains(&week) => Ok(DateCode::Before2000),
        3 => Err(no_such_week),
        4 => {
            let year = text.get(2..).and_then(|digits| digits.parse::<i16>().ok()).ok_or(not)?;
            let week = i8::try_from(week).map_err(|_| no_such_week)?;
            ISOWeekDate::new(2000 + year, week, Weekday::Monday)
                .map(|monday| DateCode::WeekOf(monday.date()))
                .map_err(|_| no_such_week)
        }
        _ => Err(not),
    }
}

#[cfg(test)]
mod tests {
    use jiff::civil::date;

    use super::{DateCode, DateCodeError, parse};

    #[test]
    fn codes_give_the_monday_of_their_week() {
        // Mondays from a calendar: 2 September 2019, 28 December 2020 (a year of 53 weeks), and
        // 31 December 2018, which begins week 1 of 2019.
        for (code, monday) in [
            ("3619", date(2019, 9, 2)),
            ("5320", date(2020, 12, 28)),
            ("0119", date(2018, 12, 31)),
            ("0100", date(2000, 1, 3)),
            ("0199", date(2098, 12, 29)),
        ] {
            assert_eq!(parse(code), Ok(DateCode::WeekOf(monday)), "{code}");
        }
    }

    #[test]
    fn a_week_the_year_does_not_have_is_refused() {
        for (code, week) in [("5519", 55), ("0019", 0), ("5319", 53), ("9999", 99), ("009", 0)] {
            assert_eq!(parse(code), Err(DateCodeError::NoSuchWeek { week }), "{code}");
        }
    }

    #[test]
    fn three_digits_are_of_the_last_century() {
        assert_eq!(parse("369"), Ok(DateCode::Before2000));
    }

    #[test]
    fn other_texts_are_no_date_code() {
        for text in ["", "3", "36", "36190", "36 19", "+369", "wk36", "３６１９"] {
            assert_eq!(parse(text), Err(DateCodeError::NotADateCode), "{text:?}");
        }
    }
}
