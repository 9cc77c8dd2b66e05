//! Fastener threads: `M14x1.5`, `1/2-20`, and what follows from diameter and pitch.
//!
//! Equality is of designations and exact. `1/2-20` (12.70 x 1.27 mm) goes some turns into M12x1.25
//! and fails there, so no thread is ever taken for a near one.

use std::f64::consts::FRAC_PI_4;
use std::fmt;

use thiserror::Error;

use super::quantity::Length;

/// A right-hand thread, metric or inch.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Thread(Designation);

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
enum Designation {
    Metric {
        diameter_hundredths: u16,
        pitch_hundredths: u16,
    },
    /// In lowest terms of an inch, so that 8/16 and 1/2 are equal.
    Inch {
        numerator: u8,
        denominator: u8,
        per_inch: u8,
    },
}

/// Why a text is no thread.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum ThreadError {
    /// Neither a metric nor an inch designation.
    #[error("not a thread such as `M14x1.5` or `1/2-20`")]
    NotAThread,
    /// A diameter alone: M14 comes in more than one pitch.
    #[error("a thread without its pitch")]
    NoPitch,
    /// Read, but no wheel fastener has such a diameter or pitch (6 to 30 mm, 0.5 to 3.5 mm; common
    /// practice, no source).
    #[error("no wheel fastener has such a diameter or pitch")]
    OutOfRange,
}

impl Thread {
    /// Reads `M14x1.5`, `14x1.5`, `M14 x 2.0`, `M14-1.5`, `1/2-20`, `9/16-18 UNF` or `7/16"-20`;
    /// a comma may stand for the point and `×` for the x. Metric figures are in mm with at most two
    /// decimals.
    ///
    /// # Errors
    ///
    /// * [`ThreadError::NoPitch`] for a diameter alone.
    /// * [`ThreadError::OutOfRange`] for a diameter or pitch no wheel fastener has.
    /// * [`ThreadError::NotAThread`] for everything else.
    pub fn parse(text: &str) -> Result<Self, ThreadError> {
        let spelling: String = text
            .chars()
            .filter(|c| !c.is_whitespace())
            .map(|c| match c {
                ',' => '.',
                '×' | '*' => 'x',
                '”' | '″' => '"',
                other => other.to_ascii_lowercase(),
            })
            .collect();
        let thread = if spelling.contains('/') { inch(&spelling) } else { metric(&spelling) }?;
        let (diameter, pitch) = (thread.diameter().mm(), thread.pitch().mm());
        if (6.0..=30.0).contains(&diameter) && (0.5..=3.5).contains(&pitch) {
            Ok(thread)
        } else {
            Err(ThreadError::OutOfRange)
        }
    }

    /// Nominal (major) diameter.
    #[must_use]
    pub fn diameter(self) -> Length {
        match self.0 {
            Designation::Metric { diameter_hundredths, .. } => hundredths_mm(diameter_hundredths),
            Designation::Inch { numerator, denominator, .. } => {
                Length::from_inches(f64::from(numerator) / f64::from(denominator))
            }
        }
    }

    /// Advance per turn; that of an inch thread is rounded to a nanometer.
    #[must_use]
    pub fn pitch(self) -> Length {
        match self.0 {
            Designation::Metric { pitch_hundredths, .. } => hundredths_mm(pitch_hundredths),
            Designation::Inch { per_inch, .. } => Length::from_inches(1.0 / f64::from(per_inch)),
        }
    }

    /// Tensile stress area in mm2: pi/4 (d - 0.9382 P)^2 after ISO 898-1, and with 0.9743 for inch
    /// threads after ASME B1.1 (both forms *seen* in public engineering code).
    #[must_use]
    pub fn stress_area_mm2(self) -> f64 {
        let depth = match self.0 {
            Designation::Metric { .. } => 0.9382,
            Designation::Inch { .. } => 0.9743,
        };
        let effective = self.diameter().mm() - depth * self.pitch().mm();
        FRAC_PI_4 * effective * effective
    }

    /// Length of thread that so many turns engage: turns x pitch.
    #[must_use]
    pub fn engaged_by(self, turns: f64) -> Length {
        self.pitch() * turns
    }

    /// Turns that a length of thread gives, part turns included; negative for a negative length.
    #[must_use]
    pub fn turns_in(self, engaged: Length) -> f64 {
        engaged / self.pitch()
    }

    /// Turns needed to engage `factor` diameters: 1.0 for steel in steel and 1.5 for aluminum nuts
    /// is the rule of thumb (*seen*, owners' notes; no wheel standard found).
    #[must_use]
    pub fn turns_for_diameters(self, factor: f64) -> f64 {
        self.turns_in(self.diameter() * factor)
    }
}

/// Thread of a bolt that is left to engage behind what it clamps: length under the seat less the
/// thickness of wheel pad and spacer. Negative where it does not reach. Geometry; common practice.
#[must_use]
pub fn engagement_behind(shank: Length, clamped: Length) -> Length {
    shank - clamped
}

impl fmt::Display for Thread {
    /// `M14x1.5`, `M12x1.25` or `1/2-20`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.0 {
            Designation::Metric { .. } => {
                write!(f, "M{}x{}", self.diameter().mm(), self.pitch().mm())
            }
            Designation::Inch { numerator, denominator, per_inch } => {
                write!(f, "{numerator}/{denominator}-{per_inch}")
            }
        }
    }
}

fn hundredths_mm(count: u16) -> Length {
    // A hundredth of a millimeter is 10^4 nanometers.
    Length::from_base(f64::from(count) * 1e4)
}

