//! What a treadle moves in a scene, and who says so.

use super::says::Asked;
use crate::ask::moves;
use crate::ids::{ColumnId, ControlId, DeviceId};
use crate::settle::Answer;

impl Asked<'_> {
    /// The levels that it moves, as they are told of themselves; else that it moves nothing.
    pub(super) fn treadle(&self, treadle: usize, out: &mut Vec<String>) {
        let Some(found) = self.compiled.book.board.treadles.get(treadle) else { return };
        let from = out.len();
        for column in moves(self.compiled, treadle, self.spot.scene) {
            let heard = self.heard(column);
            out.extend(heard.iter().filter_map(|(name, d, c)| self.control(*d, *c, &format!("`{name}`"))));
            if heard.is_empty() {
                out.push(self.bare(column));
            }
        }
        match out.len() > from {
            true => out.insert(from, format!("`{}` is under the foot", found.name)),
            false => out.push(format!("`{}` moves nothing that is heard", found.name)),
        }
    }

    /// The controls of a column whose device sounds, each with the device's name.
    fn heard(&self, column: ColumnId) -> Vec<(&str, DeviceId, ControlId)> {
        let users = self.compiled.table.cells.list.get(column).map_or(&[][..], |cell| &cell.users);
        let sounding = users.iter().filter(|(d, _)| self.row().sounds(*d) == Answer::Yes);
        let named =
            sounding.filter_map(|(d, c)| Some((self.compiled.book.board.devices.get(*d)?.name.as_str(), *d, *c)));
        named.collect()
    }
}
