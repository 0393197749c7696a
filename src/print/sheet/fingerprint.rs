//! What the sources come to: a hash of their statements, in whatever order and files they stand.

use std::fmt::Write;

use sha2::{Digest, Sha256};

use crate::Compiled;

/// Twelve hexadecimal digits of a SHA-256 over the sorted texts of all top-level statements.
pub fn of(compiled: &Compiled) -> String {
    let mut texts: Vec<&str> = Vec::new();
    for tree in &compiled.trees {
        let Some(file) = compiled.files.get(tree.file) else { continue };
        texts.extend(tree.statements(&file.text).map(|s| s.text().trim()));
    }
    texts.sort_unstable();
    let mut hash = Sha256::new();
    for text in texts {
        hash.update(text.as_bytes());
        hash.update([0]);
    }
    hash.finalize().iter().take(6).fold(String::new(), |mut out, byte| {
        let _ = write!(out, "{byte:02x}");
        out
    })
}
