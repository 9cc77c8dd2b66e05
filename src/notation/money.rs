//! Prices: an exact decimal amount and, where written, its currency.

use rust_decimal::Decimal;

use super::Unread;
use super::number::{DecimalMark, Number, Spaces, number};
use super::text::{Scanner, fold, says_nothing};

/// An amount of money.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Money {
    /// The amount, exact.
    pub amount: Decimal,
    /// The currency, where the cell or heading states one.
    pub currency: Option<Currency>,
}

/// A currency by its ISO 4217 code.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Currency(&'static str);

impl Currency {
    /// The three letters of ISO 4217.
    #[must_use]
    pub fn code(self) -> &'static str {
        self.0
    }

    /// The currency with this code, in either case.
    #[must_use]
    pub fn from_code(code: &str) -> Option<Self> {
        CODES.iter().find(|known| known.eq_ignore_ascii_case(code)).map(|known| Self(known))
    }
}

/// ISO 4217 codes a sheet of this trade may carry.
const CODES: &[&str] = &[
    "USD", "EUR", "GBP", "CAD", "AUD", "NZD", "CHF", "SEK", "NOK", "DKK", "PLN", "CZK", "HUF", "RON", "JPY",
    "CNY", "MXN", "ZAR",
];

/// Signs and words that name one currency here. A dollar sign alone names none for certain, as
/// several countries use it, and is therefore taken for no currency; `US$` is.
const SIGNS: &[(&str, Option<&str>)] = &[
    ("us$", Some("USD")),
    ("us $", Some("USD")),
    ("ca$", Some("CAD")),
    ("c$", Some("CAD")),
    ("a$", Some("AUD")),
    ("nz$", Some("NZD")),
    ("$", None),
    ("€", Some("EUR")),
    ("£", Some("GBP")),
    ("euros", Some("EUR")),
    ("euro", Some("EUR")),
    ("dollars", None),
];

/// Currencies written with a dollar sign.
const DOLLARS: &[&str] = &["USD", "CAD", "AUD", "NZD", "MXN"];

/// What stands in place of a currency.
#[derive(Clone, Copy, PartialEq)]
enum Sign {
    Named(Currency),
    Unnamed,
}

fn sign(scanner: &mut Scanner<'_>) -> Option<Sign> {
    scanner.skip_spaces();
    // Most prices are nothing but figures, and no sign begins with one.
    let first = scanner.peek().filter(|first| !first.is_ascii_digit())?;
    for (text, code) in SIGNS {
        if scanner.eat_text(text) {
            return Some(code.and_then(Currency::from_code).map_or(Sign::Unnamed, Sign::Named));
        }
    }
    if !first.is_alphabetic() {
        return None;
    }
    for code in CODES {
        let mut probe = *scanner;
        if code.chars().all(|c| probe.eat(c.to_ascii_lowercase()))
            && !probe.peek().is_some_and(char::is_alphabetic)
        {
            *scanner = probe;
            return Some(Sign::Named(Currency(code)));
        }
    }
    None
}

/// Reads a price: `$1,234.50`, `189,00 €`, `EUR 189`, `1.234,50`, `189,-`.
///
/// # Errors
///
/// The reason; [`Unread::AmbiguousNumber`] for `1.450` without a known decimal mark: no bounds
/// tell a price of 1.45 from one of 1450. With a currency sign that has cents, three digits after
/// the mark can only be thousands.
pub fn money(text: &str, decimal: Option<DecimalMark>) -> Result<Money, Unread> {
    plain(text).map_or_else(|| spelled(text, decimal), Ok)
}

/// The price where it is nothing but figures, perhaps behind a dollar sign, with two decimals or none: as most are, and
/// as it means the same whatever the decimal mark of its column.
fn plain(text: &str) -> Option<Money> {
    let text = text.trim_matches(' ');
    let figures = text.strip_prefix('$').unwrap_or(text);
    let (whole, cents) =
        figures.split_once('.').map_or((figures, None), |(whole, cents)| (whole, Some(cents)));
    let are_figures = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
    let plain = (1..=9).contains(&whole.len())
        && are_figures(whole)
        && cents.is_none_or(|cents| cents.len() == 2 && are_figures(cents));
    if !plain {
        return None;
    }
    let whole: i64 = whole.parse().ok()?;
    let amount = match cents {
        Some(cents) => Decimal::new(whole * 100 + cents.parse::<i64>().ok()?, 2),
        None => Decimal::from(whole),
    };
    Some(Money { amount, currency: None })
}

