//! The gig sheet, labels and the stage page: what they say, where it stands, and how outside programs read it back.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing)]
#![allow(
    clippy::disallowed_methods,
    clippy::print_stderr,
    reason = "tests write files, run programs and say what they skip"
)]

#[path = "sheet/browser.rs"]
mod browser;
#[path = "sheet/content.rs"]
mod content;
#[path = "sheet/floor.rs"]
mod floor;
#[path = "sheet/layout.rs"]
mod layout;
#[path = "sheet/leads.rs"]
mod leads;
#[path = "sheet/lookpage.rs"]
mod lookpage;
#[path = "sheet/poppler.rs"]
mod poppler;
#[path = "sheet/stage.rs"]
mod stage;
#[path = "sheet/tools.rs"]
mod tools;
