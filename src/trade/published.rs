//! Published tire dimensions and permitted rim widths, by exact designation.
//!
//! A table is asked only where a formula has no answer: the overall diameter and section of a size
//! without an aspect ratio, measuring rims, and the rim widths a tire may be mounted on. Rows marked
//! [`Evidence::Seen`] were read in the text named above them; rows marked [`Evidence::Memory`] are
//! recalled and **must be confirmed against the standard before anyone relies on them**. Nearly all
//! rim-width limits are of the second kind.
//!
//! Designations match exactly: `235/65R16` is not `235/65R16C`, and a `ZR` is not an `R`.

use super::quantity::Length;
use super::tire::{Construction, RimCode, Service, Size, Suffix};

/// How a published figure reached this table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Evidence {
    /// Read in the text named beside the row.
    Seen,
    /// Recalled from the standard named beside the row; to be confirmed.
    Memory,
}

/// One published row of tire dimensions: a new tire on its measuring rim, unloaded.
#[derive(Clone, Copy, Debug)]
pub struct Dimensions {
    size: Size,
    measuring_rim_half_inches: u8,
    section_mm: u16,
    diameter_mm: u16,
    evidence: Evidence,
}

impl Dimensions {
    /// The designation the row is for.
    #[must_use]
    pub fn size(&self) -> Size {
        self.size
    }

    /// Width of the rim the section was measured on.
    #[must_use]
    pub fn measuring_rim(&self) -> Length {
        half_inches(self.measuring_rim_half_inches)
    }

    /// Section width on the measuring rim; a few makers print the nominal width instead.
    #[must_use]
    pub fn section(&self) -> Length {
        Length::from_mm(f64::from(self.section_mm))
    }

    /// Overall diameter; mud- and all-terrain patterns are printed 6 mm over the design value.
    #[must_use]
    pub fn diameter(&self) -> Length {
        Length::from_mm(f64::from(self.diameter_mm))
    }

    /// How the row reached this table.
    #[must_use]
    pub fn evidence(&self) -> Evidence {
        self.evidence
    }
}

/// The rim widths a tire may be mounted on, both ends permitted.
#[derive(Clone, Copy, Debug)]
pub struct RimWidths {
    size: Size,
    least_half_inches: u8,
    most_half_inches: u8,
    measuring_half_inches: u8,
    evidence: Evidence,
}

impl RimWidths {
    /// The designation the row is for.
    #[must_use]
    pub fn size(&self) -> Size {
        self.size
    }

    /// The narrowest permitted rim.
    #[must_use]
    pub fn least(&self) -> Length {
        half_inches(self.least_half_inches)
    }

    /// The widest permitted rim.
    #[must_use]
    pub fn most(&self) -> Length {
        half_inches(self.most_half_inches)
    }

    /// Width of the measuring rim.
    #[must_use]
    pub fn measuring_rim(&self) -> Length {
        half_inches(self.measuring_half_inches)
    }

    /// How the limits reached this table.
    #[must_use]
    pub fn evidence(&self) -> Evidence {
        self.evidence
    }
}

/// The published dimensions of exactly this designation. Where two rows give one designation, the
/// one that was seen is preferred over the one recalled: for four LT sizes that is a mud-terrain
/// pattern, 6 mm over the design diameter.
#[must_use]
pub fn dimensions(size: Size) -> Option<&'static Dimensions> {
    DIMENSIONS.iter().find(|row| row.size == size)
}

/// The permitted rim widths of exactly this designation.
#[must_use]
pub fn rim_widths(size: Size) -> Option<&'static RimWidths> {
    RIM_WIDTHS.iter().find(|row| row.size == size)
}

/// The published measuring rim of exactly this designation, from either table; they do not differ.
#[must_use]
pub fn measuring_rim(size: Size) -> Option<Length> {
    dimensions(size).map(Dimensions::measuring_rim).or_else(|| rim_widths(size).map(RimWidths::measuring_rim))
}

fn half_inches(count: u8) -> Length {
    Length::from_inches(f64::from(count) / 2.0)
}

