//! The report.

use super::model::{Entry, Row, entries, weight};
use super::says::{self, device};
use super::{CAUTION, metres, own, played, press};
use crate::Compiled;
use crate::book::DeviceKind;
use crate::ids::{DeviceId, SongId};
use crate::print::doc::{Block, Cell, Doc, Look, Table, head, para};
use crate::print::wiring::midi_line;
use crate::study::wiring::Purpose;
use crate::study::without::{Part, Patch, Spare, Without};

/// So many presets of a part are listed where all parts are.
const LISTED: usize = 6;

/// All parts, or the one that was asked for.
pub fn doc(compiled: &Compiled, study: &Without<'_>, of: &str) -> Doc {
    let all = entries(compiled, study);
    let mut blocks = vec![para(basis(compiled, study, of)), para(measure(study))];
    if compiled.book.board.devices.iter().any(|d| d.kind == DeviceKind::Amp) {
        blocks.push(Block::Notice(vec![CAUTION.to_owned()]));
    }
    if let [one] = all.as_slice() {
        blocks.extend(alone(compiled, study, one));
        blocks.extend(study.patch.as_ref().map(|p| line(compiled, p)).unwrap_or_default());
        return Doc::report(compiled, &format!("without {}", one.part), blocks);
    }
    let lead = |entry: &&Entry| matches!(entry.of, Part::Lead(_));
    let (touching, idle): (Vec<&Entry>, Vec<&Entry>) = all.iter().partition(|e| e.parts > 0 || !e.presets.is_empty());
    let (leads, parts): (Vec<&Entry>, Vec<&Entry>) = touching.iter().copied().partition(lead);
    // A loop goes by the pedal in it.
    let told = |entry: &&&Entry| !(matches!(entry.of, Part::Loop(_)) && entry.like.is_some());
    let own: Vec<&Entry> = parts.iter().filter(told).copied().collect();
    blocks.extend([head(2, "what to do first"), Block::Table(first(&own, &all))]);
    if !idle.is_empty() {
        let names: Vec<&str> = idle.iter().map(|e| e.part.as_str()).collect();
        blocks.push(para(format!(
            "These touch no song: {}. Each of the {} sounds the same without them.",
            names.join(", "),
            sounds(compiled)
        )));
    }
    blocks.extend(spares(compiled, study));
    blocks.extend(study.patch.as_ref().map(|p| line(compiled, p)).unwrap_or_default());
    blocks.push(head(2, "what to press until then"));
    blocks.push(para(
        "A preset that has the dead part in may be silent until that is done; press one that does without it.",
    ));
    for entry in parts.iter().filter(|e| e.like.is_none() && !e.presets.is_empty()) {
        blocks.push(head(3, &titled(entry)));
        let rows = entry.presets.get(..LISTED.min(entry.presets.len())).unwrap_or(&[]);
        blocks.push(Block::Table(presets(&entry.part, rows)));
        if entry.presets.len() > LISTED {
            let more = entry.presets.len() - LISTED;
            blocks.push(para(format!("And {more} more: `tipring without BOOK \"{}\"` lists them.", entry.part)));
        }
    }
    if !leads.is_empty() {
        blocks.extend([head(2, "leads"), Block::Table(first(&leads, &all))]);
        blocks.extend(midi_line(&compiled.book, study.told.wiring).map(para));
    }
    Doc::report(compiled, "if a part dies", blocks)
}

/// What was looked at.
fn basis(compiled: &Compiled, study: &Without<'_>, of: &str) -> String {
    let mut songs: Vec<SongId> = study.told.plays.iter().map(|p| p.song).collect();
    songs.sort_unstable();
    songs.dedup();
    let mut parts: Vec<(SongId, usize)> = study.told.plays.iter().map(|p| (p.song, p.part)).collect();
    parts.sort_unstable();
    parts.dedup();
    format!("Of {of}: {}, {}, {}.", many(songs.len(), "song"), many(parts.len(), "part"), sounds(compiled))
}

/// All that was compared: scenes, and what the switches inside their presets make of them.
fn sounds(compiled: &Compiled) -> String {
    let show = &compiled.book.show;
    let scenes = many(show.scenes.iter().filter(|s| !s.repeated).count(), "scene");
    match show.scenes.ids().filter(|scene| show.is_pressed(*scene)).count() {
        0 => scenes,
        pressed => format!("{scenes} and {} more with switches pressed inside them", pressed),
    }
}

fn many(number: usize, what: &str) -> String {
    if number == 1 { format!("1 {what}") } else { format!("{number} {what}s") }
}

