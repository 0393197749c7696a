//! Momentary contacts: a pulse moves a device to its next state, so whether a preset's stored pulse is right depends
//! on where the player comes from.
//!
//! The whole is a search over (sounding scene, how the controls stand). A preset stores one thing for each button; it
//! is right when every way into it needs just that. Where ways need different things, the fewest presets are one for
//! each different need: the player knows which one to press, for he knows what sounds. A preset never pulses what
//! nobody hears, unless that makes another preset right.

pub mod buttons;
pub mod by_way;
mod find;
pub mod offer;
pub mod reach;
pub mod recovery;
mod spare;
pub mod step;

pub use buttons::{Buttons, Wish};
pub use reach::{Arrival, Plan, Reach};
pub use step::{Need, Why};

use crate::book::Book;
use crate::fill::Preset;
use crate::ids::SceneId;
use crate::settle::{Answer, Row, Table, Value};
use crate::study::ways;

/// What is wrong with what a preset stores.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Finding {
    /// Two ways in need different things of a button. Arrivals are places in `Reach::arrivals`.
    Depends { scene: SceneId, button: usize, pulse: usize, stays: usize },
    /// A way in that no press can serve.
    Never { scene: SceneId, button: usize, why: Why, arrival: usize },
    /// It stores a pulse, and the same switch again sends it again.
    Repress { scene: SceneId, button: usize, arrival: usize },
}

/// The presets that a scene takes, one for each need.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Split {
    /// The scene.
    pub scene: SceneId,
    /// For each preset: what it stores for each button, and the ways that lead to it. The first one is the one kept.
    pub presets: Vec<(Vec<Need>, Vec<usize>)>,
}

impl Finding {
    /// The button that it is about.
    pub fn button(&self) -> usize {
        match self {
            Finding::Depends { button, .. } | Finding::Never { button, .. } | Finding::Repress { button, .. } => {
                *button
            }
        }
    }

    /// The scene that it is about.
    pub fn scene(&self) -> SceneId {
        match self {
            Finding::Depends { scene, .. } | Finding::Never { scene, .. } | Finding::Repress { scene, .. } => *scene,
        }
    }

    /// Nobody knows how the device stands after power-up: no pulse can mend that.
    fn unknown_start(&self) -> bool {
        matches!(self, Finding::Never { why: Why::Start, .. })
    }
}

impl Split {
    /// How many presets it takes beyond the one it has.
    pub fn extra(&self) -> usize {
        self.presets.len().saturating_sub(1)
    }
}

/// What was found about momentary contacts.
#[derive(Clone, Debug, Default)]
pub struct Momentary {
    /// The buttons; none for a board without momentary contacts.
    pub buttons: Buttons,
    /// What may follow what.
    pub plan: Option<Plan>,
    /// Every way in.
    pub reach: Reach,
    /// What each scene stores for each button.
    pub stored: Vec<Vec<Need>>,
    /// What is wrong, by scene.
    pub findings: Vec<Finding>,
    /// Scenes that need more presets than one.
    pub splits: Vec<Split>,
}

/// Studies a book.
pub fn study(book: &Book, table: &Table, presets: &[Preset]) -> Momentary {
    let buttons = Buttons::of(book, table);
    if buttons.list.is_empty() {
        return Momentary::default();
    }
    let plan = plan(book, table, presets, &buttons);
    let silent = |scene: SceneId, button: usize| {
        let Some(button) = buttons.list.get(button) else { return false };
        let row = Row::of(book, table, scene);
        let mut owners = button.controls.iter().filter_map(|c| buttons.controls.get(*c));
        owners.all(|turned| row.sounds(turned.device) == Answer::No)
            && button.cells.iter().all(|cell| table.is_free(scene, *cell))
    };
    spare::use_them(judge(buttons.clone(), plan), &silent)
}

/// Writes what the study decided into the table.
pub fn store(momentary: &Momentary, table: &mut Table) {
    for (at, needs) in momentary.stored.iter().enumerate() {
        let scene = SceneId::nth(at);
        for (button, need) in momentary.buttons.list.iter().zip(needs) {
            let value = if *need == Need::Pulse { Value::Pulse } else { Value::Stays };
            for cell in &button.cells {
                let spare = value == Value::Pulse && table.is_free(scene, *cell);
                if spare || matches!(table.value(scene, *cell), Value::State(_)) {
                    table.choose(scene, *cell, value);
                }
            }
        }
    }
}

fn plan(book: &Book, table: &Table, presets: &[Preset], buttons: &Buttons) -> Plan {
    let mut stored: Vec<SceneId> = presets.iter().filter(|p| p.slot.is_some()).map(|p| p.scene).collect();
    if stored.is_empty() {
        stored.extend(presets.iter().map(|p| p.scene));
    }
    stored.sort_unstable();
    stored.dedup();
    let wakes = book.board.timing.wakes.map(|w| w.value);
    Plan {
        wishes: book.show.scenes.ids().map(|scene| wishes(book, table, buttons, scene)).collect(),
        // What switches inside a preset move is moved by no pulse.
        songs: book
            .show
            .songs
            .iter()
            .map(|song| song.parts.iter().map(|p| p.scene.map(|s| book.show.base(s))).collect())
            .collect(),
        rows: book.show.again.iter().map(|again| (again.second, again.scene)).collect(),
        runs: ways::runs(book),
        stored,
        wakes: presets.iter().find(|p| wakes.is_some() && p.slot == wakes).map(|p| p.scene),
        ways: book.board.ways.map(|w| w.value),
        repeats: book.board.timing.may_repeat(),
        turns: by_way::Turns::default(),
    }
}

