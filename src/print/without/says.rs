//! What to do first when a part dies: one sentence for the report, a few words for the sheets.

use crate::Compiled;
use crate::ask::moves;
use crate::book::electric::Taker;
use crate::book::{Book, Control, How, Plugged, amount};
use crate::ids::{ControlId, DeviceId};
use crate::settle::{Answer, Row, Setting};
use crate::study::wiring::Jack;
use crate::study::wiring::end;
use crate::study::without::moves::{Move, Stand};
use crate::study::without::strings::tuned;
use crate::study::without::{Dead, Part, Patch, Strings, Without};

/// A sentence, and the same as short as a sheet asks.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Words {
    pub full: String,
    pub brief: String,
}

fn words(full: impl Into<String>, brief: impl Into<String>) -> Words {
    Words { full: full.into(), brief: brief.into() }
}

/// The first thing to do.
pub fn first(compiled: &Compiled, study: &Without<'_>, dead: &Dead) -> Words {
    told(compiled, study, dead, &dead.first)
}

fn told(compiled: &Compiled, study: &Without<'_>, dead: &Dead, first: &Move) -> Words {
    let book = &compiled.book;
    let name = |d: DeviceId| device(book, d);
    match first {
        Move::Around(moves) => {
            let loops =
                moves.iter().filter_map(|m| if let Move::Bridge { number, .. } = m { Some(number) } else { None });
            let loops: Vec<String> = loops.map(|n| book.board.loop_short(*n)).collect();
            let rest = moves.iter().filter(|m| !matches!(m, Move::Bridge { .. }));
            let s = if loops.len() == 1 { "" } else { "s" };
            let bridge = (!loops.is_empty()).then(|| format!("bridge loop{s} {}", loops.join(", ")));
            let all = bridge.into_iter().chain(rest.map(|m| told(compiled, study, dead, m).brief));
            sentence(all.collect::<Vec<_>>().join("; "))
        }
        Move::Nothing if dead.hits.is_empty() => words("Nothing to do.", ""),
        Move::Nothing => words("Press what stands beside each preset.", "press another"),
        Move::Bridge { number, stereo, free } => bridge(compiled, *number, *stereo, *free),
        Move::Past { device } => words(
            format!("Plug past `{0}`: one lead joins what comes before it and what comes behind it.", name(*device)),
            format!("plug past {}", name(*device)),
        ),
        Move::Unplug { device } => words(
            format!("Take `{}` out of the line; no chain says what to join then.", name(*device)),
            format!("take {} out of the line", name(*device)),
        ),
        Move::Others(amps) if amps.is_empty() => {
            words("No other amplifier is heard: nothing sounds.", "nothing sounds")
        }
        Move::Others(amps) => {
            let names: Vec<String> = amps.iter().map(|a| name(*a)).collect();
            let quoted: Vec<String> = names.iter().map(|n| format!("`{n}`")).collect();
            let go = if amps.len() == 1 { "plays on alone" } else { "play on" };
            words(format!("{} {go}.", quoted.join(" and ")), format!("{} {go}", names.join(" and ")))
        }
        Move::Leave { jack, stands } => leave(book, *jack, stands),
        Move::Uncalled(helpers) => {
            let names: Vec<String> = helpers.iter().map(|d| name(*d)).collect();
            let quoted: Vec<String> = names.iter().map(|n| format!("`{n}`")).collect();
            words(
                format!(
                    "Nothing calls {} any more: nobody knows which loops are in there; they are counted as out. Set by hand what \
                     can be.",
                    quoted.join(" and ")
                ),
                format!("{} not called", names.join(" and ")),
            )
        }
        Move::Outlets(moves) => {
            let to = |(taker, (s, o)): &(Taker, (usize, usize))| {
                (book.board.taker(*taker).to_owned(), end(&book.board, &Jack::Outlet(*s, *o)))
            };
            let moves: Vec<(String, String)> = moves.iter().map(to).collect();
            let full: Vec<String> = moves.iter().map(|(what, to)| format!("`{what}` into {to}")).collect();
            let brief: Vec<String> = moves.iter().map(|(what, to)| format!("{what} into {to}")).collect();
            words(format!("Plug {}: it suits.", full.join(", ")), format!("plug {}", brief.join(", ")))
        }
        Move::Replug { amps, output, plays, .. } => {
            let names: Vec<String> = amps.iter().map(|a| name(*a)).collect();
            let rest = match plays {
                0 => "then every part sounds as meant".to_owned(),
                1 => "then one part still sounds otherwise".to_owned(),
                n => format!("then {n} parts still sound otherwise"),
            };
            words(
                format!("Standby, power off, then plug `{}` into output {output}: {rest}.", names.join("` and `")),
                format!("standby, power off, then {} into output {output}", names.join(" and ")),
            )
        }
        Move::ByFoot => words(
            "No program arrives: press by foot what the sheet names for each part; another MIDI lead mends it.",
            "press by foot, or swap the lead",
        ),
        Move::Swap => swap(study, dead.part),
        Move::NoFoot { plugged } => no_foot(compiled, *plugged, dead),
        Move::Strings => study
            .strings
            .iter()
            .find(|s| dead.part == Part::Guitar(s.guitar))
            .map_or_else(|| words("It plays no song.", ""), |s| strings(book, s)),
        Move::Patch => study
            .patch
            .as_ref()
            .map_or_else(|| words("No amplifier is heard: there is nothing to patch.", ""), |p| patch(book, p)),
    }
}