/// What "off" and "nearest" mean.
fn measure(study: &Without<'_>) -> String {
    let w = study.told.weights;
    let nearest = match study.stopped {
        false => {
            "Nearest is the least of all scenes that stand in a slot, are heard, and do without the part: each was compared."
        }
        true => {
            "There are too many scenes to compare each with each: where nothing stands, ask for one part, or one set."
        }
    };
    let show = &study.told.book.show;
    let held = if show.scenes.ids().any(|scene| show.is_held(scene)) {
        " None of them wants a foot to stay on a switch."
    } else {
        ""
    };
    let reach = match study.told.book.board.timing.presses {
        Some(_) => format!("In reach are {}.", many(study.reach as usize, "press").replace("presss", "presses")),
        None => "The switcher does not say what a press costs, so what is in reach is not known.".to_owned(),
    };
    let told = &study.told;
    let called = told.book.show.songs.iter().any(|song| told.places.called(song).iter().any(Option::is_some));
    let called =
        if called { " What is called from outside is called all the same: press once it has come." } else { "" };
    format!(
        "How far off a sound is: {} for an amplifier that sounds or not, {} for a pedal in or out, {} for a setting that \
         stands otherwise, {} for a level from one end to the other. {nearest}{held} {reach}{called}",
        w.amp, w.pedal, w.state, w.level
    )
}

fn titled(entry: &Entry) -> String {
    if entry.what.is_empty() { entry.part.clone() } else { format!("{}, {}", entry.part, entry.what) }
}

/// How much a part touches.
fn touches(entry: &Entry) -> String {
    if entry.parts == 0 {
        return match entry.presets.len() {
            0 => "Touches no song.".to_owned(),
            n => format!("Touches no part that is played, and {} beside.", many(n, "preset")),
        };
    }
    let silent = match entry.silent {
        0 => String::new(),
        n if n == entry.parts => ", silent then".to_owned(),
        n => format!(", {n} of them silent then"),
    };
    format!("Touches {} in {}{silent}.", many(entry.parts, "part"), many(entry.songs, "song"))
}

/// One part alone.
fn alone(compiled: &Compiled, study: &Without<'_>, entry: &Entry) -> Vec<Block> {
    let mut out = vec![head(2, &titled(entry)), para(touches(entry))];
    if entry.parts == 0 && entry.presets.is_empty() {
        out.push(para(format!("Each of the {} sounds the same without it.", sounds(compiled))));
        return out;
    }
    out.push(Block::Para(vec![("First: ".to_owned(), Look::Strong), (entry.first.clone(), Look::Plain)]));
    let lead = if let Part::Lead(at) = entry.of { study.told.wiring.leads.get(at) } else { None };
    let line = lead.filter(|lead| lead.purpose == Purpose::Midi);
    out.extend(line.and_then(|_| midi_line(&compiled.book, study.told.wiring)).map(para));
    let idle = study.dead.first().map_or(0, |dead| dead.idle);
    if idle > 0 {
        out.push(para(format!("It touches {} in no slot, which nobody plays.", many(idle, "scene"))));
    }
    if !entry.presets.is_empty() {
        out.extend([head(2, "what to press until then"), Block::Table(presets(&entry.part, &entry.presets))]);
    }
    out
}

fn first(entries: &[&Entry], all: &[Entry]) -> Table {
    let rows = entries.iter().map(|entry| {
        let like = entry.like.as_ref().map(|like| format!("As without `{like}`. "));
        // What is done then stands there.
        let other = entry.like.as_ref().and_then(|like| all.iter().find(|e| e.part == *like));
        let says = if other.is_some_and(|other| other.first == entry.first) { "" } else { &entry.first };
        vec![
            Cell::new(&entry.part, Look::Strong),
            Cell::new(&entry.what, Look::Plain),
            Cell::new(entry.songs.to_string(), Look::Plain),
            Cell::new(entry.parts.to_string(), Look::Plain),
            Cell::new(entry.silent.to_string(), Look::Plain),
            Cell::new((like.unwrap_or_default() + says).trim_end(), Look::Plain),
        ]
    });
    let heads = ["dead", "what it is", "songs", "parts", "silent", "what to do first"];
    Table::new("what to do first", &heads, 1, &[1, 5], rows.collect())
}

