//! Rules as formulas over cells, and their truth in a row.

use rustc_hash::FxHashMap;

use crate::book::rule::Clause;
use crate::book::{Atom, Book, Bound, Form, How};
use crate::ids::{ColumnId, ControlId, DeviceId, Numbered, SceneId};
use crate::settle::{Cells, Through, Value};

/// One question to a row. Cells are columns.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Ask {
    /// Is it this scene?
    Scene(SceneId),
    /// Is it this scene, or derived from it?
    Any(SceneId),
    /// Does the cell hold this value?
    Is(ColumnId, Value),
    /// Is the stored step this one or more?
    AtLeast(ColumnId, u16),
    /// Does a foot hold it?
    Foot(ColumnId),
    /// Is a control in this state that no column's value shows by itself? With its first column, if it has one.
    Hidden { cell: Option<ColumnId>, device: DeviceId, control: ControlId, state: u16 },
    /// Something that the book leaves open: its kind, and its number.
    Open(&'static str, usize),
}

impl Ask {
    /// The cell that it asks for.
    pub fn cell(self) -> Option<ColumnId> {
        match self {
            Ask::Is(cell, _) | Ask::AtLeast(cell, _) | Ask::Foot(cell) => Some(cell),
            Ask::Hidden { cell, .. } => cell,
            _ => None,
        }
    }
}

/// A formula; `Ask` is an index of [`Logic::asks`].
#[derive(Clone, PartialEq, Debug)]
pub enum Node {
    /// Always so, or never.
    Const(bool),
    /// A question.
    Ask(usize),
    /// Denied.
    Not(Box<Node>),
    /// All of them.
    All(Vec<Node>),
    /// One of them or more.
    Some(Vec<Node>),
    /// None of them or one.
    AtMostOne(Vec<Node>),
}

/// Whether something holds in a row.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Truth {
    /// It does not.
    No,
    /// A cell that matters is unknown.
    Unknown,
    /// It depends on the choice for a free cell.
    Free,
    /// It does.
    Yes,
}

impl Truth {
    fn of(so: bool) -> Truth {
        if so { Truth::Yes } else { Truth::No }
    }

    fn not(self) -> Truth {
        match self {
            Truth::No => Truth::Yes,
            Truth::Yes => Truth::No,
            open => open,
        }
    }
}

/// All rules of a book, and what is known of its board, over one list of questions.
#[derive(Clone, Debug, Default)]
pub struct Logic {
    /// The questions.
    pub asks: Vec<Ask>,
    /// One formula a rule, in the order of `Board::rules`.
    pub rules: Vec<Node>,
    /// For each device: that it sounds.
    pub engaged: Numbered<DeviceId, Node>,
    /// For each device and control: one formula a state.
    pub states: Numbered<DeviceId, Numbered<ControlId, Vec<Node>>>,
    /// For each scene: its place, and where those that derive from it end.
    derived: Numbered<SceneId, (u32, u32)>,
    known: FxHashMap<Ask, usize>,
    /// Scenes with switches pressed, and what they are.
    pressed: FxHashMap<SceneId, SceneId>,
}

impl Logic {
    /// Reads a book's rules and board.
    pub fn of(book: &Book, cells: &Cells) -> Logic {
        let mut logic = Logic::default();
        for (d, device) in book.board.devices.pairs() {
            let sounds = match cells.through(d) {
                Through::Loop(cell) => logic.ask(Ask::Is(cell, Value::On)),
                Through::Control { control, engaged, .. } => logic.state(book, cells, d, control, engaged),
                Through::Always => Node::Const(true),
                Through::Unknown => logic.ask(Ask::Open("device", d.index())),
                Through::Nowhere => Node::Const(false),
            };
            logic.engaged.push(sounds);
            let controls = device.controls.pairs();
            let states = controls.map(|(c, control)| {
                let states = 0..control.states.len();
                states.map(|s| logic.state(book, cells, d, c, s as u16)).collect()
            });
            let states = states.collect();
            logic.states.push(states);
        }
        for rule in &book.board.rules {
            let node = logic.form(cells, &rule.form);
            logic.rules.push(node);
        }
        logic.derive(book);
        for (base, combinations) in &book.show.combinations {
            logic.pressed.extend(combinations.iter().map(|scene| (*scene, *base)));
        }
        logic
    }