fn spelled(text: &str, decimal: Option<DecimalMark>) -> Result<Money, Unread> {
    if let Some(why) = says_nothing(text) {
        return Err(why);
    }
    let mut scanner = Scanner::new(text);
    let before = sign(&mut scanner);
    let also = before.and_then(|_| sign(&mut scanner));
    scanner.skip_spaces();
    let start = scanner.at();
    let read = number(&mut scanner, Spaces::Group).ok_or(Unread::NotUnderstood)?;
    let span = scanner.since(start);
    // "189,-" and "189.-": no cents.
    let mut probe = scanner;
    if (probe.eat(',') || probe.eat('.')) && probe.eat('-') {
        let _ = probe.eat('-');
        scanner = probe;
    }
    let after = sign(&mut scanner);
    scanner.skip_spaces();
    let _ = scanner.eat_any(&["each", "ea", "net", "netto", "excl", "ht", "per wheel", "per tire"]);
    let _ = scanner.eat('.');
    if !scanner.at_end() {
        return Err(Unread::NotUnderstood);
    }
    let signed = before.is_some() || after.is_some();
    let mark = match read {
        Number::One { evidence: Some(mark), .. } => grouped_by(text, &span, mark),
        Number::One { evidence: None, .. } => None,
        Number::TwoReadings { mark, .. } => match decimal {
            Some(known) if known == mark => Some(mark),
            Some(_) => None,
            None if signed => None,
            None => return Err(Unread::AmbiguousNumber),
        },
    };
    let amount = amount(text.get(span).unwrap_or_default(), mark)?;
    let mut currency = None;
    for found in [before, also, after].into_iter().flatten() {
        if let Sign::Named(named) = found {
            if currency.is_some_and(|earlier| earlier != named) {
                return Err(Unread::TwoMeanings);
            }
            currency = Some(named);
        }
    }
    let dollars = [before, also, after].contains(&Some(Sign::Unnamed));
    if dollars && currency.is_some_and(|named: Currency| !DOLLARS.contains(&named.code())) {
        return Err(Unread::TwoMeanings);
    }
    Ok(Money { amount, currency })
}

/// The decimal mark if it occurs in the number: a number of repeated thousands proves one without
/// carrying it.
fn grouped_by(text: &str, span: &std::ops::Range<usize>, mark: DecimalMark) -> Option<DecimalMark> {
    let c = if mark == DecimalMark::Point { '.' } else { ',' };
    text.get(span.clone())
        .is_some_and(|number| number.chars().map(fold).any(|found| found == c))
        .then_some(mark)
}

/// The digits as an exact decimal, every mark but the decimal one left out.
fn amount(digits: &str, mark: Option<DecimalMark>) -> Result<Decimal, Unread> {
    let point = match mark {
        Some(DecimalMark::Point) => Some('.'),
        Some(DecimalMark::Comma) => Some(','),
        None => None,
    };
    let mut plain = String::with_capacity(digits.len());
    for c in digits.chars().map(fold) {
        if c.is_ascii_digit() {
            plain.push(c);
        } else if Some(c) == point {
            plain.push('.');
        }
    }
    plain.parse().map_err(|_| Unread::NotUnderstood)
}

#[cfg(test)]
mod tests {
    use super::{DecimalMark, plain, spelled};

    #[test]
    fn plain_prices_are_read_as_any_others_are() {
        let wholes = ["", "0", "7", "07", "89", "450", "1234", "12345", "000", "999999999", "1234567890"];
        let cents = ["", ".", ".0", ".50", ".99", ".995", ",50", ".5,", ".½0", "-", ".50 €"];
        let mut plainly = 0;
        for text in wholes.iter().flat_map(|whole| cents.map(|cents| format!("{whole}{cents}"))) {
            for text in [format!("${text}"), format!(" {text} "), format!("$ {text}"), text] {
                let Some(read) = plain(&text) else { continue };
                plainly += 1;
                for decimal in [None, Some(DecimalMark::Point), Some(DecimalMark::Comma)] {
                    assert_eq!(spelled(&text, decimal), Ok(read), "{text} {decimal:?}");
                }
            }
        }
        assert!(plainly > 50, "{plainly} texts are plain");
    }
}
