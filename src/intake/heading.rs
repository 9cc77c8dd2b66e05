//! Heading words: which concept a column heading names, and in which unit.
//!
//! The words are data (`headings.toml`). A heading counts only when all of its words are accounted
//! for, by phrases of one concept, unit words and words that change nothing; "Front offset" is
//! therefore not an offset, and is left for the buyer to decide.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use thiserror::Error;
use toml::de::{DeTable, DeValue};

use crate::notation::money::Currency;
use crate::notation::quantity::{LengthUnit, MassUnit, PressureUnit, Unit};
use crate::notation::text::fold;

macro_rules! concepts {
    ($( $(#[$doc:meta])* $variant:ident $name:literal, )+) => {
        /// What a column holds.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum Concept {
            $( $(#[$doc])* $variant, )+
        }

        impl Concept {
            /// Every concept, in the order of this list.
            pub const ALL: &'static [Self] = &[$( Self::$variant, )+];

            /// The name used in `headings.toml` and in supplier profiles.
            #[must_use]
            pub fn name(self) -> &'static str {
                match self {
                    $( Self::$variant => $name, )+
                }
            }
        }
    };
}

concepts! {
    /// Supplier or brand.
    Supplier "supplier",
    /// Part number.
    Sku "sku",
    /// Name of the product.
    Name "name",
    /// Color or surface.
    Finish "finish",
    /// Whether the row is a wheel or a tire.
    Kind "kind",
    /// Wheel or tire size.
    Size "size",
    /// Nominal rim diameter.
    RimDiameter "rim_diameter",
    /// Rim width.
    RimWidth "rim_width",
    /// A diameter that may be the rim's or the tire's.
    Diameter "diameter",
    /// A width that may be the rim's or the tire's.
    Width "width",
    /// Hole count and bolt circle.
    BoltPattern "bolt_pattern",
    /// Hole count alone.
    HoleCount "hole_count",
    /// Bolt circle alone.
    BoltCircle "bolt_circle",
    /// Offset.
    Offset "offset",
    /// Back spacing.
    Backspacing "backspacing",
    /// Center bore.
    CenterBore "center_bore",
    /// Load of a wheel, or of a tire running alone.
    Load "load",
    /// Load of a tire in a twin pair.
    LoadDual "load_dual",
    /// Seat of the fasteners.
    Seat "seat",
    /// Diameter of the bolt holes.
    BoltHole "bolt_hole",
    /// Thickness under the fasteners.
    PadThickness "pad_thickness",
    /// Maximum pressure.
    MaxPressure "max_pressure",
    /// Whether the rim is a beadlock rim.
    Beadlock "beadlock",
    /// Marks on a wheel.
    Markings "markings",
    /// Free text that may hold several facts.
    Description "description",
    /// Name of the tread pattern.
    Tread "tread",
    /// Service a tire is built for.
    Service "service",
    /// Section width.
    SectionWidth "section_width",
    /// Aspect ratio.
    Aspect "aspect",
    /// Construction of the carcass.
    Construction "construction",
    /// Load index, single.
    LoadIndex "load_index",
    /// Load index, dual.
    LoadIndexDual "load_index_dual",
    /// Speed symbol.
    SpeedSymbol "speed_symbol",
    /// Service description: load indices and speed symbol.
    LoadAndSpeed "load_and_speed",
    /// Load range.
    LoadRange "load_range",
    /// Ply rating.
    PlyRating "ply_rating",
    /// Overall diameter of a tire.
    OverallDiameter "overall_diameter",
    /// Least permitted rim width.
    RimWidthMin "rim_width_min",
    /// Greatest permitted rim width.
    RimWidthMax "rim_width_max",
    /// Permitted rim widths, both ends.
    RimWidthRange "rim_width_range",
    /// Measuring rim.
    MeasuringRim "measuring_rim",
    /// Three-peak mountain snowflake.
    SnowMark "snow_mark",
    /// `M+S`.
    MudSnow "mud_snow",
    /// Date code.
    DateCode "date_code",
    /// Weight of the part.
    Weight "weight",
    /// Price.
    Price "price",
    /// Address of a page.
    Link "link",
    /// Address of a picture.
    Image "image",
    /// Known, but no fact: stock, barcode, notes.
    LeftOver "left_over",
}

impl std::str::FromStr for Concept {
    type Err = UnknownConcept;

    fn from_str(name: &str) -> Result<Self, UnknownConcept> {
        Self::ALL.iter().copied().find(|concept| concept.name() == name).ok_or(UnknownConcept)
    }
}

/// The name is no concept's.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
#[error("no such kind of column")]
pub struct UnknownConcept;

/// A heading as understood.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Heading {
    /// What the column holds, if the heading names one thing.
    pub concept: Option<Concept>,
    /// The unit stated; none where several are.
    pub unit: Option<Unit>,
    /// The currency stated.
    pub currency: Option<Currency>,
    /// The heading's words, folded, units left out.
    pub words: String,
}

/// The phrases of `headings.toml`, in the form that headings are compared in.
#[derive(Debug, Default)]
struct Phrases {
    concepts: BTreeMap<String, Concept>,
    noise: Vec<String>,
    units: BTreeMap<String, Unit>,
    prices: BTreeMap<String, PriceKind>,
    longest: usize,
}

/// Why the word list is unusable.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
enum PhrasesError {
    #[error("not TOML")]
    NotToml,
    #[error("`{0}` is no list of phrases by language")]
    NotAList(String),
    #[error("no concept or unit is called `{0}`")]
    UnknownName(String),
    #[error("the phrase `{0}` stands twice")]
    Twice(String),
}

static PHRASES: LazyLock<Phrases> = LazyLock::new(|| {
    // The list is part of the program and a test reads it; without it no heading is understood,
    // which loses columns aloud and misreads none.
    parse(include_str!("headings.toml")).unwrap_or_default()
});

fn parse(text: &str) -> Result<Phrases, PhrasesError> {
    let table = DeTable::parse(text).map_err(|_| PhrasesError::NotToml)?;
    let mut phrases = Phrases::default();
    for (name, lists) in table.get_ref() {
        let name = name.get_ref().as_ref();
        let not_a_list = || PhrasesError::NotAList(name.to_owned());
        let DeValue::Table(lists) = lists.get_ref() else {
            return Err(not_a_list());
        };
        for (key, list) in lists {
            let DeValue::Array(list) = list.get_ref() else {
                return Err(not_a_list());
            };
            for phrase in list {
                let DeValue::String(phrase) = phrase.get_ref() else {
                    return Err(not_a_list());
                };
                let words = tokens(phrase);
                let key_of = comparable(words.iter().map(|token| token.text.as_str()));
                match name {
                    "noise" => phrases.noise.push(key_of),
                    "units" => {
                        let unit = unit_named(key.get_ref())
                            .ok_or_else(|| PhrasesError::UnknownName(key.get_ref().to_string()))?;
                        phrases.units.insert(phrase.to_string(), unit);
                    }
                    "prices" => {
                        let kind = PriceKind::named(key.get_ref())
                            .ok_or_else(|| PhrasesError::UnknownName(key.get_ref().to_string()))?;
                        if phrases.prices.insert(key_of, kind).is_some_and(|earlier| earlier != kind) {
                            return Err(PhrasesError::Twice(phrase.to_string()));
                        }
                    }
                    _ => {
                        let concept = name.parse().map_err(|_| PhrasesError::UnknownName(name.to_owned()))?;
                        phrases.longest = phrases.longest.max(words.len());
                        if phrases.concepts.insert(key_of, concept).is_some_and(|earlier| earlier != concept)
                        {
                            return Err(PhrasesError::Twice(phrase.to_string()));
                        }
                    }
                }
            }
        }
    }
    Ok(phrases)
}

fn unit_named(name: &str) -> Option<Unit> {
    Some(match name {
        "mm" => Unit::Length(LengthUnit::Mm),
        "cm" => Unit::Length(LengthUnit::Cm),
        "in" => Unit::Length(LengthUnit::Inch),
        "kg" => Unit::Mass(MassUnit::Kg),
        "lb" => Unit::Mass(MassUnit::Lb),
        "psi" => Unit::Pressure(PressureUnit::Psi),
        "kpa" => Unit::Pressure(PressureUnit::Kpa),
        "bar" => Unit::Pressure(PressureUnit::Bar),
        _ => return None,
    })
}

/// A word of a heading.
struct Token {
    text: String,
    bracketed: bool,
}

/// The words of a heading, folded. An inch mark becomes `in`, a number sign `no`, and within
/// brackets `lb`.
fn tokens(text: &str) -> Vec<Token> {
    let mut tokens: Vec<Token> = Vec::new();
    let mut word = String::new();
    let mut depth = 0_usize;
    let mut flush = |word: &mut String, bracketed: bool| {
        if !word.is_empty() {
            tokens.push(Token { text: std::mem::take(word), bracketed });
        }
    };
    for c in text.chars() {
        let bracketed = depth > 0;
        match fold(c) {
            '(' | '[' | '{' => {
                flush(&mut word, bracketed);
                depth += 1;
            }
            ')' | ']' | '}' => {
                flush(&mut word, bracketed);
                depth = depth.saturating_sub(1);
            }
            '"' => {
                flush(&mut word, bracketed);
                word.push_str("in");
                flush(&mut word, bracketed);
            }
            '#' => {
                flush(&mut word, bracketed);
                word.push_str(if bracketed { "lb" } else { "no" });
                flush(&mut word, bracketed);
            }
            '№' => word.push_str("no"),
            sign @ ('ø' | '€' | '£') => {
                flush(&mut word, bracketed);
                word.push_str(match sign {
                    '€' => "eur",
                    '£' => "gbp",
                    _ => "diameter",
                });
                flush(&mut word, bracketed);
            }
            // n° and nº
            '°' | 'º' if word == "n" => word.push('o'),
            'ß' | 'ẞ' => word.push_str("ss"),
            'œ' | 'Œ' => word.push_str("oe"),
            // Accents written as characters of their own.
            '\u{300}'..='\u{36f}' | '\u{ad}' => {}
            folded if folded.is_alphanumeric() => word.extend(folded.to_lowercase()),
            _ => flush(&mut word, bracketed),
        }
    }
    flush(&mut word, depth > 0);
    tokens
}

/// Words in the form phrases are compared in: a final s does not count.
fn comparable<'a>(words: impl Iterator<Item = &'a str>) -> String {
    let mut key = String::new();
    for word in words {
        if !key.is_empty() {
            key.push(' ');
        }
        key.push_str(singular(word));
    }
    key
}

