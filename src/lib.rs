//! Scene books for a pedalboard's loop switcher: conflicts found, presets compiled, gig sheets printed.

pub mod book;
pub mod check;
#[cfg(feature = "cli")]
pub mod cli;
pub mod compare;
pub mod compiled;
pub mod driver;
pub mod fill;
pub mod mend;
pub mod near;
pub mod print;
pub mod settle;
pub mod source;
pub mod stages;
pub mod study;
pub mod syntax;

pub use compiled::Compiled;
pub use driver::compile_texts;
