//! The grammar file, the registry and the parser say the same.
//!
//! `grammar/scene.ebnf` is read here by a reader of its own, so that a sentence made from it, and the verdict of
//! a recogniser that walks it, owe nothing to the parser.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::unreachable)]
#![allow(clippy::disallowed_methods, clippy::print_stdout, clippy::print_stderr, unreachable_pub)]

mod grammar {
    pub(crate) mod ebnf;
    pub(crate) mod generate;
    pub(crate) mod layout;
    pub(crate) mod names;
    pub(crate) mod recognise;
    pub(crate) mod samples;
    pub(crate) mod sentences;
}
