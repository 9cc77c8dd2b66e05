//! Heading words: which concept a column heading names, and in which unit.
//!
//! The words are data (`headings.toml`). A heading counts only when all of its words are accounted
//! for, by phrases of one concept, unit words and words that change nothing; "Front offset" is
//! therefore not an offset, and is left for the buyer to decide.

mod phrases;
mod singular;

use std::collections::BTreeMap;

use thiserror::Error;

use crate::notation::money::Currency;
use crate::notation::quantity::Unit;
use crate::notation::text::fold;

use singular::singular;

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

/// The words of a heading, folded, one behind another.
#[derive(Default)]
struct Words {
    text: String,
    words: Vec<Word>,
}

/// A word of a heading.
#[derive(Clone, Copy)]
struct Word {
    start: usize,
    end: usize,
    bracketed: bool,
}

impl Words {
    /// The words of a heading. An inch mark becomes `in`, a number sign `no`, and within brackets `lb`.
    fn of(heading: &str) -> Self {
        let mut words = Self { text: String::with_capacity(heading.len() + 8), words: Vec::with_capacity(8) };
        let mut depth = 0_usize;
        for c in heading.chars() {
            let bracketed = depth > 0;
            match fold(c) {
                '(' | '[' | '{' => {
                    words.end(bracketed);
                    depth += 1;
                }
                ')' | ']' | '}' => {
                    words.end(bracketed);
                    depth = depth.saturating_sub(1);
                }
                '"' => words.sign("in", bracketed),
                '#' => words.sign(if bracketed { "lb" } else { "no" }, bracketed),
                '€' => words.sign("eur", bracketed),
                '£' => words.sign("gbp", bracketed),
                'ø' => words.sign("diameter", bracketed),
                '№' => words.text.push_str("no"),
                // n° and nº
                '°' | 'º' if words.open() == "n" => words.text.push('o'),
                'ß' | 'ẞ' => words.text.push_str("ss"),
                'œ' | 'Œ' => words.text.push_str("oe"),
                // Accents written as characters of their own.
                '\u{300}'..='\u{36f}' | '\u{ad}' => {}
                // Folding has made them lower case.
                folded if folded.is_ascii_alphanumeric() => words.text.push(folded),
                folded if folded.is_alphanumeric() => words.text.extend(folded.to_lowercase()),
                _ => words.end(bracketed),
            }
        }
        words.end(depth > 0);
        words
    }

    /// Where the word begins that has not ended yet.
    fn begun(&self) -> usize {
        self.words.last().map_or(0, |word| word.end)
    }

    /// The word that has not ended yet.
    fn open(&self) -> &str {
        self.text.get(self.begun()..).unwrap_or_default()
    }

    /// Ends a word, if one has begun.
    fn end(&mut self, bracketed: bool) {
        let (start, end) = (self.begun(), self.text.len());
        if start < end {
            self.words.push(Word { start, end, bracketed });
        }
    }

    /// Adds a word of its own that a sign stands for.
    fn sign(&mut self, meaning: &str, bracketed: bool) {
        self.end(bracketed);
        self.text.push_str(meaning);
        self.end(bracketed);
    }

    fn text(&self, word: Word) -> &str {
        self.text.get(word.start..word.end).unwrap_or_default()
    }

    fn iter(&self) -> impl ExactSizeIterator<Item = (&str, Word)> {
        self.words.iter().map(|word| (self.text(*word), *word))
    }
}

/// Words in the form that phrases are compared in: each [`singular`], one space between.
#[derive(Default)]
struct Compared {
    text: String,
    /// Where each word begins and ends.
    places: Vec<(usize, usize)>,
}

impl Compared {
    fn of<'w>(words: impl ExactSizeIterator<Item = &'w str>) -> Self {
        let mut compared = Self { text: String::with_capacity(64), places: Vec::with_capacity(words.len()) };
        for word in words {
            if !compared.text.is_empty() {
                compared.text.push(' ');
            }
            let start = compared.text.len();
            compared.text.push_str(singular(word));
            compared.places.push((start, compared.text.len()));
        }
        compared
    }

    /// So many words from one on.
    fn some(&self, from: usize, count: usize) -> Option<&str> {
        let (start, _) = self.places.get(from)?;
        let (_, end) = self.places.get(from + count - 1)?;
        self.text.get(*start..*end)
    }
}

