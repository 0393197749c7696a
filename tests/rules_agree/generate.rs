//! Random boards, scenes and rules.

use super::model::{Board, Book, Compare, Control, Expr, Pedal, Rule, STEPS, Scene};
use super::random::Random;

/// How big, and how many rules.
pub(crate) struct Size {
    pub pedals: usize,
    pub jacks: usize,
    pub controls: usize,
    pub ports: usize,
    pub outputs: usize,
    pub scenes: usize,
    pub rules: usize,
}

pub(crate) fn book(seed: u64, size: &Size) -> Book {
    let mut r = Random::new(seed);
    let mut board = Board { pedals: Vec::new(), jacks: size.jacks, ports: 0, outputs: size.outputs };
    let mut controls = size.controls;
    for p in 0..size.pedals {
        let control = if controls > 0 && r.chance(60) {
            controls -= 1;
            Some(control(&mut r, &mut board, size))
        } else {
            None
        };
        board.pedals.push(Pedal { name: format!("pedal{}", letters(p)), always: r.chance(8), control });
    }
    let mut book = Book { board, ..Book::default() };
    for s in 0..size.scenes {
        let parent = (s > 0 && r.chance(50)).then(|| r.below(s));
        let pedals: Vec<usize> = (0..size.pedals).filter(|p| !book.board.pedals[*p].always).collect();
        let engage = pedals.into_iter().filter(|_| r.chance(30)).collect();
        let mut set = Vec::new();
        for (p, pedal) in book.board.pedals.iter().enumerate() {
            let states = match &pedal.control {
                Some(Control::Contacts { states, .. }) => states.len(),
                Some(Control::Choice { states, .. }) => *states,
                Some(Control::Level { .. }) => STEPS + 1,
                None => continue,
            };
            // A foot holds every other level.
            if r.chance(if states > STEPS { 70 } else { 40 }) {
                set.push((p, if states > STEPS && r.chance(50) { STEPS } else { r.below(states) }));
            }
        }
        let off = (0..size.outputs).filter(|_| r.chance(20)).collect();
        book.scenes.push(Scene { name: format!("scene{}", letters(s)), parent, engage, set, off });
    }
    for _ in 0..size.rules {
        let rule = rule(&mut r, &book);
        book.rules.push(rule);
    }
    book
}

/// More rules for a book.
#[allow(dead_code, reason = "the bench asks for them")]
pub(crate) fn rules(seed: u64, book: &Book, count: usize) -> Vec<Rule> {
    let mut r = Random::new(seed);
    (0..count).map(|_| rule(&mut r, book)).collect()
}

/// Names that do not look alike: letters only.
fn letters(n: usize) -> String {
    let digits = n.to_string().into_bytes();
    digits.into_iter().map(|d| ["a", "b", "c", "d", "e", "f", "g", "h", "k", "m"][usize::from(d - b'0')]).collect()
}

fn control(r: &mut Random, board: &mut Board, size: &Size) -> Control {
    if board.ports < size.ports && r.chance(40) {
        board.ports += 1;
        return Control::Level { port: board.ports - 1, falls: r.chance(40) };
    }
    if size.jacks > 0 && r.chance(70) {
        let mut all: Vec<usize> = (0..size.jacks * 2).collect();
        r.shuffle(&mut all);
        all.truncate(r.within(1, 2));
        all.sort_unstable();
        let mut states: Vec<Vec<bool>> =
            (0..1 << all.len()).map(|n| (0..all.len()).map(|b| n >> b & 1 == 1).collect()).collect();
        r.shuffle(&mut states);
        states.truncate(r.within(1, 3).min(states.len()));
        return Control::Contacts { contacts: all, states };
    }
    Control::Choice { states: r.within(1, 3), programs: r.chance(50) }
}

fn atom(r: &mut Random, book: &Book) -> Expr {
    let board = &book.board;
    let compare = *r.pick(&[Compare::Least, Compare::Most, Compare::Above, Compare::Below, Compare::Exactly]);
    match r.below(12) {
        0 if !book.scenes.is_empty() => Expr::Scene(r.below(book.scenes.len())),
        1 if !book.scenes.is_empty() => Expr::Any(r.below(book.scenes.len())),
        2 if board.jacks > 0 => Expr::Contact(r.below(board.jacks * 2), r.chance(50)),
        3 if board.outputs > 0 => Expr::Output(r.below(board.outputs), r.chance(50)),
        4..=7 => {
            let with: Vec<usize> = (0..board.pedals.len()).filter(|p| board.pedals[*p].control.is_some()).collect();
            if with.is_empty() {
                return Expr::Pedal(r.below(board.pedals.len()));
            }
            let p = *r.pick(&with);
            match &board.pedals[p].control {
                Some(Control::Contacts { states, .. }) => Expr::State(p, r.below(states.len())),
                Some(Control::Choice { states, .. }) => Expr::State(p, r.below(*states)),
                _ if r.chance(20) => Expr::Foot(p),
                _ => Expr::Level(p, compare, r.below(STEPS)),
            }
        }
        8 => {
            let p = r.below(board.pedals.len());
            if board.pedals[p].always { Expr::Pedal(p) } else { Expr::Loop(p) }
        }
        _ => Expr::Pedal(r.below(board.pedals.len())),
    }
}

fn expr(r: &mut Random, book: &Book, depth: usize) -> Expr {
    let list = |r: &mut Random| (0..r.within(2, 3)).map(|_| expr(r, book, depth - 1)).collect();
    match if depth == 0 { 9 } else { r.below(10) } {
        0 | 1 => Expr::And(list(r)),
        2 | 3 => Expr::Or(list(r)),
        4 | 5 => Expr::Not(Box::new(expr(r, book, depth - 1))),
        _ => atom(r, book),
    }
}

fn rule(r: &mut Random, book: &Book) -> Rule {
    let depth = r.below(3);
    let list = |r: &mut Random| (0..r.within(1, 4)).map(|_| expr(r, book, depth / 2)).collect();
    match r.below(10) {
        0 | 1 => Rule::AtMost(list(r)),
        2 => Rule::Exactly(list(r)),
        3 | 4 => Rule::Never(expr(r, book, depth), Some(expr(r, book, depth))),
        5 => Rule::Never(expr(r, book, depth), None),
        6 => Rule::Always(expr(r, book, depth.max(1))),
        _ => Rule::Needs(expr(r, book, depth), expr(r, book, depth)),
    }
}