    fn ask(&mut self, ask: Ask) -> Node {
        let next = self.asks.len();
        let index = *self.known.entry(ask).or_insert(next);
        if index == next {
            self.asks.push(ask);
        }
        Node::Ask(index)
    }

    fn is(&mut self, cell: ColumnId, value: Value) -> Node {
        match value {
            Value::Off => Node::Not(Box::new(self.ask(Ask::Is(cell, Value::On)))),
            other => self.ask(Ask::Is(cell, other)),
        }
    }

    fn state(&mut self, book: &Book, cells: &Cells, device: DeviceId, control: ControlId, state: u16) -> Node {
        let found = book.board.devices.get(device).and_then(|d| d.controls.get(control));
        if matches!(
            found.map(|c| &c.how),
            Some(
                How::Remote { momentary: false, .. }
                    | How::Programs { .. }
                    | How::CcStates { .. }
                    | How::Messages { .. }
                    | How::Foot
            )
        ) {
            let columns = cells.of_control(device, control);
            let values = cells.of_state(device, control, state);
            if !columns.is_empty() && columns.len() == values.len() {
                return Node::All(columns.iter().zip(values).map(|(c, v)| self.is(*c, *v)).collect());
            }
        }
        let cell = found.filter(|c| c.momentary()).and(cells.of_control(device, control).first().copied());
        self.ask(Ask::Hidden { cell, device, control, state })
    }

    fn form(&mut self, cells: &Cells, form: &Form) -> Node {
        let mut parts: Vec<Node> = form.parts().into_iter().map(|p| self.clause(cells, p)).collect();
        match form {
            Form::AtMost(_) => Node::AtMostOne(parts),
            Form::Exactly(_) => Node::All(vec![Node::Some(parts.clone()), Node::AtMostOne(parts)]),
            Form::Never(..) => Node::Not(Box::new(Node::All(parts))),
            Form::Always(_) => Node::All(parts),
            Form::Needs(..) => {
                if let Some(first) = parts.first_mut() {
                    *first = Node::Not(Box::new(std::mem::replace(first, Node::Const(true))));
                }
                Node::Some(parts)
            }
        }
    }

    fn clause(&mut self, cells: &Cells, clause: &Clause) -> Node {
        match clause {
            Clause::Atom(atom, _) => self.atom(cells, *atom),
            Clause::Not(inner) => Node::Not(Box::new(self.clause(cells, inner))),
            Clause::All(list) => Node::All(list.iter().map(|c| self.clause(cells, c)).collect()),
            Clause::Some(list) => Node::Some(list.iter().map(|c| self.clause(cells, c)).collect()),
        }
    }

    /// The formula of one atom.
    fn atom(&mut self, cells: &Cells, atom: Atom) -> Node {
        match atom {
            Atom::Scene(id) => self.ask(Ask::Scene(id)),
            Atom::Any(id) => self.ask(Ask::Any(id)),
            Atom::Engaged { device } => self.engaged.get(device).cloned().unwrap_or(Node::Const(false)),
            Atom::Loop { number } => match cells.loop_cell(number) {
                Some(cell) => self.ask(Ask::Is(cell, Value::On)),
                None => self.ask(Ask::Open("loop", usize::from(number))),
            },
            Atom::Contact { contact, closed } => match cells.contact_cell(contact.jack, contact.ring) {
                Some(cell) => self.is(cell, Value::of(closed)),
                None => self.ask(Ask::Open("jack", usize::from(contact.jack))),
            },
            Atom::Output { number, on } => match cells.output_cell(number) {
                Some(cell) => self.is(cell, Value::of(on)),
                None => self.ask(Ask::Open("output", usize::from(number))),
            },
            Atom::State { device, control, state } => {
                let states = self.states.get(device).and_then(|d| d.get(control));
                states.and_then(|c| c.get(state as usize)).cloned().unwrap_or(Node::Const(false))
            }
            Atom::Foot { device, control } => match cells.of_control(device, control).first() {
                Some(cell) => self.ask(Ask::Foot(*cell)),
                None => self.ask(Ask::Open("device", device.index())),
            },
            Atom::Level { device, control, bound, step, falls } => {
                let Some(cell) = cells.of_control(device, control).first().copied() else {
                    return self.ask(Ask::Open("device", device.index()));
                };
                let steps = cells.list.get(cell).map_or(0, |c| c.steps);
                self.level(cell, steps, turned(bound, falls), step)
            }
        }
    }