fn singular(word: &str) -> &str {
    match word.strip_suffix('s') {
        Some(stem) if stem.len() >= 3 && !stem.ends_with('s') => stem,
        _ => word,
    }
}

/// The word that every heading begins with that rimsieve adds to a sheet it hands back.
pub const OURS: &str = "rimsieve";

/// What a column heading means: `Load Rating (lb)`, `Traglast in kg`, `PCD / Bolt Pattern`.
#[must_use]
pub fn understand(text: &str) -> Heading {
    let phrases = &*PHRASES;
    let tokens = tokens(text);
    // Columns that an annotated sheet carries are ours, and no supplier's.
    if tokens.first().is_some_and(|first| first.text == OURS) {
        let words = comparable(tokens.iter().map(|token| token.text.as_str()));
        return Heading { concept: Some(Concept::LeftOver), unit: None, currency: None, words };
    }
    let (units, currency) = stated(&tokens, phrases);
    let is_unit = |at: usize| units.iter().any(|(place, _)| *place == at);
    // With its unit words first: "max psi" is a phrase of its own.
    let all: Vec<&str> = tokens.iter().map(|token| token.text.as_str()).collect();
    let bare: Vec<&str> = all
        .iter()
        .enumerate()
        .filter(|(at, word)| !is_unit(*at) && !is_currency(word))
        .map(|(_, word)| *word)
        .collect();
    let concept =
        phrases.concepts.get(&comparable(all.iter().copied())).copied().or_else(|| covered(&bare, phrases));
    // "Made in" is no inch, and what holds no fact needs no unit.
    let unit = if concept == Some(Concept::LeftOver) { None } else { one_unit(&units) };
    Heading { concept, unit, currency, words: bare.join(" ") }
}

