//! Lengths, masses, pressures and speeds as exact counts of a small unit.
//!
//! Every quantity is an `f64` that only ever holds a whole number of its base unit, rounded once
//! when a figure is read and once after a product. Plain millimeters in an `f64` go wrong where it
//! matters, at equality (`5.5 in` against `139.7 mm`, a bore against a pilot less a tolerance);
//! whole nanometers do not, and stay exact up to 2^53, some 9000 km. `NaN` never occurs in these
//! types: an unknown quantity is no quantity.

/// Pounds are exactly this many kilograms (international pound, 1959).
pub const KG_PER_LB: f64 = 0.453_592_37;
/// Inches are exactly this many millimeters (international inch, 1959).
pub const MM_PER_INCH: f64 = 25.4;
/// Kilometers in a mile, exactly.
pub const KM_PER_MILE: f64 = 1.609_344;
/// Pascals in one pound-force per square inch; the exact figure has more digits than we keep.
pub const PA_PER_PSI: f64 = 6_894.757_293_168;

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $base:literal, { $( $(#[$unit_doc:meta])* $from:ident, $to:ident, $factor:expr; )+ }) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
        pub struct $name(f64);

        impl $name {
            #[doc = concat!("The quantity that is this many ", $base, ", rounded to a whole one.")]
            #[must_use]
            pub fn from_base(count: f64) -> Self {
                Self(count.round())
            }

            #[doc = concat!("How many ", $base, " this is; always a whole number.")]
            #[must_use]
            pub fn base(self) -> f64 {
                self.0
            }

            $(
                $(#[$unit_doc])*
                #[must_use]
                pub fn $from(count: f64) -> Self {
                    Self((count * $factor).round())
                }

                $(#[$unit_doc])*
                #[must_use]
                pub fn $to(self) -> f64 {
                    self.0 / $factor
                }
            )+

            /// The size without its sign.
            #[must_use]
            pub fn abs(self) -> Self {
                Self(self.0.abs())
            }
        }

        impl std::ops::Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }

        impl std::ops::Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }

        impl std::ops::Neg for $name {
            type Output = Self;
            fn neg(self) -> Self {
                Self(-self.0)
            }
        }

        impl std::ops::Mul<f64> for $name {
            type Output = Self;
            fn mul(self, factor: f64) -> Self {
                Self((self.0 * factor).round())
            }
        }

        impl std::ops::Div<f64> for $name {
            type Output = Self;
            fn div(self, divisor: f64) -> Self {
                Self((self.0 / divisor).round())
            }
        }

        impl std::ops::Div for $name {
            type Output = f64;
            fn div(self, other: Self) -> f64 {
                self.0 / other.0
            }
        }
    };
}

quantity! {
    /// A length; offsets are positive where the mounting face lies toward the street side of the
    /// rim's center plane.
    Length, "nanometers", {
        /// In millimeters.
        from_mm, mm, 1e6;
        /// In inches of 25.4 mm.
        from_inches, inches, MM_PER_INCH * 1e6;
    }
}

quantity! {
    /// A mass, as the trade states loads: what a scale shows, not newtons.
    Mass, "micrograms", {
        /// In kilograms.
        from_kg, kg, 1e9;
        /// In pounds of 0.45359237 kg.
        from_lb, lb, KG_PER_LB * 1e9;
    }
}

quantity! {
    /// A gauge pressure, cold.
    Pressure, "pascals", {
        /// In kilopascals.
        from_kpa, kpa, 1e3;
        /// In pounds-force per square inch; rounded to whole pascals.
        from_psi, psi, PA_PER_PSI;
        /// In bar of 100 kPa.
        from_bar, bar, 1e5;
    }
}

quantity! {
    /// A road speed.
    Speed, "millimeters an hour", {
        /// In kilometers an hour.
        from_km_h, km_h, 1e6;
        /// In miles an hour.
        from_mph, mph, KM_PER_MILE * 1e6;
    }
}

#[cfg(test)]
mod tests {
    use super::{Length, Mass, Pressure, Speed};

    #[test]
    fn inch_sizes_meet_their_metric_twins_exactly() {
        for (inches, mm) in [(4.5, 114.3), (4.75, 120.65), (5.0, 127.0), (5.5, 139.7), (6.5, 165.1)] {
            assert_eq!(Length::from_inches(inches), Length::from_mm(mm), "{inches} in");
        }
    }

    #[test]
    fn whole_pounds_are_exact_in_micrograms() {
        for lb in 1..5000_i32 {
            let exact = i64::from(lb) * 453_592_370;
            assert_eq!(Mass::from_lb(f64::from(lb)).base(), exact as f64, "{lb} lb");
        }
    }

    #[test]
    fn pressures_and_speeds_convert_as_published() {
        // 49 CFR 571.138 Table 1 prints 550 kPa beside 80 psi; 4.75 bar is 68.9 psi.
        assert_eq!(Pressure::from_bar(4.75), Pressure::from_kpa(475.0));
        assert!((Pressure::from_kpa(475.0).psi() - 68.9).abs() < 0.05);
        assert!((Speed::from_km_h(170.0).mph() - 105.6).abs() < 0.05);
    }
}
