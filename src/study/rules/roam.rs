//! What can stand in a row that gives a level to the foot, leaves a cell as it is, or only pulses it; and a rule held against all of it.

use super::foot::at_one_time;
use super::left::Left;
use super::logic::{Ask, Logic, Node, Truth};
use crate::book::{Book, Travel};
use crate::ids::{ColumnId, SceneId};
use crate::settle::{Table, Value};
use crate::study::budget;

/// One thing that stands in a cell.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Stands {
    /// The cell.
    pub cell: ColumnId,
    /// What the row, or the way in, says of it.
    pub said: Value,
    /// What stands there; of a level, the lowest step.
    pub now: Value,
    /// Of a level: the highest step that the rule does not tell from it.
    pub to: u16,
}

/// One way that the cells can stand.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Stand {
    /// The cells.
    pub cells: Vec<Stands>,
    /// The way in that leaves them so, when that matters: the scene that sounded, or power-up.
    pub from: Option<Option<SceneId>>,
}

/// Too many to look at all.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct TooMany;

/// Cells by their places, and all that can stand in them at one time.
type Joint = (Vec<usize>, Vec<Vec<(Value, u16)>>);

/// The judge of roaming cells.
#[derive(Clone, Copy)]
pub(super) struct Roam<'r> {
    pub book: &'r Book,
    pub table: &'r Table,
    pub logic: &'r Logic,
    pub left: &'r Left,
}

/// True for what a row does not decide.
pub(super) fn roams(value: Option<Value>) -> bool {
    value.is_some_and(|v| matches!(v, Value::Stays | Value::Pulse) || v.foot())
}

