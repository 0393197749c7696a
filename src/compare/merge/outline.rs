//! A file as a list of statements, each with a key, its comments, and the statements in its block.

use super::Side;
use crate::book::{Amount, amount};
use crate::syntax::kind::Kind;
use crate::syntax::tree::View;

/// One statement at the top of a file. All places are bytes of the file.
pub(super) struct Item {
    /// What it is, and of what name; the second of one name has a number behind it.
    pub key: String,
    /// The same for people: "scene `solo`".
    pub about: String,
    /// It has a name of its own.
    pub named: bool,
    pub start: usize,
    pub end: usize,
    /// Where the comments right above it start, else its own line.
    pub lead: usize,
    /// Where the words before its block end.
    pub head_end: usize,
    /// Where its block opens, behind the brace, and where it closes, before the brace.
    pub block: Option<(usize, usize)>,
    /// All that it says, without layout.
    pub whole: String,
    /// What it says before its block.
    pub head: String,
    /// The statements in its block.
    pub lines: Vec<Line>,
    /// Their order counts.
    pub ordered: bool,
}

/// A statement in a block.
pub(super) struct Line {
    pub start: usize,
    pub end: usize,
    /// What it settles: several for a list.
    pub atoms: Vec<Atom>,
    /// Its first word, when it is a list whose members can be moved one by one.
    pub verb: Option<&'static str>,
}

/// One thing settled.
#[derive(Clone, PartialEq, Eq)]
pub(super) struct Atom {
    pub key: String,
    pub value: String,
    /// How it reads as a member of a list.
    pub text: String,
}

/// A file.
pub(super) struct Outline<'s> {
    pub text: &'s str,
    pub items: Vec<Item>,
}

impl<'s> Outline<'s> {
    pub(super) fn of(side: Side<'s>) -> Outline<'s> {
        let mut out = Outline { text: side.text, items: Vec::new() };
        for view in side.tree.statements(side.text) {
            let item = out.item(view);
            out.items.push(item);
        }
        out
    }

    pub(super) fn find(&self, key: &str) -> Option<&Item> {
        self.items.iter().find(|i| i.key == key)
    }

    pub(super) fn slice(&self, from: usize, to: usize) -> &'s str {
        self.text.get(from..to.max(from)).unwrap_or("")
    }

    pub(super) fn line_start(&self, at: usize) -> usize {
        self.slice(0, at).rfind('\n').map_or(0, |n| n + 1)
    }

    pub(super) fn line_end(&self, at: usize) -> usize {
        self.text.get(at..).and_then(|rest| rest.find('\n')).map_or(self.text.len(), |n| at + n)
    }

    /// Nothing but blanks stands before it on its line.
    pub(super) fn opens_line(&self, at: usize) -> bool {
        self.slice(self.line_start(at), at).trim().is_empty()
    }

    /// The comment behind a statement on its line, with the blanks before it; empty when other things follow.
    pub(super) fn trail(&self, end: usize) -> &'s str {
        let rest = self.slice(end, self.line_end(end)).trim_end();
        if rest.trim_start().starts_with('#') { rest } else { "" }
    }

    /// The comments below the last statement.
    pub(super) fn tail(&self) -> &'s str {
        let from = self.items.last().map_or(0, |i| (self.line_end(i.end) + 1).min(self.text.len()));
        let tail = self.slice(from, self.text.len());
        if tail.trim().is_empty() { "" } else { tail }
    }

    /// Where the comment lines right above a place start.
    fn lead(&self, start: usize) -> usize {
        let mut at = self.line_start(start);
        while at > 0 {
            let above = self.line_start(at - 1);
            if !self.slice(above, at).trim_start().starts_with('#') {
                break;
            }
            at = above;
        }
        at
    }

    fn item(&self, view: View<'_>) -> Item {
        let (start, end) = (view.span().start as usize, view.span().end as usize);
        let body = view.child(Kind::SceneBody).unwrap_or(view);
        let inner: Vec<View<'_>> = body.children().filter(|v| stands_alone(view.kind(), v.kind())).collect();
        let text = view.text();
        let open = opening(text).filter(|_| braced(view.kind()) && text.ends_with('}')).map(|at| start + at);
        let word = view.kind().name();
        let name = match view.kind() {
            Kind::Song | Kind::Set | Kind::Use => view.child(Kind::Text).map(|t| t.text().to_owned()),
            Kind::Rule => Some(view.child(Kind::Text).map_or_else(|| canon(view), |t| t.text().to_owned())),
            Kind::Fallback | Kind::Allow => Some(canon(view)),
            _ => view.child(Kind::Name).map(|n| format!("`{}`", n.text())),
        };
        let named = name.is_some();
        let about = name.map_or(word.to_owned(), |name| format!("{word} {name}"));
        let same = self.items.iter().filter(|i| i.about == about).count();
        let heads = view.children().filter(|v| v.kind() != Kind::SceneBody && !inner.iter().any(|i| i.id() == v.id()));
        Item {
            key: if same == 0 { about.clone() } else { format!("{about} {}", same + 1) },
            about,
            named,
            start,
            end,
            lead: self.lead(start),
            head_end: open.map_or(end, |at| start + self.slice(start, at).trim_end().len()),
            block: open.map(|at| (at + 1, end - 1)),
            whole: canon(view),
            head: heads.map(canon).collect::<Vec<_>>().join(" "),
            lines: lines(&inner),
            ordered: matches!(view.kind(), Kind::Song | Kind::Set),
        }
    }
}

