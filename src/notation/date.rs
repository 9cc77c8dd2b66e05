//! Date codes of tires, as columns state them.

use jiff::civil::Date;

use super::Unread;
use super::text::{Scanner, says_nothing};
use crate::trade::date_code::{self, DateCode, DateCodeError};

/// Reads a date code: `3619`, `DOT 3619`, `36/19`, `W36 2019`, `2019 W36`, `week 36/2019`. Gives the
/// Monday of the week.
///
/// # Errors
///
/// The reason; [`Unread::ImpossibleDate`] for a week the year does not have,
/// [`Unread::DateWithoutDecade`] for a three-digit code.
pub fn date_code(text: &str) -> Result<Date, Unread> {
    if let Some(why) = says_nothing(text) {
        return Err(why);
    }
    let mut scanner = Scanner::new(text);
    scanner.skip_spaces();
    let _ = scanner.eat_any(&["dot", "tin", "date code"]);
    let _ = scanner.eat_spaced(':');
    scanner.skip_spaces();
    let mut weekly = week_word(&mut scanner);
    let (first, digits) = scanner.digits().ok_or(Unread::NotUnderstood)?;
    if scanner.at_end() && !weekly {
        return packed(first, digits);
    }
    scanner.skip_spaces();
    let _ = scanner.eat('/') || scanner.eat('-') || scanner.eat('.') || scanner.eat(',');
    scanner.skip_spaces();
    let later = week_word(&mut scanner);
    weekly |= later;
    let (second, second_digits) = scanner.digits().ok_or(Unread::NotUnderstood)?;
    if !scanner.at_end() {
        return Err(Unread::NotUnderstood);
    }
    match (digits, second_digits) {
        (1..=2, 2 | 4) if !later => week_of(first, second, second_digits),
        // "2019-36" could be little else, but "2019-11" reads as a month, so a week word is asked.
        (4, 1..=2) if weekly => week_of(second, first, digits),
        _ => Err(Unread::NotUnderstood),
    }
}

/// Moves over a word for week.
fn week_word(scanner: &mut Scanner<'_>) -> bool {
    let found =
        scanner.eat_any(&["week", "wk", "woche", "semaine", "semana", "settimana", "kw", "w"]).is_some();
    if found {
        let _ = scanner.eat('.');
        scanner.skip_spaces();
    }
    found
}

/// The week of a code in four digits, week first.
fn packed(value: u32, digits: usize) -> Result<Date, Unread> {
    match digits {
        3 => code(&format!("{value:03}")),
        4 => code(&format!("{value:04}")),
        _ => Err(Unread::NotUnderstood),
    }
}

fn week_of(week: u32, year: u32, year_digits: usize) -> Result<Date, Unread> {
    let year = match (year_digits, year) {
        (2, year) => year,
        (4, 2000..=2099) => year - 2000,
        _ => return Err(Unread::ImpossibleDate),
    };
    code(&format!("{week:02}{year:02}"))
}

fn code(digits: &str) -> Result<Date, Unread> {
    match date_code::parse(digits) {
        Ok(DateCode::WeekOf(monday)) => Ok(monday),
        Ok(DateCode::Before2000) => Err(Unread::DateWithoutDecade),
        Err(DateCodeError::NoSuchWeek { .. }) => Err(Unread::ImpossibleDate),
        Err(DateCodeError::NotADateCode) => Err(Unread::NotUnderstood),
    }
}
