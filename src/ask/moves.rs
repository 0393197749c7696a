//! What a treadle is wanted to move: `rocker moves gully.blend from 60 % to 10 %`, of one level.

use super::wanted::{Unclear, Want};
use crate::book::{Amount, End, Plugged, Travel};
use crate::edit::Wanted;
use crate::settle::{CellKind, Value};

impl Want<'_> {
    /// The cell that such words want; None where they say something else.
    pub(super) fn moves(&self, tokens: &[&str]) -> Option<Result<Vec<Wanted>, Unclear>> {
        let (treadle, start, what) = match tokens {
            [treadle, "moves", what @ ..] => (treadle, None, what),
            [treadle, "from", "heel", "moves", what @ ..] => (treadle, Some(End::Heel), what),
            [treadle, "from", "toe", "moves", what @ ..] => (treadle, Some(End::Toe), what),
            _ => return None,
        };
        let treadle = self.compiled.book.board.treadles.iter().find(|t| t.name == *treadle)?;
        let Plugged::Input(input) = treadle.plugged else { return None };
        let from = what.iter().position(|word| *word == "from").unwrap_or(what.len());
        let (level, way) = what.split_at(from);
        Some(self.moved(&level.join(" "), way, (input, start)))
    }

    fn moved(&self, level: &str, way: &[&str], by: (u8, Option<End>)) -> Result<Vec<Wanted>, Unclear> {
        let thing = self.level_thing(level)?;
        let ((cell, steps), (from, to)) = (self.leveled(&thing)?, self.ends(&thing)?);
        let how = || self.how(&thing);
        let step = |words: &[&str]| {
            let amount = Amount::read(&words.join(" ")).ok_or_else(how)?;
            if amount.dimension != to.dimension {
                return Err(Unclear::Unit(to));
            }
            amount.step(from, to, steps).ok_or(Unclear::Outside(from, to))
        };
        let (heel, toe) = match way {
            [] => (0, steps.saturating_sub(1)),
            ["from", way @ ..] => {
                let between = way.iter().position(|word| *word == "to").ok_or_else(how)?;
                let (heel, toe) = way.split_at(between);
                (step(heel)?, step(toe.get(1..).unwrap_or(&[]))?)
            }
            _ => return Err(how()),
        };
        let kind = self.compiled.table.cells.list.get(cell).map(|c| c.kind);
        // What is moved on the pedal itself, no treadle of the unit reaches.
        if heel == toe || !matches!(kind, Some(CellKind::Port(_) | CellKind::Message { .. })) {
            return Err(how());
        }
        Ok(vec![self.one(cell, Value::Moved(Travel::new(by.0, by.1, heel, toe)))])
    }
}