fn presets(part: &str, rows: &[Row]) -> Table {
    let rows = rows.iter().map(|row| {
        let own: Vec<String> = row.own.iter().map(own).collect();
        let in_reach = match &row.in_reach {
            way if *way == row.nearest && way.is_some() => "the same".to_owned(),
            way => way.as_ref().map_or("-".to_owned(), press),
        };
        vec![
            Cell::new(row.slot.as_deref().unwrap_or("-"), Look::Strong),
            Cell::new(&row.scene, Look::Plain),
            Cell::new(if row.silent { "silent".to_owned() } else { row.off.to_string() }, Look::Plain),
            Cell::new(row.nearest.as_ref().map_or("-".to_owned(), press), Look::Plain),
            Cell::new(in_reach, Look::Plain),
            Cell::new(if own.is_empty() { "-".to_owned() } else { own.join("; ") }, Look::Plain),
            Cell::new(played(row), Look::Plain),
        ]
    });
    let heads = ["slot", "scene", "off then", "nearest", "nearest in reach", "your own way out", "played in"];
    Table::new(&format!("presets without {part}"), &heads, 2, &[3, 4, 5, 6], rows.collect())
}

fn spares(compiled: &Compiled, study: &Without<'_>) -> Vec<Block> {
    if study.spares.is_empty() {
        return Vec::new();
    }
    let rows = study.spares.iter().map(|s| {
        let words = [spare(compiled, study, s), weight(s.worth).to_string(), s.plays.to_string()];
        Cell::row(words)
    });
    let table = Table::new("spares", &["spare", "lost without it", "parts, each time"], 1, &[0], rows.collect());
    let says = "What is lost is how far off the best is that is left, over all parts. Nobody said how often what dies, so each \
                counts alike; the first of this list save more than any others of their number. Strings and the switcher are \
                not weighed: no preset tells what they cost.";
    vec![head(2, "spares, the most worth first"), para(says), Block::Table(table)]
}

/// What is taken along.
pub(super) fn spare(compiled: &Compiled, study: &Without<'_>, spare: &Spare) -> String {
    let name = |part: &Part| part.name(&compiled.book.board, study.told.wiring);
    match spare.parts.as_slice() {
        [Part::Lead(at), rest @ ..] => {
            let Some(lead) = study.told.wiring.leads.get(*at) else { return String::new() };
            let long = lead.length.map_or(" of a length that nobody said".to_owned(), |m| format!(" of {}", metres(m)));
            format!("{} lead{long}, for {}", lead.kind.word(), many(rest.len() + 1, "lead"))
        }
        parts => parts.iter().map(name).collect::<Vec<_>>().join(", "),
    }
}

/// The switcher is dead.
fn line(compiled: &Compiled, patch: &Patch) -> Vec<Block> {
    let book = &compiled.book;
    let boxes = patch.front.len() + patch.effects.len();
    let mut out = vec![head(2, "the switcher is dead: past it")];
    out.push(Block::Para(vec![(says::line(book, patch), Look::Strong)]));
    let mut proof = format!(
        "{} for {}; so many boxes in a line take no fewer, and each of them is heard in some part.",
        many(patch.leads, "lead"),
        if boxes == 1 { "1 box".to_owned() } else { format!("{boxes} boxes") },
    );
    if patch.unsaid {
        proof += " No chain says their order: it is that of the loops.";
    }
    out.push(para(proof));
    let amp = device(book, patch.amp);
    let straight = match patch.plain {
        0 => format!("In a hurry: one lead from the guitar to `{amp}`; every part wants some box of the line."),
        n => format!("In a hurry: one lead from the guitar to `{amp}`; {} want no box of the line.", many(n, "part")),
    };
    out.push(para(straight));
    if !patch.worth.is_empty() {
        let worth = patch.worth.iter().map(|(d, plays)| format!("{} ({})", device(book, *d), many(*plays, "part")));
        out.push(para(format!("Leave out first what fewest parts want: {}.", worth.collect::<Vec<_>>().join(", "))));
    }
    let hand = patch
        .by_hand
        .iter()
        .filter_map(|(d, c)| Some(format!("{} {}", device(book, *d), says::control(book, *d, *c)?.name)));
    let hand: Vec<String> = hand.collect();
    let under: Vec<String> = [&patch.front, &patch.effects]
        .into_iter()
        .flatten()
        .filter(|d| book.board.devices.get(**d).is_some_and(crate::book::Device::under))
        .map(|d| device(book, *d))
        .collect();
    let names = |list: &[DeviceId]| list.iter().map(|d| device(book, *d)).collect::<Vec<_>>().join(", ");
    let told = [
        (hand.join(", "), "Set by hand, part by part"),
        (under.join(", "), "Pull out from under the raised row, to be stepped on"),
        (names(&patch.silent), "Silent, as one line feeds one amplifier"),
        (names(&patch.unused), "Stays out, as no part wants it"),
    ];
    out.extend(told.iter().filter(|(what, _)| !what.is_empty()).map(|(what, says)| para(format!("{says}: {what}."))));
    out
}
