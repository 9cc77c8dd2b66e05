//! Drawings of parts on a van, as SVG text that stands by itself within a page.
//!
//! Takes in a part's facts, the work it needs and a van; yields `<svg>` elements, the same bytes for
//! the same facts. What is not known is not drawn: a drawing has no figure that no fact stands behind.
//! The outlines of rim, disc, hub and tire between those figures are schematic.
//!
//! ```text
//!   van side             street side
//!  ▒|   ______________   |▒         x = 0 is the hub face, positive toward the street,
//!  ▒|  (   tire       )  |▒         in mm; r = 0 is the axle's center line
//!  ▒|   \__        __/   |▒
//!  ▒|     |__rim__|      |▒         ▒ is beyond the room that the van's body leaves
//!  ▒|      hub |         |▒
//! ```
//!
//! Colors are custom properties with a fallback ([`STYLE`] sets them for light and dark), since a page
//! under a strict policy allows no inline styles. Identifiers begin with a prefix that the caller chooses
//! once for each drawing on a page.

mod canvas;
mod legend;
mod measure;
mod outline;
mod scene;
mod section;
mod strip;

#[cfg(test)]
mod tests;

pub use section::section;
pub use strip::{Mark, Standing, Strip, offset_strip};

/// The colors of drawings, for a page's style sheet: light, and dark where the reader prefers it.
pub const STYLE: &str = "\
:root{--draw-ink:#1f2a30;--draw-soft:#51616b;--draw-paper:#fffdf8;--draw-rim:#bccad2;--draw-rubber:#3a464e;\
--draw-hub:#e6d7b8;--draw-stock:#5d6f7b;--draw-limit:#a8431b;--draw-room:#dfeee2;--draw-good:#1f6b43;\
--draw-near:#96590a;--draw-bad:#a3271f}\
@media screen and (prefers-color-scheme:dark){\
:root{--draw-ink:#e9e4d8;--draw-soft:#aab8c0;--draw-paper:#1d262b;--draw-rim:#70838f;--draw-rubber:#aab4ba;\
--draw-hub:#6d5f42;--draw-stock:#9db0bd;--draw-limit:#ef8f63;--draw-room:#22402f;--draw-good:#7fd0a0;\
--draw-near:#f0b35a;--draw-bad:#ff9288}}";
