//! What a column may hold whose heading does not say it: asked about, never taken for a fact.
//!
//! The cells tell more than a misspelt or unusual word: `16x6.5` is a wheel size under any heading.

use std::collections::BTreeSet;

use crate::facts::part::PartKind;
use crate::intake::fields::fields_of;
use crate::intake::heading::{Concept, nearest_concept};
use crate::intake::row_words::looks_like_a_number;
use crate::notation::money::money;
use crate::notation::pattern::bolt_patterns;
use crate::notation::quantity::{mass, pressure};
use crate::notation::seat::seat;
use crate::notation::service::{load_indices, service_description};
use crate::notation::tire::tire;
use crate::notation::wheel::wheel_size;
use crate::sheet::{Column, Row};
use crate::trade::bounds;

/// What a column may hold.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Offer {
    /// The kind of column that a profile would say it is.
    pub(super) concept: Concept,
    /// What its cells look like, in words; none where only the heading's words hint at it.
    pub(super) looks: Option<&'static str>,
}

impl Offer {
    /// The offer as a question that ends a sentence on the column.
    pub(super) fn asks(self) -> String {
        let looks = self.looks.map_or_else(String::new, |looks| format!("its cells look like {looks}: "));
        format!("{looks}is `{}` meant?", self.concept.name())
    }
}

/// Rows below the headings that are looked at, and cells among them that are enough.
const ROWS: usize = 200;
const CELLS: usize = 40;

/// The first rows of a table; a title or note, which stands alone in its row, is none.
pub(super) fn first_rows<'t>(rows: impl Iterator<Item = Row<'t>>) -> Vec<Row<'t>> {
    rows.take(ROWS).filter(|row| row.cells().len() > 1).collect()
}

/// The first cells of a column.
pub(super) fn cells_of<'t>(rows: &[Row<'t>], column: Column) -> Vec<&'t str> {
    let cells = rows.iter().filter_map(|row| row.cell(column)).map(|cell| cell.text.trim());
    cells.filter(|text| !text.is_empty()).take(CELLS).collect()
}

/// What the cells of a column with an unknown heading look like, else what its words are nearest to.
pub(super) fn of_unknown(
    heading: &str,
    cells: &[&str],
    kinds: &[PartKind],
    held: &BTreeSet<Concept>,
) -> Option<Offer> {
    if let Some(offer) = by_cells(cells, UNMISTAKABLE.iter().chain(FURTHER), kinds) {
        return Some(offer);
    }
    if heading.contains(['£', '€', '$']) {
        return Some(Offer { concept: Concept::Price, looks: None });
    }
    let digits = |text: &&&str| text.bytes().any(|letter| letter.is_ascii_digit());
    let letters = |text: &&&str| text.chars().any(char::is_alphabetic);
    let (figures, words) = (cells.iter().filter(digits).count(), cells.iter().filter(letters).count());
    let allowed = |concept: Concept| {
        let of_kind = |kind: &PartKind| !fields_of(concept, *kind).is_empty();
        let fits = if is_wordy(concept) { words > 0 || figures == 0 } else { figures > 0 || words == 0 };
        (kinds.iter().any(of_kind) || is_of_both(concept)) && fits
    };
    let near = nearest_concept(heading, allowed).map(|concept| Offer { concept, looks: None });
    near.or_else(|| part_numbers(cells).filter(|offer| !held.contains(&offer.concept)))
}

/// What the cells of a column look like whose heading is known to hold no fact.
pub(super) fn of_left_over(cells: &[&str], kinds: &[PartKind]) -> Option<Offer> {
    by_cells(cells, UNMISTAKABLE.iter(), kinds)
}

/// What the cells of a column look like that its heading's reading does not understand.
pub(super) fn of_misread(concept: Concept, cells: &[&str], kinds: &[PartKind]) -> Option<Offer> {
    by_cells(cells, UNMISTAKABLE.iter().chain(FURTHER), kinds).filter(|offer| offer.concept != concept)
}

/// Sizes in a column for free text, where no other column holds them.
pub(super) fn of_words(cells: &[&str], kinds: &[PartKind], held: &BTreeSet<Concept>) -> Option<Offer> {
    by_cells(cells, UNMISTAKABLE.iter(), kinds)
        .filter(|offer| !held.contains(&offer.concept) && !held.contains(&Concept::Description))
}

struct Look {
    concept: Concept,
    words: &'static str,
    /// The kind of part that such cells are about; both, if none.
    only: Option<PartKind>,
    fits: fn(&str) -> bool,
}

