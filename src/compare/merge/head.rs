//! Merging what stands before a block, part by part: the title, `from`, `with`, `was`, the tempo.

use super::key::{HeadPart, head_order};
use super::outline::Piece;
use crate::syntax::kind::Kind;

/// The merged words before the block. `clash` is told of each part that both sides changed: as it was, by mine and by
/// theirs.
pub(super) fn merge(
    b: Option<&Piece<'_>>,
    m: &Piece<'_>,
    t: &Piece<'_>,
    clash: &mut dyn FnMut([Option<&str>; 3]),
) -> String {
    let written = |p: &Piece<'_>| p.block.as_ref().map_or_else(|| p.body.to_owned(), |b| b.head.to_owned());
    let (was, mine, theirs) = (b.map(written), written(m), written(t));
    let own = |text: &str| text.trim_end().to_owned();
    if own(&mine) == own(&theirs) || was.as_deref().map(own) == Some(own(&theirs)) {
        return mine;
    }
    if was.as_deref().map(own) == Some(own(&mine)) {
        return theirs;
    }
    let kind = m.kind.unwrap_or(Kind::Scene);
    let (was, mine_parts, theirs_parts) = (b.map_or(&[][..], parts), parts(m), parts(t));
    let one =
        |list: &[HeadPart], kind: Kind| list.iter().find(|p| p.kind == kind).map(|p| (p.value.clone(), p.text.clone()));
    if mine_parts.iter().map(|p| &p.value).eq(theirs_parts.iter().map(|p| &p.value)) {
        return mine;
    }
    let order = head_order(kind);
    if mine_parts.iter().any(|p| !order.contains(&p.kind)) {
        clash([b.map(written).as_deref(), Some(&mine), Some(&theirs)]);
        return mine;
    }
    let mut out = kind.name().to_owned();
    for part in order {
        let (was, mine, theirs) = (one(was, *part), one(mine_parts, *part), one(theirs_parts, *part));
        let value = |side: &Option<(String, String)>| side.as_ref().map(|s| s.0.clone());
        let text = |side: &Option<(String, String)>| side.as_ref().map(|s| s.1.clone());
        let ends = if value(&mine) == value(&theirs) || value(&theirs) == value(&was) {
            text(&mine)
        } else if value(&mine) == value(&was) {
            text(&theirs)
        } else if *part == Kind::With {
            layers(text(&was), text(&mine), text(&theirs))
        } else {
            clash([text(&was).as_deref(), text(&mine).as_deref(), text(&theirs).as_deref()]);
            text(&mine)
        };
        if let Some(ends) = ends {
            out += " ";
            out += &ends;
        }
    }
    out + " "
}

fn parts<'p>(piece: &'p Piece<'_>) -> &'p [HeadPart] {
    &piece.heads
}

/// `with a, b`, layer by layer.
fn layers(was: Option<String>, mine: Option<String>, theirs: Option<String>) -> Option<String> {
    let names = |text: Option<String>| -> Vec<String> {
        let text = text.unwrap_or_default();
        let list = text.strip_prefix("with").unwrap_or("").split(',').map(|n| n.trim().to_owned());
        list.filter(|n| !n.is_empty()).collect()
    };
    let (was, mine, theirs) = (names(was), names(mine), names(theirs));
    let kept = mine.iter().filter(|n| theirs.contains(n) || !was.contains(n));
    let new = theirs.iter().filter(|n| !mine.contains(n) && !was.contains(n));
    let all: Vec<&str> = kept.chain(new).map(String::as_str).collect();
    (!all.is_empty()).then(|| format!("with {}", all.join(", ")))
}