const fn c(width_mm: u16, aspect: u8, rim: u16) -> Size {
    metric(Service::Unmarked, width_mm, Some(aspect), rim, Suffix::C)
}

const fn lt(width_mm: u16, aspect: u8, rim: u16) -> Size {
    metric(Service::Lt, width_mm, Some(aspect), rim, Suffix::None)
}

const fn p(width_mm: u16, aspect: u8, rim: u16) -> Size {
    metric(Service::Unmarked, width_mm, Some(aspect), rim, Suffix::None)
}

const fn bare(width_mm: u16, rim: u16) -> Size {
    metric(Service::Unmarked, width_mm, None, rim, Suffix::C)
}

const fn metric(service: Service, width_mm: u16, aspect: Option<u8>, rim: u16, suffix: Suffix) -> Size {
    let construction = Construction::Radial;
    let rim = RimCode::from_tenths(rim * 10);
    Size::Metric { service, width_mm, aspect, construction, rim, suffix }
}

const fn flotation(diameter: u16, width_hundredths: u16, rim: u16) -> Size {
    Size::Flotation {
        diameter_hundredths: diameter * 100,
        width_hundredths,
        construction: Construction::Radial,
        rim: RimCode::from_tenths(rim * 10),
        suffix: Suffix::Lt,
    }
}

const fn seen(size: Size, rim: u8, section_mm: u16, diameter_mm: u16) -> Dimensions {
    let (measuring_rim_half_inches, evidence) = (rim, Evidence::Seen);
    Dimensions { size, measuring_rim_half_inches, section_mm, diameter_mm, evidence }
}

const fn memory(size: Size, rim: u8, section_mm: u16, diameter_mm: u16) -> Dimensions {
    let (measuring_rim_half_inches, evidence) = (rim, Evidence::Memory);
    Dimensions { size, measuring_rim_half_inches, section_mm, diameter_mm, evidence }
}

const fn seen_range(size: Size, least: u8, most: u8, measuring: u8) -> RimWidths {
    range(size, [least, most, measuring], Evidence::Seen)
}

const fn memory_range(size: Size, least: u8, most: u8, measuring: u8) -> RimWidths {
    range(size, [least, most, measuring], Evidence::Memory)
}

const fn range(size: Size, half_inches: [u8; 3], evidence: Evidence) -> RimWidths {
    let [least_half_inches, most_half_inches, measuring_half_inches] = half_inches;
    RimWidths { size, least_half_inches, most_half_inches, measuring_half_inches, evidence }
}

