//! Writes random books in which every name is known: `{scene bed}` is a name that is used, `{+scene bed}` one that is given.

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

struct Writer<'d> {
    dice: &'d mut Dice,
    file: &'static str,
    text: String,
    said: Vec<Said>,
}

impl Writer<'_> {
    /// A line: `{+control a.voice|b.voice}` is given in the block of `a`, and handed on to `b`; behind `&` a second meaning.
    fn line(&mut self, line: &str) {
        let mut rest = line;
        while let Some((before, from)) = rest.split_once('‹') {
            self.text += before;
            let (inside, behind) = from.split_once('›').expect("a closed mark");
            self.name(inside);
            rest = behind;
        }
        self.text += rest;
        self.text.push('\n');
    }

    fn name(&mut self, inside: &str) {
        let meanings: Vec<&str> = inside.split('&').collect();
        let start = self.text.len();
        let first = meanings[0].split('|').next().unwrap().trim_start_matches(['+', '~']);
        let (kind, path) = first.split_once(' ').unwrap();
        let title = matches!(kind, "song" | "set");
        let name = if title { path.to_owned() } else { path.rsplit('.').next().unwrap().to_owned() };
        let name = name.trim_end_matches(" of the book").to_owned();
        let given = meanings[0].starts_with('+');
        let name = match () {
            // One name in two spellings.
            () if self.dice.one_in(2) => name.replace('é', "e\u{301}"),
            () if title && !given && self.dice.one_in(2) => name.to_uppercase(),
            () => name,
        };
        self.text += &if title { format!("\"{name}\"") } else { name };
        let end = self.text.len();
        for meaning in meanings {
            let given = meaning.starts_with('+');
            // Handed on alone: its own block does not hold tonight.
            let lost = meaning.starts_with('~');
            for (nth, what) in meaning.trim_start_matches(['+', '~']).split('|').enumerate() {
                let kind = meaning.trim_start_matches(['+', '~']).split(' ').next().unwrap();
                let what = if what.contains(' ') { what.to_owned() } else { format!("{kind} {what}") };
                let (own, given) = (nth == 0 && !lost, given || lost);
                self.said.push(Said { file: self.file.to_owned(), start, end, what, given, own });
            }
        }
    }
}

/// A control with its states, or a level.
struct Control {
    name: String,
    states: Vec<String>,
}

struct Device {
    name: String,
    /// What it says itself.
    own: Vec<Control>,
    legs: Vec<String>,
    like: Option<usize>,
}

struct Board {
    devices: Vec<Device>,
    guitars: Vec<String>,
    supply: String,
    outlets: Vec<String>,
    treadle: String,
    chain: String,
    amp: String,
    amp_channel: String,
    amp_states: [String; 2],
    helper: String,
    lights: String,
    cue: String,
    cues: [String; 2],
    /// Tonight this pedal is out, and this one gives way to another of its name, which is like it or not.
    out: Option<usize>,
    instead: Option<(usize, bool)>,
}

/// A new name each time; now and then with a letter that has two spellings.
fn name(dice: &mut Dice, used: &mut usize) -> String {
    let first = ["zan", "vop", "quel", "brim", "dorf", "hulk", "émil", "néva"];
    let second = ["-tor", "ka", "wén", "-osk", "pid", "luz"];
    *used += 1;
    format!("{}{}{}", first[dice.roll(first.len())], second[dice.roll(second.len())], *used * 7 + 20)
}

impl Board {
    /// What descends from a device by `like`, while `stops` does not say that what is handed on ends there.
    fn heirs(&self, device: usize, stops: &dyn Fn(&Device) -> bool) -> String {
        let mut all = vec![device];
        for (n, other) in self.devices.iter().enumerate() {
            if n != device && other.like.is_some_and(|l| all.contains(&l)) && !stops(other) {
                all.push(n);
            }
        }
        all[1..].iter().map(|n| format!("|{}", self.devices[*n].name)).collect()
    }

    /// The controls of a device with what it is like: the name, and the states.
    fn controls(&self, device: usize) -> Vec<(String, Vec<String>)> {
        let own = &self.devices[device];
        let mut all = own.like.map_or(Vec::new(), |like| self.controls(like));
        for control in &own.own {
            match all.iter_mut().find(|(name, _)| *name == control.name) {
                Some(_) if control.states.is_empty() => {}
                Some((_, states)) => states.clone_from(&control.states),
                None => all.push((control.name.clone(), control.states.clone())),
            }
        }
        all
    }

    /// The facts of a device's block, each name with whom it is handed on to; `open` marks names that are given.
    fn block(&self, w: &mut Writer<'_>, n: usize, open: &str) {
        let device = &self.devices[n];
        let me = &device.name;
        for (at, control) in device.own.iter().enumerate() {
            let name = &control.name;
            let add = |heirs: String, tail: &str| {
                heirs.replace('|', "\u{1}").split('\u{1}').skip(1).fold(String::new(), |out, h| out + "|" + h + tail)
            };
            let all = add(self.heirs(n, &|_| false), &format!(".{name}"));
            if control.states.is_empty() {
                w.line(&format!(
                    "  level ‹{open}control {me}.{name}{all}› on midi {} cc {} from 0 % to 60 %",
                    n + 1,
                    at + 1
                ));
                continue;
            }
            let says = |d: &Device| d.own.iter().any(|c| c.name == *name && !c.states.is_empty());
            let mut states = String::new();
            for (value, state) in control.states.iter().enumerate() {
                let heirs = add(self.heirs(n, &says), &format!(".{name}.{state}"));
                states += &format!("‹{open}state {me}.{name}.{state}{heirs}›: value {value}; ");
            }
            w.line(&format!(
                "  control ‹{open}control {me}.{name}{all}› on midi {} cc {} {{ {states}}}",
                n + 1,
                at + 1
            ));
        }
        for leg in &device.legs {
            let heirs = self.heirs(n, &|_| false);
            let heirs = heirs.split('|').skip(1).fold(String::new(), |out, h| out + "|" + h + "." + leg);
            w.line(&format!("  leg ‹{open}leg {me}.{leg}{heirs}› gain 0 dB"));
        }
    }

