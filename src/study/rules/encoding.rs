//! All rows that the board allows, as clauses for a solver.

use std::collections::BTreeMap;

use batsat::{Lit, Solver, SolverInterface, SolverOpts, Var, lbool};
use rustc_hash::FxHashSet;

use super::logic::{Ask, Logic, Node, Truth};
use super::meter::{Meter, NotProved};
use crate::book::{Book, Device, How};
use crate::ids::{ColumnId, ControlId, DeviceId, Numbered, SceneId};
use crate::settle::Cells;

/// What a rule may ask for, beside the scene.
#[derive(PartialEq, Eq, PartialOrd, Ord, Hash)]
enum Subject {
    Cell(ColumnId),
    /// The states of a control that no column shows.
    Hidden(DeviceId, ControlId),
}

/// A solver that knows the board, the scenes and the rules. Each rule holds only while it is assumed.
pub(super) struct Encoding {
    solver: Solver<Meter>,
    asks: Vec<Lit>,
    engaged: Numbered<DeviceId, Lit>,
    states: Numbered<DeviceId, Numbered<ControlId, Vec<Lit>>>,
    /// For each rule: what is so exactly when it holds.
    rules: Vec<Lit>,
    /// For each kind of scene that the rules tell apart: its answers, and the scenes of that kind by name.
    pub kinds: Vec<(Vec<bool>, Vec<SceneId>)>,
    /// Which questions are about the scene.
    scene_asks: Vec<usize>,
    /// Loops that several devices claim.
    shared: FxHashSet<Var>,
    /// What the rules ask for.
    ruled: FxHashSet<Subject>,
    yes: Lit,
}

impl Encoding {
    /// The encoding of a book.
    pub(super) fn of(book: &Book, logic: &Logic) -> Encoding {
        let mut solver = Solver::new(SolverOpts::default(), Meter::default());
        let yes = Lit::new(solver.new_var_default(), true);
        solver.add_clause_reuse(&mut vec![yes]);
        let asks = logic.asks.iter().map(|_| Lit::new(solver.new_var_default(), true)).collect();
        let scene_asks: Vec<usize> =
            (0..logic.asks.len()).filter(|i| logic.asks.get(*i).is_some_and(|a| Logic::about_scene(*a))).collect();
        let kinds = kinds(book, logic, &scene_asks);
        let mut ruled = FxHashSet::default();
        let about = |index: usize| match logic.asks.get(index)? {
            Ask::Hidden { device, control, .. } => Some(Subject::Hidden(*device, *control)),
            ask => ask.cell().map(Subject::Cell),
        };
        logic.rules.iter().for_each(|rule| rule.asks(&mut |index| ruled.extend(about(index))));
        let (engaged, states, rules) = (Numbered::default(), Numbered::default(), Vec::new());
        let mut encoding = Encoding {
            solver,
            asks,
            engaged,
            states,
            rules,
            kinds,
            scene_asks,
            shared: FxHashSet::default(),
            ruled,
            yes,
        };
        encoding.columns(logic);
        encoding.one_kind();
        encoding.engaged = logic.engaged.iter().map(|node| encoding.node(node)).collect();
        let mut once = FxHashSet::default();
        encoding.shared = encoding.engaged.iter().map(|lit| lit.var()).filter(|var| !once.insert(*var)).collect();
        for (d, controls) in logic.states.pairs() {
            let mut list = Numbered::default();
            for (c, states) in controls.pairs() {
                let states: Vec<Lit> = states.iter().map(|node| encoding.node(node)).collect();
                encoding.listed(book, d, c, &states);
                list.push(states);
            }
            encoding.states.push(list);
        }
        encoding.rules = logic.rules.iter().map(|node| encoding.node(node)).collect();
        encoding
    }

    fn clause(&mut self, literals: &[Lit]) {
        self.solver.add_clause_reuse(&mut literals.to_vec());
    }

    fn fresh(&mut self) -> Lit {
        Lit::new(self.solver.new_var_default(), true)
    }

    fn ask(&self, index: usize) -> Lit {
        self.asks.get(index).copied().unwrap_or(!self.yes)
    }

    /// A column holds one value; a step that is at least 5 is at least 4.
    fn columns(&mut self, logic: &Logic) {
        let mut values: BTreeMap<Subject, Vec<usize>> = BTreeMap::new();
        let mut steps: BTreeMap<ColumnId, Vec<(u16, usize)>> = BTreeMap::new();
        for (i, ask) in logic.asks.iter().enumerate() {
            match ask {
                Ask::Is(cell, _) => values.entry(Subject::Cell(*cell)).or_default().push(i),
                Ask::Hidden { device, control, .. } => {
                    values.entry(Subject::Hidden(*device, *control)).or_default().push(i)
                }
                Ask::AtLeast(cell, step) => steps.entry(*cell).or_default().push((*step, i)),
                _ => {}
            }
        }
        for list in values.values() {
            let list: Vec<Lit> = list.iter().map(|i| self.ask(*i)).collect();
            self.at_most_one(&list, None);
        }
        for list in steps.values_mut() {
            list.sort_unstable();
            for pair in list.windows(2) {
                if let [(_, low), (_, high)] = pair {
                    self.clause(&[!self.ask(*high), self.ask(*low)]);
                }
            }
        }
    }

