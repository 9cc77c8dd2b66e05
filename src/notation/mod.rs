//! The spellings of the trade: the text of one cell to a typed value, or the reason it says none.
//!
//! Knows single cells and headings only. It never sees rows or sheets, applies no sense checks
//! (an impossible but clearly written figure is read as written), and keeps no state. What a
//! column taught (a decimal mark, a unit in the heading) is handed in by the caller.

pub mod date;
pub mod mark;
pub mod money;
pub mod number;
pub mod offset;
pub mod pattern;
pub mod quantity;
pub mod seat;
pub mod service;
pub mod text;
pub mod tire;
mod tire_size;
pub mod unit;
pub mod unread;
pub mod wheel;

pub use unread::Unread;
