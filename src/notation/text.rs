//! Walks the text of a cell, folding the many characters that mean one thing.
//!
//! Folding happens character by character while walking, so nothing is copied and every place
//! found is a place in the supplier's own text.

use std::ops::Range;

use super::Unread;

/// The character that a cell's character stands for: ASCII lower case without accents, one kind
/// of space, dash, quote, inch mark, and `x` for every multiplication sign.
#[must_use]
#[inline]
pub fn fold(c: char) -> char {
    if c.is_ascii() {
        return match c {
            '*' => 'x',
            '`' => '\'',
            '\t' | '\n' | '\r' | '\u{b}' | '\u{c}' => ' ',
            _ => c.to_ascii_lowercase(),
        };
    }
    fold_further(c)
}

/// The character that one beyond ASCII stands for.
fn fold_further(c: char) -> char {
    match c {
        '×' | '✕' | '✖' | '⨯' | '╳' | '∗' | 'х' | 'Х' => 'x',
        '−' | '‐' | '‑' | '‒' | '–' | '—' | '―' | '﹣' => '-',
        '″' | '”' | '“' | '‟' | '„' | '〃' => '"',
        '′' | '’' | '‘' | '‛' | '´' => '\'',
        '\u{200b}' | '\u{2060}' | '\u{feff}' => ' ',
        'à' | 'á' | 'â' | 'ã' | 'ä' | 'å' | 'À' | 'Á' | 'Â' | 'Ã' | 'Ä' | 'Å' => 'a',
        'ç' | 'Ç' => 'c',
        'è' | 'é' | 'ê' | 'ë' | 'È' | 'É' | 'Ê' | 'Ë' => 'e',
        'ì' | 'í' | 'î' | 'ï' | 'Ì' | 'Í' | 'Î' | 'Ï' => 'i',
        'ñ' | 'Ñ' => 'n',
        'ò' | 'ó' | 'ô' | 'õ' | 'ö' | 'Ò' | 'Ó' | 'Ô' | 'Õ' | 'Ö' => 'o',
        'ø' | 'Ø' | '⌀' => 'ø',
        'ù' | 'ú' | 'û' | 'ü' | 'Ù' | 'Ú' | 'Û' | 'Ü' => 'u',
        '\u{ff01}'..='\u{ff5e}' => char::from_u32(u32::from(c) - 0xfee0).map_or(c, fold),
        _ if c.is_whitespace() => ' ',
        _ => c,
    }
}

/// A place in a cell's text that moves forward over folded characters; a copy remembers a place.
#[derive(Clone, Copy, Debug)]
pub struct Scanner<'a> {
    text: &'a str,
    at: usize,
}

impl<'a> Scanner<'a> {
    /// At the start of the text.
    #[must_use]
    pub fn new(text: &'a str) -> Self {
        Self { text, at: 0 }
    }

