//! Bolt circles: how many holes, on what circle, and the chords one can measure between them.
//!
//! An inch circle is its inches x 25.4 exactly, so `5x4.5"` and `5x114.3` are one drilling.

use std::f64::consts::PI;
use std::fmt;

use super::quantity::Length;

/// One drilling of a wheel or hub. Two drillings are the same pattern only under a stated tolerance:
/// see [`same_pattern`](Self::same_pattern).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drilling {
    /// Number of holes.
    pub holes: u8,
    /// Diameter of the circle through the hole centers.
    pub circle: Length,
}

impl Drilling {
    /// Whether the counts are equal and the circles differ by at most `tolerance`. Near misses such
    /// as 5x120 against 5x120.65 are different patterns under any sensible one.
    #[must_use]
    pub fn same_pattern(self, other: Self, tolerance: Length) -> bool {
        self.holes == other.holes && (self.circle - other.circle).abs() <= tolerance
    }

    /// Distance between the centers of neighboring holes: circle x sin(pi / holes), plane geometry.
    /// `None` below three holes.
    #[must_use]
    pub fn neighbor_chord(self) -> Option<Length> {
        chord_share(self.holes, 1).map(|share| self.circle * share)
    }

    /// Distance between the centers of holes with one between them, which is what one measures on
    /// five holes: circle x sin(2 pi / holes). `None` below three holes.
    #[must_use]
    pub fn skip_chord(self) -> Option<Length> {
        chord_share(self.holes, 2).map(|share| self.circle * share)
    }

    /// The drilling whose [`skip_chord`](Self::skip_chord) was measured; `None` below three holes.
    #[must_use]
    pub fn from_skip_chord(holes: u8, chord: Length) -> Option<Self> {
        let circle = chord / chord_share(holes, 2)?;
        Some(Self { holes, circle })
    }
}

/// The part of the circle's diameter that the chord over so many steps takes.
fn chord_share(holes: u8, steps: u8) -> Option<f64> {
    (holes >= 3).then(|| (PI * f64::from(steps) / f64::from(holes)).sin())
}

impl fmt::Display for Drilling {
    /// Count and millimeters, as in `6x130` and `6x139.7`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}x{}", self.holes, self.circle.mm())
    }
}

#[cfg(test)]
mod tests {
    use super::Drilling;
    use crate::trade::quantity::Length;

    fn drilling(holes: u8, mm: f64) -> Drilling {
        Drilling { holes, circle: Length::from_mm(mm) }
    }

    #[test]
    fn drillings_show_as_the_trade_writes_them() {
        assert_eq!(drilling(6, 130.0).to_string(), "6x130");
        assert_eq!(drilling(6, 139.7).to_string(), "6x139.7");
        let five = Drilling { holes: 5, circle: Length::from_inches(4.75) };
        assert_eq!(five.to_string(), "5x120.65");
    }

    #[test]
    fn the_tolerance_is_inclusive_and_the_count_is_not_negotiable() {
        let tolerance = Length::from_mm(0.15);
        assert!(drilling(6, 130.0).same_pattern(drilling(6, 130.15), tolerance));
        assert!(drilling(6, 130.15).same_pattern(drilling(6, 130.0), tolerance));
        assert!(!drilling(6, 130.0).same_pattern(drilling(6, 130.16), tolerance));
        assert!(!drilling(6, 130.0).same_pattern(drilling(5, 130.0), tolerance));
    }

    #[test]
    fn chords_need_at_least_three_holes() {
        assert_eq!(drilling(2, 130.0).neighbor_chord(), None);
        assert_eq!(drilling(0, 130.0).skip_chord(), None);
        assert_eq!(Drilling::from_skip_chord(0, Length::from_mm(130.0)), None);
    }
}
