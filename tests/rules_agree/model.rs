//! Boards and rules of this test's own: what they mean, said a second time and without haste.

/// Steps of every level here: values 0, 25, 50, 75 and 100 %.
pub(crate) const STEPS: usize = 5;

#[derive(Clone, Debug)]
pub(crate) enum Control {
    /// Flat numbers of contacts (jack 1 tip is 0, its ring 1), and the pattern of each state.
    Contacts { contacts: Vec<usize>, states: Vec<Vec<bool>> },
    /// So many states, moved by the foot or by programs.
    Choice { states: usize, programs: bool },
    /// A level on a port of its own.
    Level { port: usize, falls: bool },
}

#[derive(Clone, Debug)]
pub(crate) struct Pedal {
    pub name: String,
    pub always: bool,
    pub control: Option<Control>,
}

#[derive(Clone, Debug, Default)]
pub(crate) struct Board {
    /// Pedal number p sits in loop p + 1.
    pub pedals: Vec<Pedal>,
    pub jacks: usize,
    pub ports: usize,
    pub outputs: usize,
}

#[derive(Clone, Debug)]
pub(crate) struct Scene {
    pub name: String,
    pub parent: Option<usize>,
    pub engage: Vec<usize>,
    /// Pedal, and its state; a level's step, or STEPS for the foot.
    pub set: Vec<(usize, usize)>,
    pub off: Vec<usize>,
}

#[derive(Clone, Copy, PartialEq, Debug)]
pub(crate) enum Compare {
    Least,
    Most,
    Above,
    Below,
    Exactly,
}

#[derive(Clone, PartialEq, Debug)]
pub(crate) enum Expr {
    Scene(usize),
    Any(usize),
    Pedal(usize),
    Loop(usize),
    Contact(usize, bool),
    Output(usize, bool),
    State(usize, usize),
    Level(usize, Compare, usize),
    Foot(usize),
    Not(Box<Expr>),
    And(Vec<Expr>),
    Or(Vec<Expr>),
}

#[derive(Clone, PartialEq, Debug)]
pub(crate) enum Rule {
    AtMost(Vec<Expr>),
    Exactly(Vec<Expr>),
    Never(Expr, Option<Expr>),
    Always(Expr),
    Needs(Expr, Expr),
}

#[derive(Clone, Debug, Default)]
pub(crate) struct Book {
    pub board: Board,
    pub scenes: Vec<Scene>,
    pub rules: Vec<Rule>,
}

/// One way the whole rig can stand.
#[derive(Clone, Debug, Default)]
pub(crate) struct World {
    pub scene: Option<usize>,
    pub loops: Vec<bool>,
    pub contacts: Vec<bool>,
    pub outputs: Vec<bool>,
    /// For each pedal: the state of a choice; as many as it has states when none of them.
    pub choices: Vec<usize>,
    /// For each pedal: step and foot of its level.
    pub levels: Vec<(usize, bool)>,
}

impl World {
    pub(crate) fn sounds(&self, board: &Board, pedal: usize) -> bool {
        board.pedals[pedal].always || self.loops[pedal]
    }

    /// What the board allows: a control that sounds is in one of its states.
    pub(crate) fn allowed(&self, board: &Board) -> bool {
        board.pedals.iter().enumerate().filter(|(p, _)| self.sounds(board, *p)).all(|(p, pedal)| match &pedal.control {
            Some(Control::Contacts { contacts, states }) => {
                states.iter().any(|s| contacts.iter().zip(s).all(|(c, closed)| self.contacts[*c] == *closed))
            }
            Some(Control::Choice { states, .. }) => self.choices[p] < *states,
            _ => true,
        })
    }

