//! Lists as `engage a, b` merge target by target; a line is but the place where some of them stand.

use std::collections::{BTreeMap, BTreeSet};

use super::key::Member;
use super::outline::{List, Piece, Three};

/// What the targets of a block's lists end as.
pub(super) struct Verbs {
    /// The verb for each cell that some list speaks of; None when it is said no more.
    ends: BTreeMap<String, Option<&'static str>>,
    /// What mine says already, on whatever line.
    mine: BTreeSet<(String, &'static str)>,
}

/// By cell: the verb, and the target as it reads.
type Targets = BTreeMap<String, (&'static str, String)>;

fn targets(list: &List<'_>) -> Targets {
    let lists = list.pieces.iter().filter_map(|p| Some((p.kind?, p)));
    let members = lists.flat_map(|(kind, p)| p.members.iter().map(move |x| (kind.name(), x)));
    members.map(|(verb, x)| (x.key.clone(), (verb, x.text.clone()))).collect()
}

/// What each target ends as, and where both sides changed one, what was said before, by mine and by theirs.
pub(super) fn verbs(b: &List<'_>, m: &List<'_>, t: &List<'_>) -> (Verbs, Vec<[Option<String>; 3]>) {
    let (b, m, t) = (targets(b), targets(m), targets(t));
    let mut clashes = Vec::new();
    let mut ends = BTreeMap::new();
    for key in b.keys().chain(m.keys()).chain(t.keys()) {
        if ends.contains_key(key) {
            continue;
        }
        let verb = |side: &Targets| side.get(key).map(|x| x.0);
        let (was, mine, theirs) = (verb(&b), verb(&m), verb(&t));
        if mine != theirs && mine != was && theirs != was {
            clashes.push([&b, &m, &t].map(|side| side.get(key).map(|(verb, text)| format!("{verb} {text}"))));
        }
        ends.insert(key.clone(), if mine == was { theirs } else { mine });
    }
    let mine = m.into_iter().map(|(key, (verb, _))| (key, verb)).collect();
    (Verbs { ends, mine }, clashes)
}

/// The words of a list: the targets of mine that stay, and those of theirs that come in. None when it is empty.
pub(super) fn listed(p: Three<'_, '_>, verbs: &Verbs) -> Option<String> {
    let own = p.mine.or(p.theirs)?;
    let verb = own.kind?.name();
    let ends = |member: &&Member| verbs.ends.get(&member.key).copied().flatten() == Some(verb);
    let mut members: Vec<&Member> = p.mine.map_or(Vec::new(), |m| m.members.iter().filter(ends).collect());
    let mine = members.len();
    if let Some(t) = p.theirs {
        members.extend(t.members.iter().filter(ends).filter(|x| !verbs.mine.contains(&(x.key.clone(), verb))));
    }
    if members.is_empty() {
        return None;
    }
    let has = |key: &str| members.iter().any(|m| m.key == key);
    let whole = |p: &&Piece<'_>| p.members.len() == members.len() && p.members.iter().all(|x| has(&x.key));
    if let Some(m) = p.mine.filter(|m| mine == m.members.len() && members.len() == mine) {
        let t = p.theirs.filter(|_| p.base.is_some_and(|b| b.body == m.body)).filter(whole);
        return Some(t.unwrap_or(m).body.to_owned());
    }
    if let Some(t) = p.theirs.filter(whole) {
        return Some(t.body.to_owned());
    }
    Some(format!("{verb} {}", members.iter().map(|m| m.text.as_str()).collect::<Vec<_>>().join(", ")))
}

/// A name for each piece of the three lists: lines that list the same targets are the same line.
pub(super) fn keys(b: &List<'_>, m: &List<'_>, t: &List<'_>) -> [Vec<String>; 3] {
    let named = |list: &List<'_>, sign: &str| -> Vec<String> {
        let pieces = list.pieces.iter().enumerate();
        let key = |(at, p): (usize, &Piece<'_>)| match p.kind {
            Some(kind) if !p.members.is_empty() => format!("{} {sign}{at}", kind.name()),
            _ => p.key.clone(),
        };
        pieces.map(key).collect()
    };
    let (bk, mut mk, mut tk) = (named(b, "base "), named(m, "mine "), named(t, "theirs "));
    link((b, &bk), (m, &mut mk));
    link((b, &bk), (t, &mut tk));
    let mine = mk.clone();
    link((m, &mine), (t, &mut tk));
    [bk, mk, tk]
}

/// Gives the lines of a side the names of the lines that they share targets with; what is left goes in order.
fn link((from, names): (&List<'_>, &[String]), (to, keys): (&List<'_>, &mut Vec<String>)) {
    let lines = |list: &List<'_>| -> Vec<usize> {
        list.pieces.iter().enumerate().filter(|(_, p)| !p.members.is_empty()).map(|(at, _)| at).collect()
    };
    let mut free: Vec<usize> =
        lines(from).into_iter().filter(|f| names.get(*f).is_some_and(|n| !keys.contains(n))).collect();
    let mut left: Vec<usize> = lines(to).into_iter().filter(|s| keys.get(*s).is_some_and(|k| own(k, names))).collect();
    for least in [1, 0] {
        left.retain(|s| {
            let shared = |f: &usize| {
                let (Some(a), Some(b)) = (from.pieces.get(*f), to.pieces.get(*s)) else { return None };
                let both = a.members.iter().filter(|x| b.members.iter().any(|y| y.key == x.key)).count();
                (a.kind == b.kind && both >= least).then_some(both)
            };
            let best = free.iter().enumerate().filter_map(|(at, f)| Some((shared(f)?, std::cmp::Reverse(at)))).max();
            let Some((_, std::cmp::Reverse(at))) = best else { return true };
            let found = free.remove(at);
            if let (Some(key), Some(name)) = (keys.get_mut(*s), names.get(found)) {
                key.clone_from(name);
            }
            false
        });
    }
}

/// A name that no other list gave.
fn own(key: &str, names: &[String]) -> bool {
    (key.contains(" mine ") || key.contains(" theirs ")) && !names.iter().any(|n| n == key)
}
