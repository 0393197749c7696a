//! Writes random books in which every name is known: `‹scene bed›` is a name that is used, `‹+scene bed›` one that is given.

use super::written_board::{Board, Control, Device};
use crate::support::dice::Dice;

/// A name in a file: what it means, and whether it is given; not its own where `like` hands it on.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(crate) struct Said {
    pub(crate) file: String,
    pub(crate) start: usize,
    pub(crate) end: usize,
    pub(crate) what: String,
    pub(crate) given: bool,
    pub(crate) own: bool,
}

pub(crate) struct Writer<'d> {
    pub(crate) dice: &'d mut Dice,
    file: &'static str,
    text: String,
    said: Vec<Said>,
}

impl Writer<'_> {
    /// A line. `‹+control a.voice|b.voice›` is given in the block of `a`, and handed on to `b`; with `~`, or with `-` for a name
    /// that is used, it is handed on alone, for its block does not hold tonight. Behind `&` stands a second meaning, behind `=`
    /// another word for it.
    pub(crate) fn line(&mut self, line: &str) {
        let mut rest = line;
        while let Some((before, from)) = rest.split_once('‹') {
            self.text += before;
            let (inside, behind) = from.split_once('›').expect("a closed mark");
            let (meanings, word) = inside.split_once('=').map_or((inside, None), |(m, word)| (m, Some(word)));
            self.name(meanings, word);
            rest = behind;
        }
        self.text += rest;
        self.text.push('\n');
    }

    fn name(&mut self, meanings: &str, word: Option<&str>) {
        let meanings: Vec<(char, &str)> = meanings
            .split('&')
            .map(|m| m.strip_prefix(['+', '~', '-']).map_or((' ', m), |rest| (m.chars().next().unwrap(), rest)))
            .collect();
        let (mark, first) = meanings[0];
        let (kind, path) = first.split('|').next().unwrap().split_once(' ').unwrap();
        let title = matches!(kind, "song" | "set");
        let last = if title { path } else { path.rsplit('.').next().unwrap() };
        let name = word.unwrap_or(last).trim_end_matches(" of the book");
        let name = match () {
            // One name in two spellings.
            () if self.dice.one_in(2) => name.replace('é', "e\u{301}"),
            () if title && mark != '+' && self.dice.one_in(2) => name.to_uppercase(),
            () => name.to_owned(),
        };
        let start = self.text.len();
        self.text += &if title { format!("\"{name}\"") } else { name };
        let end = self.text.len();
        for (mark, meaning) in meanings {
            let kind = meaning.split(' ').next().unwrap();
            for (nth, what) in meaning.split('|').enumerate() {
                let what = if nth == 0 { what.to_owned() } else { format!("{kind} {what}") };
                let (given, alone) = (matches!(mark, '+' | '~'), matches!(mark, '~' | '-'));
                let own = nth == 0 && !alone;
                self.said.push(Said { file: self.file.to_owned(), start, end, what, given, own });
            }
        }
    }
}

/// A new name each time; now and then with a letter that has two spellings.
fn name(dice: &mut Dice, used: &mut usize) -> String {
    let first = ["zan", "vop", "quel", "brim", "dorf", "hulk", "émil", "néva"];
    let second = ["-tor", "ka", "wén", "-osk", "pid", "luz"];
    *used += 1;
    format!("{}{}{}", first[dice.roll(first.len())], second[dice.roll(second.len())], *used * 7 + 20)
}

fn choose<'a>(dice: &mut Dice, all: &'a [String]) -> &'a str {
    &all[dice.roll(all.len())]
}