    /// The whole text, wherever this stands.
    #[must_use]
    pub fn text(&self) -> &'a str {
        self.text
    }

    /// The byte offset reached.
    #[must_use]
    pub fn at(&self) -> usize {
        self.at
    }

    /// The text from a remembered place up to here.
    #[must_use]
    pub fn since(&self, start: usize) -> Range<usize> {
        start.min(self.at)..self.at
    }

    #[inline]
    fn raw(&self) -> Option<char> {
        match self.text.as_bytes().get(self.at) {
            Some(byte) if byte.is_ascii() => Some(char::from(*byte)),
            _ => self.text.get(self.at..).and_then(|rest| rest.chars().next()),
        }
    }

    /// The next character, folded.
    #[must_use]
    #[inline]
    pub fn peek(&self) -> Option<char> {
        self.raw().map(fold)
    }

    /// The character before this place, folded.
    #[must_use]
    pub fn before(&self) -> Option<char> {
        self.text.get(..self.at).and_then(|head| head.chars().next_back()).map(fold)
    }

    /// Moves over one character and gives it, folded.
    #[inline]
    pub fn bump(&mut self) -> Option<char> {
        let c = self.raw()?;
        self.at += c.len_utf8();
        Some(fold(c))
    }

    /// Nothing left but spaces.
    #[must_use]
    pub fn at_end(mut self) -> bool {
        self.skip_spaces();
        self.peek().is_none()
    }

    /// Moves over spaces; tells whether there were any.
    pub fn skip_spaces(&mut self) -> bool {
        let start = self.at;
        while self.peek() == Some(' ') {
            self.bump();
        }
        self.at > start
    }

    /// Moves over the character if it comes next.
    #[inline]
    pub fn eat(&mut self, wanted: char) -> bool {
        let here = self.peek() == Some(wanted);
        if here {
            self.bump();
        }
        here
    }

    /// Moves over spaces and then the character, or not at all.
    pub fn eat_spaced(&mut self, wanted: char) -> bool {
        let mut probe = *self;
        probe.skip_spaces();
        let here = probe.eat(wanted);
        if here {
            *self = probe;
        }
        here
    }

    /// Moves over the folded characters if all of them come next.
    pub fn eat_text(&mut self, wanted: &str) -> bool {
        let mut probe = *self;
        let here = wanted.chars().all(|c| probe.eat(c));
        if here {
            *self = probe;
        }
        here
    }

    /// Moves over the letters given if they come next and no further letter follows.
    pub fn eat_word(&mut self, wanted: &str) -> bool {
        let mut probe = *self;
        let here = probe.eat_text(wanted) && !probe.peek().is_some_and(char::is_alphabetic);
        if here {
            *self = probe;
        }
        here
    }

    /// Moves over the first of the words that stands here; tells which. Hardly any of a list begins with the next letter.
    pub fn eat_any<'w>(&mut self, words: &[&'w str]) -> Option<&'w str> {
        let next = self.peek()?;
        words.iter().copied().find(|word| begins(word, next) && self.eat_word(word))
    }

    /// Moves over the first of the words that stands here; gives what it means.
    pub fn eat_meaning<T: Copy>(&mut self, words: &[(&str, T)]) -> Option<T> {
        let next = self.peek()?;
        let found = words.iter().find(|(word, _)| begins(word, next) && self.eat_word(word));
        found.map(|(_, meaning)| *meaning)
    }

    /// Moves over a digit and gives its value.
    #[inline]
    pub fn digit(&mut self) -> Option<u32> {
        // Nearly all are plain.
        let (digit, length) = match self.text.as_bytes().get(self.at)? {
            byte @ b'0'..=b'9' => (u32::from(byte - b'0'), 1),
            byte if byte.is_ascii() => return None,
            _ => {
                let c = self.raw()?;
                (fold(c).to_digit(10)?, c.len_utf8())
            }
        };
        self.at += length;
        Some(digit)
    }

    /// Moves over a run of digits and gives their value and count; more than nine is none.
    pub fn digits(&mut self) -> Option<(u32, usize)> {
        let mut probe = *self;
        let mut value = 0_u32;
        let mut count = 0;
        while let Some(digit) = probe.digit() {
            value = value.checked_mul(10)?.checked_add(digit)?;
            count += 1;
        }
        if count == 0 || count > 9 {
            return None;
        }
        *self = probe;
        Some((value, count))
    }

    /// Moves to the next space, comma, semicolon or the end; gives where the word stood.
    pub fn word(&mut self) -> Range<usize> {
        let start = self.at;
        while self.peek().is_some_and(|c| !matches!(c, ' ' | ',' | ';')) {
            self.bump();
        }
        self.since(start)
    }

    /// Whether a word could end here: no letter or digit follows.
    #[must_use]
    pub fn ends_word(&self) -> bool {
        !self.peek().is_some_and(char::is_alphanumeric)
    }
}

/// Whether a word begins with a character; quicker to tell than by a search for the character's bytes.
#[inline]
fn begins(word: &str, with: char) -> bool {
    let first = word.chars().next();
    first == Some(with)
}

/// Whether two texts are the same once folded, spaces and full stops left out.
fn same_squeezed(text: &str, wanted: &str) -> bool {
    let squeezed = text.chars().map(fold).filter(|c| !matches!(c, ' ' | '.'));
    squeezed.eq(wanted.chars())
}

/// Fillers that stand where a fact should be. Common practice, no source.
const FILLERS: &[&str] = &[
    "-",
    "--",
    "---",
    "?",
    "??",
    "???",
    "n/a",
    "na",
    "n/v",
    "n/d",
    "nd",
    "nc",
    "tbd",
    "tba",
    "tbc",
    "tbdate",
    "call",
    "callus",
    "pleasecall",
    "ask",
    "inquire",
    "enquire",
    "seenotes",
    "seenote",
    "notes",
    "various",
    "varies",
    "unknown",
    "unk",
    "notavailable",
    "notapplicable",
    "notspecified",
    "notstated",
    "nodata",
    "null",
    "nil",
    "nan",
    "pending",
    "poa",
    "onrequest",
    "uponrequest",
    "ka",
    "k/a",
    "keineangabe",
    "keineangaben",
    "unbekannt",
    "aufanfrage",
    "diverse",
    "nichtbekannt",
    "inconnu",
    "surdemande",
    "nonrenseigne",
    "nonprecise",
    "aconfirmer",
    "voirnotes",
    "consultar",
    "desconocido",
    "aconsultar",
    "sindatos",
    "vernotas",
    "surichiesta",
    "sconosciuto",
    "nondisponibile",
    "vedinote",
    "nvt",
    "onbekend",
    "opaanvraag",
    "\"",
    "'",
    "/",
    "_",
    "__",
    "x",
    "=",
];