/// Where the brace stands that opens a statement's block: the first outside texts and comments.
fn opening(text: &str) -> Option<usize> {
    let (mut quoted, mut comment) = (false, false);
    text.char_indices()
        .find(|(_, c)| {
            match c {
                '\n' => (quoted, comment) = (false, false),
                '"' if !comment => quoted = !quoted,
                '#' if !quoted => comment = true,
                _ => {}
            }
            *c == '{' && !quoted && !comment
        })
        .map(|(at, _)| at)
}

fn braced(kind: Kind) -> bool {
    use Kind::*;
    matches!(
        kind,
        Switcher | Guitar | Supply | Pedal | Buffer | Amp | Panel | Default | Layer | Scene | Song | Set | Slots
    )
}

/// A child that is a statement of the block.
fn stands_alone(parent: Kind, child: Kind) -> bool {
    use Kind::*;
    braced(parent) && !matches!(child, Name | Text | Word | Like | From | With | Was | Tempo | SceneBody)
}

fn lines(views: &[View<'_>]) -> Vec<Line> {
    let mut seen: Vec<String> = Vec::new();
    let mut out = Vec::new();
    for view in views {
        let mut atoms = atoms(*view);
        for atom in &mut atoms {
            let same = seen.iter().filter(|k| **k == atom.key).count();
            seen.push(atom.key.clone());
            if same > 0 {
                atom.key += &format!(" {}", same + 1);
            }
        }
        let verb = match view.kind() {
            Kind::Engage => Some("engage"),
            Kind::Bypass => Some("bypass"),
            Kind::Close => Some("close"),
            Kind::Open => Some("open"),
            Kind::Pulse => Some("pulse"),
            _ => None,
        };
        out.push(Line { start: view.span().start as usize, end: view.span().end as usize, atoms, verb });
    }
    out
}

/// What a statement settles.
fn atoms(view: View<'_>) -> Vec<Atom> {
    let members = |prefix: &str| {
        let of = view.children().filter(|v| matches!(v.kind(), Kind::Name | Kind::LoopRef | Kind::Contact));
        of.map(|v| Atom {
            key: format!("{prefix} {}", canon(v)),
            value: view.kind().name().to_owned(),
            text: v.text().to_owned(),
        })
        .collect::<Vec<_>>()
    };
    let leaf = |kind: Kind, n: usize| view.nth(kind, n).map_or("", |v| v.text()).to_owned();
    let key = match view.kind() {
        Kind::Engage | Kind::Bypass => return members("in"),
        Kind::Close | Kind::Open | Kind::Pulse => return members("contact"),
        Kind::Setting => format!("{}.{}", leaf(Kind::Name, 0), leaf(Kind::Name, 1)),
        Kind::PortAt | Kind::OutputIs | Kind::PanelJack => {
            let side = view.children().next().map_or("", |v| v.text());
            let side = if view.kind() == Kind::PanelJack { side } else { "" };
            format!("{} {side}{}", view.kind().name(), leaf(Kind::Number, 0))
        }
        Kind::Control | Kind::Level | Kind::Knob | Kind::Outlet => {
            format!("{} {}", view.kind().name(), leaf(Kind::Name, 0))
        }
        Kind::Part => {
            let label = view.child(Kind::Text).filter(|t| t.span().start == view.span().start);
            format!("part {}", label.or(view.child(Kind::Name)).map_or("", |v| v.text()))
        }
        Kind::Pause | Kind::Drop | Kind::Play => format!("{} {}", view.kind().name(), leaf(Kind::Text, 0)),
        Kind::Pinned => format!("slot {}", view.children().next().map_or("", |v| v.text())),
        Kind::Every => format!("every {}", view.children().next().map_or("", |v| v.text())),
        other => other.name().to_owned(),
    };
    vec![Atom { key, value: canon(view), text: view.text().to_owned() }]
}

/// A statement without its layout.
pub(super) fn canon(view: View<'_>) -> String {
    let inner: Vec<String> = view.children().map(canon).collect();
    if !inner.is_empty() {
        return format!("({} {})", view.kind().name(), inner.join(" "));
    }
    match view.kind() {
        Kind::Quantity => Amount::read(view.text()).map_or_else(|| view.text().to_owned(), amount::size),
        Kind::Text => view.text().to_owned(),
        _ => view.text().split_whitespace().collect::<Vec<_>>().join(" "),
    }
}