/// Size, measuring rim in half inches, section width and overall diameter in mm. INVARIANT: every
/// row that was seen stands before every row recalled, so that the first match is the better one.
static DIMENSIONS: [Dimensions; 120] = [
    // A tire maker's published size table, euro-metric C.
    seen(bare(165, 13), 9, 167, 596),
    seen(bare(185, 14), 11, 189, 652),
    seen(bare(195, 14), 11, 198, 666),
    seen(bare(195, 15), 11, 198, 690),
    seen(c(195, 70, 15), 12, 201, 655),
    seen(c(205, 70, 15), 12, 206, 669),
    seen(c(215, 70, 15), 13, 215, 683),
    seen(c(225, 70, 15), 13, 228, 697),
    seen(c(215, 75, 16), 12, 216, 728),
    seen(c(245, 75, 16), 14, 248, 774),
    seen(c(265, 70, 17), 16, 272, 804),
    // The same, LT-metric; 6 mm over the design diameter marks a mud-terrain pattern.
    seen(lt(215, 75, 15), 12, 215, 703),
    seen(lt(235, 75, 15), 13, 235, 733),
    seen(lt(235, 85, 16), 13, 235, 812),
    seen(lt(245, 75, 16), 14, 248, 780),
    seen(lt(265, 75, 16), 15, 267, 810),
    seen(lt(255, 75, 17), 14, 255, 814),
    seen(lt(265, 65, 17), 16, 265, 776),
    seen(lt(265, 70, 17), 16, 272, 810),
    // The same, flotation, mud-terrain pattern.
    seen(flotation(30, 950, 15), 15, 241, 762),
    // The same, passenger metric; 285/70R17 is an all-terrain pattern, 6 mm over design.
    seen(p(245, 75, 17), 14, 248, 800),
    seen(p(185, 65, 15), 11, 189, 621),
    seen(p(195, 65, 15), 12, 201, 635),
    seen(p(205, 65, 15), 12, 209, 647),
    seen(p(205, 55, 16), 13, 214, 632),
    seen(p(205, 60, 16), 12, 209, 652),
    seen(p(215, 55, 16), 14, 226, 642),
    seen(p(215, 60, 16), 13, 221, 664),
    seen(p(215, 65, 16), 13, 221, 686),
    seen(p(215, 70, 16), 13, 221, 708),
    seen(p(235, 70, 16), 14, 240, 736),
    seen(p(245, 70, 16), 14, 248, 750),
    seen(p(265, 70, 16), 16, 272, 778),
    seen(p(265, 75, 16), 15, 267, 804),
    seen(p(275, 70, 16), 16, 279, 792),
    seen(p(215, 60, 17), 13, 221, 690),
    seen(p(225, 50, 17), 14, 233, 658),
    seen(p(225, 55, 17), 14, 233, 680),
    seen(p(225, 60, 17), 13, 228, 702),
    seen(p(225, 65, 17), 13, 228, 724),
    seen(p(255, 60, 17), 15, 260, 738),
    seen(p(265, 65, 17), 16, 272, 776),
    seen(p(275, 65, 17), 16, 279, 790),
    seen(p(285, 65, 17), 17, 292, 802),
    seen(p(285, 70, 17), 17, 292, 838),
    seen(p(235, 55, 18), 15, 245, 715),
    seen(p(255, 55, 18), 16, 265, 737),
    seen(p(235, 60, 18), 14, 240, 739),
    seen(p(265, 60, 18), 16, 272, 775),
    seen(p(275, 65, 18), 16, 275, 815),
    seen(p(285, 60, 18), 17, 292, 799),
    seen(p(245, 45, 18), 16, 243, 677),
    seen(p(265, 40, 18), 19, 271, 669),
    seen(p(245, 55, 19), 15, 253, 753),
    seen(p(255, 55, 19), 16, 265, 763),
    seen(p(265, 50, 20), 17, 277, 774),
    seen(p(275, 45, 20), 18, 273, 756),
    seen(p(275, 55, 20), 17, 284, 810),
    // A public design note that quotes a tire maker's data book: 34.5 in and 12.5 in on 10 in.
    seen(flotation(35, 1250, 18), 20, 318, 876),
    // UN R54 Annex 5 Part I, code-designated light commercial sizes.
    memory(bare(145, 12), 8, 147, 542),
    memory(bare(145, 13), 8, 147, 566),
    memory(bare(155, 12), 9, 157, 550),
    memory(bare(155, 13), 9, 157, 578),
    memory(bare(165, 14), 9, 167, 622),
    memory(bare(165, 15), 9, 167, 646),
    memory(bare(175, 13), 10, 178, 608),
    memory(bare(175, 14), 10, 178, 634),
    memory(bare(175, 16), 10, 178, 684),
    memory(bare(185, 13), 11, 188, 624),
    memory(bare(185, 14), 11, 188, 650),
    memory(bare(185, 15), 11, 188, 674),
    memory(bare(185, 16), 11, 188, 700),
    memory(bare(195, 16), 11, 198, 716),
    memory(bare(205, 14), 12, 208, 686),
    memory(bare(205, 16), 12, 208, 736),
    memory(bare(215, 14), 12, 218, 700),
    memory(bare(215, 15), 12, 218, 724),
    memory(bare(215, 16), 12, 218, 750),
    memory(bare(245, 16), 14, 248, 798),
    // ETRTO Standards Manual, light-commercial tables; the figures also follow from the formulas.
    memory(c(185, 75, 16), 10, 184, 684),
    memory(c(195, 75, 16), 11, 196, 698),
    memory(c(205, 75, 16), 11, 203, 714),
    memory(c(225, 75, 16), 12, 223, 744),
    memory(c(195, 65, 16), 12, 201, 660),
    memory(c(205, 65, 16), 12, 209, 672),
    memory(c(215, 65, 16), 13, 221, 686),
    memory(c(225, 65, 16), 13, 228, 698),
    memory(c(235, 65, 16), 14, 240, 712),
    memory(c(285, 65, 16), 17, 292, 776),
    memory(c(195, 60, 16), 12, 201, 640),
    memory(c(225, 60, 16), 13, 228, 676),
    memory(c(215, 60, 17), 13, 221, 690),
    memory(c(225, 55, 17), 14, 233, 680),
    memory(c(235, 60, 17), 14, 240, 714),
    memory(c(225, 75, 17), 12, 223, 770),
    // TRA Year Book, LT-metric, highway tread; the figures also follow from the formulas.
    memory(lt(215, 85, 16), 12, 216, 772),
    memory(lt(225, 75, 16), 12, 223, 744),
    memory(lt(235, 85, 16), 13, 235, 806),
    memory(lt(245, 75, 16), 14, 248, 774),
    memory(lt(265, 75, 16), 15, 267, 804),
    memory(lt(285, 75, 16), 16, 287, 834),
    memory(lt(235, 80, 17), 13, 235, 808),
    memory(lt(245, 70, 17), 14, 248, 776),
    memory(lt(245, 75, 17), 14, 248, 800),
    memory(lt(265, 70, 17), 16, 272, 804),
    memory(lt(285, 70, 17), 17, 292, 832),
    memory(lt(275, 65, 18), 16, 279, 815),
    memory(lt(275, 70, 18), 16, 279, 843),
    memory(lt(275, 65, 20), 16, 279, 866),
    // UN R54 Annex 5 Part II and TRA, flotation, highway tread; traction treads run 6 to 7 mm larger.
    memory(flotation(27, 850, 14), 14, 218, 674),
    memory(flotation(28, 850, 15), 14, 218, 699),
    memory(flotation(29, 950, 15), 15, 240, 724),
    memory(flotation(30, 950, 15), 15, 240, 750),
    memory(flotation(31, 1050, 15), 17, 268, 775),
    memory(flotation(31, 1150, 15), 18, 290, 775),
    memory(flotation(32, 1150, 15), 18, 290, 801),
    memory(flotation(33, 1250, 15), 20, 318, 826),
    memory(flotation(35, 1250, 15), 20, 318, 876),
    memory(flotation(35, 1250, 17), 20, 318, 876),
    memory(flotation(37, 1250, 17), 20, 318, 928),
];

