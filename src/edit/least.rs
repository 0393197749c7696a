//! The fewest statements of scenes' own, the layers and the default as they are given: worked up the lines of descent, for
//! every state that a scene may be handed.

use rustc_hash::{FxHashMap, FxHashSet};

use super::cost::{Cost, Ground, Turn};
use super::goal::Goal;
use super::model::{Model, Stmt};
use super::options::{agreeing, agrees, style};
use super::state::State;
use crate::book::What;
use crate::ids::{ColumnId, SceneId};
use crate::settle::why::reasons;

/// So much work at most, in options looked at, for one group of columns.
const MOST_WORK: usize = 400_000;
/// Statements of one scene beyond these are not tried in every combination.
const MOST_AT_ONCE: usize = 12;

/// How a search is bounded.
#[derive(Clone, Copy)]
pub(super) struct Bounds {
    /// No more statements than these.
    pub most: u32,
    /// Scenes that nothing is wanted of may change of their own, not only to stay what they are.
    pub open: bool,
}

/// One thing that a scene may do, and what it hands on.
struct Choice {
    turn: Turn,
    cost: Cost,
    state: State,
}

/// A scene with what it is handed.
type Task = (SceneId, State);

/// A search over one group of columns.
pub(super) struct Search<'g, 'b> {
    pub goal: &'g Goal<'b>,
    pub model: Model,
    /// Scenes that something is wanted of.
    wanted: Vec<bool>,
    /// The same for those that some such scene comes from, too.
    above: Vec<bool>,
    /// What each scene is handed in the book as it is.
    handed: Vec<State>,
    agreeing: FxHashMap<SceneId, Vec<u32>>,
    now: FxHashMap<(SceneId, ColumnId), Option<What>>,
    pub work: usize,
    /// Something was not looked at.
    pub cut: bool,
}

impl<'g, 'b> Search<'g, 'b> {
    pub(super) fn new(goal: &'g Goal<'b>, model: Model) -> Search<'g, 'b> {
        let show = &goal.book.book.show;
        let mut wanted = vec![false; show.scenes.len()];
        let mut above = wanted.clone();
        for (_, one) in goal.changing.iter().filter(|(_, w)| model.columns.contains(&w.cell)) {
            if let Some(flag) = wanted.get_mut(one.scene.index()) {
                *flag = true;
            }
            let mut at = Some(one.scene);
            while let Some(flag) = at.and_then(|id| above.get_mut(id.index())).filter(|flag| !**flag) {
                *flag = true;
                at = at.and_then(|id| show.scene(id)).and_then(|s| s.parent);
            }
        }
        let mut search = Search {
            goal,
            model,
            wanted,
            above,
            handed: vec![State::default(); show.scenes.len()],
            agreeing: FxHashMap::default(),
            now: FxHashMap::default(),
            work: 0,
            cut: false,
        };
        let ground = search.ground();
        for id in crate::book::scene::order(&show.scenes) {
            let below = search.below(&ground, id, search.handed.get(id.index()).cloned().unwrap_or_default());
            for child in search.model.children.get(id.index()).cloned().unwrap_or_default() {
                if let Some(slot) = search.handed.get_mut(child.index()) {
                    slot.clone_from(&below);
                }
            }
        }
        search
    }

    /// The layers and the default of the book.
    pub(super) fn ground(&self) -> Ground {
        Ground { layers: self.model.layers.clone(), default: self.model.default.clone(), changed: false }
    }

    pub(super) fn is_wanted(&self, scene: SceneId) -> bool {
        self.wanted.get(scene.index()) == Some(&true)
    }

    fn is_above(&self, scene: SceneId) -> bool {
        self.above.get(scene.index()) == Some(&true)
    }

