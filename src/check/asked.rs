//! How people ask for what they know from the unit, and what it is called here: a switch inside a preset that is pressed for a
//! part, the second row, the moment at which a message goes out.

use super::How;
use super::guess::{Guess, Spot};
use super::mend::Edits;
use crate::source::Span;
use crate::syntax::END;
use crate::syntax::registry::Place;

/// What a part may ask of the foot.
const WAYS: &str = "a switch inside the preset is pressed for a part with `press 6`; the second row is played by the name of its own \
    scene; a switch that holds is a note, as `hand \"hold 6\"`";

/// What the token was meant to ask for.
pub(super) fn guess(spot: &Spot<'_>, place: Place, recovers: &dyn Fn(&Edits) -> bool) -> Option<Guess> {
    match place {
        Place::Song => part(spot, recovers),
        Place::Scene => moment(spot).or_else(|| moved(spot)),
        _ => None,
    }
}

fn told(says: impl Into<String>, help: impl Into<String>) -> Guess {
    Guess { at: None, says: says.into(), help: Some(help.into()), edits: None, how: How::Offer, listed: false }
}

/// What stands before the token in its statement, and the token with what stands behind it.
fn around<'f>(spot: &Spot<'f>) -> (&'f str, &'f str) {
    let text = spot.facts.files.get(spot.at.file).map_or("", |f| f.text.as_str());
    let (before, behind) = text.split_at_checked(spot.at.start as usize).unwrap_or((text, ""));
    let ends = |c| matches!(c, '\n' | ';' | '{' | '}' | '#');
    (before.rsplit(ends).next().unwrap_or(before), behind.split(ends).next().unwrap_or(behind))
}

/// `bed, hold 5`, `bed, switch 5`, `bed, 5 on`, `bed, press switch 5`, `bed, press 5 and 6`, `bed, press 5 off`, `bed again`.
fn part(spot: &Spot<'_>, recovers: &dyn Fn(&Edits) -> bool) -> Option<Guess> {
    let (before, behind) = around(spot);
    let said: Vec<&str> = before.rsplit([',', ':']).next()?.split_whitespace().collect();
    let next = behind.get(spot.word.len()..).unwrap_or("").split_whitespace().next().unwrap_or("");
    let next = next.trim_end_matches(',');
    let begins = said.is_empty() && spot.expected.contains(&"press");
    let offer = |span: Span, text: &str| {
        let edits = vec![(span, text.to_owned())];
        let says = "a switch inside the preset is pressed for a part with `press`";
        if recovers(&edits) {
            Guess { listed: false, ..Guess::offers(says.to_owned(), edits) }
        } else {
            told(says, WAYS)
        }
    };
    let from = |start: u32| Span { start, ..spot.at };
    match (said.as_slice(), spot.word) {
        (_, "again") if begins || spot.expected.contains(&",") => {
            Some(told("the second row is no word of a part: it is a scene with a name of its own", WAYS))
        }
        ([], "hold" | "holds") if begins => Some(told("a part presses no switch that holds", WAYS)),
        ([], "switch") if begins => Some(offer(spot.at, "press")),
        ([], number) if begins && next == "on" => {
            let end = behind.find("on").map_or(spot.at.end, |at| spot.at.start + at as u32 + 2);
            Some(offer(Span { end, ..spot.at }, &format!("press {number}")))
        }
        ([], _) if begins && next == "off" => {
            let end = behind.find("off").map_or(spot.at.end, |at| spot.at.start + at as u32 + 3);
            Some(off(spot, end, recovers))
        }
        (["press", "switch"], _) => Some(offer(from(spot.last.start), spot.word)),
        (["press", _], "and" | "&" | "+") => Some(offer(from(spot.before.end), ", press")),
        (["press", _], "on") => Some(offer(from(spot.before.end), "")),
        (["press", _], "off") => Some(off(spot, spot.at.end, recovers)),
        _ => None,
    }
}

/// From the comma to that word it is too much.
fn off(spot: &Spot<'_>, end: u32, recovers: &dyn Fn(&Edits) -> bool) -> Guess {
    let says = "a part says what it presses, not what is off: the sheets tell the foot to press it off where the part before has it on";
    let (before, _) = around(spot);
    let comma = before.rfind(',').map(|comma| spot.at.start - (before.len() - comma) as u32);
    let edits = comma.map(|start| vec![(Span { start, end, ..spot.at }, String::new())]);
    match edits.filter(|edits| recovers(edits)) {
        Some(edits) => Guess { listed: false, ..Guess::offers(says.to_owned(), edits) },
        None => told(says, WAYS),
    }
}

/// `lamps.look red after 2 s`, `deck.roll start on entering`.
fn moment(spot: &Spot<'_>) -> Option<Guess> {
    let (before, behind) = around(spot);
    let mut words = before.split_whitespace();
    let (device, control) = words.next()?.split_once('.')?;
    words.next()?;
    let says = behind.trim_start_matches([',', ' ']);
    let when = ["after ", "on leaving", "on entering"].iter().any(|when| says.starts_with(when));
    (when && spot.expected.contains(&END)).then(|| {
        told(
            format!("when `{device}.{control}` goes out is said where `{device}` is described, for all scenes"),
            "put `after 2 s` or `on leaving` behind its wire there, as in `control a on midi 6 messages, after 2 s { b: note 60 at 100 }`; \
             with neither it goes out as the preset is called",
        )
    })
}

/// `switch 5 toggles moth, ember`.
fn moved(spot: &Spot<'_>) -> Option<Guess> {
    let (before, _) = around(spot);
    let moves = before.split_whitespace().nth(2).is_some_and(|word| matches!(word, "toggles" | "holds"));
    let joins = matches!(spot.word, "," | "and" | "&" | "+") && spot.expected.contains(&END);
    (moves && joins && before.trim_start().starts_with("switch ")).then(|| {
        told(
            "a switch moves one thing",
            "name the other behind a switch of its own, or put both into a scene of their own",
        )
    })
}
