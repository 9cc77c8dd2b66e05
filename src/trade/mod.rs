//! What the trade knows about wheels and tires: quantities, tables and geometry.
//!
//! Pure functions and constant tables. Nothing here reads text from a sheet (the few small
//! notations with one meaning, such as a thread, excepted), knows a rule or a van, or imports
//! anything else of this project.
//!
//! Each table and formula says where it comes from and how far that goes, with three marks:
//! *seen* - the figure was read in a text named there; *derived* - it follows by a formula shown;
//! *memory* - it is recalled only and must be confirmed against the standard before anyone relies
//! on it. "Common practice, no source" is said where that is all there is. `tests/handbook.rs`
//! lays all of it against `tests/handbook/`.

// Axles: how loads divide over wheels, and what tires and wheels carry together.
pub mod axle;
// Bolt circles: hole counts, pitch circles and chords.
pub mod bolt_circle;
// Physical ranges outside which a figure is a mistake, one row each.
pub mod bounds;
// The week and year a tire was made.
pub mod date_code;
// Load against inflation pressure.
pub mod inflation;
// Load indices and their kilograms.
pub mod load_index;
// Load-range letters of light-truck tires, ply ratings and reference pressures.
pub mod load_range;
// Published tire dimensions and permitted rim widths, as tables.
pub mod published;
// Lengths, masses, pressures and speeds as exact counts of a small unit.
pub mod quantity;
// Seats of wheel bolts and nuts: kind and size.
pub mod seat;
// Speed symbols and their speeds.
pub mod speed_symbol;
// Fastener threads: notation, stress area, engagement.
pub mod thread;
// Tire size designations and the dimensions that follow from them.
pub mod tire;
// Wheel geometry: back spacing, reach, track.
pub mod wheel;