fn metric(spelling: &str) -> Result<Thread, ThreadError> {
    let (marked, figures) = match spelling.strip_prefix('m') {
        Some(rest) => (true, rest),
        None => (false, spelling),
    };
    // A bare `14-1.5` could as well be something else; after the M it cannot.
    let parts = figures.split_once('x').or_else(|| figures.split_once('-').filter(|_| marked));
    let Some((diameter, pitch)) = parts else {
        let alone = hundredths(figures.strip_suffix("mm").unwrap_or(figures));
        return Err(if alone.is_some() { ThreadError::NoPitch } else { ThreadError::NotAThread });
    };
    let figure =
        |text: &str| hundredths(text.strip_suffix("mm").unwrap_or(text)).ok_or(ThreadError::NotAThread);
    Ok(Thread(Designation::Metric {
        diameter_hundredths: figure(diameter)?,
        pitch_hundredths: figure(pitch)?,
    }))
}

fn inch(spelling: &str) -> Result<Thread, ThreadError> {
    let not = ThreadError::NotAThread;
    let (numerator, rest) = spelling.split_once('/').ok_or(not)?;
    let (denominator, rest) = match rest.split_once(['-', 'x']) {
        Some((denominator, rest)) => (denominator, Some(rest)),
        None => (rest, None),
    };
    let numerator = count(numerator).ok_or(not)?;
    let denominator = count(denominator.strip_suffix('"').unwrap_or(denominator)).ok_or(not)?;
    let rest = rest.ok_or(ThreadError::NoPitch)?;
    let per_inch = count(rest.strip_suffix("unf").unwrap_or(rest)).ok_or(not)?;
    if !denominator.is_power_of_two() || numerator == 0 || per_inch == 0 {
        return Err(not);
    }
    let shift = numerator.trailing_zeros().min(denominator.trailing_zeros());
    let (numerator, denominator) = (numerator >> shift, denominator >> shift);
    Ok(Thread(Designation::Inch { numerator, denominator, per_inch }))
}

/// A whole number below 256, digits only.
fn count(digits: &str) -> Option<u8> {
    digits.bytes().all(|b| b.is_ascii_digit()).then(|| digits.parse().ok())?
}

/// A decimal with at most two places, as hundredths.
fn hundredths(text: &str) -> Option<u16> {
    let (whole, part) = text.split_once('.').unwrap_or((text, "0"));
    let digits = |s: &str| !s.is_empty() && s.bytes().all(|b| b.is_ascii_digit());
    let part_hundredths = match part.len() {
        1 => part.parse::<u16>().ok()? * 10,
        2 => part.parse().ok()?,
        _ => return None,
    };
    if !digits(whole) || !digits(part) {
        return None;
    }
    whole.parse::<u16>().ok()?.checked_mul(100)?.checked_add(part_hundredths)
}

#[cfg(test)]
mod tests {
    use super::{Thread, ThreadError};
    use crate::trade::quantity::Length;

    fn thread(text: &str) -> Thread {
        Thread::parse(text).expect(text)
    }

    #[test]
    fn spellings_of_one_thread_are_equal_and_show_one_way() {
        for (spellings, shown) in [
            (&["M14x1.5", "14x1.5", "m14 X 1,50", "M14×1.5", "M14-1.5", "14mm x 1.5mm"][..], "M14x1.5"),
            (&["M14 x 2.0", "M14x2"][..], "M14x2"),
            (&["1/2-20", "1/2\"-20", "1/2-20 UNF", "8/16-20", "1/2 x 20"][..], "1/2-20"),
            (&["9/16-18 UNF", "9/16”-18"][..], "9/16-18"),
            (&["7/16\"-20"][..], "7/16-20"),
        ] {
            for spelling in spellings {
                assert_eq!(thread(spelling), thread(shown), "{spelling}");
                assert_eq!(thread(spelling).to_string(), shown, "{spelling}");
            }
        }
    }

    #[test]
    fn near_misses_stay_different_threads() {
        for (one, other) in [
            ("1/2-20", "M12x1.25"),
            ("1/2-20", "M12.7x1.27"),
            ("9/16-18", "M14x1.5"),
            ("M12x1.25", "M12x1.5"),
        ] {
            assert_ne!(thread(one), thread(other));
        }
    }

    #[test]
    fn texts_that_are_no_thread_say_why() {
        for (text, why) in [
            ("", ThreadError::NotAThread),
            ("M", ThreadError::NotAThread),
            ("cone", ThreadError::NotAThread),
            ("M14x", ThreadError::NotAThread),
            ("M14x1.505", ThreadError::NotAThread),
            ("M14x1.5x30", ThreadError::NotAThread),
            ("M14x.5", ThreadError::NotAThread),
            ("M14x1.+5", ThreadError::NotAThread),
            ("14-1.5", ThreadError::NotAThread),
            ("1/3-20", ThreadError::NotAThread),
            ("1/0-20", ThreadError::NotAThread),
            ("1/2-0", ThreadError::NotAThread),
            ("1/2-20 UNC", ThreadError::NotAThread),
            ("1/+2-20", ThreadError::NotAThread),
            ("M14", ThreadError::NoPitch),
            ("14 mm", ThreadError::NoPitch),
            ("1/2\"", ThreadError::NoPitch),
            ("M60x1.5", ThreadError::OutOfRange),
            ("M14x15", ThreadError::OutOfRange),
            ("1/64-20", ThreadError::OutOfRange),
            ("6x130", ThreadError::OutOfRange),
        ] {
            assert_eq!(Thread::parse(text), Err(why), "{text:?}");
        }
    }

    #[test]
    fn inch_threads_have_their_exact_diameter() {
        assert_eq!(thread("9/16-18").diameter(), Length::from_mm(14.2875));
        assert_eq!(thread("7/16-20").diameter(), Length::from_mm(11.1125));
        assert_eq!(thread("1/2-20").pitch(), Length::from_mm(1.27));
    }
}