/// Size, then least, widest and measuring rim in half inches.
static RIM_WIDTHS: [RimWidths; 53] = [
    // Memory: ETRTO Standards Manual, light-commercial metric.
    memory_range(bare(185, 14), 9, 12, 11),
    memory_range(bare(195, 14), 10, 13, 11),
    memory_range(bare(195, 15), 10, 13, 11),
    memory_range(c(195, 70, 15), 10, 13, 12),
    memory_range(c(205, 70, 15), 10, 14, 12),
    memory_range(c(215, 70, 15), 11, 14, 13),
    memory_range(c(225, 70, 15), 12, 15, 13),
    memory_range(c(195, 75, 16), 10, 13, 11),
    memory_range(c(205, 75, 16), 10, 13, 11),
    memory_range(c(215, 75, 16), 11, 14, 12),
    memory_range(c(225, 75, 16), 12, 15, 12),
    memory_range(c(195, 65, 16), 11, 14, 12),
    memory_range(c(205, 65, 16), 11, 15, 12),
    memory_range(c(215, 65, 16), 12, 15, 13),
    memory_range(c(225, 65, 16), 12, 16, 13),
    memory_range(c(235, 65, 16), 13, 17, 14),
    memory_range(c(195, 60, 16), 11, 14, 12),
    memory_range(c(215, 60, 16), 12, 15, 13),
    memory_range(c(225, 60, 16), 12, 16, 13),
    memory_range(c(215, 60, 17), 12, 15, 13),
    memory_range(c(225, 55, 17), 12, 16, 14),
    memory_range(c(235, 60, 17), 13, 17, 14),
    memory_range(c(265, 70, 17), 14, 18, 16),
    // Memory: TRA Year Book, LT tables.
    memory_range(lt(215, 85, 16), 11, 14, 12),
    memory_range(lt(225, 75, 16), 12, 14, 12),
    memory_range(lt(235, 85, 16), 12, 15, 13),
    memory_range(lt(245, 75, 16), 13, 16, 14),
    // (a tire engineer's column, seen: 7.0 is the least rim for LT265/75R16, and 245 the widest
    // tire for a 6.5 rim)
    memory_range(lt(265, 75, 16), 14, 16, 15),
    memory_range(lt(285, 75, 16), 15, 18, 16),
    memory_range(lt(235, 80, 17), 12, 15, 13),
    memory_range(lt(245, 70, 17), 13, 16, 14),
    memory_range(lt(245, 75, 17), 13, 16, 14),
    memory_range(lt(265, 70, 17), 14, 17, 16),
    memory_range(lt(285, 70, 17), 15, 18, 17),
    memory_range(lt(275, 65, 18), 15, 19, 16),
    memory_range(lt(275, 70, 18), 14, 17, 16),
    memory_range(lt(275, 65, 20), 15, 19, 16),
    memory_range(flotation(31, 1050, 15), 14, 18, 17),
    memory_range(flotation(33, 1250, 15), 17, 22, 20),
    memory_range(flotation(35, 1250, 15), 17, 22, 20),
    memory_range(flotation(35, 1250, 17), 17, 22, 20),
    memory_range(flotation(37, 1250, 17), 17, 22, 20),
    memory_range(flotation(30, 950, 15), 13, 17, 15),
    // Seen: a public design note that quotes a tire maker's data book.
    seen_range(flotation(35, 1250, 18), 17, 22, 20),
    // Memory: ETRTO and TRA passenger tables.
    memory_range(p(255, 55, 18), 14, 18, 16),
    memory_range(p(255, 60, 18), 14, 18, 15),
    memory_range(p(265, 60, 18), 15, 19, 16),
    memory_range(p(265, 65, 17), 15, 19, 16),
    memory_range(p(235, 60, 18), 13, 17, 14),
    memory_range(p(275, 55, 20), 15, 19, 17),
    memory_range(p(255, 55, 19), 14, 18, 16),
    memory_range(p(225, 55, 17), 12, 16, 14),
    // Seen: a tire invoice line in a public test fixture (its measuring rim is memory).
    seen_range(p(275, 50, 19), 15, 19, 17),
];