impl Roam<'_> {
    /// The answer of a row; open where it hangs on a foot, or on the way in.
    pub(super) fn answer(&self, ask: Ask, scene: SceneId, held: &dyn Fn(ColumnId) -> Option<Value>) -> Truth {
        match self.logic.answer(ask, scene, held) {
            Truth::Unknown if ask.cell().is_some_and(|cell| roams(held(cell))) => Truth::Free,
            truth => truth,
        }
    }

    /// Every way that the cells which a rule asks for can stand; none when no cell roams, or when nothing leads there.
    pub(super) fn stands(
        &self,
        rule: &Node,
        scene: SceneId,
        held: &dyn Fn(ColumnId) -> Option<Value>,
    ) -> Result<Vec<Stand>, TooMany> {
        let mut cells = Vec::new();
        rule.asks(&mut |i| cells.extend(self.logic.asks.get(i).and_then(|a| a.cell()).filter(|c| roams(held(*c)))));
        cells.sort_unstable();
        cells.dedup();
        if cells.is_empty() {
            return Ok(Vec::new());
        }
        let mut out: Vec<Stand> = Vec::new();
        let by_way = |value| matches!(value, Some(Value::Stays | Value::Pulse));
        if cells.iter().any(|c| by_way(held(*c))) {
            if self.left.cut {
                return Err(TooMany);
            }
            for (stand, from) in self.left.ways(scene) {
                let said = |cell: &ColumnId| match held(*cell) {
                    Some(value) => self.left.stands(*stand, *cell, value),
                    None => Value::Unknown,
                };
                let one = cells.iter().map(|c| Stands { cell: *c, said: said(c), now: said(c), to: 0 }).collect();
                if !out.iter().any(|known| known.cells == one) {
                    out.push(Stand { cells: one, from: Some(*from) });
                }
            }
        } else {
            let one = |c: &ColumnId| held(*c).map(|said| Stands { cell: *c, said, now: said, to: 0 });
            out.push(Stand { cells: cells.iter().filter_map(one).collect(), from: None });
        }
        let joint = self.joint(rule, &cells, held);
        for at in 0..cells.len() {
            // What one treadle moves, it moves together.
            if let Some((places, values)) = joint.iter().find(|(places, _)| places.contains(&at)) {
                if places.first() == Some(&at) {
                    out = wider_by(&out, places, values)?;
                }
                continue;
            }
            let mut wider = Vec::new();
            for stand in out {
                let Some(one) = stand.cells.get(at).copied() else { continue };
                let values =
                    if roams(Some(one.said)) { self.values(rule, one.cell, one.said) } else { vec![(one.said, 0)] };
                for (now, to) in values {
                    let mut stand = stand.clone();
                    if let Some(slot) = stand.cells.get_mut(at) {
                        (slot.now, slot.to) = (now, to);
                    }
                    wider.push(stand);
                }
                if wider.len() > budget::STANDS {
                    return Err(TooMany);
                }
            }
            out = wider;
        }
        Ok(out)
    }

    /// The levels among some cells that one treadle moves, by their places, and all that can stand in them at one time.
    fn joint(&self, rule: &Node, cells: &[ColumnId], held: &dyn Fn(ColumnId) -> Option<Value>) -> Vec<Joint> {
        let mut groups: Vec<(u8, Vec<(usize, Travel)>)> = Vec::new();
        for (at, cell) in cells.iter().enumerate() {
            let Some(Value::Moved(travel)) = held(*cell) else { continue };
            match groups.iter_mut().find(|(input, _)| *input == travel.input()) {
                Some((_, members)) => members.push((at, travel)),
                None => groups.push((travel.input(), vec![(at, travel)])),
            }
        }
        let several = groups.into_iter().map(|(_, members)| members).filter(|members| members.len() > 1);
        let values = |(at, travel): &(usize, Travel)| {
            let values = cells.get(*at).map(|cell| self.values(rule, *cell, Value::Moved(*travel)));
            (*travel, values.unwrap_or_default())
        };
        let joint = |members: Vec<(usize, Travel)>| {
            let levels: Vec<_> = members.iter().map(values).collect();
            (members.into_iter().map(|(at, _)| at).collect(), at_one_time(&levels))
        };
        several.map(joint).collect()
    }

    /// Everything that a cell can hold of which a row says so, as far as the rule tells it apart: a level that a treadle moves
    /// stands between the ends of its way.
    pub(super) fn values(&self, rule: &Node, cell: ColumnId, said: Value) -> Vec<(Value, u16)> {
        let Some(column) = self.table.cells.list.get(cell) else { return Vec::new() };
        if column.steps > 0 {
            let (low, high) = match said {
                Value::Moved(travel) => travel.span(),
                _ => (0, column.steps - 1),
            };
            let mut bounds = vec![low];
            rule.asks(&mut |i| {
                if let Some(Ask::AtLeast(c, step)) = self.logic.asks.get(i).filter(|a| a.cell() == Some(cell)) {
                    bounds.extend((*c == cell && (low..=high).contains(step)).then_some(*step));
                }
            });
            bounds.sort_unstable();
            bounds.dedup();
            let ends = bounds.iter().skip(1).map(|b| b - 1).chain([high]);
            return bounds.iter().zip(ends).map(|(from, to)| (Value::Step(*from), to)).collect();
        }
        let mut out: Vec<(Value, u16)> = Vec::new();
        for (device, control) in column.users.iter().copied() {
            let found = self.book.board.devices.get(device).and_then(|d| d.controls.get(control));
            let place = self.table.cells.of_control(device, control).iter().position(|c| *c == cell);
            for state in 0..found.map_or(0, |c| c.states.len() as u16) {
                let value = place.and_then(|at| self.table.cells.of_state(device, control, state).get(at));
                let value = value.map(|v| (*v, 0)).filter(|v| !out.contains(v));
                out.extend(value);
            }
        }
        out
    }

    /// A rule as it reads when the cells stand so.
    pub(super) fn under(&self, rule: &Node, scene: SceneId, stand: &Stand) -> Node {
        rule.with(&|index| {
            let ask = *self.logic.asks.get(index)?;
            let one = stand.cells.iter().find(|s| Some(s.cell) == ask.cell())?;
            let held = if matches!(ask, Ask::Foot(_)) { one.said } else { one.now };
            match self.logic.answer(ask, scene, &|_| Some(held)) {
                Truth::Yes => Some(true),
                Truth::No => Some(false),
                _ => None,
            }
        })
    }

    /// What holds when a rule is kept however the cells stand.
    pub(super) fn always(&self, rule: &Node, scene: SceneId, stands: &[Stand]) -> Node {
        Node::All(stands.iter().map(|stand| self.under(rule, scene, stand)).collect())
    }

    /// What can stand at one time in levels that one treadle moves, over all questions about them; None when that says nothing.
    pub(super) fn moved(&self, held: &dyn Fn(ColumnId) -> Option<Value>) -> Option<Node> {
        let asked = self.logic.asks.iter().zip(0..).filter_map(|(ask, index)| match ask {
            Ask::AtLeast(cell, step) => Some((*cell, *step, index)),
            _ => None,
        });
        let asked: Vec<(ColumnId, u16, usize)> = asked.collect();
        let mut cells: Vec<ColumnId> = asked.iter().map(|(cell, ..)| *cell).collect();
        cells.sort_unstable();
        cells.dedup();
        let all = Node::All(asked.iter().map(|(.., index)| Node::Ask(*index)).collect());
        let groups = self.joint(&all, &cells, held);
        let literal = |(cell, (now, _)): (ColumnId, (Value, u16))| {
            let mine = asked.iter().filter(move |(of, ..)| *of == cell);
            mine.map(move |(_, step, index)| match now {
                Value::Step(stands) if stands >= *step => Node::Ask(*index),
                _ => Node::Not(Box::new(Node::Ask(*index))),
            })
        };
        let together = |(places, values): Joint| {
            let cells: Vec<ColumnId> = places.iter().filter_map(|at| cells.get(*at).copied()).collect();
            let one =
                |values: Vec<(Value, u16)>| Node::All(cells.iter().copied().zip(values).flat_map(literal).collect());
            Node::Some(values.into_iter().map(one).collect())
        };
        let all: Vec<Node> = groups.into_iter().map(together).collect();
        (!all.is_empty()).then_some(Node::All(all))
    }

    /// What the ways into a scene leave, over all questions about cells that it leaves as they are; None when that
    /// says nothing.
    pub(super) fn came(&self, scene: SceneId, held: &dyn Fn(ColumnId) -> Option<Value>) -> Option<Node> {
        let ways = self.left.ways(scene);
        let sent = |cell: ColumnId| held(cell).filter(|v| matches!(v, Value::Stays | Value::Pulse));
        let cells: Vec<ColumnId> = self.left.cells.iter().copied().filter(|c| sent(*c).is_some()).collect();
        if cells.is_empty() || ways.is_empty() || self.left.cut {
            return None;
        }
        let mut out: Vec<Node> = Vec::new();
        for (stand, _) in ways {
            let mut all = Vec::new();
            for (index, ask) in self.logic.asks.iter().enumerate() {
                let Some(cell) = ask.cell().filter(|c| cells.contains(c)) else { continue };
                let stood = sent(cell).map(|value| self.left.stands(*stand, cell, value));
                match self.logic.answer(*ask, scene, &|_| stood) {
                    Truth::Yes => all.push(Node::Ask(index)),
                    Truth::No => all.push(Node::Not(Box::new(Node::Ask(index)))),
                    _ => {}
                }
            }
            let all = Node::All(all);
            if !out.contains(&all) {
                out.push(all);
            }
        }
        Some(Node::Some(out))
    }
}

/// Every stand with everything that can stand at one time in the cells at some places.
fn wider_by(stands: &[Stand], places: &[usize], values: &[Vec<(Value, u16)>]) -> Result<Vec<Stand>, TooMany> {
    let mut out = Vec::new();
    for stand in stands {
        for together in values {
            let mut stand = stand.clone();
            for (place, (now, to)) in places.iter().zip(together) {
                if let Some(slot) = stand.cells.get_mut(*place) {
                    (slot.now, slot.to) = (*now, *to);
                }
            }
            out.push(stand);
        }
        if out.len() > budget::STANDS {
            return Err(TooMany);
        }
    }
    Ok(out)
}
