//! `headings.toml` to sorted tables, which are searched as they are: a part of the build script.

#[path = "singular.rs"]
mod singular;

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::{self, Write as _};

use toml::de::{DeTable, DeValue};

use singular::singular;

/// Why the list of heading words is unusable.
#[derive(Debug, PartialEq, Eq)]
pub(crate) enum Refused {
    /// No TOML.
    NotToml(String),
    /// Something else than lists of phrases by language.
    NotAList(String),
    /// A phrase that no heading is compared with: not as it reads after normalization.
    NotPlain(String),
    /// A phrase under two names.
    Twice(String),
}

impl fmt::Display for Refused {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotToml(why) => write!(f, "headings: no TOML: {why}"),
            Self::NotAList(name) => write!(f, "headings: `{name}` is no list of phrases by language"),
            Self::NotPlain(phrase) => {
                write!(
                    f,
                    "headings: `{phrase}` is not in lower case letters and digits, one space between words"
                )
            }
            Self::Twice(phrase) => write!(f, "headings: the phrase `{phrase}` stands twice"),
        }
    }
}

impl std::error::Error for Refused {}

/// The phrases, each with the name that it stands under.
#[derive(Default)]
struct Phrases {
    concepts: BTreeMap<String, String>,
    units: BTreeMap<String, String>,
    prices: BTreeMap<String, String>,
    noise: BTreeSet<String>,
    longest: usize,
}

/// The tables, as Rust: names as constants and variants, so that one that nobody knows does not compile.
///
/// # Errors
/// [`Refused`], for the first thing that cannot stand in the list.
pub(crate) fn tables(text: &str) -> Result<String, Refused> {
    let phrases = read(text)?;
    let mut rust = String::new();
    let concepts =
        phrases.concepts.iter().map(|(phrase, name)| (phrase, format!("Concept::{}", variant(name))));
    table(&mut rust, "CONCEPTS", "Concept", concepts);
    let units = phrases.units.iter().map(|(phrase, name)| (phrase, name.to_uppercase()));
    table(&mut rust, "UNITS", "Unit", units);
    let prices =
        phrases.prices.iter().map(|(phrase, name)| (phrase, format!("PriceKind::{}", variant(name))));
    table(&mut rust, "PRICES", "PriceKind", prices);
    table(&mut rust, "NOISE", "()", phrases.noise.iter().map(|word| (word, "()".to_owned())));
    // Writing to a text cannot fail.
    let _ = writeln!(rust, "const LONGEST: usize = {};", phrases.longest);
    Ok(rust)
}

fn table<'p>(rust: &mut String, name: &str, kind: &str, phrases: impl Iterator<Item = (&'p String, String)>) {
    let (mut text, mut rows) = (String::new(), String::new());
    for (phrase, meaning) in phrases {
        let start = text.len();
        text.push_str(phrase);
        let _ = writeln!(rows, "    ({start}, {}, {meaning}),", text.len());
    }
    let _ = writeln!(rust, "static {name}: Table<{kind}> = Table {{ text: {text:?}, rows: &[\n{rows}] }};");
}

/// `load_index` as a variant: `LoadIndex`.
fn variant(name: &str) -> String {
    let capitalized = |word: &str| {
        let mut letters = word.chars();
        letters
            .next()
            .map_or_else(String::new, |first| first.to_ascii_uppercase().to_string() + letters.as_str())
    };
    name.split('_').map(capitalized).collect()
}

fn read(text: &str) -> Result<Phrases, Refused> {
    let table = DeTable::parse(text).map_err(|error| Refused::NotToml(error.to_string()))?;
    let mut phrases = Phrases::default();
    for (name, lists) in table.get_ref() {
        let name = name.get_ref().as_ref();
        let not_a_list = || Refused::NotAList(name.to_owned());
        let DeValue::Table(lists) = lists.get_ref() else { return Err(not_a_list()) };
        for (key, list) in lists {
            let DeValue::Array(list) = list.get_ref() else { return Err(not_a_list()) };
            for phrase in list {
                let DeValue::String(phrase) = phrase.get_ref() else { return Err(not_a_list()) };
                phrases.add(name, key.get_ref(), phrase)?;
            }
        }
    }
    Ok(phrases)
}

impl Phrases {
    /// Adds a phrase of the table `name`, from its list `key`: a language, or what the phrase stands for.
    fn add(&mut self, name: &str, key: &str, phrase: &str) -> Result<(), Refused> {
        let words: Vec<&str> = phrase.split(' ').collect();
        let plain = |word: &&str| {
            !word.is_empty()
                && word.bytes().all(|letter| letter.is_ascii_lowercase() || letter.is_ascii_digit())
        };
        if !words.iter().all(plain) {
            return Err(Refused::NotPlain(phrase.to_owned()));
        }
        let compared = words.iter().map(|word| singular(word)).collect::<Vec<_>>().join(" ");
        let (table, compared, stands_for) = match name {
            "noise" => {
                self.noise.insert(compared);
                return Ok(());
            }
            // Units are compared letter for letter.
            "units" => (&mut self.units, phrase.to_owned(), key),
            "prices" => (&mut self.prices, compared, key),
            _ => {
                self.longest = self.longest.max(words.len());
                (&mut self.concepts, compared, name)
            }
        };
        match table.insert(compared, stands_for.to_owned()) {
            Some(earlier) if earlier != stands_for => Err(Refused::Twice(phrase.to_owned())),
            _ => Ok(()),
        }
    }
}