const UNMISTAKABLE: &[Look] = &[
    Look {
        concept: Concept::Size,
        words: "tire sizes",
        only: Some(PartKind::Tire),
        fits: |text| tire(text).is_ok(),
    },
    Look {
        concept: Concept::BoltPattern,
        words: "bolt patterns",
        only: Some(PartKind::Wheel),
        fits: |text| bolt_patterns(text, None).is_ok_and(|found| !found.is_empty()),
    },
    Look {
        concept: Concept::Size,
        words: "wheel sizes (rim diameter and rim width)",
        only: Some(PartKind::Wheel),
        fits: |text| wheel_size(text, None).is_ok(),
    },
];

/// Looks that count only where the heading tells nothing, or its own reading fails.
const FURTHER: &[Look] = &[
    Look {
        concept: Concept::Link,
        words: "addresses of pages",
        only: None,
        fits: |text| ["http://", "https://", "www."].iter().any(|start| text.starts_with(start)),
    },
    Look {
        concept: Concept::LoadAndSpeed,
        words: "service descriptions (load index and speed symbol)",
        only: Some(PartKind::Tire),
        fits: |text| {
            service_description(text).is_ok_and(|read| read.single.is_some() && read.speed.is_some())
        },
    },
    Look {
        concept: Concept::LoadIndex,
        words: "load indices, single and dual",
        only: Some(PartKind::Tire),
        fits: |text| load_indices(text).is_ok_and(|read| read.dual.is_some()),
    },
    Look {
        concept: Concept::Load,
        words: "loads",
        only: None,
        fits: |text| {
            mass(text, None, &bounds::TIRE_LOAD, None)
                .is_ok_and(|read| bounds::TIRE_LOAD.contains(read.value))
        },
    },
    Look {
        concept: Concept::MaxPressure,
        words: "pressures",
        only: None,
        fits: |text| pressure(text, None, &bounds::MAX_PRESSURE, None).is_ok(),
    },
    Look {
        concept: Concept::Seat,
        words: "seats of lug nuts or bolts",
        only: Some(PartKind::Wheel),
        fits: |text| text.chars().filter(|letter| letter.is_alphabetic()).count() > 2 && seat(text).is_ok(),
    },
    Look {
        concept: Concept::Offset,
        words: "offsets",
        only: Some(PartKind::Wheel),
        fits: |text| {
            let behind =
                text.get(..2).filter(|start| start.eq_ignore_ascii_case("et")).and_then(|_| text.get(2..));
            behind.is_some_and(|rest| {
                rest.trim_start_matches([' ', '+', '-']).starts_with(|c: char| c.is_ascii_digit())
            })
        },
    },
    Look {
        concept: Concept::Price,
        words: "prices",
        only: None,
        fits: |text| money(text, None).is_ok_and(|read| read.currency.is_some()),
    },
];

/// Whether enough of the cells look like something: nine of ten, and two at least.
fn by_cells<'l>(cells: &[&str], looks: impl Iterator<Item = &'l Look>, kinds: &[PartKind]) -> Option<Offer> {
    if cells.len() < 2 {
        return None;
    }
    let mut possible = looks.filter(|look| look.only.is_none_or(|only| kinds.contains(&only)));
    let look = possible.find(|look| {
        let fitting = cells.iter().filter(|text| (look.fits)(text)).count();
        fitting * 10 >= cells.len() * 9
    })?;
    Some(Offer { concept: look.concept, looks: Some(look.words) })
}

/// One word with digits in each cell, and no two alike.
fn part_numbers(cells: &[&str]) -> Option<Offer> {
    let alike = cells.iter().collect::<BTreeSet<_>>().len() < cells.len();
    let fits = |text: &&str| looks_like_a_number(text) && text.chars().any(char::is_alphabetic);
    let found = cells.len() > 2 && !alike && cells.iter().all(fits);
    found.then_some(Offer { concept: Concept::Sku, looks: Some("part numbers") })
}

/// Concepts whose cells are words, of either kind of part.
fn is_wordy(concept: Concept) -> bool {
    use Concept as C;
    matches!(
        concept,
        C::Supplier
            | C::Name
            | C::Finish
            | C::Kind
            | C::Seat
            | C::Beadlock
            | C::Markings
            | C::Description
            | C::Tread
            | C::Service
            | C::Construction
            | C::SpeedSymbol
            | C::LoadRange
            | C::SnowMark
            | C::MudSnow
            | C::Link
            | C::Image
    )
}

/// Concepts that state no fact of one kind of part alone.
fn is_of_both(concept: Concept) -> bool {
    matches!(
        concept,
        Concept::Sku | Concept::Kind | Concept::Description | Concept::Price | Concept::Link | Concept::Image
    )
}