    /// Every row is a scene of one of the kinds.
    fn one_kind(&mut self) {
        let kinds: Vec<Lit> = (0..self.kinds.len()).map(|_| self.fresh()).collect();
        self.clause(&kinds);
        for (kind, answers) in kinds.iter().zip(self.kinds.clone()) {
            for (ask, so) in self.scene_asks.clone().into_iter().zip(answers.0) {
                let ask = self.ask(ask);
                self.clause(&[!*kind, if so { ask } else { !ask }]);
            }
        }
    }

    /// A control of a device that sounds is in one of its states.
    fn listed(&mut self, book: &Book, device: DeviceId, control: ControlId, states: &[Lit]) {
        let found = book.board.devices.get(device).and_then(|d| d.controls.get(control));
        let choice = found.is_some_and(|c| {
            matches!(
                c.how,
                How::Remote { .. } | How::Programs { .. } | How::CcStates { .. } | How::Messages { .. } | How::Foot
            )
        });
        if !choice || states.is_empty() {
            return;
        }
        // What engages a device is in one of them always.
        if book.board.devices.get(device).is_some_and(|d| d.switches(control)) {
            return self.clause(states);
        }
        if let Some(sounds) = self.engaged.get(device).copied() {
            let clause: Vec<Lit> = std::iter::once(!sounds).chain(states.iter().copied()).collect();
            self.clause(&clause);
        }
    }

    /// None of the list, or one; with `when`, only while that is so, and `when` follows from it.
    fn at_most_one(&mut self, list: &[Lit], when: Option<Lit>) {
        // `seen` says that one of those so far is so; `twice` that two are. Few clauses, however long the list.
        let mut seen: Option<Lit> = None;
        let mut twice = Vec::new();
        for lit in list.iter().copied() {
            let Some(before) = seen else {
                seen = Some(lit);
                continue;
            };
            let (now, both) = (self.fresh(), self.fresh());
            for clause in [[!before, now], [!lit, now], [!both, before], [!both, lit]] {
                self.clause(&clause);
            }
            self.clause(&[!now, before, lit]);
            self.clause(&[both, !before, !lit]);
            twice.push(both);
            seen = Some(now);
        }
        match when {
            None => twice.iter().for_each(|both| self.clause(&[!*both])),
            Some(when) => {
                twice.iter().for_each(|both| self.clause(&[!when, !*both]));
                twice.push(when);
                self.clause(&twice);
            }
        }
    }

    /// A literal that is so exactly when the formula holds.
    pub(super) fn node(&mut self, node: &Node) -> Lit {
        match node {
            Node::Const(true) => self.yes,
            Node::Const(false) => !self.yes,
            Node::Ask(index) => self.ask(*index),
            Node::Not(inner) => !self.node(inner),
            Node::All(list) => {
                let list: Vec<Lit> = list.iter().map(|n| !self.node(n)).collect();
                !self.any(list)
            }
            Node::Some(list) => {
                let list = list.iter().map(|n| self.node(n)).collect();
                self.any(list)
            }
            Node::AtMostOne(list) => {
                let list: Vec<Lit> = list.iter().map(|n| self.node(n)).collect();
                let when = self.fresh();
                self.at_most_one(&list, Some(when));
                when
            }
        }
    }

    fn any(&mut self, mut list: Vec<Lit>) -> Lit {
        if let [one] = list.as_slice() {
            return *one;
        }
        let out = self.fresh();
        for lit in list.clone() {
            self.clause(&[!lit, out]);
        }
        list.push(!out);
        self.clause(&list);
        out
    }

    fn rule(&self, rule: usize) -> Lit {
        self.rules.get(rule).copied().unwrap_or(self.yes)
    }

    /// That a device sounds.
    pub(super) fn sounds(&self, device: DeviceId) -> Lit {
        self.engaged.get(device).copied().unwrap_or(!self.yes)
    }

    /// That a control is in a state.
    pub(super) fn in_state(&self, device: DeviceId, control: ControlId, state: u16) -> Lit {
        let states = self.states.get(device).and_then(|d| d.get(control));
        states.and_then(|s| s.get(state as usize)).copied().unwrap_or(!self.yes)
    }

    /// True for a control that no rule asks for and that has its cells to itself: where its device sounds, it can
    /// stand in any of its states, whatever else holds.
    pub(super) fn unbound(&self, cells: &Cells, device: DeviceId, control: ControlId) -> bool {
        let own = |cell: &ColumnId| {
            let users = cells.list.get(*cell).map_or(0, |c| c.users.len());
            users == 1 && !self.ruled.contains(&Subject::Cell(*cell))
        };
        let columns = cells.of_control(device, control);
        !columns.is_empty() && columns.iter().all(own) && !self.ruled.contains(&Subject::Hidden(device, control))
    }

