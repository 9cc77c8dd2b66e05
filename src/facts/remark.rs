//! The kinds of remarks, as outputs name them.

use std::fmt;
use std::sync::Arc;

macro_rules! remark_kinds {
    ($( $(#[$doc:meta])* $variant:ident $name:literal, )+) => {
        /// What a remark is about.
        #[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum RemarkKind {
            $( $(#[$doc])* $variant, )+
            /// Facts of one row that a sense check of the rules finds cannot all be true; its name.
            SenseCheck(Arc<str>),
        }

        impl RemarkKind {
            /// Every kind that no rule file adds, in the order of this list.
            pub const OWN: &'static [Self] = &[$( Self::$variant, )+];

            /// The name in outputs.
            #[must_use]
            pub fn name(&self) -> &str {
                match self {
                    $( Self::$variant => $name, )+
                    Self::SenseCheck(name) => name,
                }
            }
        }
    };
}

// In the order of their names, which is the order of several remarks on one cell.
remark_kinds! {
    /// An answer is not needed: the sheet states another value clearly.
    AnswerNotUsed "answer-not-used",
    /// An answer cannot be read.
    AnswerUnreadable "answer-unreadable",
    /// An answer is about no part of these sheets, or about more than one.
    AnswerWithoutPart "answer-without-part",
    /// An answer no longer tells what it answers.
    AnswerWithoutQuestion "answer-without-question",
    /// Cone seats without an angle were read as 60 degrees.
    ConeAngleAssumed "cone-angle-assumed",
    /// A date stands where a size, a pattern or a figure belongs.
    DateForText "date-for-text",
    /// A column's cells look like something else than its heading says.
    HeadingAndCells "heading-and-cells",
    /// A heading names nothing known.
    HeadingNotKnown "heading-not-known",
    /// Rows or columns that a spreadsheet program does not show.
    Hidden "hidden",
    /// Numbers with an unclear mark were read the only way that is possible.
    NumberBySize "number-by-size",
    /// A row sells something that is neither wheel nor tire.
    OtherGoods "other-goods",
    /// Of several price columns one counts.
    PriceChosen "price-chosen",
    /// A row that may be a part, but cannot be understood.
    RowNotUnderstood "row-not-understood",
    /// A part number with nothing beside it.
    RowWithoutFacts "row-without-facts",
    /// A second table stands beside the first.
    SecondTable "second-table",
    /// A tab or a row has no part number.
    SkuNotStated "sku-not-stated",
    /// One part number of one supplier stands on several rows.
    SkuRepeated "sku-repeated",
    /// Two cells of a row state one fact, and do not agree.
    StatedTwice "stated-twice",
    /// A tab that a spreadsheet program does not show.
    TabHidden "tab-hidden",
    /// Figures without a unit were read in the only unit possible at their size.
    UnitBySize "unit-by-size",
    /// A note between the rows names another unit than the headings.
    UnitInDoubt "unit-in-doubt",
    /// A figure whose unit nothing states.
    UnitNotStated "unit-not-stated",
    /// Another column proves the unit of a column that states none.
    UnitProven "unit-proven",
    /// A cell cannot be read as what its column holds.
    Unreadable "unreadable",
}

impl fmt::Display for RemarkKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}
