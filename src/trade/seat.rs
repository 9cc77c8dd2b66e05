//! Seats: the shape of the surface that a wheel bolt or nut presses on.
//!
//! Three families are in use, and "mag" or shank nuts beside them: cone (60 degrees included, a few
//! of 90), ball (radius 12, 13 or 14 mm, *memory*), flat with washer (handbook section 15, several
//! trade articles, *seen*). Kind and size must both match; a cone in a ball seat works loose.

use std::fmt;
use std::str::FromStr;

use thiserror::Error;

use super::quantity::Length;

/// The shape of a seat, without its size.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum SeatKind {
    /// A straight taper.
    Cone,
    /// A part of a ball.
    Ball,
    /// A plane, with a washer.
    Flat,
    /// A sleeve that fills the bolt hole, with a washer.
    Shank,
}

impl SeatKind {
    /// The word for the kind, as [`Seat`] shows it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Cone => "cone",
            Self::Ball => "ball",
            Self::Flat => "flat",
            Self::Shank => "shank",
        }
    }
}

impl fmt::Display for SeatKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

/// A seat and, where stated, its size. Only cones and balls have one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Seat {
    /// A cone; `degrees` is the included angle. One without an angle is usually 60 degrees, but
    /// that is for the caller to assume and to say.
    Cone {
        /// Included angle in degrees.
        degrees: Option<u8>,
    },
    /// A ball; one without a radius matches no other for certain.
    Ball {
        /// Radius of the ball.
        radius: Option<Length>,
    },
    /// A plane, with a washer.
    Flat,
    /// A sleeve that fills the bolt hole, with a washer.
    Shank,
}

impl Seat {
    /// The kind alone.
    #[must_use]
    pub fn kind(self) -> SeatKind {
        match self {
            Self::Cone { .. } => SeatKind::Cone,
            Self::Ball { .. } => SeatKind::Ball,
            Self::Flat => SeatKind::Flat,
            Self::Shank => SeatKind::Shank,
        }
    }

    /// The cone's included angle in degrees, or the ball's radius in millimeters.
    #[must_use]
    pub fn size(self) -> Option<f64> {
        match self {
            Self::Cone { degrees } => degrees.map(f64::from),
            Self::Ball { radius } => radius.map(Length::mm),
            Self::Flat | Self::Shank => None,
        }
    }

    /// Whether this is a cone whose angle is not stated.
    #[must_use]
    pub fn is_cone_without_angle(self) -> bool {
        matches!(self, Self::Cone { degrees: None })
    }
}

impl fmt::Display for Seat {
    /// `cone 60`, `ball R14`, `flat`, `shank`; without its size where that is not stated.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.kind().word())?;
        match self {
            Self::Cone { degrees: Some(degrees) } => write!(f, " {degrees}"),
            Self::Ball { radius: Some(radius) } => write!(f, " R{}", radius.mm()),
            Self::Cone { degrees: None } | Self::Ball { radius: None } | Self::Flat | Self::Shank => Ok(()),
        }
    }
}

/// The text is no seat as [`Seat`] shows it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
#[error("not a seat such as `cone 60`, `ball R14`, `flat` or `shank`")]
pub struct SeatError;

impl FromStr for Seat {
    type Err = SeatError;

    /// Reads what `Display` writes, as van files state it.
    fn from_str(text: &str) -> Result<Self, SeatError> {
        let (kind, size) = text.split_once(' ').map_or((text, None), |(kind, size)| (kind, Some(size)));
        match (kind, size) {
            ("cone", None) => Ok(Self::Cone { degrees: None }),
            ("cone", Some(size)) => match size.parse() {
                Ok(degrees @ 1..180) => Ok(Self::Cone { degrees: Some(degrees) }),
                _ => Err(SeatError),
            },
            ("ball", None) => Ok(Self::Ball { radius: None }),
            ("ball", Some(size)) => match size.strip_prefix('R').map(str::parse::<f64>) {
                Some(Ok(mm)) if (1.0..100.0).contains(&mm) => {
                    Ok(Self::Ball { radius: Some(Length::from_mm(mm)) })
                }
                _ => Err(SeatError),
            },
            ("flat", None) => Ok(Self::Flat),
            ("shank", None) => Ok(Self::Shank),
            _ => Err(SeatError),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Seat;

    #[test]
    fn the_spellings_of_van_files_read_back_as_written() {
        for text in [
            "cone 60",
            "cone 90",
            "cone",
            "ball R12",
            "ball R13",
            "ball R14",
            "ball R13.5",
            "ball",
            "flat",
            "shank",
        ] {
            assert_eq!(text.parse::<Seat>().map(|seat| seat.to_string()).as_deref(), Ok(text));
        }
    }

    #[test]
    fn anything_else_is_refused() {
        for text in [
            "",
            "Cone 60",
            "cone  60",
            "cone R14",
            "ball 14",
            "ball RNaN",
            "ball Rinf",
            "flat 60",
            "cone 0",
            "cone 180",
            "acorn",
        ] {
            assert!(text.parse::<Seat>().is_err(), "{text:?}");
        }
    }
}
