//! Cuts that keep the rest of a text as it is written.

use super::kind::Kind;
use super::tree::{Tree, View};
use crate::source::Span;

/// What to take out so that a statement of a body, one target of its list, or a layer of a scene is gone and nothing else: not the
/// neighbours, not a comment. None when that cannot be done with one cut.
pub fn without(tree: &Tree, source: &str, at: Span) -> Option<Span> {
    let mut node = tree.leaf(source, at)?;
    let mut parent = tree.parent(source, node)?;
    // A node may begin and end where its only child does.
    while parent.span() == at {
        (node, parent) = (parent, tree.parent(source, parent)?);
    }
    if matches!(parent.kind(), Kind::Engage | Kind::Bypass | Kind::Close | Kind::Open | Kind::Pulse | Kind::With) {
        let targets: Vec<View<'_>> = parent.children().collect();
        let index = targets.iter().position(|t| t.id() == node.id())?;
        let after = targets.get(index + 1).map(|t| t.span());
        let before = index.checked_sub(1).and_then(|i| targets.get(i)).map(|t| t.span());
        let cut = match (before, after) {
            (_, Some(after)) => Span { end: after.start, ..at },
            (Some(before), None) => Span { start: before.end, ..at },
            // `with` stands in the head of a scene: the blank before it goes too.
            (None, None) if parent.kind() == Kind::With => {
                let head = source.get(..parent.span().start as usize)?;
                return Some(Span { start: head.trim_end_matches(blank).len() as u32, ..parent.span() });
            }
            (None, None) => return statement(source, parent.span()),
        };
        return text(source, cut).filter(|t| !t.contains('#')).map(|_| cut);
    }
    statement(source, at)
}

/// A whole statement with the end that belongs to it, and its line when it stands there alone.
fn statement(source: &str, at: Span) -> Option<Span> {
    let before = source.get(..at.start as usize)?;
    let after = source.get(at.end as usize..)?;
    let lead = before.trim_end_matches(blank);
    let mut rest = after.trim_start_matches(blank);
    let semicolon = rest.strip_prefix(';');
    if let Some(more) = semicolon {
        rest = more.trim_start_matches(blank);
    }
    let end = (source.len() - rest.len()) as u32;
    let first = lead.is_empty() || lead.ends_with('\n') || lead.ends_with('\u{feff}');
    match rest.strip_prefix("\r\n").or_else(|| rest.strip_prefix('\n')) {
        Some(next) if first => Some(Span { start: lead.len() as u32, end: (source.len() - next.len()) as u32, ..at }),
        // What the statement before it ended with goes too.
        _ if semicolon.is_none() && lead.ends_with(';') => Some(Span { start: lead.len() as u32 - 1, ..at }),
        _ if semicolon.is_some() && !rest.starts_with(['\r', '\n', '#']) => Some(Span { end, ..at }),
        _ if semicolon.is_some() => Some(Span { end: end - trailing(source, at.end, end), ..at }),
        _ => Some(at),
    }
}

/// Blanks at the end of a stretch: they stand before a comment or a line end, and stay.
fn trailing(source: &str, from: u32, to: u32) -> u32 {
    let stretch = source.get(from as usize..to as usize).unwrap_or("");
    (stretch.len() - stretch.trim_end_matches(blank).len()) as u32
}

fn blank(c: char) -> bool {
    c != '\n' && c != '\r' && c != '\u{feff}' && c.is_whitespace()
}

fn text(source: &str, at: Span) -> Option<&str> {
    source.get(at.start as usize..at.end as usize)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cut(text: &str, what: &str) -> Option<String> {
        let (tree, faults) = crate::syntax::parse(0, text);
        assert!(faults.is_empty(), "{text}");
        let start = text.rfind(what).expect("the statement is there") as u32;
        let cut = without(&tree, text, Span::new(0, start, start + what.len() as u32))?;
        let mut left = text.to_owned();
        left.replace_range(cut.start as usize..cut.end as usize, "");
        Some(left)
    }

    #[test]
    fn one_statement_goes_and_nothing_else() {
        let cases = [
            ("scene a { engage b, c }", "c", "scene a { engage b }"),
            ("scene a { engage b, c }", "b", "scene a { engage c }"),
            ("scene a { engage b,\n  c # both\n}", "c", "scene a { engage b # both\n}"),
            ("scene a { mute; engage b }", "b", "scene a { mute }"),
            ("scene a { engage b; mute }", "b", "scene a { mute }"),
            ("scene a { engage b }", "b", "scene a {  }"),
            ("scene a {\n  engage b\n  mute\n}", "b", "scene a {\n  mute\n}"),
            ("scene a {\r\n  engage b;\r\n  mute\r\n}", "b", "scene a {\r\n  mute\r\n}"),
            ("scene a {\n  engage b # why\n  mute\n}", "b", "scene a {\n   # why\n  mute\n}"),
            ("scene a {\n  engage b; # why\n  mute\n}", "b", "scene a {\n   # why\n  mute\n}"),
            ("scene a {\n  mute; engage b # why\n}", "b", "scene a {\n  mute # why\n}"),
            ("scene a {\n  mute; engage b;\n}", "b", "scene a {\n  mute; \n}"),
            ("scene a { x.y z; mute }", "x.y z", "scene a { mute }"),
            ("scene a from b with c, d { mute }", "c", "scene a from b with d { mute }"),
            ("scene a from b with c, d { mute }", "d", "scene a from b with c { mute }"),
            ("scene a with d { mute }", "d", "scene a { mute }"),
            ("scene a with d\n", "d", "scene a\n"),
        ];
        for (text, what, left) in cases {
            assert_eq!(cut(text, what).as_deref(), Some(left), "{what} out of {text}");
        }
    }

    #[test]
    fn a_comment_inside_a_list_is_not_cut() {
        assert_eq!(cut("scene a { engage b, # first\n  c }", "c"), None);
    }
}
