//! A file to merge, and what does not go together.

use crate::syntax::tree::Tree;

/// A file's text and its tree.
#[derive(Clone, Copy)]
pub struct Side<'s> {
    pub text: &'s str,
    pub tree: &'s Tree,
}

/// Something that both sides changed, and not alike.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Conflict {
    /// The scene, song or device it is in: "scene `solo`".
    pub about: String,
    /// What it said; None when it said nothing.
    pub base: Option<String>,
    /// What mine says now.
    pub mine: Option<String>,
    /// What the other side says now.
    pub theirs: Option<String>,
}
