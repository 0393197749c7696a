//! Habits from other notations, and what they are called here: remarks, pedals that are "on", blocks after a colon,
//! statements joined by a comma.

use super::How;
use super::guess::{Guess, Spot};
use super::mend::Edits;
use crate::source::Span;
use crate::syntax::registry::{self, Place};

/// What the token was meant to be, if it is one of these habits.
pub(super) fn guess(spot: &Spot<'_>, place: Place, recovers: &dyn Fn(&Edits) -> bool) -> Option<Guess> {
    remark(spot, place, recovers)
        .or_else(|| switched(spot, place, recovers))
        .or_else(|| block(spot, recovers))
        .or_else(|| wired(spot, recovers))
        .or_else(|| pressed(spot, place))
        .or_else(|| super::asked::guess(spot, place, recovers))
        .or_else(|| parted(spot, recovers))
}

/// The rest of the token's line, from the token on.
fn rest<'f>(spot: &Spot<'f>) -> &'f str {
    let text = spot.facts.files.get(spot.at.file).map_or("", |f| f.text.as_str());
    text.get(spot.at.start as usize..).and_then(|t| t.lines().next()).unwrap_or("")
}

/// `// remark`, `-- remark`.
fn remark(spot: &Spot<'_>, place: Place, recovers: &dyn Fn(&Edits) -> bool) -> Option<Guess> {
    let sign = ["//", "--", "/*"].into_iter().find(|sign| rest(spot).starts_with(sign))?;
    let blank = if spot.before.end == spot.at.start && !spot.first { " " } else { "" };
    let edits = vec![(Span { end: spot.at.start + sign.len() as u32, ..spot.at }, format!("{blank}#"))];
    // A remark by itself counted as a statement: taking it out leaves one less.
    let alone = spot.first && place == Place::Top;
    let mends = sign != "/*" && (alone || recovers(&edits));
    // Two dashes may be an arrow or a minus too many.
    if sign == "--" && !mends {
        return None;
    }
    Some(Guess {
        at: None,
        says: format!("`{sign}` begins no remark: `#` does"),
        help: Some("what stands behind `#` is not read, up to the end of the line".to_owned()),
        edits: Some(edits).filter(|_| mends),
        how: if sign == "//" || alone { How::Sign } else { How::Offer },
        listed: false,
    })
}

/// `ember on`, `turn on ember`, `switch ember off`.
fn switched(spot: &Spot<'_>, place: Place, recovers: &dyn Fn(&Edits) -> bool) -> Option<Guess> {
    let opener = spot.opener.filter(|_| place == Place::Scene)?;
    let first = spot.facts.text(opener);
    let line = rest(spot);
    let statement = line.get(..line.find([';', '}', '#']).unwrap_or(line.len()))?.trim_end();
    let verb = matches!(first, "turn" | "switch" | "put" | "set");
    if !verb && registry::reserved(first) {
        return None;
    }
    let (states, pedals): (Vec<&str>, Vec<&str>) =
        statement.split_whitespace().partition(|word| matches!(*word, "on" | "off"));
    let (state, pedal) = match (states.as_slice(), pedals.as_slice()) {
        ([state], [pedal]) if verb => (*state, *pedal),
        ([state], []) if !verb => (*state, first),
        _ => return None,
    };
    let say = if state == "off" { "bypass" } else { "engage" };
    let whole = Span { start: opener.start, end: spot.at.start + statement.len() as u32, ..spot.at };
    let edits = vec![(whole, format!("{say} {pedal}"))];
    recovers(&edits).then(|| Guess {
        at: Some(if verb { opener } else { spot.at }),
        listed: false,
        ..Guess::offers(format!("no pedal is `{state}`: a scene engages it, or bypasses it"), edits)
    })
}

/// `scene a: engage b`, `scene a = b`.
fn block(spot: &Spot<'_>, recovers: &dyn Fn(&Edits) -> bool) -> Option<Guess> {
    let expects = |what: &str| spot.expected.contains(&what);
    if spot.word == "=" && expects("from") {
        let edits = vec![(spot.at, "from".to_owned())];
        return recovers(&edits).then(|| Guess::offers("`=` stands where `from` belongs".to_owned(), edits));
    }
    if !(spot.word == ":" && expects("{")) {
        return None;
    }
    let line = rest(spot);
    let said = line.get(..line.find('#').unwrap_or(line.len()))?.trim_end();
    // The brace is there, and the colon is one too many.
    if said.contains('{') {
        return None;
    }
    let end = Span { start: spot.at.start + said.len() as u32, end: spot.at.start + said.len() as u32, ..spot.at };
    let edits = vec![(spot.at, " {".to_owned()), (end, " }".to_owned())];
    Some(Guess {
        at: None,
        says: "a block stands in braces, not behind a colon".to_owned(),
        help: Some("put `{` for the colon, and `}` where the block ends".to_owned()),
        edits: Some(edits).filter(|edits| said.len() > 1 && recovers(edits)),
        how: How::Sign,
        listed: false,
    })
}