    fn write(&self, w: &mut Writer<'_>) {
        w.line(
            "switcher { loops 9; remote jacks 4; expressions 2 of 128 steps; foot inputs 1; outputs 2; guitar inputs 2",
        );
        w.line("  banks 1..4, switches 1..5; inside: switches 6..7, toggles 2, holds 2, rows 2; messages on leaving }");
        let supply = &self.supply;
        w.line(&format!("supply ‹+supply {supply}› {{"));
        for outlet in &self.outlets {
            w.line(&format!("  outlet ‹+outlet {supply}.{outlet}› 9 V, 300 mA, centre-negative, isolated"));
        }
        w.line("}");
        for (n, device) in self.devices.iter().enumerate() {
            let replaced = self.instead.filter(|(at, _)| *at == n);
            let me = &device.name;
            // The name of what another stands for tonight is a name of that.
            let (head, open) = match replaced {
                Some(_) => (format!("device {me}"), "~"),
                None => (format!("+device {me}"), "+"),
            };
            let like = device.like.map_or(String::new(), |l| format!(" like ‹device {}›", self.devices[l].name));
            w.line(&format!("pedal ‹{head}›{like} {{ loop {}", n + 1));
            let power =
                format!("  power ‹supply {supply}›.‹outlet {supply}.{}›, 50 mA", self.outlets[n % self.outlets.len()]);
            match replaced {
                // Nothing of it holds.
                Some((_, false)) => {
                    let plain = self.devices[n]
                        .own
                        .iter()
                        .map(|c| format!("  level {} on midi 16 cc 9 from 0 % to 10 %", c.name));
                    plain.collect::<Vec<_>>().iter().for_each(|line| w.line(line));
                }
                // It is handed on, its outlet too.
                _ => {
                    w.line(&power);
                    self.block(w, n, open);
                }
            }
            w.line("}");
        }
        let (amp, channel, [clean, lead]) = (&self.amp, &self.amp_channel, &self.amp_states);
        w.line(&format!("amp ‹+device {amp}› {{ fed by output 1; send 1 kohm; return 200 kohm"));
        w.line(&format!("  control ‹+control {amp}.{channel}› on remote 2 tip {{ ‹+state {amp}.{channel}.{clean}›: open; ‹+state {amp}.{channel}.{lead}›: closed }} starts ‹state {amp}.{channel}.{clean}› }}"));
        for (n, guitar) in self.guitars.iter().enumerate() {
            let heard = format!("heard when ‹device {amp}›.‹control {amp}.{channel}› ‹state {amp}.{channel}.{lead}›");
            let how = if n == 0 { "on guitar input 1".to_owned() } else { heard };
            w.line(&format!("guitar ‹+guitar {guitar}› {{ {how} }}"));
        }
        w.line(&format!("treadle ‹+treadle {}› on foot input 1", self.treadle));
        let helper = &self.helper;
        w.line(&format!("helper ‹+device {helper}› {{ loops 3; on midi 15 programs from 1; presets 9"));
        w.line(&format!("  preset 3: loop 2 of ‹device {helper}›, ‹device {}› }}", self.lights_off()));
        let inside = self.lights_off();
        w.line(&format!("pedal ‹+device {inside}› {{ loop 1 of ‹device {helper}› }}"));
        let (lights, cue, [one, two]) = (&self.lights, &self.cue, &self.cues);
        w.line(&format!("listener ‹+device {lights}› {{ control ‹+control {lights}.{cue}› on midi 14 messages {{ ‹+state {lights}.{cue}.{one}›: cc 1 value 2; ‹+state {lights}.{cue}.{two}›: note 3 off }} }}"));
        w.line(&format!(
            "chain ‹+chain {}›: ‹guitar {}› -> loops 1..2 -> ‹device {amp}› send",
            self.chain, self.guitars[0]
        ));
        if let Some((n, leg)) = self.devices.iter().enumerate().find_map(|(n, d)| Some((n, d.legs.first()?)))
            && self.instead.is_none_or(|(at, _)| at != n)
        {
            let me = &self.devices[n].name;
            w.line(&format!("chain ‹+chain {}x›: ‹device {me}› ‹leg {me}.{leg}› -> ‹device {amp}› return", self.chain));
        }
        w.line(&format!("panel {{ in 1 ‹guitar {}›; out 2 ‹device {amp}› return }}", self.guitars[0]));
    }

    /// The pedal that sits in the helper.
    fn lights_off(&self) -> String {
        format!("{}y", self.lights)
    }

    /// `ember.voice round`, of a pedal or the amplifier.
    fn setting(&self, dice: &mut Dice) -> (String, String) {
        let mut all: Vec<(String, String, Vec<String>)> = Vec::new();
        for n in 0..self.devices.len() {
            all.extend(self.controls(n).into_iter().map(|(name, states)| (self.devices[n].name.clone(), name, states)));
        }
        all.push((self.amp.clone(), self.amp_channel.clone(), self.amp_states.to_vec()));
        all.push((self.lights.clone(), self.cue.clone(), self.cues.to_vec()));
        let (device, control, states) = all.swap_remove(dice.roll(all.len()));
        let head = format!("‹device {device}›.‹control {device}.{control}›");
        let value = match states.len() {
            0 => "20 %".to_owned(),
            some => format!("‹state {device}.{control}.{}›", states[dice.roll(some)]),
        };
        (head, value)
    }
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
