//! Rows against rules. Rows that answer alike are judged once.

use rustc_hash::{FxHashMap, FxHashSet};

use super::encoding::Encoding;
use super::left::Way;
use super::logic::{Logic, Node, Truth};
use super::meter::NotProved;
use super::reason;
use super::roam::{Roam, Stand, TooMany, roams};
use super::shortest::{Offers, Search, Wanted, would};
use super::{Clash, Open};
use crate::book::Book;
use crate::ids::{ColumnId, SayingId, SceneId};
use crate::settle::{Table, Value, why};
use crate::study::budget;

/// A row that breaks a rule, or may.
#[derive(Clone, PartialEq, Debug)]
pub struct Broken {
    /// The scene.
    pub scene: SceneId,
    /// The rules: one, or several that no choice of free cells keeps all at once.
    pub rules: Vec<usize>,
    /// What stands there when the rule is broken; None when it is broken whatever stands there.
    pub risk: Option<Stand>,
    /// The statements behind it, indexes of the book's sayings.
    pub by: Vec<SayingId>,
    /// The shortest changes that would keep the rules, and no other rule worse.
    pub offers: Offers,
    /// Scenes that break the same by the same statements, because they build on this one.
    pub also: Vec<SceneId>,
}

/// What a row answers, and what that means; found out once.
#[derive(Clone)]
struct Verdict {
    rules: Vec<usize>,
    risk: Option<Stand>,
    offers: Offers,
}

/// Every row that breaks a rule, in the order of the scenes.
pub(super) fn broken(
    roam: Roam<'_>,
    encoding: &mut Encoding,
    all: &[usize],
    clashes: &[Clash],
    open: &mut Vec<Open>,
) -> Vec<Broken> {
    if all.is_empty() {
        return Vec::new();
    }
    let Roam { book, table, logic, .. } = roam;
    let (asked, seen, held) = (logic.asked(), FxHashMap::default(), budget::HELD_AGAINST);
    let mut judge = Judge { book, table, logic, roam, asked, encoding, all, clashes, seen, open, held };
    let mut out: Vec<Broken> = Vec::new();
    let mut heads: FxHashMap<(SceneId, Vec<usize>, bool), usize> = FxHashMap::default();
    for id in crate::book::scene::order(&book.show.scenes) {
        let Some(scene) = book.show.scene(id).filter(|s| !s.repeated || s.pressed != 0) else { continue };
        let base = book.show.base(id);
        for verdict in judge.verdicts(id) {
            // With switches pressed a scene breaks what it breaks anyhow: told there.
            let told = |out: &[Broken]| {
                let there = |b: &Broken| scene.pressed != 0 && (b.scene == base || b.also.contains(&base));
                out.iter().any(|b| there(b) && b.rules == verdict.rules && b.risk.is_some() >= verdict.risk.is_some())
            };
            if told(&out) {
                continue;
            }
            let by = judge.statements(id, &verdict.rules);
            let Verdict { rules, risk, offers } = verdict;
            let above = scene.parent.and_then(|p| heads.get(&(p, rules.clone(), risk.is_some()))).copied();
            let same = |b: &Broken| b.by == by && b.risk == risk && !by.is_empty();
            let head = above.filter(|h| out.get(*h).is_some_and(same));
            let index = head.unwrap_or(out.len());
            heads.insert((id, rules.clone(), risk.is_some()), index);
            match head.and_then(|h| out.get_mut(h)) {
                Some(head) => head.also.push(id),
                None => out.push(Broken { scene: id, rules, risk, by, offers, also: vec![] }),
            }
        }
    }
    out
}

struct Judge<'j> {
    book: &'j Book,
    table: &'j Table,
    logic: &'j Logic,
    roam: Roam<'j>,
    /// The cells that rules ask for.
    asked: Vec<ColumnId>,
    encoding: &'j mut Encoding,
    all: &'j [usize],
    clashes: &'j [Clash],
    seen: FxHashMap<Answers, Vec<Verdict>>,
    open: &'j mut Vec<Open>,
    /// Rules that may still be held against changes of rows.
    held: u64,
}

/// What a row answers; what it would if no cell of it were free; which cells a foot or a way in decides, and those ways.
type Answers = (Vec<Truth>, Vec<Truth>, Vec<(ColumnId, Value)>, Vec<Way>);

/// What a cell of a row holds; None when it is free.
pub(super) fn held(table: &Table, scene: SceneId, cell: ColumnId) -> Option<Value> {
    (!table.is_free(scene, cell)).then(|| table.value(scene, cell))
}

