//! What must hold of every book: the examples, the suite, what ships, and random ones.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing)]
#![allow(clippy::disallowed_methods, reason = "tests read their books from the disk")]

// Of the generator of random books only the writing half is needed here.
#[allow(dead_code)]
#[path = "settle_agrees"]
mod settle_agrees {
    pub mod abstract_book;
    pub mod board;
    pub mod generate;
    pub mod random;
    pub mod write;
    pub mod write_board;
}

mod properties {
    pub mod answers;
    pub mod books;
    pub mod damage;
    pub mod routes;
    pub mod same;
}
