//! What must hold of every book: the examples, the suite, what ships, and random ones.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::unreachable)]
#![allow(clippy::disallowed_methods, clippy::print_stdout, clippy::print_stderr, unreachable_pub)]

// Of the generator of random books only the writing half is needed here.
#[allow(dead_code)]
#[path = "settle_agrees"]
mod settle_agrees {
    pub(crate) mod abstract_book;
    pub(crate) mod board;
    pub(crate) mod generate;
    pub(crate) mod random;
    pub(crate) mod write;
    pub(crate) mod write_board;
}

mod support;

mod properties {
    pub(crate) mod answers;
    pub(crate) mod asked;
    pub(crate) mod books;
    pub(crate) mod damage;
    pub(crate) mod large;
    pub(crate) mod renamed;
    pub(crate) mod routes;
    pub(crate) mod same;
    pub(crate) mod written;
    pub(crate) mod written_board;
    pub(crate) mod written_names;
}
