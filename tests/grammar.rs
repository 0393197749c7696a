//! The grammar file, the registry and the parser say the same.
//!
//! `grammar/scene.ebnf` is read here by a reader of its own, so that a sentence made from it, and the verdict of
//! a recogniser that walks it, owe nothing to the parser.

mod grammar {
    pub mod ebnf;
    pub mod generate;
    pub mod layout;
    pub mod names;
    pub mod recognise;
    pub mod samples;
    pub mod sentences;
}