    /// True for a pedal that nothing binds: no rule asks for its loop, which is its own, nor binds a control of it.
    /// Where any row is possible, so is one in which it sounds.
    pub(super) fn unbound_pedal(&self, cells: &Cells, device: &Device, number: DeviceId) -> bool {
        let Some(cell) = cells.loop_of(number) else { return false };
        let sounds = self.sounds(number);
        !self.ruled.contains(&Subject::Cell(cell))
            && !self.shared.contains(&sounds.var())
            && device.controls.pairs().all(|(c, control)| control.states.is_empty() || self.unbound(cells, number, c))
    }

    /// True for a device that the board itself never lets sound.
    pub(super) fn silent(&self, device: DeviceId) -> bool {
        self.sounds(device) == !self.yes
    }

    /// That a rule does not hold.
    pub(super) fn broken(&self, rule: usize) -> Lit {
        !self.rule(rule)
    }

    /// That the row is a scene of a kind.
    pub(super) fn of_kind(&self, kind: usize) -> Vec<Lit> {
        let Some((answers, _)) = self.kinds.get(kind) else { return Vec::new() };
        let asks = self.scene_asks.iter().map(|i| self.ask(*i));
        asks.zip(answers).map(|(ask, so)| if *so { ask } else { !ask }).collect()
    }

    /// That the row gives these answers; what is free or unknown is left open.
    pub(super) fn answering(&self, answers: &[Truth]) -> Vec<Lit> {
        let decided = self.asks.iter().zip(answers);
        decided
            .filter_map(|(ask, truth)| match truth {
                Truth::Yes => Some(*ask),
                Truth::No => Some(!*ask),
                _ => None,
            })
            .collect()
    }

    /// Gives the questions from here on steps of their own.
    pub(super) fn grant(&mut self, steps: u64) {
        self.solver.cb_mut().grant(steps);
    }

    /// Steps taken so far.
    pub(super) fn spent(&self) -> u64 {
        self.solver.cb().spent()
    }

    /// Whether these rules can all hold while `given` does.
    fn ask_all(&mut self, rules: &[usize], given: &[Lit]) -> Result<bool, NotProved> {
        let assumed: Vec<Lit> = rules.iter().map(|r| self.rule(*r)).chain(given.iter().copied()).collect();
        let drawn = self.solver.num_propagations();
        self.solver.cb_mut().question();
        let answer = self.solver.solve_limited(&assumed);
        let drawn = self.solver.num_propagations().saturating_sub(drawn);
        self.solver.cb_mut().consequences(drawn);
        if answer == lbool::UNDEF { Err(NotProved) } else { Ok(answer == lbool::TRUE) }
    }

    /// None when these rules can all hold while `given` does; else those of them that the solver needed to see it.
    pub(super) fn clash(&mut self, rules: &[usize], given: &[Lit]) -> Result<Option<Vec<usize>>, NotProved> {
        if self.ask_all(rules, given)? {
            return Ok(None);
        }
        // A core names each assumption, or its denial, by the crate's own choice: the variable tells.
        let core: FxHashSet<Var> = self.solver.unsat_core().iter().map(|lit| lit.var()).collect();
        Ok(Some(rules.iter().copied().filter(|r| core.contains(&self.rule(*r).var())).collect()))
    }

    /// The rules that hold, of these, in a row found to keep `rules` and `given`; None when there is no such row.
    pub(super) fn kept(
        &mut self,
        rules: &[usize],
        given: &[Lit],
        of: &[usize],
    ) -> Result<Option<Vec<usize>>, NotProved> {
        if !self.ask_all(rules, given)? {
            return Ok(None);
        }
        let holds = |r: &usize| self.solver.value_lit(self.rule(*r)) == lbool::TRUE;
        Ok(Some(of.iter().copied().filter(holds).collect()))
    }
}

/// The kinds of scene that the rules tell apart, each with its scenes. The last is a scene that no rule names, whether or
/// not the book has one yet.
fn kinds(book: &Book, logic: &Logic, asks: &[usize]) -> Vec<(Vec<bool>, Vec<SceneId>)> {
    let asks: Vec<Ask> = asks.iter().filter_map(|i| logic.asks.get(*i).copied()).collect();
    let answers = |scene| -> Vec<bool> { asks.iter().map(|a| logic.is_scene(*a, scene)).collect() };
    let mut seen: BTreeMap<Vec<bool>, Vec<SceneId>> = BTreeMap::new();
    if !asks.is_empty() {
        for (id, _) in book.show.scenes.pairs().filter(|(_, s)| !s.repeated) {
            seen.entry(answers(Some(id))).or_default().push(id);
        }
        // By name, whatever the order of the files.
        for scenes in seen.values_mut() {
            scenes.sort_by_key(|id| book.show.scene(*id).map(|s| &s.name));
        }
    }
    let none = answers(None);
    let like_none = seen.remove(&none).unwrap_or_default();
    seen.into_iter().chain([(none, like_none)]).collect()
}
