//! One layout model for paper and screen: blocks in, placed pages or a page of HTML out.

pub mod doc;
pub mod flow;
pub mod fonts;
pub mod html;
pub mod paper;
pub mod pdf;
pub mod placed;
mod strips;
mod svg;
mod table;

pub use doc::{Block, Cell, Chip, Doc, Figure, Look, Shape, Sizes, Table};
pub use fonts::{Face, Fonts};
pub use paper::Paper;
pub use placed::{Ink, Item, Laid, Page};
