//! Statements put into a block, or in place of others of it; the rest of the text stays as it is written.

use super::cut;
use super::edit::Edit;
use super::kind::Kind;
use super::tree::{Tree, View};
use crate::source::Span;

/// One more statement in the block of a top-level statement; one that has no block gets one.
pub fn into(view: View<'_>, say: &str) -> Edit {
    let (at, text) = (view.span(), view.text());
    let put = |offset: usize, text: String| {
        let here = at.start + offset as u32;
        Edit::new(Span { start: here, end: here, ..at }, text)
    };
    let Some(inner) = text.strip_suffix('}') else { return put(text.len(), format!(" {{ {say} }}")) };
    let line = inner.rfind('\n').map_or(0, |newline| newline + 1);
    let indent = inner.get(line..).unwrap_or("");
    if line > 0 && indent.trim().is_empty() {
        return put(line, format!("{indent}  {say}\n"));
    }
    // No comment stands before the brace: it would reach over it.
    let said = inner.trim_end();
    let (joint, end) = match said.chars().next_back() {
        Some('{') => (" ", if said.len() == inner.len() { " " } else { "" }),
        Some(';') => (" ", ""),
        _ => ("; ", ""),
    };
    put(said.len(), format!("{joint}{say}{end}"))
}

/// A statement in place of others of the same block: of a list only the one target goes. None when that needs more.
pub fn instead(tree: &Tree, source: &str, view: View<'_>, own: &[Span], say: &str) -> Option<Vec<Edit>> {
    let Some((first, more)) = own.split_first() else { return Some(vec![into(view, say)]) };
    let body = view.child(Kind::SceneBody).unwrap_or(view);
    let whole = body.children().find(|v| v.span().start <= first.start && first.end <= v.span().end)?;
    let list = matches!(whole.kind(), Kind::Engage | Kind::Bypass | Kind::Close | Kind::Open | Kind::Pulse);
    let mut edits = match list && whole.children().count() > 1 {
        true => {
            let end = whole.span().end;
            let rest = Edit::new(Span { start: end, end, ..*first }, format!("; {say}"));
            vec![Edit::new(cut::without(tree, source, *first)?, ""), rest]
        }
        false => vec![Edit::new(whole.span(), say)],
    };
    for other in more.iter().filter(|o| o.start >= whole.span().end || o.end <= whole.span().start) {
        edits.push(Edit::new(cut::without(tree, source, *other)?, ""));
    }
    Some(edits)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::syntax::edit::apply;

    fn put(text: &str) -> String {
        let (tree, faults) = crate::syntax::parse(0, text);
        assert!(faults.is_empty(), "{text}");
        let view = tree.statements(text).next().expect("a statement");
        apply(text, &[into(view, "mute")])
    }

    #[test]
    fn a_statement_stands_in_the_block_and_in_no_comment() {
        let cases = [
            ("scene a # b\n", "scene a { mute } # b\n"),
            ("scene a from b\n", "scene a from b { mute }\n"),
            ("scene a { }\n", "scene a { mute }\n"),
            ("scene a {}\n", "scene a { mute }\n"),
            ("scene a { engage b }", "scene a { engage b; mute }"),
            ("scene a { engage b; }", "scene a { engage b; mute }"),
            ("scene a {\n  engage b # why }\n}\n", "scene a {\n  engage b # why }\n  mute\n}\n"),
            ("scene a { engage b # why\n  engage c }", "scene a { engage b # why\n  engage c; mute }"),
        ];
        for (text, with) in cases {
            assert_eq!(put(text), with, "into {text}");
        }
    }

    #[test]
    fn what_it_goes_for_is_gone() {
        let cases = [
            ("scene a { engage b, c }", "b", "scene a { engage c; mute }"),
            ("scene a { engage b, c }", "c", "scene a { engage b; mute }"),
            ("scene a { engage b }", "b", "scene a { mute }"),
            ("scene a { x.y z; engage b }", "x.y z", "scene a { mute; engage b }"),
        ];
        for (text, what, with) in cases {
            let (tree, _) = crate::syntax::parse(0, text);
            let start = text.rfind(what).expect("it is there") as u32;
            let own = Span::new(0, start, start + what.len() as u32);
            let view = tree.statements(text).next().expect("a statement");
            let edits = instead(&tree, text, view, &[own], "mute").expect("one edit");
            assert_eq!(apply(text, &edits), with, "{what} in {text}");
        }
    }
}
