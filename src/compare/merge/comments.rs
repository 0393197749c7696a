//! Comments never conflict: what a side wrote is kept, and what one side took out and the other left goes.

use super::outline::{Piece, comment_texts};
use super::side::Side;
use crate::syntax::parse;

/// The comments above a statement, and the one behind it.
pub(super) fn commented(piece: &Piece<'_>) -> (Vec<String>, String) {
    (piece.lead.iter().map(|l| (*l).to_owned()).collect(), piece.trail.to_owned())
}

/// Comment lines above a statement: mine, and what theirs wrote.
pub(super) fn merge_lines(base: &[String], mine: &[String], theirs: &[String]) -> Vec<String> {
    let kept = mine.iter().filter(|l| theirs.contains(l) || !base.contains(l));
    let new = theirs.iter().filter(|l| !base.contains(l) && !mine.contains(l));
    kept.chain(new).cloned().collect()
}

/// All comments of a statement: above, inside and behind it.
pub(super) fn comments_of(piece: &Piece<'_>) -> Vec<String> {
    let (mut out, trail) = commented(piece);
    out.extend(comments_in(piece.body));
    out.extend(Some(trail).filter(|t| !t.is_empty()));
    out
}

/// The comments of a text.
pub(super) fn comments_in(text: &str) -> Vec<String> {
    if !text.contains('#') {
        return Vec::new();
    }
    let (tree, _) = parse(0, text);
    comment_texts(Side { text, tree: &tree }).into_iter().map(str::to_owned).collect()
}

/// Comments that the result should hold, and does not.
pub(super) fn wanted(base: &[String], mine: &[String], theirs: &[String], now: &[String]) -> Vec<String> {
    let count = |of: &[String], text: &String| of.iter().filter(|c| *c == text).count();
    let mut out: Vec<String> = Vec::new();
    for text in mine.iter().chain(theirs) {
        let (b, m, t) = (count(base, text), count(mine, text), count(theirs, text));
        let want = if m == b {
            t
        } else if t == b {
            m
        } else {
            m.max(t)
        };
        if count(now, text) + count(&out, text) < want {
            out.push(text.clone());
        }
    }
    out
}
