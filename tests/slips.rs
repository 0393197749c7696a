//! One slip in a right book, and what `--fix` makes of it: mended as it was, or left for the reader, and never another
//! book.
//!
//! The judge reads what the tool prints (the table as CSV, the sheet as text) and knows nothing of how mends are
//! proved.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::unreachable)]
#![allow(clippy::disallowed_methods, clippy::print_stdout, clippy::print_stderr, unreachable_pub)]

mod slips {
    pub(crate) mod edits;
    pub(crate) mod judge;
    pub(crate) mod many;
    pub(crate) mod one_by_one;
    pub(crate) mod seeded;
}
mod support;