/// The reason a cell says nothing, if it is a filler or a spreadsheet error; `None` if it may say
/// something. An empty or blank cell says nothing.
///
/// `x` counts as a filler here; readers of yes-or-no cells look for it first.
#[must_use]
pub fn says_nothing(text: &str) -> Option<Unread> {
    let mut scanner = Scanner::new(text);
    scanner.skip_spaces();
    match scanner.peek() {
        None => return Some(Unread::SaysNothing),
        // Most cells begin with a figure, and no filler does.
        Some('0'..='9') => return None,
        Some('#') => {
            let errors = [
                "#n/a", "#ref!", "#value!", "#div/0!", "#name?", "#num!", "#null!", "#spill!", "#calc!",
                "#field!",
            ];
            if same_squeezed(text, "#n/a") {
                return Some(Unread::SaysNothing);
            }
            return errors.iter().any(|error| same_squeezed(text, error)).then_some(Unread::SpreadsheetError);
        }
        Some(_) => {}
    }
    // No filler has a figure, and most cells that say something have one.
    if text.bytes().any(|letter| letter.is_ascii_digit()) {
        return None;
    }
    if same_squeezed(text, "") || FILLERS.iter().any(|filler| same_squeezed(text, filler)) {
        return Some(Unread::SaysNothing);
    }
    None
}

/// Month names and their usual short forms in the languages read; folded.
const MONTHS: &[&str] = &[
    "jan",
    "feb",
    "mar",
    "apr",
    "may",
    "jun",
    "jul",
    "aug",
    "sep",
    "sept",
    "oct",
    "nov",
    "dec",
    "january",
    "february",
    "march",
    "april",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
    "mai",
    "marz",
    "mrz",
    "okt",
    "dez",
    "januar",
    "februar",
    "juni",
    "juli",
    "oktober",
    "dezember",
    "janv",
    "fevr",
    "avr",
    "juin",
    "juil",
    "aout",
    "ene",
    "abr",
    "ago",
    "dic",
    "gen",
    "mag",
    "giu",
    "set",
    "ott",
    "mrt",
    "mei",
];

/// Whether the text is a calendar date (`12-Jun`, `2026-06-12`, `12/06/2026`, `12.06.2026`), as
/// left where a spreadsheet program took a bolt pattern for one.
#[must_use]
pub fn looks_like_date(text: &str) -> bool {
    let mut scanner = Scanner::new(text);
    scanner.skip_spaces();
    let mut numbers = [(0_u32, 0_usize); 3];
    let mut count = 0;
    let mut months = 0;
    while let Some(c) = scanner.peek() {
        if c.is_ascii_digit() {
            let (Some(number), Some(slot)) = (scanner.digits(), numbers.get_mut(count)) else {
                return false;
            };
            *slot = number;
            count += 1;
        } else if c.is_alphabetic() {
            if scanner.eat_any(MONTHS).is_none() || months > 0 {
                return false;
            }
            months += 1;
        } else if matches!(c, '-' | '/' | '.' | ' ' | ',') {
            scanner.bump();
        } else {
            // A time of day after a date in the usual order of the international format.
            return c == ':' && count == 4;
        }
    }
    let [a, b, c] = numbers;
    let day = |n: (u32, usize)| (1..=31).contains(&n.0) && n.1 <= 2;
    let month = |n: (u32, usize)| (1..=12).contains(&n.0) && n.1 <= 2;
    let year = |n: (u32, usize)| n.1 == 4 && (1900..=2100).contains(&n.0);
    match (months, count) {
        (1, 1) => day(a) || year(a) || a.1 == 2,
        (1, 2) => day(a) && (year(b) || b.1 == 2),
        (0, 3) => (year(a) && month(b) && day(c)) || (year(c) && day(a) && day(b) && (month(a) || month(b))),
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::{Scanner, looks_like_date, says_nothing};
    use crate::notation::Unread;

    #[test]
    fn characters_that_mean_one_thing_are_folded() {
        let mut scanner = Scanner::new("１７×８\u{a0}−Ｊ”");
        let mut folded = String::new();
        while let Some(c) = scanner.bump() {
            folded.push(c);
        }
        assert_eq!(folded, "17x8 -j\"");
    }

    #[test]
    fn fillers_say_nothing_and_figures_say_something() {
        for filler in [
            "",
            "  ",
            "-",
            "—",
            "N/A",
            "n.a.",
            "TBD",
            "call",
            "see notes",
            "#N/A",
            "k. A.",
            "Auf Anfrage",
            ".",
        ] {
            assert_eq!(says_nothing(filler), Some(Unread::SaysNothing), "{filler:?}");
        }
        assert_eq!(says_nothing("#REF!"), Some(Unread::SpreadsheetError));
        for text in ["0", "84.1", "none", "Flat", "-12", "#1"] {
            assert_eq!(says_nothing(text), None, "{text:?}");
        }
    }

    #[test]
    fn dates_are_told_from_patterns_and_sizes() {
        for date in ["12-Jun", "Jun-12", "6. Dez", "2026-06-12", "12/06/2026", "12.06.2026", "17-Aug-26"] {
            assert!(looks_like_date(date), "{date}");
        }
        for text in ["6-12", "6x130", "17x8.5", "5-114.3", "265/70/17", "June", "", "3619"] {
            assert!(!looks_like_date(text), "{text}");
        }
    }
}
