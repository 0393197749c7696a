//! A document on paper: blocks in, placed pages out, and those as PDF.

pub mod flow;
pub mod fonts;
pub mod legible;
pub mod paper;
pub mod pdf;
pub mod placed;
pub mod sides;
mod strips;
mod table;

pub use fonts::{Face, Fonts};
pub use paper::Paper;
pub use placed::{Ink, Item, Laid, Page};
