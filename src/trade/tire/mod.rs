//! Tire size designations, and what follows from them.
//!
//! ```text
//!   LT 265 / 70 R 17            35 x 12.50 R 17 LT         185 R 14 C        7.50 R 16 LT
//!   |   |    |  | |             |    |     | |  |           |  | |  |         |   | |  |
//!   |   mm   %  | rim code      in   in    | |  suffix      mm | |  suffix    in  | |  suffix
//!   service     construction       construction rim       construction rim    construction rim
//! ```
//!
//! The reader of such texts lives with the sheets; here a [`Size`] is made of its parts and shows
//! its canonical designation.

mod dimensions;
mod rolling;
mod size;

pub use dimensions::{
    DiameterLimits, section_on_other_rim, traction_pattern_excess, widest_permitted_section,
};
pub use rolling::{
    geometric_circumference, highest_indication, indication_permitted, revolutions_per_km,
    revolutions_per_mile, ride_height_change, road_speed_error, rolling_circumference, true_speed,
};
pub use size::{Construction, Marking, RimCode, Service, Size, Suffix};