/// `on remote 1 ring momentary, remote 1 tip`, `on remote 1 tip latching`: one control that latches and pulses.
fn wired(spot: &Spot<'_>, recovers: &dyn Fn(&Edits) -> bool) -> Option<Guess> {
    const WAY_OUT: &str = "give the contact that pulses a `control` of its own: `control a on remote 1 tip { b: open; c: closed }` \
        and `control d on remote 1 ring momentary { e; f }`";
    if !spot.expected.contains(&"momentary") {
        return None;
    }
    let word = spot.facts.text(spot.last);
    let (says, edits) = match spot.word {
        "," if matches!(word, "momentary" | "shared" | "closed") => {
            (format!("what stands behind the contacts (`{word}`) counts for all its contacts"), None)
        }
        latching @ ("latching" | "latched") => {
            let edits = vec![(Span { start: spot.before.end, ..spot.at }, String::new())];
            let says = format!("`{latching}` is said of no contact: each is, unless `momentary` follows");
            (says, Some(edits).filter(recovers))
        }
        _ => return None,
    };
    let help = Some(WAY_OUT.to_owned());
    Some(Guess { at: None, says, help, edits, how: How::Offer, listed: false })
}

/// `scene 2nd`. Asked last: a number may want a word before it.
pub(super) fn number(spot: &Spot<'_>) -> Option<Guess> {
    let line = rest(spot);
    let word = line.get(..line.find(|c: char| !c.is_alphanumeric() && c != '-').unwrap_or(line.len()))?;
    if !spot.expected.contains(&"a name") || !word.starts_with(|c: char| c.is_ascii_digit()) {
        return None;
    }
    Some(Guess {
        at: Some(Span { end: spot.at.start + word.len() as u32, ..spot.at }),
        says: format!("`{word}` begins with a digit: a name begins with a letter"),
        help: Some("put a letter first, or write the number out".to_owned()),
        edits: None,
        how: How::Offer,
        listed: false,
    })
}

/// `solo: press 6`: the part does not say in which scene.
fn pressed(spot: &Spot<'_>, place: Place) -> Option<Guess> {
    let press = place == Place::Song && spot.facts.text(spot.last) == "press";
    (press && spot.expected.contains(&",")).then(|| Guess {
        at: Some(Span { start: spot.last.start, ..spot.at }),
        says: "nobody says in which scene this is pressed".to_owned(),
        help: Some("put the scene first, as in `solo: lead, press 6`".to_owned()),
        edits: None,
        how: How::Offer,
        listed: false,
    })
}

/// `engage a, bypass b`: the comma belongs to a list, and a semicolon parts statements.
fn parted(spot: &Spot<'_>, recovers: &dyn Fn(&Edits) -> bool) -> Option<Guess> {
    let text = spot.facts.files.get(spot.at.file)?.text.as_str();
    if spot.word == "," && spot.expected.contains(&crate::syntax::END) {
        let edits = vec![(spot.at, ";".to_owned())];
        return recovers(&edits).then(|| Guess {
            listed: false,
            ..Guess::mends("a comma does not end it: `;` or a new line does".to_owned(), edits)
        });
    }
    let word = spot.facts.text(spot.last);
    let list = text.get(..spot.last.start as usize)?.trim_end().strip_suffix(',').filter(|_| registry::opens(word))?;
    let comma = list.len() as u32;
    let edits = vec![(Span { start: comma, end: comma + 1, ..spot.at }, ";".to_owned())];
    recovers(&edits).then(|| Guess {
        at: Some(spot.last),
        says: format!("`{word}` begins something new, and a comma does not end what stands before"),
        help: Some("put `;` for the comma, or a new line".to_owned()),
        edits: Some(edits),
        how: How::Sign,
        listed: false,
    })
}