/// The word that every heading begins with that rimsieve adds to a sheet it hands back.
pub const OURS: &str = "rimsieve";

/// What a column heading means: `Load Rating (lb)`, `Traglast in kg`, `PCD / Bolt Pattern`.
#[must_use]
pub fn understand(text: &str) -> Heading {
    let words = Words::of(text);
    // Columns that an annotated sheet carries are ours, and no supplier's.
    if words.iter().next().is_some_and(|(first, _)| first == OURS) {
        let words = Compared::of(words.iter().map(|(word, _)| word)).text;
        return Heading { concept: Some(Concept::LeftOver), unit: None, currency: None, words };
    }
    let (mut units, mut currency) = (Vec::new(), None);
    let mut bare = Vec::with_capacity(words.words.len());
    for (at, (word, place)) in words.iter().enumerate() {
        let named = Currency::from_code(word);
        currency = currency.or(named);
        match unit_at(&words, at, place) {
            Some(unit) => units.push(unit),
            None if named.is_none() => bare.push(word),
            None => {}
        }
    }
    let compared = Compared::of(bare.iter().copied());
    // With its unit words first: "max psi" is a phrase of its own.
    let whole = if bare.len() == words.words.len() {
        phrases::concept(&compared.text)
    } else {
        phrases::concept(&Compared::of(words.iter().map(|(word, _)| word)).text)
    };
    let concept = whole.or_else(|| covered(&compared));
    // "Made in" is no inch, and what holds no fact needs no unit.
    let unit = if concept == Some(Concept::LeftOver) { None } else { one_unit(&units) };
    Heading { concept, unit, currency, words: bare.join(" ") }
}

/// What a heading that names nothing known may mean, among the concepts that `allowed` lets pass: the
/// known phrase nearest in spelling (`Ofset`), else the one that says the same in the fewest further words
/// (`Nuts`: "nut seat", `Cat. No.`: "catalog no").
pub(super) fn nearest_concept(text: &str, allowed: impl Fn(Concept) -> bool) -> Option<Concept> {
    let words = understand(text).words;
    let known = || {
        let facts = |(_, concept): &(&str, Concept)| *concept != Concept::LeftOver && allowed(*concept);
        phrases::known().filter(facts)
    };
    if let Some(near) = crate::document::nearest(&words, known().map(|(phrase, _)| phrase)) {
        return phrases::concept(&near);
    }
    let all: Vec<&str> = words.split(' ').map(singular).collect();
    let telling: Vec<&str> = all.iter().copied().filter(|word| !phrases::is_noise(word)).collect();
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
        *votes.entry((phrase.split(' ').count(), concept)).or_default() += 1;
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

/// Whose price a heading names: `MSRP`, `Dealer cost`, `EK netto`.
pub(super) fn price_kind(text: &str) -> PriceKind {
    let words = Words::of(text);
    let named = words.iter().filter_map(|(word, _)| phrases::price(singular(word)));
    named.min().unwrap_or(PriceKind::Plain)
}

/// The unit that the word at a place is. `in` is a unit only in brackets or at the end, as it is a
/// preposition otherwise ("Traglast in kg").
fn unit_at(words: &Words, at: usize, word: Word) -> Option<Unit> {
    let text = words.text(word);
    let unit = phrases::unit(text)?;
    let last = words.words.len() - 1;
    let preposition = matches!(text, "in" | "po") && !word.bracketed && last > 0 && (at < last || at == 0);
    (!preposition).then_some(unit)
}

/// The unit, if only one is stated.
fn one_unit(units: &[Unit]) -> Option<Unit> {
    let first = units.first()?;
    units.iter().all(|unit| unit == first).then_some(*first)
}

/// The one concept whose phrases, with words that change nothing, make up all of the words.
fn covered(words: &Compared) -> Option<Concept> {
    let count = words.places.len();
    let mut found = None;
    let mut at = 0;
    while at < count {
        let phrase = (1..=phrases::MOST_WORDS.min(count - at))
            .rev()
            .find_map(|len| Some((len, phrases::concept(words.some(at, len)?)?)));
        match phrase {
            Some((len, concept)) => {
                if found.is_some_and(|earlier| earlier != concept) {
                    return None;
                }
                found = Some(concept);
                at += len;
            }
            None => {
                if !phrases::is_noise(words.some(at, 1)?) {
                    return None;
                }
                at += 1;
            }
        }
    }
    found
}