/// The files of a book, the last one opened first, and every name in them.
pub(crate) fn files(dice: &mut Dice) -> (Vec<(String, String)>, Vec<Said>) {
    let mut used = 0;
    let mut fresh = |dice: &mut Dice| name(dice, &mut used);
    let night = dice.one_in(2);
    let scenes: Vec<String> = (0..3 + dice.roll(4)).map(|_| fresh(dice)).collect();
    let layers: Vec<String> = (0..2).map(|_| fresh(dice)).collect();
    let names: Vec<String> = (0..3 + dice.roll(3)).map(|_| fresh(dice)).collect();
    // What is inside a device may bear the name of anything else.
    let pool: Vec<String> = scenes.iter().chain(&layers).chain(&names).cloned().collect();
    let mut apart = |dice: &mut Dice, count: usize| {
        let mut some: Vec<String> = Vec::new();
        while some.len() < count {
            let one = if dice.one_in(3) { fresh(dice) } else { choose(dice, &pool).to_owned() };
            if !some.contains(&one) {
                some.push(one);
            }
        }
        some
    };
    let replaced = night.then(|| dice.roll(names.len()));
    let mut devices: Vec<Device> = Vec::new();
    for (n, name) in names.iter().enumerate() {
        let like =
            (n > 0 && dice.one_in(2)).then(|| dice.roll(n)).filter(|l| Some(*l) != replaced && Some(n) != replaced);
        let own = apart(dice, 3).into_iter().take(1 + dice.roll(3));
        let mut own: Vec<Control> = own
            .map(|name| {
                let count = dice.roll(3);
                Control { name, states: if count == 0 { Vec::new() } else { apart(dice, count + 1) } }
            })
            .collect();
        // One is said again, with other states or with none.
        let above = like.and_then(|l| devices[l].own.first()).filter(|c| !c.states.is_empty());
        if let Some(above) = above.filter(|above| own.iter().all(|c| c.name != above.name) && dice.one_in(2)) {
            own.push(Control { name: above.name.clone(), states: apart(dice, 2) });
        }
        // A level is no control: what is handed on stays what it is.
        own.retain(|c| {
            like.is_none_or(|l| {
                let mut line = std::iter::successors(Some(l), |at| devices[*at].like);
                line.all(|l| {
                    devices[l].own.iter().all(|o| o.name != c.name || o.states.is_empty() == c.states.is_empty())
                })
            })
        });
        let legs = if dice.one_in(2) { apart(dice, 2) } else { Vec::new() };
        devices.push(Device { name: name.clone(), own, legs, like });
    }
    let two = |dice: &mut Dice, some: &mut dyn FnMut(&mut Dice, usize) -> Vec<String>| -> [String; 2] {
        some(dice, 2).try_into().unwrap()
    };
    let (amp_states, cues) = (two(dice, &mut apart), two(dice, &mut apart));
    let (outlets, amp_channel, cue) = (apart(dice, 3), apart(dice, 1).remove(0), apart(dice, 1).remove(0));
    let board = Board {
        amp_states,
        cues,
        outlets,
        amp_channel,
        cue,
        guitars: (0..2).map(|_| name(dice, &mut used)).collect(),
        supply: name(dice, &mut used),
        treadle: name(dice, &mut used),
        chain: name(dice, &mut used),
        amp: name(dice, &mut used),
        helper: name(dice, &mut used),
        lights: name(dice, &mut used),
        out: night.then(|| dice.roll(names.len())).filter(|n| Some(*n) != replaced),
        instead: replaced.map(|n| (n, dice.one_in(2))),
        devices,
    };
    let mut w = Writer { dice, file: "board.scene", text: String::new(), said: Vec::new() };
    board.write(&mut w);
    let mut texts = vec![("board.scene".to_owned(), std::mem::take(&mut w.text))];
    w.file = "songs.scene";
    w.line("use \"board.scene\"");
    let derived = night.then(|| scenes[0].clone());
    show(&mut w, &board, &scenes, &layers, derived.as_deref());
    texts.insert(0, ("songs.scene".to_owned(), std::mem::take(&mut w.text)));
    if night {
        w.file = "night.scene";
        w.line("use \"songs.scene\"");
        tonight(&mut w, &board, &scenes[0]);
        texts.insert(0, ("night.scene".to_owned(), std::mem::take(&mut w.text)));
    }
    (texts, w.said)
}

/// What amends the book: a pedal out, one in the place of another, a scene that derives from its own old self.
fn tonight(w: &mut Writer<'_>, board: &Board, scene: &str) {
    if let Some(out) = board.out {
        w.line(&format!("without ‹device {}›", board.devices[out].name));
    }
    if let Some((n, like)) = board.instead {
        let name = &board.devices[n].name;
        let like = if like { format!(" like ‹device {name}›") } else { String::new() };
        w.line(&format!("instead pedal ‹+device {name}›{like} {{ loop {}", n + 1));
        if like.is_empty() {
            // What scenes ask for is there again.
            board.block(w, n, "+");
            if let Some((control, state)) = board.devices[n].own.iter().find_map(|c| Some((&c.name, c.states.last()?)))
            {
                let of = format!("{name}.{control}");
                w.line(&format!("  ‹control {of}› ‹+state {of}.{state}=before› is ‹state {of}.{state}›"));
            }
        }
        w.line("}");
    }
    w.line(&format!("instead scene ‹+scene {scene}› from ‹scene {scene} of the book› {{ engage loop 1 }}"));
    w.line("instead song ‹+song First› { all: loose }".replace("loose", &format!("‹scene {scene}›")).as_str());
    w.line("instead set ‹+set Night› from ‹set Night› { ‹song First› }");
}