    pub(crate) fn holds(&self, book: &Book, expr: &Expr) -> bool {
        match expr {
            Expr::Scene(s) => self.scene == Some(*s),
            Expr::Any(top) => {
                let mut at = self.scene;
                while let Some(scene) = at {
                    if scene == *top {
                        return true;
                    }
                    at = book.scenes[scene].parent;
                }
                false
            }
            Expr::Pedal(p) => self.sounds(&book.board, *p),
            Expr::Loop(p) => self.loops[*p],
            Expr::Contact(c, closed) => self.contacts[*c] == *closed,
            Expr::Output(o, on) => self.outputs[*o] == *on,
            Expr::State(p, state) => match &book.board.pedals[*p].control {
                Some(Control::Contacts { contacts, states }) => {
                    contacts.iter().zip(&states[*state]).all(|(c, closed)| self.contacts[*c] == *closed)
                }
                _ => self.choices[*p] == *state,
            },
            Expr::Level(p, compare, value) => {
                // Values run with the steps, or against them.
                let falls = matches!(book.board.pedals[*p].control, Some(Control::Level { falls: true, .. }));
                let step = self.levels[*p].0;
                let now = if falls { STEPS - 1 - step } else { step };
                match compare {
                    Compare::Least => now >= *value,
                    Compare::Most => now <= *value,
                    Compare::Above => now > *value,
                    Compare::Below => now < *value,
                    Compare::Exactly => now == *value,
                }
            }
            Expr::Foot(p) => self.levels[*p].1,
            Expr::Not(e) => !self.holds(book, e),
            Expr::And(list) => list.iter().all(|e| self.holds(book, e)),
            Expr::Or(list) => list.iter().any(|e| self.holds(book, e)),
        }
    }

    pub(crate) fn keeps(&self, book: &Book, rule: &Rule) -> bool {
        let count = |list: &[Expr]| list.iter().filter(|e| self.holds(book, e)).count();
        match rule {
            Rule::AtMost(list) => count(list) <= 1,
            Rule::Exactly(list) => count(list) == 1,
            Rule::Never(a, None) => !self.holds(book, a),
            Rule::Never(a, Some(b)) => !(self.holds(book, a) && self.holds(book, b)),
            Rule::Always(a) => self.holds(book, a),
            Rule::Needs(a, b) => !self.holds(book, a) || self.holds(book, b),
        }
    }
}

/// Every way the rig of a board can stand, whatever the rules; for no scene.
pub(crate) fn worlds(board: &Board) -> Vec<World> {
    let empty = World {
        loops: vec![false; board.pedals.len()],
        contacts: vec![false; board.jacks * 2],
        outputs: vec![false; board.outputs],
        choices: vec![0; board.pedals.len()],
        levels: vec![(0, false); board.pedals.len()],
        scene: None,
    };
    let mut all = vec![empty];
    let mut spread = |change: &dyn Fn(&World) -> Vec<World>| all = all.iter().flat_map(change).collect();
    for (p, pedal) in board.pedals.iter().enumerate() {
        if !pedal.always {
            spread(&|w| {
                [false, true]
                    .map(|on| {
                        let mut w = w.clone();
                        w.loops[p] = on;
                        w
                    })
                    .to_vec()
            });
        }
        match &pedal.control {
            Some(Control::Choice { states, .. }) => {
                spread(&|w| {
                    (0..=*states)
                        .map(|s| {
                            let mut w = w.clone();
                            w.choices[p] = s;
                            w
                        })
                        .collect()
                });
            }
            Some(Control::Level { .. }) => spread(&|w| {
                let both = (0..STEPS).flat_map(|s| [(s, false), (s, true)]);
                both.map(|l| {
                    let mut w = w.clone();
                    w.levels[p] = l;
                    w
                })
                .collect()
            }),
            _ => {}
        }
    }
    for c in 0..board.jacks * 2 {
        spread(&|w| {
            [false, true]
                .map(|closed| {
                    let mut w = w.clone();
                    w.contacts[c] = closed;
                    w
                })
                .to_vec()
        });
    }
    for o in 0..board.outputs {
        spread(&|w| {
            [false, true]
                .map(|on| {
                    let mut w = w.clone();
                    w.outputs[o] = on;
                    w
                })
                .to_vec()
        });
    }
    all.retain(|w| w.allowed(board));
    all
}