/// What a scene wishes of each control, or one of the combinations of its switches does.
fn wishes(book: &Book, table: &Table, buttons: &Buttons, scene: SceneId) -> Vec<Wish> {
    let mut out = buttons.wishes(book, table, scene);
    for pressed in book.show.combinations(scene) {
        let more = buttons.wishes(book, table, *pressed);
        out.iter_mut().zip(more).filter(|(wish, _)| **wish == Wish::Keep).for_each(|(wish, more)| *wish = more);
    }
    out
}

/// Judges a plan. What no way leads to is stored as if it came straight after power-up.
pub fn judge(buttons: Buttons, plan: Plan) -> Momentary {
    let reach = Reach::of(&buttons, &plan);
    let mut of_scene: Vec<Vec<usize>> = vec![Vec::new(); plan.wishes.len()];
    for (number, arrival) in reach.arrivals.iter().enumerate() {
        if let Some(list) = of_scene.get_mut(arrival.scene.index()) {
            list.push(number);
        }
    }
    let start: Vec<step::Stand> = buttons.controls.iter().map(|c| c.start.unwrap_or(step::UNKNOWN)).collect();
    let mut out = Momentary::default();
    let mut finder = find::Finder::new(&buttons, &plan, &reach);
    for (at, arrivals) in of_scene.iter().enumerate() {
        let scene = SceneId::nth(at);
        finder.scene(scene, arrivals);
        let split = split(&reach, scene, arrivals);
        let alone = || step::needs(&buttons, &start, plan.wishes.get(at).map_or(&[][..], Vec::as_slice));
        let kept = match split.presets.first() {
            Some((needs, _)) => needs.clone(),
            None if arrivals.is_empty() => alone(),
            None => each(&reach, arrivals, buttons.list.len()),
        };
        out.stored.push(kept);
        if split.presets.len() > 1 {
            out.splits.push(split);
        }
    }
    out.findings = finder.found;
    Momentary { buttons, plan: Some(plan), reach, ..out }
}

/// Where no way is served whole: for each button what most ways need of it.
fn each(reach: &Reach, arrivals: &[usize], buttons: usize) -> Vec<Need> {
    let need = |arrival: &usize, button: usize| reach.needs_at(*arrival).get(button).copied();
    let one = |button: usize| {
        let count = |wanted: Need| arrivals.iter().filter(|a| need(a, button) == Some(wanted)).count();
        let first = || arrivals.first().and_then(|a| need(a, button)).unwrap_or(Need::Stays);
        match (count(Need::Pulse), count(Need::Stays)) {
            (0, 0) => first(),
            (pulse, stays) if pulse > stays => Need::Pulse,
            _ => Need::Stays,
        }
    };
    (0..buttons).map(one).collect()
}

/// One preset for each different need; the one that most ways want comes first. Ways that nothing serves are left out.
fn split(reach: &Reach, scene: SceneId, arrivals: &[usize]) -> Split {
    let mut presets: Vec<(Vec<Need>, Vec<usize>)> = Vec::new();
    for arrival in arrivals {
        let needs = reach.needs_at(*arrival);
        // What a hand must set before the show, or what nothing can serve, asks for no preset of its own.
        if needs.iter().any(|n| matches!(n, Need::Never(_))) {
            continue;
        }
        match presets.iter_mut().find(|(known, _)| known == needs) {
            Some((_, list)) => list.push(*arrival),
            None => presets.push((needs.to_vec(), vec![*arrival])),
        }
    }
    presets.sort_by(|a, b| b.1.len().cmp(&a.1.len()).then_with(|| a.0.cmp(&b.0)));
    Split { scene, presets }
}

impl Momentary {
    /// How many more presets make every stored pulse right, where presets can.
    pub fn extra(&self) -> usize {
        self.splits.iter().map(Split::extra).sum()
    }

    /// True when presets enough serve every way into a scene: there is none that no press can serve.
    pub fn can_be_served(&self, scene: SceneId) -> bool {
        let never = |arrival: usize| self.reach.needs_at(arrival).iter().any(|n| matches!(n, Need::Never(_)));
        let mut arrivals = self.reach.arrivals.iter().enumerate().filter(|(_, a)| a.scene == scene);
        !arrivals.any(|(at, _)| never(at))
            && !self.findings.iter().any(|f| matches!(f, Finding::Repress { scene: s, .. } if *s == scene))
    }

    /// The way to an arrival, the arrival last: back to the scene that last set the button's controls, or power-up.
    pub fn path(&self, arrival: usize, button: usize) -> Vec<Arrival> {
        let controls = self.buttons.list.get(button).map_or(&[][..], |b| &b.controls);
        let sets = |scene: SceneId| {
            let wishes = self.plan.as_ref().and_then(|p| p.wishes.get(scene.index()));
            controls.iter().any(|c| wishes.and_then(|w| w.get(*c)).is_some_and(|w| matches!(w, Wish::State(_))))
        };
        let mut out = Vec::new();
        let mut at = self.reach.arrivals.get(arrival);
        while let Some(found) = at {
            out.push(*found);
            if out.len() > 1 && (sets(found.scene) || out.len() > 8) {
                break;
            }
            at = self.reach.arrivals.get(found.before as usize);
        }
        out.reverse();
        out
    }
}