    fn level(&mut self, cell: ColumnId, steps: u16, bound: Bound, step: u16) -> Node {
        let mut from = |step: u16| match step {
            0 => Node::Const(true),
            s if s >= steps => Node::Const(false),
            s => self.ask(Ask::AtLeast(cell, s)),
        };
        let not = |node| Node::Not(Box::new(node));
        match bound {
            Bound::Least => from(step),
            Bound::Above => from(step + 1),
            Bound::Most => not(from(step + 1)),
            Bound::Below => not(from(step)),
            Bound::Exactly => Node::All(vec![from(step), not(from(step + 1))]),
        }
    }

    /// Numbers the scenes so that all that derive from one stand in a stretch behind it.
    fn derive(&mut self, book: &Book) {
        if !self.asks.iter().any(|a| matches!(a, Ask::Any(_))) {
            return;
        }
        let order = crate::book::scene::order(&book.show.scenes);
        let above = |id: SceneId| book.show.scene(id).and_then(|s| s.parent).map(|p| p.index());
        // How many derive from each, itself among them; then the places, parents first.
        let mut size = vec![1u32; book.show.scenes.len()];
        for id in order.iter().rev() {
            let mine = size.get(id.index()).copied().unwrap_or(0);
            if let Some(slot) = above(*id).and_then(|p| size.get_mut(p)) {
                *slot += mine;
            }
        }
        self.derived = vec![(0, 0); book.show.scenes.len()].into();
        let (mut next, mut top) = (vec![0u32; book.show.scenes.len()], 0);
        for id in &order {
            let mine = size.get(id.index()).copied().unwrap_or(0);
            let place = above(*id).and_then(|p| next.get_mut(p)).unwrap_or(&mut top);
            let from = *place;
            *place += mine;
            if let (Some(stretch), Some(next)) = (self.derived.get_mut(*id), next.get_mut(id.index())) {
                (*stretch, *next) = ((from, from + mine), from + 1);
            }
        }
    }

    /// True for a question about the scene itself.
    pub fn about_scene(ask: Ask) -> bool {
        matches!(ask, Ask::Scene(_) | Ask::Any(_))
    }

    /// The answer for a scene; None for a scene that is none of the book's.
    pub fn is_scene(&self, ask: Ask, scene: Option<SceneId>) -> bool {
        let scene = scene.map(|scene| self.pressed.get(&scene).copied().unwrap_or(scene));
        match (ask, scene) {
            (Ask::Scene(id), Some(scene)) => id == scene,
            (Ask::Any(id), Some(scene)) => {
                let stretch = |id: SceneId| self.derived.get(id);
                stretch(id).zip(stretch(scene)).is_some_and(|((from, to), (at, _))| (from..to).contains(&at))
            }
            _ => false,
        }
    }

    /// The answers of a row to all questions; `held` gives a cell's value, or None when it is free.
    pub fn answers(&self, scene: SceneId, held: &dyn Fn(ColumnId) -> Option<Value>) -> Vec<Truth> {
        self.asks.iter().map(|ask| self.answer(*ask, scene, held)).collect()
    }

    /// The answer of a row to one question.
    pub fn answer(&self, ask: Ask, scene: SceneId, held: &dyn Fn(ColumnId) -> Option<Value>) -> Truth {
        match ask {
            Ask::Scene(_) | Ask::Any(_) => Truth::of(self.is_scene(ask, Some(scene))),
            Ask::Is(cell, wanted) => match held(cell) {
                None => Truth::Free,
                Some(Value::Unknown | Value::Stays | Value::Pulse) => Truth::Unknown,
                Some(value) => Truth::of(value == wanted),
            },
            Ask::AtLeast(cell, least) => match held(cell) {
                None => Truth::Free,
                Some(Value::Step(step)) => Truth::of(step >= least),
                // A treadle moves it no further than that.
                Some(Value::Moved(travel)) if least <= travel.span().0 => Truth::Yes,
                Some(Value::Moved(travel)) if least > travel.span().1 => Truth::No,
                Some(_) => Truth::Unknown,
            },
            Ask::Foot(cell) => match held(cell) {
                None => Truth::Free,
                Some(Value::Step(_)) => Truth::No,
                Some(value) if value.foot() => Truth::Yes,
                Some(_) => Truth::Unknown,
            },
            // A momentary contact holds the state that is wished for.
            Ask::Hidden { cell: Some(cell), state, .. } => match held(cell) {
                None => Truth::Free,
                Some(Value::State(wished)) => Truth::of(wished == state),
                Some(_) => Truth::Unknown,
            },
            Ask::Hidden { .. } | Ask::Open(..) => Truth::Unknown,
        }
    }

