//! What a statement is among its neighbours, and what it says without its layout.

use crate::book::{Amount, amount};
use crate::syntax::kind::Kind;
use crate::syntax::lexer::unquoted;
use crate::syntax::one_line::one_line;
use crate::syntax::tree::View;

/// One target of a list as `engage a, b`.
#[derive(Clone)]
pub(super) struct Member {
    /// The cell that it is about.
    pub key: String,
    /// How it reads in the list.
    pub text: String,
}

/// A part of what stands before a block: the title, `from`, `was` and so on.
pub(super) struct HeadPart {
    pub kind: Kind,
    pub value: String,
    /// As it is written, with the word that opens it.
    pub text: String,
}

/// The kinds whose statement is a list of targets; each opens with its own name.
pub(super) fn is_list(kind: Kind) -> bool {
    matches!(kind, Kind::Engage | Kind::Bypass | Kind::Close | Kind::Open | Kind::Pulse)
}

/// The targets of a list.
pub(super) fn members(view: View<'_>) -> Vec<Member> {
    if !is_list(view.kind()) {
        return Vec::new();
    }
    let cell = if matches!(view.kind(), Kind::Engage | Kind::Bypass) { "in" } else { "contact" };
    let of = view.children().filter(|v| matches!(v.kind(), Kind::Name | Kind::LoopRef | Kind::Contact));
    of.map(|v| Member { key: format!("{cell} {}", canon(v)), text: one_line(v.text()) }).collect()
}

/// Statements whose order in their block is part of what they say.
pub(super) fn ordered(block: Kind) -> bool {
    matches!(block, Kind::Song | Kind::Set | Kind::Control)
}

/// What a statement at the top is called: "scene `solo`", and whether it has a name of its own.
pub(super) fn about(view: View<'_>) -> (String, bool) {
    if view.kind() == Kind::Instead
        && let Some(inner) = view.children().next()
    {
        let (name, named) = about(inner);
        return (format!("instead {name}"), named);
    }
    let word = match view.kind() {
        Kind::Fallback => "if",
        Kind::UseBy => "use",
        other => other.name(),
    };
    let names = |n: usize| view.all(Kind::Name).take(n).map(View::text).collect::<Vec<_>>().join(" ");
    let name = match view.kind() {
        Kind::Song | Kind::Set | Kind::Use | Kind::UseBy => view.child(Kind::Text).map(|t| t.text().to_owned()),
        Kind::Rule => Some(view.child(Kind::Text).map_or_else(
            || format!("`{}`", one_line(view.text()).trim_start_matches("rule ")),
            |t| t.text().to_owned(),
        )),
        Kind::Fallback => Some(format!("`{}`", names(2))),
        Kind::Allow => Some(format!("`{}`", names(3))),
        _ => view.child(Kind::Name).map(|n| format!("`{}`", n.text())),
    };
    let named = name.is_some();
    (name.map_or(word.to_owned(), |name| format!("{word} {name}")), named)
}

/// What a statement in a block is about, so that two sides that say something of it speak of the same.
pub(super) fn inner(view: View<'_>) -> String {
    let leaf = |kind: Kind, n: usize| view.nth(kind, n).map_or("", |v| v.text()).to_owned();
    let first = || view.children().next().map_or("", |v| v.text()).to_owned();
    let word = view.kind().name();
    match view.kind() {
        Kind::Setting => format!("{}.{}", leaf(Kind::Name, 0), leaf(Kind::Name, 1)),
        Kind::Moves => format!("{} {word}", leaf(Kind::Name, 0)),
        Kind::PortAt | Kind::OutputIs => format!("{word} {}", leaf(Kind::Number, 0)),
        Kind::PanelJack => format!("{word} {} {}", first(), leaf(Kind::Number, 0)),
        Kind::Control | Kind::Level | Kind::Leg | Kind::Knob | Kind::Outlet | Kind::State => {
            format!("{word} {}", leaf(Kind::Name, 0))
        }
        Kind::HeardWhen => format!("{word} {}", canon(view)),
        Kind::Part => format!("part {}", unquoted(&first())),
        Kind::Pause | Kind::Drop | Kind::Play => format!("{word} {}", leaf(Kind::Text, 0)),
        Kind::Pinned | Kind::Every | Kind::Kept => format!("{word} {}", first()),
        // Of the ways in which a helper is called it has one.
        Kind::OnRemote | Kind::OnMidi | Kind::OnCc => "called".to_owned(),
        _ => word.to_owned(),
    }
}

/// What stands before the block, part by part; one part where the order of words is its own matter.
pub(super) fn head(view: View<'_>, written: &str) -> Vec<HeadPart> {
    use Kind::*;
    let many =
        matches!(view.kind(), Scene | Layer | Song | Set | Pedal | Buffer | Amp | Helper | Listener | Guitar | Supply);
    if !many {
        let behind = if view.kind() == Instead { view.children().next() } else { None };
        let heads = behind.unwrap_or(view).children().filter(|v| behind.is_none() || is_head(v.kind()));
        let heads = heads.filter(|v| !matches!(v.kind(), SceneBody | States | Starts));
        let own = if matches!(view.kind(), Control | Instead) { heads.map(canon).collect() } else { String::new() };
        return vec![HeadPart { kind: view.kind(), value: own, text: written.trim_end().to_owned() }];
    }
    let parts = view.children().filter(|v| is_head(v.kind()));
    let part = |v: View<'_>| {
        let on = if view.kind() == Song && v.kind() == Name { "on " } else { "" };
        HeadPart { kind: v.kind(), value: canon(v), text: format!("{on}{}", one_line(v.text())) }
    };
    parts.map(part).collect()
}

/// What may stand before a block.
fn is_head(kind: Kind) -> bool {
    use Kind::*;
    matches!(kind, Name | Text | Like | From | With | Was | Tempo)
}

/// The order in which the parts of a head stand.
pub(super) fn head_order(kind: Kind) -> &'static [Kind] {
    use Kind::*;
    match kind {
        Song => &[Text, Tempo, Name],
        Set => &[Text, From],
        _ => &[Name, Text, Like, From, With, Was],
    }
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
        _ => one_line(view.text()).replace([' ', ';'], ""),
    }
}
