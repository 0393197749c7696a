//! Rows against rules. Rows that answer alike are judged once.

use rustc_hash::{FxHashMap, FxHashSet};

use super::logic::{Logic, Node, Truth};
use super::meter::NotProved;
use super::reason;
use super::shortest::{Offers, Search, Wanted, would};
use super::world::World;
use super::{Clash, Open};
use crate::book::Book;
use crate::settle::{Table, Value, why};
use crate::study::budget;

/// A row that breaks a rule.
#[derive(Clone, PartialEq, Debug)]
pub struct Broken {
    /// The scene.
    pub scene: u32,
    /// The rules: one, or several that no choice of free cells keeps all at once.
    pub rules: Vec<usize>,
    /// The statements behind it, indexes of the book's sayings.
    pub by: Vec<u32>,
    /// The shortest changes that would keep the rules, and no other rule worse.
    pub offers: Offers,
    /// Scenes that break the same by the same statements, because they build on this one.
    pub also: Vec<u32>,
}

/// What a row answers, and what that means; found out once.
#[derive(Clone)]
struct Verdict {
    rules: Vec<usize>,
    offers: Offers,
}

/// Every row that breaks a rule, in the order of the scenes.
pub(super) fn broken(
    book: &Book,
    table: &Table,
    logic: &Logic,
    world: &mut World,
    all: &[usize],
    clashes: &[Clash],
    open: &mut Vec<Open>,
) -> Vec<Broken> {
    if all.is_empty() {
        return Vec::new();
    }
    let mut judge =
        Judge { book, table, logic, world, all, clashes, seen: FxHashMap::default(), open, held: budget::HELD_AGAINST };
    let mut out: Vec<Broken> = Vec::new();
    let mut heads: FxHashMap<(u32, Vec<usize>), usize> = FxHashMap::default();
    for id in crate::book::scene::order(&book.show.scenes) {
        let Some(scene) = book.show.scene(id).filter(|s| !s.double) else { continue };
        for verdict in judge.verdicts(id) {
            let by = judge.statements(id, &verdict.rules);
            let above = scene.parent.and_then(|p| heads.get(&(p, verdict.rules.clone()))).copied();
            let head = above.filter(|h| out.get(*h).is_some_and(|b| b.by == by && !by.is_empty()));
            let index = head.unwrap_or(out.len());
            heads.insert((id, verdict.rules.clone()), index);
            match head.and_then(|h| out.get_mut(h)) {
                Some(head) => head.also.push(id),
                None => out.push(Broken { scene: id, rules: verdict.rules, by, offers: verdict.offers, also: vec![] }),
            }
        }
    }
    out
}

struct Judge<'j> {
    book: &'j Book,
    table: &'j Table,
    logic: &'j Logic,
    world: &'j mut World,
    all: &'j [usize],
    clashes: &'j [Clash],
    seen: FxHashMap<Answers, Vec<Verdict>>,
    open: &'j mut Vec<Open>,
    /// Rules that may still be held against changes of rows.
    held: u64,
}

/// What a row answers; and what it would if no cell of it were free.
type Answers = (Vec<Truth>, Vec<Truth>);

/// What a cell of a row holds; None when it is free.
pub(super) fn held(table: &Table, scene: u32, cell: u16) -> Option<Value> {
    (!table.is_free(scene, cell)).then(|| table.value(scene, cell))
}