/// What a heading that names nothing known may mean, among the concepts that `allowed` lets pass: the
/// known phrase nearest in spelling (`Ofset`), else the one that says the same in the fewest further words
/// (`Nuts`: "nut seat", `Cat. No.`: "catalog no").
pub(super) fn nearest_concept(text: &str, allowed: impl Fn(Concept) -> bool) -> Option<Concept> {
    let phrases = &*PHRASES;
    let words = understand(text).words;
    let known = || {
        let facts = |(_, concept): &(&String, &Concept)| **concept != Concept::LeftOver && allowed(**concept);
        phrases.concepts.iter().filter(facts)
    };
    if let Some(near) = crate::document::nearest(&words, known().map(|(phrase, _)| phrase.as_str())) {
        return phrases.concepts.get(&near).copied();
    }
    let all: Vec<&str> = words.split(' ').map(singular).collect();
    let telling: Vec<&str> =
        all.iter().copied().filter(|word| !phrases.noise.iter().any(|noise| noise == word)).collect();
    // A heading of words that tell nothing elsewhere, such as `Rated`, has no others.
    let said = if telling.is_empty() { all } else { telling };
    if !said.iter().any(|word| word.chars().count() >= 3) {
        return None;
    }
    let within = |phrase: &str| {
        let begins = |word: &str, begun: &str| {
            word == begun || (begun.chars().count() >= 3 && word.starts_with(begun))
        };
        said.iter().all(|begun| phrase.split(' ').any(|word| begins(word, begun)))
    };
    let mut votes: BTreeMap<(usize, Concept), usize> = BTreeMap::new();
    for (phrase, concept) in known().filter(|(phrase, _)| within(phrase)) {
        *votes.entry((phrase.split(' ').count(), *concept)).or_default() += 1;
    }
    let (shortest, _) = *votes.keys().next()?;
    let short = votes.iter().filter(|((words, _), _)| *words == shortest);
    // Of equally many phrases the first concept of the list counts.
    short.rev().max_by_key(|(_, votes)| **votes).map(|((_, concept), _)| *concept)
}

