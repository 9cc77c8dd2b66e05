//! Yes-or-no cells and the marks that wheels and tires carry.

use std::fmt;

use super::Unread;
use super::text::{Scanner, fold, says_nothing};

const YES: &[&str] =
    &["y", "yes", "true", "1", "x", "✓", "✔", "☑", "ja", "j", "oui", "si", "with", "mit", "wahr", "vrai"];
const NO: &[&str] = &[
    "n", "no", "false", "0", "✗", "✘", "☐", "nein", "non", "nee", "none", "without", "ohne", "falsch", "faux",
];

/// Whether the folded text, spaces at its ends left out, is exactly one of the words.
fn is_one_of(text: &str, words: &[&str]) -> bool {
    let trimmed = text.trim();
    // A multiplication sign as a tick folds to x.
    words.iter().any(|word| trimmed.chars().map(fold).eq(word.chars()))
}

/// Reads a yes or no in any of the languages: `Y`, `ja`, `oui`, `✓`, `x`, `0`.
///
/// # Errors
///
/// The reason.
pub fn flag(text: &str) -> Result<bool, Unread> {
    if is_one_of(text, YES) {
        return Ok(true);
    }
    if is_one_of(text, NO) {
        return Ok(false);
    }
    Err(says_nothing(text).unwrap_or(Unread::NotUnderstood))
}

/// Reads a beadlock column: a yes or no, or the word itself.
///
/// # Errors
///
/// The reason; `simulated` and the like are [`Unread::NotUnderstood`], being a matter for a person.
pub fn beadlock(text: &str) -> Result<bool, Unread> {
    match flag(text) {
        Err(Unread::NotUnderstood)
            if is_one_of(text, &["beadlock", "bead lock", "true beadlock", "beadlock rim"]) =>
        {
            Ok(true)
        }
        Err(Unread::NotUnderstood)
            if is_one_of(text, &["non-beadlock", "non beadlock", "no beadlock", "not beadlock"]) =>
        {
            Ok(false)
        }
        read => read,
    }
}

/// What a cell says about the two snow marks; `None` where it does not mention one.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct SnowMarks {
    /// The three-peak mountain snowflake.
    pub three_peak: Option<bool>,
    /// `M+S`.
    pub mud_snow: Option<bool>,
}

/// Spellings of the three-peak mountain snowflake; folded. Common practice, no source.
pub(super) const THREE_PEAK: &[&str] =
    &["3pmsf", "3 pmsf", "3-pmsf", "3pms", "3msf", "tpmsf", "alpine", "snowflake", "three peak"];
/// Spellings of `M+S`; folded.
pub(super) const MUD_SNOW: &[&str] =
    &["m+s", "m&s", "m/s", "m + s", "m & s", "m-s", "ms", "m.s", "mud+snow", "mud & snow", "mud and snow"];

/// Moves over one snow mark and notes it.
pub(super) fn take_snow_mark(scanner: &mut Scanner<'_>, marks: &mut SnowMarks) -> bool {
    for (words, mark) in [(THREE_PEAK, &mut marks.three_peak), (MUD_SNOW, &mut marks.mud_snow)] {
        let mut probe = *scanner;
        for word in words {
            if probe.eat_text(word) && probe.ends_word() {
                *mark = Some(true);
                *scanner = probe;
                return true;
            }
            probe = *scanner;
        }
    }
    false
}

/// Reads a column of snow marks by name: `3PMSF`, `M+S`, `M+S / 3PMSF`. A bare yes or no is for the
/// caller, who knows which mark the heading names: see [`flag`].
///
/// # Errors
///
/// The reason.
pub fn snow_marks(text: &str) -> Result<SnowMarks, Unread> {
    if let Some(why) = says_nothing(text) {
        return Err(why);
    }
    let mut marks = SnowMarks::default();
    let mut scanner = Scanner::new(text);
    while !scanner.at_end() {
        scanner.skip_spaces();
        let _ = scanner.eat(',')
            || scanner.eat('/')
            || scanner.eat(';')
            || scanner.eat('+')
            || scanner.eat('&')
            || scanner.eat_word("and");
        scanner.skip_spaces();
        if !take_snow_mark(&mut scanner, &mut marks) {
            return Err(Unread::NotUnderstood);
        }
    }
    Ok(marks)
}

/// A mark cast or stamped into a wheel.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum WheelMark {
    /// `SAE J2530`, aftermarket wheel performance.
    SaeJ2530,
    /// `JWL`, Japanese light alloy wheel, passenger cars.
    Jwl,
    /// `JWL-T`, the same for trucks and buses.
    JwlT,
    /// `VIA`, Japanese vehicle inspection association.
    Via,
    /// `UN R124`, approval as a replacement wheel.
    UnR124,
    /// `DOT`.
    Dot,
    /// Any other, as the supplier writes it.
    Other(String),
}

impl fmt::Display for WheelMark {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::SaeJ2530 => "SAE J2530",
            Self::Jwl => "JWL",
            Self::JwlT => "JWL-T",
            Self::Via => "VIA",
            Self::UnR124 => "UN R124",
            Self::Dot => "DOT",
            Self::Other(text) => text,
        })
    }
}

/// Known marks squeezed to letters and digits.
const MARKS: &[(&str, WheelMark)] = &[
    ("saej2530", WheelMark::SaeJ2530),
    ("j2530", WheelMark::SaeJ2530),
    ("jwl", WheelMark::Jwl),
    ("jwlt", WheelMark::JwlT),
    ("via", WheelMark::Via),
    ("unr124", WheelMark::UnR124),
    ("unecer124", WheelMark::UnR124),
    ("ecer124", WheelMark::UnR124),
    ("ece124", WheelMark::UnR124),
    ("eceregulation124", WheelMark::UnR124),
    ("r124", WheelMark::UnR124),
    ("dot", WheelMark::Dot),
];

/// Words for an empty list.
const NO_MARK: &[&str] =
    &["none", "no", "keine", "aucun", "aucune", "ninguno", "ninguna", "nessuno", "nessuna", "geen"];

/// Reads a list of marks parted by comma, semicolon, slash, plus, ampersand or vertical bar:
/// `JWL/VIA`, `SAE-J2530, DOT`. `none` is an empty list; a filler in a list (`JWL, tbd`) is no mark.
///
/// # Errors
///
/// The reason; [`Unread::TwoMeanings`] for `none` beside a mark.
pub fn markings(text: &str) -> Result<Vec<WheelMark>, Unread> {
    if let Some(why) = says_nothing(text) {
        return Err(why);
    }
    let mut marks = Vec::new();
    let mut none = false;
    for part in text.split([',', ';', '/', '+', '&', '|', '\n']) {
        let part = part.trim();
        if is_one_of(part, NO_MARK) {
            none = true;
            continue;
        }
        if !part.contains(char::is_alphanumeric) || says_nothing(part).is_some() {
            continue;
        }
        let letters = part.chars().map(fold).filter(|c| c.is_alphanumeric());
        let mark = MARKS
            .iter()
            .find(|(word, _)| letters.clone().eq(word.chars()))
            .map_or_else(|| WheelMark::Other(part.to_owned()), |(_, mark)| mark.clone());
        if !marks.contains(&mark) {
            marks.push(mark);
        }
    }
    match (none, marks.is_empty()) {
        (true, false) => Err(Unread::TwoMeanings),
        (false, true) => Err(Unread::NotUnderstood),
        (true, true) | (false, false) => Ok(marks),
    }
}