impl Judge<'_> {
    fn verdicts(&mut self, scene: u32) -> Vec<Verdict> {
        let table = self.table;
        let answers = self.logic.answers(scene, &|cell| held(table, scene, cell));
        let full = |cell| held(table, scene, cell).or_else(|| Some(would(self.book, table, scene, cell)));
        let answers = (answers, self.logic.answers(scene, &full));
        if let Some(known) = self.seen.get(&answers) {
            return known.clone();
        }
        let found = self.judge(scene, &answers.0);
        self.seen.insert(answers, found.clone());
        found
    }

    fn judge(&mut self, scene: u32, answers: &[Truth]) -> Vec<Verdict> {
        let truth = |rule: usize| self.logic.rules.get(rule).map_or(Truth::Unknown, |n| n.truth(answers));
        // Rules that clash among themselves are told there, not scene by scene.
        let here = self.clashes.iter().filter(|c| c.scene.is_none_or(|s| self.same_kind(s, scene)));
        let clashing: FxHashSet<usize> = here.flat_map(|c| &c.rules).copied().collect();
        let told = |rule: usize| clashing.contains(&rule);
        let rules: Vec<usize> = self.all.iter().copied().filter(|r| !told(*r)).collect();
        let mut sets: Vec<Vec<usize>> = rules.iter().filter(|r| truth(**r) == Truth::No).map(|r| vec![*r]).collect();
        let alone = |c: &Clash| if let [rule] = c.rules.as_slice() { Some(*rule) } else { None };
        let mut lone: FxHashSet<usize> = self.clashes.iter().filter_map(alone).filter(|r| told(*r)).collect();
        let mut open: Vec<usize> = rules.iter().copied().filter(|r| truth(*r) != Truth::No).collect();
        if open.iter().any(|r| truth(*r) == Truth::Free) {
            let given = self.world.answering(answers);
            loop {
                match reason::against(self.world, &open, given.clone()) {
                    Ok(Some(set)) if !set.is_empty() => {
                        open.retain(|r| !set.contains(r));
                        sets.push(set);
                    }
                    Ok(_) => break,
                    Err(NotProved) => {
                        self.open.push(Open::Row(scene));
                        break;
                    }
                }
            }
        }
        // What holds by no choice is broken already: no change need keep it.
        lone.extend(sets.iter().filter_map(|set| if let [rule] = set.as_slice() { Some(*rule) } else { None }));
        let alone: Vec<usize> = self.all.iter().copied().filter(|r| !lone.contains(r)).collect();
        let mut out = Vec::new();
        for rules in sets {
            let together: Vec<usize> = rules.iter().chain(&open).copied().collect();
            let wanted = Wanted { together: &together, alone: &alone };
            let Judge { book, table, logic, .. } = *self;
            let search = Search { book, table, logic, world: self.world, scene, held: &mut self.held };
            out.push(Verdict { offers: search.shortest(&wanted), rules });
        }
        out
    }

    fn same_kind(&self, a: u32, b: u32) -> bool {
        let scenes = self.logic.asks.iter().filter(|ask| Logic::about_scene(**ask));
        scenes.into_iter().all(|ask| self.logic.is_scene(*ask, Some(a)) == self.logic.is_scene(*ask, Some(b)))
    }

    /// The statements that settle what decides against the rules.
    fn statements(&self, scene: u32, rules: &[usize]) -> Vec<u32> {
        let table = self.table;
        let answers = self.logic.answers(scene, &|cell| held(table, scene, cell));
        let mut cells = Vec::new();
        for rule in rules.iter().filter_map(|r| self.logic.rules.get(*r)) {
            let mut asks = Vec::new();
            decides(rule, &answers, &mut asks);
            cells.extend(asks.into_iter().filter_map(|i| self.logic.asks.get(i)?.cell()));
        }
        let mut seen = Vec::new();
        let mut out = Vec::new();
        for cell in cells {
            if seen.contains(&cell) {
                continue;
            }
            seen.push(cell);
            for reason in why::reasons(self.book, table, scene, cell).into_iter().filter(|r| r.live) {
                if !out.contains(&reason.saying) {
                    out.push(reason.saying);
                }
            }
        }
        out
    }
}

/// The questions whose answers decide the truth of a formula.
fn decides(node: &Node, answers: &[Truth], out: &mut Vec<usize>) {
    let truth = node.truth(answers);
    match node {
        Node::Const(_) => {}
        Node::Ask(index) => out.push(*index),
        Node::Not(inner) => decides(inner, answers, out),
        Node::All(list) | Node::Some(list) => {
            let one = matches!((node, truth), (Node::All(_), Truth::No) | (Node::Some(_), Truth::Yes));
            let same = list.iter().filter(|n| n.truth(answers) == truth);
            let count = if one { 1 } else { list.len() };
            same.take(count).for_each(|n| decides(n, answers, out));
        }
        Node::AtMostOne(list) => {
            let yes = list.iter().filter(|n| truth != Truth::No || n.truth(answers) == Truth::Yes);
            yes.for_each(|n| decides(n, answers, out));
        }
    }
}
