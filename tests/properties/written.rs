//! Books whose writer knows which name of which thing it wrote where: the record of names says the same, no more, no less.

use tipring::Compiled;
use tipring::book::{Book, Meaning};
use tipring::ids::DeviceId;
use unicode_normalization::UnicodeNormalization;

use super::written_names::{Said, files};
use crate::support::dice::{self, Dice};

/// A meaning in the writer's words: `state ember.voice.round`.
fn says(compiled: &Compiled, means: Meaning) -> String {
    let book: &Book = &compiled.book;
    let (board, show) = (&book.board, &book.show);
    let device = |d: DeviceId| {
        let out = book.night.iter().flat_map(|night| &night.gone.devices);
        board.devices.iter().chain(out).nth(d.index()).expect("a device, or one that is out")
    };
    match means {
        Meaning::Device(d) => format!("device {}", device(d).name),
        Meaning::Control(d, c) => format!("control {}.{}", device(d).name, device(d).controls.get(c).unwrap().name),
        Meaning::State(d, c, s) => {
            let control = device(d).controls.get(c).unwrap();
            format!("state {}.{}.{}", device(d).name, control.name, control.states[s as usize].name)
        }
        Meaning::Leg(d, n) => format!("leg {}.{}", device(d).name, device(d).electric.legs[n as usize].name),
        Meaning::Guitar(n) => format!("guitar {}", board.guitars[n].name),
        Meaning::Treadle(n) => format!("treadle {}", board.treadles[n].name),
        Meaning::Supply(n) => format!("supply {}", board.supplies[n].name),
        Meaning::Outlet(n, o) => format!("outlet {}.{}", board.supplies[n].name, board.supplies[n].outlets[o].name),
        Meaning::Chain(n) => match board.chains.get(n) {
            Some(chain) => format!("chain {}", chain.name),
            // All that it ran through is out tonight.
            None => {
                let given = compiled.mentions().given(means).expect("a chain is given a name");
                format!("chain {}", compiled.files.text(given.at).nfc().collect::<String>())
            }
        },
        Meaning::Layer(n) => format!("layer {}", show.layers.get(n).unwrap().name),
        Meaning::Scene(n) => format!("scene {}", show.scenes.get(n).unwrap().name),
        Meaning::Song(n) => format!("song {}", show.songs.get(n).unwrap().title),
        Meaning::Set(n) => format!("set {}", show.sets[n].title),
    }
}

fn recorded(compiled: &Compiled) -> Vec<Said> {
    let all = compiled.mentions().all().iter();
    let mut all: Vec<Said> = all
        .map(|m| Said {
            file: compiled.files.path(m.at).to_owned(),
            start: m.at.start as usize,
            end: m.at.end as usize,
            what: says(compiled, m.means),
            given: m.given,
            own: m.own,
        })
        .collect();
    all.sort();
    all
}

#[test]
fn every_name_is_noted_where_it_was_written() {
    let seed = dice::seed();
    let mut dice = Dice(seed);
    let (books, mut names, mut nights) = (dice::many(60, 1500), 0, 0);
    for _ in 0..books {
        let (texts, mut written) = files(&mut dice);
        written.sort();
        let all: Vec<(&str, &str)> = texts.iter().map(|(path, text)| (path.as_str(), text.as_str())).collect();
        let compiled = tipring::compile_texts(&all);
        let show = || texts.iter().map(|(path, text)| format!("--- {path}\n{text}")).collect::<String>();
        assert!(compiled.reading.is_empty(), "seed {seed}: the writer's grammar: {:?}\n{}", compiled.reading, show());
        let recorded = recorded(&compiled);
        let missing: Vec<&Said> = written.iter().filter(|s| recorded.binary_search(s).is_err()).collect();
        let more: Vec<&Said> = recorded.iter().filter(|s| written.binary_search(s).is_err()).collect();
        let told: Vec<&str> = compiled.diagnostics().iter().map(|d| d.message.as_str()).collect();
        let (none, both) = (missing.is_empty() && more.is_empty(), written.len() == recorded.len());
        assert!(none && both, "seed {seed}: missing {missing:#?}\nmore {more:#?}\n{}\n{told:#?}", show());
        looked_up(&compiled);
        names += written.len();
        nights += usize::from(compiled.book.night.is_some());
    }
    println!("seed {seed}: {names} names in {books} books, {nights} of them a night's");
}

/// What is asked of the record by place and by meaning is what a look at all of it gives.
fn looked_up(compiled: &Compiled) {
    let mentions = compiled.mentions();
    for mention in mentions.all() {
        for offset in [mention.at.start, mention.at.end] {
            let found = mentions.at(mention.at.file, offset).expect("a name");
            assert_eq!(found.at, mention.at);
        }
        let places: Vec<_> = mentions.of_one(mention.means).collect();
        let all: Vec<_> = mentions.all().iter().filter(|m| m.means == mention.means).collect();
        assert_eq!(places, all);
        let given = all.iter().find(|m| m.given && m.own).or_else(|| all.iter().find(|m| m.given));
        assert_eq!(mentions.given(mention.means), given.copied());
    }
    for (file, source) in compiled.files.iter() {
        for at in 0..=source.text.len() as u32 {
            let holds = |m: &&tipring::book::Mention| m.at.file == file && m.at.start <= at && at <= m.at.end;
            assert_eq!(mentions.at(file, at).map(|m| m.at), mentions.all().iter().find(holds).map(|m| m.at));
        }
    }
}
