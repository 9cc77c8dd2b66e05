//! Which of several price columns counts.
//!
//! A part has one price. Mixing what a customer pays with what the shop pays, or euros with dollars, row
//! by row would make every total wrong; so one column counts, and the sheet's reader is told which.

use crate::intake::column::ColumnPlan;
use crate::intake::heading::{Concept, PriceKind, price_kind};
use crate::intake::profile::Profile;
use crate::intake::row_words::one_line;
use crate::sheet::Column;

/// The price column that counts, where there are several.
#[derive(Clone, Debug)]
pub(super) struct PriceChoice {
    /// The column.
    pub(super) column: Column,
    /// Its heading.
    pub(super) heading: String,
    /// The others, with their headings; they are left alone.
    pub(super) others: Vec<(Column, String)>,
    because: Because,
}

/// Why a price column counts.
#[derive(Clone, Copy, Debug)]
enum Because {
    Profile,
    Kind(PriceKind),
    First,
}

impl PriceChoice {
    /// What it means for one of the columns; none where that is no price.
    pub(super) fn says_of(&self, column: Column) -> Option<String> {
        let other = self.others.iter().any(|(other, _)| *other == column);
        if column == self.column {
            Some(self.says())
        } else {
            other.then(|| format!("a price too, but {} `{}` counts", self.column, one_line(&self.heading)))
        }
    }

    /// The choice as a sentence.
    pub(super) fn says(&self) -> String {
        let others: Vec<String> =
            self.others.iter().map(|(column, heading)| format!("{column} `{}`", one_line(heading))).collect();
        let because = match self.because {
            Because::Profile => "as the profile says",
            Because::Kind(PriceKind::Retail) => "being what a customer pays",
            Because::Kind(PriceKind::Plain) => "being no dealer's and no advertised price",
            Because::Kind(PriceKind::Advertised | PriceKind::Trade) => {
                "being nearest to what a customer pays"
            }
            Because::First => "being the first of its kind",
        };
        format!(
            "of several prices {} `{}` counts, {because}; {} {} left alone. A profile can choose another",
            self.column,
            one_line(&self.heading),
            others.join(", "),
            if others.len() == 1 { "is" } else { "are" },
        )
    }
}

/// Keeps the price column that counts: what the profile states, else what a customer pays, else the first.
pub(super) fn choose_price(columns: &mut Vec<ColumnPlan>, profile: Option<&Profile>) -> Option<PriceChoice> {
    let stated = |plan: &ColumnPlan| profile.is_some_and(|profile| profile.column(&plan.heading).is_some());
    let prices: Vec<(bool, PriceKind, Column)> = columns
        .iter()
        .filter(|plan| plan.concept == Concept::Price)
        .map(|plan| (!stated(plan), price_kind(&plan.heading), plan.column))
        .collect();
    let best = *prices.iter().min().filter(|_| prices.len() > 1)?;
    let (unstated, kind, column) = best;
    let alike = |alike: &dyn Fn(&(bool, PriceKind, Column)) -> bool| {
        prices.iter().filter(|price| alike(price)).count()
    };
    let because = if !unstated && alike(&|price| !price.0) == 1 {
        Because::Profile
    } else if alike(&|price| (price.0, price.1) == (unstated, kind)) == 1 {
        Because::Kind(kind)
    } else {
        Because::First
    };
    let (counts, others): (Vec<ColumnPlan>, Vec<ColumnPlan>) = std::mem::take(columns)
        .into_iter()
        .partition(|plan| plan.concept != Concept::Price || plan.column == column);
    *columns = counts;
    let heading = columns.iter().find(|plan| plan.column == column).map(|plan| plan.heading.clone())?;
    let others = others.into_iter().map(|plan| (plan.column, plan.heading)).collect();
    Some(PriceChoice { column, heading, others, because })
}