/// Whose price a column holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum PriceKind {
    /// What a customer pays: retail, list, `MSRP`, `UVP`.
    Retail,
    /// A price that says no more.
    Plain,
    /// The least that may be advertised.
    Advertised,
    /// What the shop pays: dealer, cost, net.
    Trade,
}

impl PriceKind {
    fn named(name: &str) -> Option<Self> {
        match name {
            "retail" => Some(Self::Retail),
            "advertised" => Some(Self::Advertised),
            "trade" => Some(Self::Trade),
            _ => None,
        }
    }
}

/// Whose price a heading names: `MSRP`, `Dealer cost`, `EK netto`.
pub(super) fn price_kind(text: &str) -> PriceKind {
    let named =
        tokens(text).into_iter().filter_map(|token| PHRASES.prices.get(singular(&token.text)).copied());
    named.min().unwrap_or(PriceKind::Plain)
}

/// The places of the unit words and the currency. `in` is a unit only in brackets or at the end, as
/// it is a preposition otherwise ("Traglast in kg").
fn stated(tokens: &[Token], phrases: &Phrases) -> (Vec<(usize, Unit)>, Option<Currency>) {
    let mut units = Vec::new();
    let mut currency = None;
    let last = tokens.len().saturating_sub(1);
    for (at, token) in tokens.iter().enumerate() {
        if currency.is_none() {
            currency = currency_named(&token.text);
        }
        let Some(unit) = phrases.units.get(&token.text) else {
            continue;
        };
        let preposition = matches!(token.text.as_str(), "in" | "po")
            && !token.bracketed
            && last > 0
            && (at < last || at == 0);
        if !preposition {
            units.push((at, *unit));
        }
    }
    (units, currency)
}

fn currency_named(word: &str) -> Option<Currency> {
    Currency::from_code(word)
}

fn is_currency(word: &str) -> bool {
    currency_named(word).is_some()
}

/// The unit, if only one is stated.
fn one_unit(units: &[(usize, Unit)]) -> Option<Unit> {
    let (_, first) = units.first()?;
    units.iter().all(|(_, unit)| unit == first).then_some(*first)
}

/// The one concept whose phrases, with words that change nothing, make up all of the words.
fn covered(words: &[&str], phrases: &Phrases) -> Option<Concept> {
    let mut found = None;
    let mut at = 0;
    while at < words.len() {
        let rest = words.get(at..)?;
        let phrase = (1..=phrases.longest.min(rest.len())).rev().find_map(|len| {
            let concept = phrases.concepts.get(&comparable(rest.get(..len)?.iter().copied()))?;
            Some((len, *concept))
        });
        match phrase {
            Some((len, concept)) => {
                if found.is_some_and(|earlier| earlier != concept) {
                    return None;
                }
                found = Some(concept);
                at += len;
            }
            None => {
                let word = singular(rest.first()?);
                if !phrases.noise.iter().any(|noise| noise == word) {
                    return None;
                }
                at += 1;
            }
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::{Concept, parse, understand};

    #[test]
    fn the_shipped_list_is_usable_and_covers_every_concept() {
        let phrases = parse(include_str!("headings.toml")).expect("the shipped list");
        for concept in Concept::ALL {
            assert!(phrases.concepts.values().any(|named| named == concept), "{}", concept.name());
            assert_eq!(concept.name().parse(), Ok(*concept));
        }
        assert!(phrases.units.len() > 20);
    }

    #[test]
    fn a_phrase_under_two_concepts_is_refused() {
        assert!(parse("[offset]\nen = [\"et\"]\n[load]\nen = [\"ET\"]").is_err());
        assert!(parse("[ofset]\nen = [\"et\"]").is_err());
    }

    #[test]
    fn every_phrase_is_understood_as_its_concept() {
        let phrases = parse(include_str!("headings.toml")).expect("the shipped list");
        for (phrase, concept) in &phrases.concepts {
            assert_eq!(understand(phrase).concept, Some(*concept), "{phrase}");
        }
    }
}