/// A treadle is dead: where presets leave a level to it, nobody knows where that stands.
fn no_foot(compiled: &Compiled, plugged: Plugged, dead: &Dead) -> Words {
    let (book, table) = (&compiled.book, &compiled.table);
    let what = match plugged {
        Plugged::Port(port) => format!("No foot moves expression {port} any more"),
        Plugged::Input(_) => "No foot moves its levels any more".to_owned(),
    };
    let still = "what other presets store still comes";
    let mut levels: Vec<(DeviceId, ControlId)> = Vec::new();
    let treadle = book.board.treadles.iter().position(|t| t.plugged == plugged);
    for hit in &dead.hits {
        let row = Row::of(book, table, hit.scene);
        let columns = treadle.map_or(Vec::new(), |treadle| moves(compiled, treadle, hit.scene));
        let users = columns.into_iter().filter_map(|column| table.cells.list.get(column)).flat_map(|cell| &cell.users);
        for level in users.filter(|(d, _)| row.sounds(*d) == Answer::Yes) {
            if !levels.contains(level) {
                levels.push(*level);
            }
        }
    }
    let named = |quote: &str| {
        let one = |(d, c): &(DeviceId, ControlId)| {
            format!("{quote}{}{quote} {}", device(book, *d), control(book, *d, *c).map_or("?", |c| c.name.as_str()))
        };
        levels.iter().map(one).collect::<Vec<_>>().join(" and ")
    };
    if levels.is_empty() {
        return words(format!("{what}; {still}."), "no foot: stored levels still come");
    }
    let stand = if levels.len() == 1 { "stands" } else { "stand" };
    words(
        format!("{what}: where a preset leaves {} to the foot, nobody knows where that stands; {still}.", named("`")),
        format!("no foot: nobody knows where {} {stand}", named("")),
    )
}

fn bridge(compiled: &Compiled, number: u16, stereo: bool, free: Option<(u16, usize)>) -> Words {
    let leads = if stereo {
        "two leads, left and right, from its sends to its returns"
    } else {
        "a lead from its send to its return"
    };
    let board = &compiled.book.board;
    let says = board.loop_says(number);
    let mut full = format!("Bridge {says}: {leads}; nothing to program.");
    if let Some((loop_at, presets)) = free {
        let pedal = compiled.book.board.in_loop(number).map_or("?", |d| &d.name);
        let s = if presets == 1 { "" } else { "s" };
        full += &format!(
            " Or plug `{pedal}` into {}, which is empty, and program {presets} preset{s} anew.",
            board.loop_says(loop_at)
        );
    }
    words(full, format!("bridge {says}"))
}

fn leave(book: &Book, jack: Option<u16>, stands: &[Stand]) -> Words {
    let (mut pulled, mut by_hand) = (Vec::new(), Vec::new());
    for stand in stands {
        let Some(control) = control(book, stand.device, stand.control) else { continue };
        let is = match stand.setting {
            Some(Setting::State(state)) => {
                control.states.get(state as usize).map_or("?".to_owned(), |s| s.name.clone())
            }
            Some(Setting::Step(step)) => {
                let at = |(from, to)| amount::show(amount::at_step(step, control.how.steps(0), from, to));
                control.how.level().map_or("?".to_owned(), at)
            }
            _ => "not known".to_owned(),
        };
        let pulsed = control.momentary() || matches!(control.how, How::Pulses { .. });
        let list = if pulsed { &mut by_hand } else { &mut pulled };
        list.push(format!("{} {} is {is}", device(book, stand.device), control.name));
    }
    let pull = jack.map_or(String::new(), |jack| format!("pull remote {jack}: "));
    let mut says: Vec<String> = Vec::new();
    if !pulled.is_empty() {
        says.push(format!("{pull}{}", pulled.join(", ")));
    }
    if !by_hand.is_empty() {
        says.push(format!("by hand, and left so: {}", by_hand.join(", ")));
    }
    sentence(says.join("; "))
}

