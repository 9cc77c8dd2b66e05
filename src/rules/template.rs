//! The sentence a rule says when it fails: text with blanks for facts and figures.

use crate::document::{Fault, Span, nearest};
use crate::facts::field::Field;
use crate::facts::part::Subject;

/// One stretch of a sentence.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Piece {
    /// As it stands.
    Text(String),
    /// The value of a fact, in the supplier's unit and SI.
    Fact(Field),
    /// The trade's words for the fact that decided.
    Subject,
    /// The value that decided.
    Measured,
    /// What it had to meet.
    Required,
    /// By how much it missed.
    Gap,
}

/// A sentence with blanks.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Template {
    pieces: Vec<Piece>,
}

const BLANKS: [(&str, Piece); 4] = [
    ("fact", Piece::Subject),
    ("measured", Piece::Measured),
    ("required", Piece::Required),
    ("gap", Piece::Gap),
];

impl Template {
    /// The facts that it names.
    pub fn facts(&self) -> impl Iterator<Item = Field> {
        self.pieces.iter().filter_map(|piece| match piece {
            Piece::Fact(field) => Some(*field),
            Piece::Text(_) | Piece::Subject | Piece::Measured | Piece::Required | Piece::Gap => None,
        })
    }

    /// Reads a sentence such as `bore {wheel.center_bore} is too small`.
    ///
    /// # Errors
    /// A blank that names neither a fact within reach nor `fact`, `measured`, `required` or `gap`,
    /// and a brace without its partner; with the place in the text.
    pub fn read(text: &str, on: Subject) -> Result<Self, (Span, Fault)> {
        let mut pieces = Vec::new();
        let mut at = 0;
        if let Some(stray) = stray_brace(text) {
            return Err((Span { start: stray, end: stray + 1 }, Fault::OpenBrace));
        }
        while let Some(open) = text[at..].find('{').map(|open| at + open) {
            if open > at {
                pieces.push(Piece::Text(text[at..open].to_owned()));
            }
            let Some(close) = text[open..].find('}').map(|close| open + close) else {
                return Err((Span { start: open, end: text.len() }, Fault::OpenBrace));
            };
            let name = &text[open + 1..close];
            pieces.push(blank(name, on).ok_or_else(|| {
                let known: Vec<String> = known_blanks(on);
                let nearest = nearest(name, known.iter().map(String::as_str));
                let fault = Fault::UnknownBlank { name: name.to_owned(), nearest };
                (Span { start: open, end: close + 1 }, fault)
            })?);
            at = close + 1;
        }
        if at < text.len() {
            pieces.push(Piece::Text(text[at..].to_owned()));
        }
        Ok(Self { pieces })
    }

    /// Whether it tells by how much a value misses, or what is left.
    #[must_use]
    pub fn tells_gap(&self) -> bool {
        self.pieces.contains(&Piece::Gap)
    }

    /// The stretches in order.
    #[must_use]
    pub fn pieces(&self) -> &[Piece] {
        &self.pieces
    }
}

/// A closing brace that no open one stands before.
fn stray_brace(text: &str) -> Option<usize> {
    let mut open = false;
    for (at, letter) in text.char_indices() {
        match letter {
            '{' => open = true,
            '}' if !open => return Some(at),
            '}' => open = false,
            _ => {}
        }
    }
    None
}

fn known_blanks(on: Subject) -> Vec<String> {
    let facts = Field::ALL.iter().filter(|field| on.reaches(**field)).map(|field| field.full_name());
    BLANKS.iter().map(|(name, _)| (*name).to_owned()).chain(facts).collect()
}

fn blank(name: &str, on: Subject) -> Option<Piece> {
    let word = BLANKS.iter().find(|(known, _)| *known == name).map(|(_, piece)| piece.clone());
    word.or_else(|| Field::from_full_name(name).filter(|field| on.reaches(*field)).map(Piece::Fact))
}