impl Judge<'_> {
    fn verdicts(&mut self, scene: SceneId) -> Vec<Verdict> {
        let table = self.table;
        let answers = self.answers(scene);
        let full = |cell| held(table, scene, cell).or_else(|| Some(would(self.book, table, scene, cell)));
        let open = self.asked.iter().filter_map(|cell| Some((*cell, held(table, scene, *cell)?)));
        let open: Vec<(ColumnId, Value)> = open.filter(|(_, value)| roams(Some(*value))).collect();
        let stays = open.iter().any(|(_, value)| matches!(value, Value::Stays | Value::Pulse));
        let ways = if stays { self.roam.left.ways(scene).to_vec() } else { Vec::new() };
        let answers = (answers, self.logic.answers(scene, &full), open, ways);
        if let Some(known) = self.seen.get(&answers) {
            return known.clone();
        }
        let found = self.judge(scene, &answers.0, !answers.2.is_empty());
        self.seen.insert(answers, found.clone());
        found
    }

    fn answers(&self, scene: SceneId) -> Vec<Truth> {
        let held = |cell| held(self.table, scene, cell);
        self.logic.asks.iter().map(|ask| self.roam.answer(*ask, scene, &held)).collect()
    }

    fn judge(&mut self, scene: SceneId, answers: &[Truth], roaming: bool) -> Vec<Verdict> {
        let truth = |rule: usize| self.logic.rules.get(rule).map_or(Truth::Unknown, |n| n.truth(answers));
        // Rules that clash among themselves are told there, not scene by scene.
        let here =
            self.clashes.iter().filter(|c| c.scenes.is_empty() || c.scenes.contains(&self.book.show.base(scene)));
        let clashing: FxHashSet<usize> = here.flat_map(|c| &c.rules).copied().collect();
        let told = |rule: usize| clashing.contains(&rule);
        let rules: Vec<usize> = self.all.iter().copied().filter(|r| !told(*r)).collect();
        let mut sets: Vec<Vec<usize>> = rules.iter().filter(|r| truth(**r) == Truth::No).map(|r| vec![*r]).collect();
        let alone = |c: &Clash| if let [rule] = c.rules.as_slice() { Some(*rule) } else { None };
        let mut lone: FxHashSet<usize> = self.clashes.iter().filter_map(alone).filter(|r| told(*r)).collect();
        let mut open: Vec<usize> = rules.iter().copied().filter(|r| truth(*r) != Truth::No).collect();
        if open.iter().any(|r| truth(*r) == Truth::Free) {
            let mut given = self.encoding.answering(answers);
            let table = self.table;
            given.extend(self.roam.moved(&|cell| held(table, scene, cell)).map(|node| self.encoding.node(&node)));
            if let Some(came) = self.roam.came(scene, &|cell| held(table, scene, cell)) {
                given.push(self.encoding.node(&came));
            }
            loop {
                match reason::against(self.encoding, &open, given.clone()) {
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
        let mut found: Vec<(Vec<usize>, Option<Stand>)> = sets.into_iter().map(|set| (set, None)).collect();
        if roaming {
            found
                .extend(self.at_risk(scene, answers, &open).into_iter().map(|(rule, stand)| (vec![rule], Some(stand))));
        }
        // What holds by no choice is broken already: no change need keep it.
        lone.extend(
            found
                .iter()
                .filter(|(_, risk)| risk.is_none())
                .filter_map(|(set, _)| if let [rule] = set.as_slice() { Some(*rule) } else { None }),
        );
        let alone: Vec<usize> = self.all.iter().copied().filter(|r| !lone.contains(r)).collect();
        let mut out = Vec::new();
        for (rules, risk) in found {
            let others = open.iter().filter(|r| !rules.contains(r));
            let together: Vec<usize> = rules.iter().chain(others).copied().collect();
            let wanted = Wanted { rules: &rules, together: &together, alone: &alone };
            let search = Search { roam: self.roam, encoding: self.encoding, scene, held: &mut self.held };
            out.push(Verdict { offers: search.shortest(&wanted), rules, risk });
        }
        out
    }

    /// Rules of `open` that are broken by some of what can stand in the row, and what that is.
    fn at_risk(&mut self, scene: SceneId, answers: &[Truth], open: &[usize]) -> Vec<(usize, Stand)> {
        let (roam, table) = (self.roam, self.table);
        let held = |cell| held(table, scene, cell);
        let (mut plain, mut moved) = (Vec::new(), Vec::new());
        for rule in open {
            let Some(node) = self.logic.rules.get(*rule) else { continue };
            match roam.stands(node, scene, &held) {
                Ok(stands) if stands.is_empty() => plain.push(*rule),
                Ok(stands) => moved.push((*rule, node, stands)),
                Err(TooMany) => self.open.push(Open::Row(scene)),
            }
        }
        let mut out = Vec::new();
        for (rule, node, stands) in moved {
            let always = roam.always(node, scene, &stands);
            let risky = match always.truth(answers) {
                Truth::No => true,
                Truth::Free => {
                    let mut given = self.encoding.answering(answers);
                    given.push(self.encoding.node(&always));
                    match self.encoding.clash(&plain, &given) {
                        Ok(clash) => clash.is_some(),
                        Err(NotProved) => {
                            self.open.push(Open::Row(scene));
                            false
                        }
                    }
                }
                Truth::Yes | Truth::Unknown => false,
            };
            let breaks = |stand: &&Stand| roam.under(node, scene, stand).truth(answers) == Truth::No;
            if risky {
                out.push((rule, stands.iter().find(breaks).cloned().unwrap_or_default()));
            }
        }
        out
    }

    /// The statements that settle what decides against the rules.
    fn statements(&self, scene: SceneId, rules: &[usize]) -> Vec<SayingId> {
        let table = self.table;
        let answers = self.answers(scene);
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