/// A few words, and the sentence that they make.
fn sentence(brief: String) -> Words {
    let mut letters = brief.chars();
    let full = letters.next().map_or(String::new(), |c| c.to_uppercase().collect::<String>() + letters.as_str() + ".");
    words(full, brief)
}

fn swap(study: &Without<'_>, part: Part) -> Words {
    let Part::Lead(at) = part else { return Words::default() };
    let Some(lead) = study.told.wiring.leads.get(at) else { return Words::default() };
    let long = lead.length.map_or(String::new(), |metres| format!(" of {}", super::metres(metres)));
    words(
        format!("Another {} lead{long} in its place.", lead.kind.word()),
        format!("another {} lead{long}", lead.kind.word()),
    )
}

/// `play arch, tuned drop D for "Borrowed Oxen"`.
pub fn strings(book: &Book, strings: &Strings) -> Words {
    let other = strings.other.and_then(|o| book.board.guitars.get(o));
    let Some(other) = other else {
        return words("There is no other guitar: strings of its gauges belong on the stage.", "no other guitar");
    };
    let mut tunings: Vec<(String, Vec<&str>)> = Vec::new();
    for song in strings.songs.iter().filter(|(_, tune)| *tune).filter_map(|(song, _)| book.show.songs.get(*song)) {
        let ways = tuned(song, strings.guitar).into_iter().map(|(tuning, capo)| {
            let how = tuning.unwrap_or_else(|| "as usual".to_owned());
            how + &capo.map_or(String::new(), |fret| format!(", capo {fret}"))
        });
        let how = ways.collect::<Vec<_>>().join(" then ");
        match tunings.iter_mut().find(|(known, _)| *known == how) {
            Some((_, songs)) => songs.push(&song.title),
            None => tunings.push((how, vec![&song.title])),
        }
    }
    let tune: Vec<String> =
        tunings.iter().map(|(how, songs)| format!("{how} for \"{}\"", songs.join("\", \""))).collect();
    let broken = book.board.guitars.get(strings.guitar);
    let plugged =
        broken.filter(|g| !g.plugged_as(other)).map_or(String::new(), |g| format!(", plugged in for {}", g.name));
    sentence(match tune.is_empty() {
        true if strings.songs.is_empty() => return words("It plays no song.", ""),
        true => format!("play {}{plugged}, which plays songs so tuned already", other.name),
        false => format!("play {}{plugged}, tuned {}", other.name, tune.join("; ")),
    })
}

/// The line past the switcher, box by box.
pub fn line(book: &Book, patch: &Patch) -> String {
    let names = |list: &[DeviceId]| list.iter().map(|d| device(book, *d)).collect::<Vec<_>>();
    let amp = device(book, patch.amp);
    let line = [vec!["guitar".to_owned()], names(&patch.front), vec![amp.clone()]].concat().join(" -> ");
    if patch.effects.is_empty() {
        return line;
    }
    let loops = [vec![format!("{amp} send")], names(&patch.effects), vec![format!("{amp} return")]].concat();
    format!("{line}; {}", loops.join(" -> "))
}

fn patch(book: &Book, patch: &Patch) -> Words {
    let s = if patch.leads == 1 { "lead" } else { "leads" };
    let amp = device(book, patch.amp);
    words(
        format!("Standby, power off, then {} {s} past it: {}.", patch.leads, line(book, patch)),
        format!("standby, power off, then guitar -> {amp}; with pedals: {}", line(book, patch)),
    )
}

pub(super) fn device(book: &Book, device: DeviceId) -> String {
    book.board.devices.get(device).map_or("?".to_owned(), |d| d.name.clone())
}

pub(super) fn control(book: &Book, device: DeviceId, control: ControlId) -> Option<&Control> {
    book.board.devices.get(device)?.controls.get(control)
}
