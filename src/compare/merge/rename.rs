//! Renames by `was`: what one side calls anew is called so in the base and on the other side too, before they merge.
//!
//! So a rename is an edit of one statement, and what the other side added or kept (slots, parts, rules, fallbacks,
//! what is allowed) speaks of the new name. References are found by the statements that hold them.

use std::collections::BTreeMap;

use super::side::{Conflict, Side};
use crate::syntax::edit::{Edit, apply};
use crate::syntax::kind::Kind;
use crate::syntax::lexer::unquoted;
use crate::syntax::parse;
use crate::syntax::tree::View;

/// Old name to new name.
type Names = BTreeMap<String, String>;

/// The three texts in one language, and the scenes that both sides gave another name.
pub(super) struct Renamed {
    pub base: String,
    pub mine: String,
    pub theirs: String,
    pub conflicts: Vec<Conflict>,
}

pub(super) fn renamed(base: &str, mine: &str, theirs: &str) -> Renamed {
    let trees = [base, mine, theirs].map(|text| parse(0, text).0);
    let [b, m, t] = &trees;
    let (base, mine, theirs) =
        (Side { text: base, tree: b }, Side { text: mine, tree: m }, Side { text: theirs, tree: t });
    let known = scenes(base);
    let (mut by_mine, mut by_theirs) = (names(&known, &scenes(mine)), names(&known, &scenes(theirs)));
    // A new name that the other side uses for something else: both stay what they are.
    let free = |names: &mut Names, other: &BTreeMap<String, Option<String>>, others: &Names| {
        names.retain(|old, new| !other.contains_key(new) || others.get(old) == Some(new) || known.contains_key(new));
    };
    let (m_scenes, t_scenes) = (scenes(mine), scenes(theirs));
    let (m_names, t_names) = (by_mine.clone(), by_theirs.clone());
    free(&mut by_mine, &t_scenes, &t_names);
    free(&mut by_theirs, &m_scenes, &m_names);
    let mut conflicts = Vec::new();
    let mut of_theirs = Names::new();
    for (old, new) in &by_mine {
        match by_theirs.get(old) {
            Some(other) if other != new => {
                of_theirs.insert(other.clone(), new.clone());
                conflicts.push(Conflict {
                    about: format!("scene `{new}`"),
                    base: Some(format!("scene {old}")),
                    mine: Some(format!("scene {new} was {old}")),
                    theirs: Some(format!("scene {other} was {old}")),
                });
            }
            Some(_) => {}
            None if by_theirs.values().any(|n| n == old) => {}
            None => drop(of_theirs.insert(old.clone(), new.clone())),
        }
    }
    by_theirs.retain(|old, _| !by_mine.contains_key(old));
    let of_mine: Names = by_theirs
        .iter()
        .filter(|(old, _)| !by_mine.values().any(|n| n == *old))
        .map(|(a, b)| (a.clone(), b.clone()))
        .collect();
    let mut all = by_mine;
    all.extend(by_theirs);
    // A bare part is its own label: it follows where the side that renamed let it follow.
    let (bare_mine, bare_theirs) = (bare(mine), bare(theirs));
    let both: Vec<_> = bare_mine.iter().chain(&bare_theirs).cloned().collect();
    Renamed {
        base: call(base, &all, &both),
        mine: call(mine, &of_mine, &bare_theirs),
        theirs: call(theirs, &of_theirs, &bare_mine),
        conflicts,
    }
}

/// The scenes of a file, each with its name of the last tour.
fn scenes(side: Side<'_>) -> BTreeMap<String, Option<String>> {
    let scenes = side.tree.statements(side.text).filter(|v| v.kind() == Kind::Scene);
    let name = |v: View<'_>| v.child(Kind::Name).map(|n| n.text().to_owned());
    scenes.filter_map(|v| Some((name(v)?, v.child(Kind::Was).and_then(name)))).collect()
}

/// The scenes that a side gave a new name since the base.
fn names(base: &BTreeMap<String, Option<String>>, side: &BTreeMap<String, Option<String>>) -> Names {
    let new = side.iter().filter_map(|(name, was)| Some((was.clone()?, name.clone())));
    let new = new.filter(|(old, name)| {
        old != name && base.contains_key(old) && base.get(name).is_none_or(|w| w.as_ref() != Some(old))
    });
    let mut names: Names = new.collect();
    // A name that is taken in the base is free when its own scene got another.
    loop {
        let stuck: Vec<String> = names
            .iter()
            .filter(|(_, new)| base.contains_key(*new) && !names.contains_key(*new))
            .map(|(old, _)| old.clone())
            .collect();
        if stuck.is_empty() {
            return names;
        }
        names.retain(|old, _| !stuck.contains(old));
    }
}

/// The parts that are called as their scene: title of the song, name.
fn bare(side: Side<'_>) -> Vec<(String, String)> {
    let songs = side.tree.statements(side.text).filter(|v| v.kind() == Kind::Song);
    let parts = songs.flat_map(|song| {
        let title = song.child(Kind::Text).map_or("", View::text).to_owned();
        song.all(Kind::Part).filter(|p| is_bare(*p)).map(move |p| (title.clone(), p))
    });
    parts.filter_map(|(title, p)| Some((title, p.child(Kind::Name)?.text().to_owned()))).collect()
}

fn is_bare(part: View<'_>) -> bool {
    part.child(Kind::Text).is_none() && part.nth(Kind::Name, 1).is_none()
}

/// A text in which scenes have other names.
fn call(side: Side<'_>, names: &Names, bare: &[(String, String)]) -> String {
    if names.is_empty() {
        return side.text.to_owned();
    }
    let mut edits = Vec::new();
    for statement in side.tree.statements(side.text) {
        let title = statement.child(Kind::Text).map_or("", View::text);
        for (view, _) in statement.all_inside() {
            for name in references(view) {
                let Some(new) = names.get(name.text()) else { continue };
                let known = |(song, part): &(String, String)| unquoted(song) == unquoted(title) && part == new;
                let keeps = view.kind() == Kind::Part && is_bare(view) && !bare.iter().any(known);
                let label = if keeps { format!("{}: ", name.text()) } else { String::new() };
                edits.push(Edit::new(name.span(), format!("{label}{new}")));
            }
        }
    }
    apply(side.text, &edits)
}

/// The names in a statement, or a part of one, that stand for a scene.
fn references(view: View<'_>) -> Vec<View<'_>> {
    let mut names = view.all(Kind::Name);
    match view.kind() {
        Kind::Scene | Kind::From | Kind::Pinned => names.next().into_iter().collect(),
        Kind::Every => names.last().into_iter().collect(),
        Kind::Part => names.take(2).last().into_iter().collect(),
        Kind::Fallback | Kind::Allow => names.skip(1).collect(),
        Kind::Atom => {
            let all: Vec<View<'_>> = names.collect();
            if all.len() == 1 { all } else { Vec::new() }
        }
        _ => Vec::new(),
    }
}
