//! What a switch inside a preset does there, and who says so.

use super::speaker::ranked;
use crate::Compiled;
use crate::ask::Spot;
use crate::book::inside::{Does, Owner, Press};
use crate::ids::SceneId;
use crate::print::inside;
use crate::settle::why::Rank;

/// Switch 7 holds: it brings `gully` engaged as long as the foot stays, because `bed` says so.
pub(super) fn says(compiled: &Compiled, spot: &Spot, switch: u8) -> String {
    let show = &compiled.book.show;
    let base = show.base(spot.scene);
    let name = inside::name(compiled, switch);
    let said = show.said_of_switches(base).into_iter().filter(|(_, press)| press.switch == switch);
    let said: Vec<(SceneId, Press)> = said.collect();
    let who = |(id, press): &(SceneId, Press)| {
        let rank = match press.owner {
            Owner::Scene(id) => Rank::Own(id),
            Owner::Layer(layer) => Rank::Layer(layer, *id),
            Owner::Default => Rank::Default,
        };
        (ranked(compiled, &Spot { scene: base, ..*spot }, rank, press.at), compiled.files.at(press.at))
    };
    let Some(first) = said.first() else {
        return format!("switch {name} does nothing: nobody says what it does");
    };
    let does = first.1.does;
    // Who says the same is not against it.
    let but = said.iter().find(|(_, press)| press.does != does).map_or(String::new(), |other| {
        let (speaker, at) = who(other);
        format!(", although {speaker} says otherwise ({at})")
    });
    let (speaker, at) = who(first);
    let because = format!("because {speaker} says so ({at}){but}");
    match (does, inside::brings(compiled, base, switch)) {
        (Does::Nothing, _) => format!("switch {name} does nothing {because}"),
        (Does::Toggles(_), Some(brings)) => {
            format!("switch {name} toggles: pressed it brings {brings}, pressed once more what was, {because}")
        }
        (Does::Holds(_), Some(brings)) => {
            format!("switch {name} holds: it brings {brings} as long as the foot stays, {because}")
        }
        (_, None) => format!("nobody knows what switch {name} does: `check` says why"),
    }
}