    /// The least change on a ground; None where there is none within the bounds.
    pub(super) fn least(&mut self, ground: &Ground, bounds: Bounds) -> Option<(Cost, Vec<(SceneId, Turn)>)> {
        let mut known: FxHashMap<Task, Option<(Cost, Choice)>> = FxHashMap::default();
        let roots: Vec<SceneId> = {
            let scenes = self.goal.book.book.show.scenes.numbered();
            scenes.filter(|(s, id)| s.parent.is_none() && (ground.changed || self.is_above(*id))).map(|(_, id)| id)
        }
        .collect();
        let mut cost = Cost::default();
        for root in &roots {
            let task = (*root, State::default());
            self.solve(ground, bounds, &task, &mut known);
            cost = cost + known.get(&task)?.as_ref()?.0;
            if cost.touched > bounds.most {
                return None;
            }
        }
        let mut turns = Vec::new();
        let mut line: Vec<Task> = roots.into_iter().map(|root| (root, State::default())).collect();
        while let Some(task) = line.pop() {
            let Some(Some((_, choice))) = known.get(&task) else { continue };
            if choice.turn != Turn::default() {
                turns.push((task.0, choice.turn.clone()));
            }
            for child in self.model.children.get(task.0.index()).into_iter().flatten() {
                line.push((*child, choice.state.clone()));
            }
        }
        turns.sort_by_key(|(scene, _)| *scene);
        Some((cost, turns))
    }

    /// Works out a task and all that it needs, without recursion: lines of descent may be long.
    fn solve(
        &mut self,
        ground: &Ground,
        bounds: Bounds,
        first: &Task,
        known: &mut FxHashMap<Task, Option<(Cost, Choice)>>,
    ) {
        let mut line: Vec<(Task, Vec<Choice>)> = Vec::new();
        self.open(ground, bounds, first.clone(), known, &mut line);
        while let Some((task, choices)) = line.pop() {
            let children = self.model.children.get(task.0.index()).cloned().unwrap_or_default();
            let mut missing: FxHashSet<Task> = FxHashSet::default();
            for choice in &choices {
                let tasks = children.iter().map(|child| (*child, choice.state.clone()));
                missing.extend(tasks.filter(|task| !self.idle(ground, task) && !known.contains_key(task)));
            }
            if missing.is_empty() {
                let best = choices.into_iter().filter_map(|choice| {
                    let mut cost = choice.cost;
                    for child in &children {
                        let task = (*child, choice.state.clone());
                        if !self.idle(ground, &task) {
                            cost = cost + known.get(&task)?.as_ref()?.0;
                        }
                        if cost.touched > bounds.most {
                            return None;
                        }
                    }
                    Some((cost, choice))
                });
                let best = best.min_by_key(|(cost, _)| *cost);
                known.insert(task, best);
                continue;
            }
            line.push((task, choices));
            for task in missing {
                self.open(ground, bounds, task, known, &mut line);
            }
        }
    }

    /// True for a scene that is handed what it always was, with nothing wanted of it or of what comes from it.
    fn idle(&self, ground: &Ground, (scene, state): &Task) -> bool {
        !ground.changed && !self.is_above(*scene) && self.handed.get(scene.index()) == Some(state)
    }

    fn open(
        &mut self,
        ground: &Ground,
        bounds: Bounds,
        task: Task,
        known: &mut FxHashMap<Task, Option<(Cost, Choice)>>,
        line: &mut Vec<(Task, Vec<Choice>)>,
    ) {
        if self.work > MOST_WORK {
            self.cut = true;
            known.insert(task, None);
            return;
        }
        let choices = self.choices(ground, bounds, &task);
        line.push((task, choices));
    }

    fn choices(&mut self, ground: &Ground, bounds: Bounds, (scene, state): &Task) -> Vec<Choice> {
        let mut out = Vec::new();
        for (turn, cost) in self.turns(ground, bounds, *scene, state) {
            self.work += 1;
            let own = self.after(*scene, &turn);
            let below = state.below(&self.model, own.iter().copied(), self.mixed(ground, *scene));
            if below.fits(self.goal, &self.model, &ground.default, *scene)
                && self.forced(ground, *scene, &below, bounds.most.saturating_sub(cost.touched))
            {
                out.push(Choice { turn, cost, state: below });
            }
        }
        out
    }

    /// True where so few statements may do for what comes from a scene: of each child that does not fit as it is, one.
    fn forced(&mut self, ground: &Ground, scene: SceneId, state: &State, most: u32) -> bool {
        let mut broken = 0;
        for child in self.model.children.get(scene.index()).into_iter().flatten() {
            if self.handed.get(child.index()) == Some(state) && !ground.changed && !self.is_wanted(*child) {
                continue;
            }
            self.work += 1;
            let below = self.below(ground, *child, state.clone());
            broken += u32::from(!below.fits(self.goal, &self.model, &ground.default, *child));
            if broken > most {
                return false;
            }
        }
        true
    }

