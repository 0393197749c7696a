//! Rules when devices are out. A rule goes on as long as it only forbids what is out: of three drives of which one is
//! dead, the other two still stand alone. A rule that asks for what is out is quiet: nobody can keep it.

use super::Out;
use crate::book::Book;
use crate::book::rule::{Atom, Clause, Form, Rule};
use crate::ids::DeviceId;
use crate::source::Span;

/// What is left of a clause whose atoms about what is out are not so.
enum Left {
    /// It is so, or it is not, whatever is played.
    Known(bool),
    Clause(Clause),
}

impl Out<'_> {
    /// Leaves the rules that still hold; gives the places of those that are quiet.
    pub(super) fn rules(&self, after: &mut Book) -> Vec<Span> {
        let mut quiet = Vec::new();
        let rules = std::mem::take(&mut after.board.rules);
        for mut rule in rules {
            if self.asks(&rule) {
                quiet.push(rule.at);
                continue;
            }
            match self.form(rule.form) {
                Some(form) => {
                    rule.form = form;
                    after.board.rules.push(rule);
                }
                // It spoke of nothing else.
                None => quiet.push(rule.at),
            }
        }
        quiet
    }

    fn out(&self, atom: Atom) -> bool {
        match atom {
            Atom::Engaged { device }
            | Atom::State { device, .. }
            | Atom::Foot { device, .. }
            | Atom::Level { device, .. } => self.now(device).is_none(),
            Atom::Loop { number } => self.loops.contains(&number) || self.loop_now(number).is_none(),
            _ => false,
        }
    }

    /// True when the rule can be broken by what is out being out.
    fn asks(&self, rule: &Rule) -> bool {
        match &rule.form {
            Form::Exactly(list) => list.iter().any(|c| self.speaks(c, true) || self.speaks(c, false)),
            Form::AtMost(list) => list.iter().any(|c| self.speaks(c, false)),
            Form::Never(a, b) => std::iter::once(a).chain(b).any(|c| self.speaks(c, false)),
            Form::Always(a) => self.speaks(a, true),
            Form::Needs(a, b) => self.speaks(a, false) || self.speaks(b, true),
        }
    }

    /// True when an atom about what is out stands in a clause, plainly or (`plain` false) denied.
    fn speaks(&self, clause: &Clause, plain: bool) -> bool {
        match clause {
            Clause::Atom(atom, _) => plain && self.out(*atom),
            Clause::Not(inner) => self.speaks(inner, !plain),
            Clause::All(list) | Clause::Some(list) => list.iter().any(|c| self.speaks(c, plain)),
        }
    }

    /// What is left of a rule; None when it forbids nothing any more.
    fn form(&self, form: Form) -> Option<Form> {
        let some = |list: Vec<Clause>| -> Vec<Clause> {
            let left = list.into_iter().map(|c| self.left_of(c));
            left.filter_map(|l| if let Left::Clause(c) = l { Some(c) } else { None }).collect()
        };
        Some(match form {
            Form::AtMost(list) => {
                let before = list.len();
                let list = some(list);
                if list.len() < before && list.len() < 2 {
                    return None;
                }
                Form::AtMost(list)
            }
            Form::Exactly(list) => Form::Exactly(some(list)),
            Form::Never(a, b) => {
                let (a, b) = (self.left_of(a), b.map(|b| self.left_of(b)));
                match (a, b) {
                    (Left::Known(false), _) | (_, Some(Left::Known(false))) => return None,
                    (Left::Clause(a), Some(Left::Clause(b))) => Form::Never(a, Some(b)),
                    (Left::Clause(a), _) => Form::Never(a, None),
                    (Left::Known(true), Some(Left::Clause(b))) => Form::Never(b, None),
                    _ => return None,
                }
            }
            Form::Always(a) => match self.left_of(a) {
                Left::Clause(a) => Form::Always(a),
                Left::Known(_) => return None,
            },
            Form::Needs(a, b) => match (self.left_of(a), self.left_of(b)) {
                (Left::Clause(a), Left::Clause(b)) => Form::Needs(a, b),
                (Left::Known(true), Left::Clause(b)) => Form::Always(b),
                (Left::Clause(a), Left::Known(false)) => Form::Never(a, None),
                _ => return None,
            },
        })
    }

    fn left_of(&self, clause: Clause) -> Left {
        match clause {
            Clause::Atom(atom, _) if self.out(atom) => Left::Known(false),
            Clause::Atom(atom, at) => Left::Clause(Clause::Atom(self.renumbered(atom), at)),
            Clause::Not(inner) => match self.left_of(*inner) {
                Left::Known(so) => Left::Known(!so),
                Left::Clause(inner) => Left::Clause(Clause::Not(Box::new(inner))),
            },
            Clause::All(list) => self.joined(list, false, Clause::All),
            Clause::Some(list) => self.joined(list, true, Clause::Some),
        }
    }

    /// `all` is decided by one that is not so, `some` by one that is.
    fn joined(&self, list: Vec<Clause>, decides: bool, join: fn(Vec<Clause>) -> Clause) -> Left {
        let mut left = Vec::new();
        for clause in list {
            match self.left_of(clause) {
                Left::Known(so) if so == decides => return Left::Known(so),
                Left::Known(_) => {}
                Left::Clause(clause) => left.push(clause),
            }
        }
        match (left.len(), left.pop()) {
            (1, Some(one)) => Left::Clause(one),
            (_, None) => Left::Known(!decides),
            (_, Some(last)) => {
                left.push(last);
                Left::Clause(join(left))
            }
        }
    }

    fn renumbered(&self, atom: Atom) -> Atom {
        let now = |device: DeviceId| self.now(device).unwrap_or(device);
        match atom {
            Atom::Engaged { device } => Atom::Engaged { device: now(device) },
            Atom::Loop { number } => Atom::Loop { number: self.loop_now(number).unwrap_or(number) },
            Atom::State { device, control, state } => Atom::State { device: now(device), control, state },
            Atom::Foot { device, control } => Atom::Foot { device: now(device), control },
            Atom::Level { device, control, bound, step, falls } => {
                Atom::Level { device: now(device), control, bound, step, falls }
            }
            other => other,
        }
    }
}