#[cfg(test)]
mod tests {
    use super::{DIMENSIONS, Evidence, RIM_WIDTHS, dimensions, rim_widths};

    #[test]
    fn seen_rows_stand_before_recalled_ones() {
        assert!(DIMENSIONS.is_sorted_by_key(|row| row.evidence == Evidence::Memory));
    }

    #[test]
    fn the_two_tables_agree_on_measuring_rims() {
        for row in &RIM_WIDTHS {
            if let Some(other) = dimensions(row.size) {
                assert_eq!(row.measuring_rim(), other.measuring_rim(), "{}", row.size);
            }
        }
        for row in &DIMENSIONS {
            let first = dimensions(row.size).map(super::Dimensions::measuring_rim);
            assert_eq!(first, Some(row.measuring_rim()), "{}", row.size);
        }
    }

    #[test]
    fn every_range_holds_its_measuring_rim_and_is_listed_once() {
        for row in &RIM_WIDTHS {
            let (least, most) = (row.least(), row.most());
            assert!(least <= row.measuring_rim() && row.measuring_rim() <= most, "{}", row.size);
            let listed = rim_widths(row.size).map(std::ptr::from_ref);
            assert_eq!(listed, Some(std::ptr::from_ref(row)), "{} is listed twice", row.size);
        }
    }
}