fn show(w: &mut Writer<'_>, board: &Board, scenes: &[String], layers: &[String], old: Option<&str>) {
    let device = |w: &mut Writer<'_>| {
        let names: Vec<String> = board.devices.iter().map(|d| d.name.clone()).collect();
        format!("‹device {}›", choose(w.dice, &names))
    };
    let scene = |w: &mut Writer<'_>| format!("‹scene {}›", choose(w.dice, scenes));
    let body = |w: &mut Writer<'_>, own: bool| {
        // A switch that is told of twice does nothing new.
        let mut told = [false; 2];
        for _ in 0..w.dice.roll(4) {
            let (head, value) = board.setting(w.dice);
            let line = match w.dice.roll(if own { 8 } else { 5 }) {
                0 => format!("engage {}, {}", device(w), device(w)),
                1 => format!("bypass {}", device(w)),
                2 => format!("engage loop 3 of ‹device {}›", board.helper),
                3 => format!("{head} {value}"),
                4 => format!("hear ‹guitar {}›", choose(w.dice, &board.guitars)),
                5 if !std::mem::replace(&mut told[0], true) => format!("switch 6 toggles {}", device(w)),
                6 if !value.contains('%') && !std::mem::replace(&mut told[1], true) => {
                    format!("switch 7 holds {head} {value}")
                }
                7 if value.contains('%') => {
                    format!("‹treadle {}› from heel moves {head} from 10 % to 20 %", board.treadle)
                }
                _ => format!("{head} stays"),
            };
            w.line(&format!("  {line}"));
        }
    };
    w.line("default {");
    body(w, false);
    w.line("}");
    for layer in layers {
        w.line(&format!("layer ‹+layer {layer}› {{"));
        body(w, false);
        w.line("}");
    }
    for (n, name) in scenes.iter().enumerate() {
        let from = (n > 0 && w.dice.one_in(2)).then(|| scenes[w.dice.roll(n)].clone());
        let from = from.map_or(String::new(), |name| format!(" from ‹scene {name}›"));
        let with = if w.dice.one_in(2) {
            format!(" with ‹layer {}›, ‹layer {}›", layers[0], layers[1])
        } else {
            String::new()
        };
        // A name of the last tour is none of this book.
        let was = if w.dice.one_in(3) { format!(" was {}", choose(w.dice, scenes)) } else { String::new() };
        let head = match old == Some(name.as_str()) {
            true => format!("+scene {name} of the book&scene {name}"),
            false => format!("+scene {name}"),
        };
        w.line(&format!("scene ‹{head}›{from}{with}{was} {{"));
        body(w, true);
        if w.dice.one_in(3) {
            let line = format!("  again {}", scene(w));
            w.line(&line);
        }
        w.line("}");
    }
    for _ in 0..w.dice.roll(4) {
        let (head, value) = board.setting(w.dice);
        let value = value.replace("20 %", "at least 20 %");
        let line = match w.dice.roll(4) {
            0 => format!("rule never {} beside not {} and {head} {value}", device(w), device(w)),
            1 => format!("rule any {} needs {head} {value}", scene(w)),
            2 => {
                format!("rule \"one\" at most one of {}, loop 1 of ‹device {}›, {}", scene(w), board.helper, device(w))
            }
            _ => format!("if {} fails, {} becomes {}", device(w), scene(w), scene(w)),
        };
        w.line(&line);
    }
    let titles = ["First", "Second one", "Third"];
    for (n, title) in titles.iter().enumerate() {
        // Another stands for the first tonight: nothing of it holds.
        if old.is_some() && n == 0 {
            w.line("song ‹song First› on nobody { all: nothing }");
            continue;
        }
        let guitar = choose(w.dice, &board.guitars).to_owned();
        w.line(&format!("song ‹+song {title}› at 92 bpm on ‹guitar {guitar}› {{"));
        for _ in 0..1 + w.dice.roll(3) {
            let note = match w.dice.roll(4) {
                0 => format!(", tap {} quarter", device(w)),
                1 => format!(", beat {} half", device(w)),
                2 => format!(", on ‹guitar {}›", choose(w.dice, &board.guitars)),
                _ => ", press 6".to_owned(),
            };
            let label = ["", "verse: ", "\"the end\": "][w.dice.roll(3)];
            let line = format!("  {label}{}{note}", scene(w));
            w.line(&line);
        }
        w.line("}");
    }
    let song = |w: &mut Writer<'_>| format!("‹song {}›", titles[w.dice.roll(3)]);
    let night = if old.is_some() { "set Night" } else { "+set Night" };
    w.line(&format!("set ‹{night}› {{ ‹song First›; ‹song Second one›, ‹song Third› }}"));
    w.line("set ‹+set Other› from ‹set Night› {");
    for _ in 0..w.dice.roll(4) {
        let (one, two) = (song(w), song(w));
        let line = match w.dice.roll(6) {
            0 => format!("drop {one}"),
            1 => format!("swap {one}, {two}"),
            2 => format!("replace {one} by {two}"),
            3 => format!("move {one} before {two}"),
            4 => format!("move {one}, {two} first"),
            _ => format!("{one} after {two}"),
        };
        w.line(&format!("  {line}"));
    }
    w.line("}");
    let (one, two) = (scene(w), scene(w));
    w.line(&format!("slots {{ 1.1 {one}; every bank switch 5 {two}; others auto }}"));
    let (one, two) = (scene(w), scene(w));
    w.line(&format!("allow level-step {one} to {two} \"meant\""));
    w.line(&format!("allow power-unsaid ‹supply {}› \"meant\"", board.supply));
    w.line(&format!("allow rule-broken ‹chain {}› \"meant\"", board.chain));
}
