//! What a foot presses to come to a part.

use super::{at, shown};
use crate::Compiled;
use crate::book::Slot;
use crate::book::song::{Repeat, Way};
use crate::ids::SceneId;
use crate::settle::Value;

/// What stands behind a slot at which nothing is pressed, and behind one that is called from outside.
const STAYS: &str = "stays";
const CALLED: &str = "called";
/// What stands before the presses of who does not stand where the part before left the foot.
const ELSEWHERE: &str = "from elsewhere";

/// What a foot presses to come to a part. A press is told with its bank, and without it.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Presses {
    /// The slot's own switch; none for a part in no slot.
    pub own: Option<Said>,
    /// From where the foot stands; nothing where it need not move.
    pub here: Vec<Said>,
    /// It must not move: the slot's own switch would call something else.
    pub stays: bool,
    /// After a break, from any other slot, where that is something else.
    pub elsewhere: Vec<Said>,
    /// The part is called from outside: nobody presses.
    pub called: bool,
}

/// A press with its bank, and without it.
pub type Said = (String, String);

impl Presses {
    /// To this part. `from` is where the part before left the foot; it is `sure` where no break lies between.
    pub(super) fn of(compiled: &Compiled, from: Option<Slot>, to: Option<Slot>, sure: bool, called: bool) -> Presses {
        let range = compiled.book.board.switcher.as_ref().and_then(|s| s.slots);
        let Some((to, range)) = to.zip(range) else { return Presses::default() };
        let said = |slot: Slot| Some((shown(compiled, Some(slot)), at(compiled, Some(slot))?.1));
        let own = said(Slot::at(to.bank, to.switch));
        if called {
            return Presses { own, called, ..Presses::default() };
        }
        let again = again(compiled, to);
        let (here, elsewhere) = if sure { (range.way(from, to), None) } else { range.resumed(from, to, again) };
        let says = |(calls, moved): Way| -> Vec<Said> {
            calls.into_iter().filter_map(said).chain(moved.into_iter().map(|says| (says.clone(), says))).collect()
        };
        let (here, elsewhere) = (says(here), elsewhere.map_or(Vec::new(), says));
        let stays = here.is_empty() && (to.pressed != 0 || again != Repeat::Same);
        Presses { own, here, stays, elsewhere, called }
    }

    /// What a foot presses, `1, 1 again`, and beside it in thin letters what nobody presses, `1 stays`, or who stands elsewhere;
    /// with banks where they are needed. Nothing of either for a part in no slot.
    pub fn says(&self, banks: bool) -> (String, String) {
        let one = |(full, own): &Said| if banks { full.clone() } else { own.clone() };
        let all = |presses: &[Said]| presses.iter().map(one).collect::<Vec<_>>().join(", ");
        let own = self.own.as_ref().map_or_else(String::new, one);
        let elsewhere = (!self.elsewhere.is_empty()).then(|| format!("{ELSEWHERE} {}", all(&self.elsewhere)));
        let beside = match (self.called, self.stays) {
            (true, _) => Some(format!("{own} {CALLED}")),
            (false, true) => Some(format!("{own} {STAYS}")),
            (false, false) => None,
        };
        let key = match &beside {
            Some(_) => String::new(),
            None if self.here.is_empty() => own,
            None => all(&self.here),
        };
        (key, beside.into_iter().chain(elsewhere).collect::<Vec<_>>().join("; "))
    }
}

/// The same as one line, from where the foot surely stands, or from any other slot: `1.2`, or `1.2, 1.2 again`.
pub(super) fn to(compiled: &Compiled, from: Option<Slot>, to: Option<Slot>) -> String {
    let (key, beside) = Presses::of(compiled, from, to, true, false).says(true);
    if to.is_none() {
        shown(compiled, None)
    } else if key.is_empty() {
        beside
    } else {
        key
    }
}

/// What stands where a break lies before parts in slots of two rows: who tried such a switch stands in a row that nobody knows,
/// and from any other slot what is told is right.
pub const TRIED: &str =
    "who tries a switch with two rows in a break presses another switch after it: its own calls the other row";

/// What a slot's own switch calls when it is pressed again.
pub fn again(compiled: &Compiled, slot: Slot) -> Repeat {
    let scene = |again: bool| {
        let slot = Slot { again, ..slot.stored() };
        let found = compiled.presets.binary_search_by_key(&(false, Some(slot)), |p| (p.slot.is_none(), p.slot)).ok();
        found.and_then(|at| compiled.presets.get(at)).map(|p| p.scene)
    };
    let table = &compiled.table;
    let pulses = |scene: SceneId| table.cells.list.ids().any(|cell| table.stored(scene, cell) == Value::Pulse);
    match (scene(false), scene(true)) {
        (_, None) => Repeat::Same,
        (first, Some(second)) if first.is_some_and(pulses) || pulses(second) => Repeat::Pulses,
        _ => Repeat::Other,
    }
}