    /// The cells that some rule asks for, in order.
    pub fn asked(&self) -> Vec<ColumnId> {
        let mut out = Vec::new();
        for rule in &self.rules {
            rule.asks(&mut |index| out.extend(self.asks.get(index).and_then(|ask| ask.cell())));
        }
        out.sort_unstable();
        out.dedup();
        out
    }
}

/// The least of some truths; nothing lies below `No`.
fn least(truths: impl Iterator<Item = Truth>) -> Truth {
    let mut least = Truth::Yes;
    for truth in truths {
        least = least.min(truth);
        if least == Truth::No {
            break;
        }
    }
    least
}

/// A bound on a level as a bound on its stored steps: a range that falls turns it round.
fn turned(bound: Bound, falls: bool) -> Bound {
    match bound {
        Bound::Least if falls => Bound::Most,
        Bound::Most if falls => Bound::Least,
        Bound::Above if falls => Bound::Below,
        Bound::Below if falls => Bound::Above,
        other => other,
    }
}

impl Node {
    /// Its truth, given the answers.
    pub fn truth(&self, answers: &[Truth]) -> Truth {
        self.truth_by(&|index| answers.get(index).copied().unwrap_or(Truth::Unknown))
    }

    /// Its truth; only what matters is asked.
    pub fn truth_by(&self, answer: &dyn Fn(usize) -> Truth) -> Truth {
        match self {
            Node::Const(so) => Truth::of(*so),
            Node::Ask(index) => answer(*index),
            Node::Not(inner) => inner.truth_by(answer).not(),
            // `No` is the least: it decides; then what is unknown; then what is free.
            Node::All(list) => least(list.iter().map(|n| n.truth_by(answer))),
            Node::Some(list) => least(list.iter().map(|n| n.truth_by(answer).not())).not(),
            Node::AtMostOne(list) => {
                let (mut yes, mut free, mut unknown) = (0, 0, 0);
                for node in list {
                    match node.truth_by(answer) {
                        Truth::Yes => yes += 1,
                        Truth::Free => free += 1,
                        Truth::Unknown => unknown += 1,
                        Truth::No => {}
                    }
                }
                match yes {
                    2.. => Truth::No,
                    _ if yes + free + unknown <= 1 => Truth::Yes,
                    _ if unknown > 0 => Truth::Unknown,
                    _ => Truth::Free,
                }
            }
        }
    }

    /// The same with some questions answered.
    pub fn with(&self, answer: &dyn Fn(usize) -> Option<bool>) -> Node {
        let each = |list: &[Node]| list.iter().map(|n| n.with(answer)).collect();
        match self {
            Node::Const(so) => Node::Const(*so),
            Node::Ask(index) => answer(*index).map_or(Node::Ask(*index), Node::Const),
            Node::Not(inner) => Node::Not(Box::new(inner.with(answer))),
            Node::All(list) => Node::All(each(list)),
            Node::Some(list) => Node::Some(each(list)),
            Node::AtMostOne(list) => Node::AtMostOne(each(list)),
        }
    }

    /// Calls `each` with every question it asks.
    pub fn asks(&self, each: &mut dyn FnMut(usize)) {
        match self {
            Node::Const(_) => {}
            Node::Ask(index) => each(*index),
            Node::Not(inner) => inner.asks(each),
            Node::All(list) | Node::Some(list) | Node::AtMostOne(list) => list.iter().for_each(|n| n.asks(each)),
        }
    }
}
