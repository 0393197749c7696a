//! One press: what it needs of each button, and where it leaves each control.

use super::buttons::{Buttons, Wish};

/// A state of a control, by its place.
pub type Stand = u16;

/// A state that nobody knows.
pub const UNKNOWN: Stand = Stand::MAX;

/// What a change needs of one button.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Need {
    /// Nothing is sent.
    Stays,
    /// One pulse.
    Pulse,
    /// No single press can do it.
    Never(Why),
}

/// Why no single press can do it.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Why {
    /// The control must go this many steps round; a press moves it by one.
    Far(Stand),
    /// Two controls of the button need two things.
    Clash,
    /// Nobody knows where the control stands after power-up.
    Start,
}

/// What reaching a scene from the state `hidden` needs of each button.
pub fn needs(buttons: &Buttons, hidden: &[Stand], wishes: &[Wish]) -> Vec<Need> {
    buttons
        .list
        .iter()
        .map(|button| {
            let asked = button.controls.iter().filter_map(|c| {
                let (turned, wish) = (buttons.controls.get(*c)?, wishes.get(*c)?);
                let stands = hidden.get(*c).copied().unwrap_or(UNKNOWN);
                match wish {
                    Wish::State(_) if stands == UNKNOWN => Some(Need::Never(Why::Start)),
                    Wish::State(state) => Some(match round(turned.states, *state, stands) {
                        0 => Need::Stays,
                        1 => Need::Pulse,
                        far => Need::Never(Why::Far(far)),
                    }),
                    Wish::Pulse => Some(Need::Pulse),
                    Wish::Keep | Wish::Unclear => None,
                }
            });
            asked.reduce(|a, b| if a == b { a } else { Need::Never(Why::Clash) }).unwrap_or(Need::Stays)
        })
        .collect()
}

/// Steps from one state to another, going round.
fn round(states: Stand, to: Stand, from: Stand) -> Stand {
    if to >= from { to - from } else { states.saturating_sub(from) + to }
}

/// Where each control stands after the scene was reached rightly.
pub fn after(buttons: &Buttons, hidden: &[Stand], wishes: &[Wish], needs: &[Need]) -> Vec<Stand> {
    let controls = buttons.controls.iter().zip(hidden).zip(wishes);
    controls
        .map(|((turned, stands), wish)| match wish {
            Wish::State(state) => *state,
            _ if *stands == UNKNOWN => UNKNOWN,
            _ if needs.get(turned.button) == Some(&Need::Pulse) => (stands + 1) % turned.states,
            _ => *stands,
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::buttons::{Button, Turned};
    use super::*;
    use crate::ids::{ColumnId, ControlId, DeviceId};

    fn board(states: &[Stand], shared: bool) -> Buttons {
        let button = |i: usize| if shared { 0 } else { i };
        let list = if shared { 1 } else { states.len() };
        Buttons {
            list: (0..list)
                .map(|b| Button {
                    cells: vec![ColumnId::nth(b)],
                    controls: (0..states.len()).filter(|c| button(*c) == b).collect(),
                })
                .collect(),
            controls: states
                .iter()
                .enumerate()
                .map(|(i, s)| {
                    let (device, control) = (DeviceId::nth(i), ControlId::nth(0));
                    Turned { device, control, states: *s, start: Some(0), button: button(i) }
                })
                .collect(),
        }
    }

    #[test]
    fn a_press_moves_one_step_round() {
        let three = board(&[3], false);
        assert_eq!(needs(&three, &[2], &[Wish::State(0)]), [Need::Pulse]);
        assert_eq!(needs(&three, &[0], &[Wish::State(2)]), [Need::Never(Why::Far(2))]);
        assert_eq!(after(&three, &[2], &[Wish::Pulse], &[Need::Pulse]), [0]);
        assert_eq!(needs(&three, &[UNKNOWN], &[Wish::State(0)]), [Need::Never(Why::Start)]);
    }

    #[test]
    fn a_shared_contact_moves_both() {
        let both = board(&[2, 2], true);
        assert_eq!(needs(&both, &[0, 1], &[Wish::State(1), Wish::State(0)]), [Need::Pulse]);
        assert_eq!(needs(&both, &[0, 0], &[Wish::State(1), Wish::State(0)]), [Need::Never(Why::Clash)]);
        assert_eq!(after(&both, &[0, 1], &[Wish::State(1), Wish::Keep], &[Need::Pulse]), [1, 0]);
    }
}
