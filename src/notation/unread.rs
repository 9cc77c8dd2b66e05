//! Why a cell could not be read, in words a parts person would use.

/// Why the text of a cell gives no value.
///
/// The sentence of each variant is shown as the "why" of an unreadable fact, after the name of
/// the fact and the cell's own text, so it names neither.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, thiserror::Error)]
pub enum Unread {
    /// The text is in none of the spellings known for this fact.
    #[error("not understood")]
    NotUnderstood,
    /// The cell holds a filler such as `-`, `n/a` or `call`.
    #[error("only a filler stands there")]
    SaysNothing,
    /// The cell shows an error of the spreadsheet program, such as `#REF!`.
    #[error("the spreadsheet shows an error here")]
    SpreadsheetError,
    /// A figure without a unit where the size does not settle it.
    #[error("unit not stated")]
    UnitNotStated,
    /// `1.450` or `3,200`: the mark may set off thousands or decimals.
    #[error("the mark in the number may set off thousands or decimals")]
    AmbiguousNumber,
    /// A unit mark that stands for two units, such as a single prime.
    #[error("the unit mark has two meanings")]
    AmbiguousUnit,
    /// The cell states two different values.
    #[error("two different values in one cell")]
    TwoMeanings,
    /// A week and year that no calendar has.
    #[error("no such week and year")]
    ImpossibleDate,
    /// A three-digit tire date code, used before the year 2000, that does not tell its decade.
    #[error("a date code of before 2000 that does not tell the decade")]
    DateWithoutDecade,
    /// The text is a calendar date, as left by a spreadsheet program that converted `6-12`.
    #[error("a date stands here, perhaps made from a pattern or size by a spreadsheet program")]
    LooksLikeDate,
    /// The wheel is sold without bolt holes.
    #[error("sold undrilled")]
    Undrilled,
    /// A load index or speed symbol that no table lists.
    #[error("no such load index or speed symbol")]
    NoSuchService,
    /// Nothing in the size tells light-truck, commercial and passenger service apart.
    #[error("the size does not tell light-truck, commercial and passenger service apart")]
    ServiceNotStated,
}
