//! Packages: quotes for people, and one JSON object a line.

mod account;
mod machine;
mod people;

pub use account::{Account, write as write_account, write_json as write_account_json};
pub use machine::write_lines;
pub use people::{write, write_aside};

use crate::judge::Judgement;
use crate::judge::pairing::Pairing;
use crate::quote::Quote;
use crate::report::record::Judged;

/// The packages of one van, quoted.
#[derive(Debug)]
pub struct Offer<'o> {
    /// What pairing came to.
    pub pairing: &'o Pairing,
    /// The quotes of what it lists, in the same order.
    pub quotes: Vec<Quote<'o>>,
    /// Whether each package comes with its care card.
    pub care: bool,
}

/// What a quote's finding is about, to find the cells of its facts.
fn judged<'q>(judgement: &'q Judgement<'_>, quote: &Quote<'q>) -> Judged<'q> {
    Judged::Package {
        wheel: (judgement.spec(quote.wheel), quote.wheel),
        tire: (judgement.spec(quote.tire), quote.tire),
    }
}