    /// What a scene may do: any of its statements that agree with its row stay, any that could be said come.
    fn turns(&mut self, ground: &Ground, bounds: Bounds, scene: SceneId, state: &State) -> Vec<(Turn, Cost)> {
        let as_ever = !ground.changed && self.handed.get(scene.index()) == Some(state);
        let outside = !self.is_wanted(scene);
        if as_ever && outside && !bounds.open {
            return vec![(Turn::default(), Cost::default())];
        }
        let own = self.model.own.get(scene.index()).cloned().unwrap_or_default();
        let stands = |stmt: &Stmt| stmt.units.iter().all(|u| agrees(self.goal, &self.model, scene, *u));
        let (stay, go): (Vec<usize>, Vec<usize>) = (0..own.len()).partition(|at| own.get(*at).is_some_and(stands));
        let said = |unit: &u32| stay.iter().filter_map(|at| own.get(*at)).any(|s| s.units.contains(unit));
        let mut come: Vec<u32> = self.could(scene).into_iter().filter(|unit| !said(unit)).collect();
        if stay.len() + come.len() > MOST_AT_ONCE {
            self.cut = true;
            come.truncate(MOST_AT_ONCE.saturating_sub(stay.len()));
        }
        let free = stay.len().min(MOST_AT_ONCE);
        let mut out = Vec::new();
        for bits in 0u32..1 << (free + come.len()) {
            let has = |at: usize| bits >> at & 1 == 1;
            let dropped = stay.iter().enumerate().filter(|(at, _)| *at < free && has(*at)).map(|(_, at)| *at);
            let mut turn = Turn { out: go.iter().copied().chain(dropped).collect(), put: Vec::new() };
            turn.put = come.iter().enumerate().filter(|(at, _)| has(free + at)).map(|(_, unit)| *unit).collect();
            turn.out.sort_unstable();
            let mut cost = turn.cost(outside);
            if cost.touched > bounds.most {
                continue;
            }
            for unit in &turn.put {
                cost.style += self.style(scene, *unit);
            }
            out.push((turn, cost));
        }
        out
    }

    pub(super) fn could(&mut self, scene: SceneId) -> Vec<u32> {
        if let Some(known) = self.agreeing.get(&scene) {
            return known.clone();
        }
        let found = agreeing(self.goal, &mut self.model, scene);
        self.agreeing.insert(scene, found.clone());
        found
    }

    /// How far a unit is from the way that its first column is said now.
    fn style(&mut self, scene: SceneId, unit: u32) -> u32 {
        let Some(unit) = self.model.units.get(unit as usize) else { return 0 };
        let Some(cell) = unit.values.first().and_then(|(at, _)| self.model.columns.get(*at)).copied() else { return 0 };
        let goal = self.goal;
        let now = self.now.entry((scene, cell)).or_insert_with(|| {
            let reasons = reasons(&goal.book.book, &goal.book.table, scene, cell);
            let live = reasons.iter().find(|r| r.live)?;
            goal.book.book.show.sayings.get(live.saying).map(|s| s.what)
        });
        style(goal, unit.what, *now)
    }

    /// The units of a scene's own after a turn.
    fn after(&self, scene: SceneId, turn: &Turn) -> Vec<u32> {
        let own = self.model.own.get(scene.index()).map_or(&[][..], Vec::as_slice);
        let left = own.iter().enumerate().filter(|(at, _)| !turn.out.contains(at)).flat_map(|(_, s)| &s.units);
        left.chain(turn.put.iter().flat_map(|unit| self.model.parts(unit))).copied().collect()
    }

    fn mixed<'s>(&self, ground: &'s Ground, scene: SceneId) -> impl Iterator<Item = &'s Stmt> + Clone + use<'s, 'b> {
        let show = &self.goal.book.book.show;
        let layers = show.scene(scene).map_or(&[][..], |s| show.layers_of(s));
        layers.iter().filter_map(|(layer, _)| ground.layers.get(layer.index())).flatten()
    }

    fn below(&self, ground: &Ground, scene: SceneId, state: State) -> State {
        let own = self.after(scene, &Turn::default());
        state.below(&self.model, own.iter().copied(), self.mixed(ground, scene))
    }
}
