//! Expression text to tokens with places; never panics, and stops at the first letter it cannot place.

use winnow::ascii::{digit1, multispace0};
use winnow::combinator::{alt, delimited, dispatch, fail, opt, peek, repeat};
use winnow::prelude::*;
use winnow::stream::{LocatingSlice, Location, Stream};
use winnow::token::{any, literal, take_till, take_while};

use crate::document::Span;
use crate::facts::value::Unit;

type Input<'i> = LocatingSlice<&'i str>;

/// One word or sign of an expression.
#[derive(Clone, Debug, PartialEq)]
pub enum Token {
    /// A figure, with its unit where one follows.
    Number(f64, Option<Unit>),
    /// A text in quotes.
    Text(String),
    /// A name or a keyword.
    Word(String),
    /// An operator, bracket or comma.
    Sign(&'static str),
}

/// A token and its place.
#[derive(Clone, Debug, PartialEq)]
pub struct Placed {
    /// The token.
    pub token: Token,
    /// Its place.
    pub span: Span,
}

/// Where the text stops being an expression.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct StrangeLetter {
    /// The byte at which it stops.
    pub at: usize,
}

const SIGNS: [&str; 16] =
    [">=", "<=", "==", "!=", ">", "<", "(", ")", "[", "]", ",", "+", "-", "*", "/", "="];

/// The tokens of a text.
///
/// # Errors
/// [`StrangeLetter`] at the first letter that starts no token.
pub fn lex(text: &str) -> Result<Vec<Placed>, StrangeLetter> {
    let mut input = LocatingSlice::new(text);
    let parsed: ModalResult<Vec<Placed>> =
        delimited(multispace0, repeat(0.., placed), multispace0).parse_next(&mut input);
    let at = input.current_token_start();
    match parsed {
        Ok(tokens) if at == text.len() => Ok(tokens),
        _ => Err(StrangeLetter { at }),
    }
}

fn placed(input: &mut Input<'_>) -> ModalResult<Placed> {
    let token = dispatch! { peek(any);
        '0'..='9' => number,
        '"' | '\'' => text,
        'a'..='z' | 'A'..='Z' | '_' => word,
        _ => sign,
    };
    let (token, range) = token.with_span().parse_next(input)?;
    multispace0.parse_next(input)?;
    Ok(Placed { token, span: range.into() })
}

fn number(input: &mut Input<'_>) -> ModalResult<Token> {
    let figure = (digit1, opt(('.', digit1))).take();
    let (count, unit) = (figure.try_map(str::parse::<f64>), opt(unit)).parse_next(input)?;
    Ok(Token::Number(count, unit))
}

/// A unit behind a figure: its longest spelling, and no letter right after it.
fn unit(input: &mut Input<'_>) -> ModalResult<Unit> {
    let letters =
        (take_while(0.., ' '), alt(("%", (take_while(1.., char::is_alphabetic), opt("/h")).take())));
    let before = input.checkpoint();
    let unit = letters.map(|(_, letters)| letters).verify_map(Unit::from_text).parse_next(input)?;
    if unit == Unit::Inch && stands_before_a_list(input) {
        input.reset(&before);
        return fail.parse_next(input);
    }
    Ok(unit)
}

/// Whether `in` is the comparison and no inch: a list or a name follows, which nothing but the
/// comparison can stand before.
fn stands_before_a_list(rest: &Input<'_>) -> bool {
    let rest = rest.trim_start();
    let word = rest.split(|letter: char| !letter.is_ascii_alphanumeric()).next().unwrap_or("");
    let joins = ["and", "or", "else", "allowing", "in", "has"].contains(&word);
    rest.starts_with('[') || (!word.is_empty() && !joins)
}

fn text(input: &mut Input<'_>) -> ModalResult<Token> {
    let quoted = alt((delimited('"', take_till(0.., '"'), '"'), delimited('\'', take_till(0.., '\''), '\'')));
    quoted.map(|text: &str| Token::Text(text.to_owned())).parse_next(input)
}

fn word(input: &mut Input<'_>) -> ModalResult<Token> {
    let first = |letter: char| letter.is_ascii_alphabetic() || letter == '_';
    let rest = |letter: char| letter.is_ascii_alphanumeric() || letter == '_' || letter == '.';
    let word = (take_while(1, first), take_while(0.., rest)).take();
    word.map(|word: &str| Token::Word(word.to_owned())).parse_next(input)
}

fn sign(input: &mut Input<'_>) -> ModalResult<Token> {
    match SIGNS.into_iter().find(|sign| input.starts_with(sign)) {
        Some(sign) => literal(sign).value(Token::Sign(sign)).parse_next(input),
        None => fail.parse_next(input),
    }
}

#[cfg(test)]
mod tests {
    use super::{StrangeLetter, Token, lex};
    use crate::facts::value::Unit;

    fn tokens(text: &str) -> Vec<Token> {
        lex(text).unwrap().into_iter().map(|placed| placed.token).collect()
    }

    #[test]
    fn a_unit_belongs_to_the_figure_before_it() {
        for (text, count, unit) in [
            ("84.1 mm", 84.1, Some(Unit::Mm)),
            ("84.1mm", 84.1, Some(Unit::Mm)),
            ("3 %", 3.0, Some(Unit::Percent)),
            ("150 km/h", 150.0, Some(Unit::KmH)),
            ("5 in", 5.0, Some(Unit::Inch)),
            ("4", 4.0, None),
        ] {
            assert_eq!(tokens(text), [Token::Number(count, unit)], "{text}");
        }
    }

    #[test]
    fn a_bare_figure_may_stand_before_in() {
        assert_eq!(tokens("4 in [1, 5]").first(), Some(&Token::Number(4.0, None)));
        assert_eq!(tokens("4 in van.x").first(), Some(&Token::Number(4.0, None)));
        assert_eq!(tokens("4 in in [1 in, 5 in]").first(), Some(&Token::Number(4.0, Some(Unit::Inch))));
        assert_eq!(tokens("4 in and x").first(), Some(&Token::Number(4.0, Some(Unit::Inch))));
    }

    #[test]
    fn a_word_that_is_no_unit_stays_a_word() {
        assert_eq!(tokens("4 and"), [Token::Number(4.0, None), Token::Word("and".to_owned())]);
        assert_eq!(tokens("4 inches").len(), 2);
    }

    #[test]
    fn the_place_of_a_strange_letter_is_told() {
        assert_eq!(lex("a >= ; b"), Err(StrangeLetter { at: 5 }));
        assert_eq!(lex("\"open"), Err(StrangeLetter { at: 0 }));
    }
}
