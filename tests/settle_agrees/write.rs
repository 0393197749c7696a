//! From the abstract book to source text, choosing at random among ways to write the same thing.

use super::abstract_book::*;
use super::random::Random;
use super::write_board;

pub(crate) fn text(book: &Book, seed: u64) -> String {
    let random = &mut Random::new(seed ^ 0xB00C);
    let mut statements: Vec<String> = vec![write_board::switcher(random, &book.switcher)];
    for (nth, device) in book.devices.iter().enumerate() {
        statements.push(write_board::device(random, nth, device));
    }
    for port in 1..=book.switcher.ports {
        statements.push(format!("treadle treadle-{port} feeds expression {port}"));
    }
    for layer in &book.layers {
        statements.push(format!("layer {} {}", layer.name, body(random, book, &layer.says)));
    }
    for scene in &book.scenes {
        statements.push(self::scene(random, book, scene));
    }
    // Blocks of defaults keep their order, everything else may stand anywhere.
    random.shuffle(&mut statements);
    let mut places: Vec<usize> = book.defaults.iter().map(|_| random.below(statements.len() + 1)).collect();
    places.sort_unstable();
    for (block, at) in book.defaults.iter().zip(places).rev() {
        statements.insert(at, format!("default {}", body(random, book, block)));
    }
    let mut text = String::new();
    for statement in statements {
        text.push_str(&statement);
        text.push_str(random.word(&["\n", "\n", "\n\n", " # as agreed\n", "\n# next\n"]));
    }
    text
}

fn scene(random: &mut Random, book: &Book, scene: &Scene) -> String {
    let mut text = format!("scene {}", scene.name);
    if random.chance(20) {
        text.push_str(&format!(" \"the {} sound\"", scene.name));
    }
    if let Some(parent) = scene.from {
        text.push_str(&format!(" from {}", book.scenes[parent].name));
    }
    if !scene.with.is_empty() {
        let names: Vec<&str> = scene.with.iter().map(|&l| book.layers[l].name.as_str()).collect();
        text.push_str(&format!(" with {}", names.join(", ")));
    }
    if random.chance(10) {
        text.push_str(&format!(" was old-{}", scene.name));
    }
    if !scene.says.is_empty() || random.chance(60) {
        text.push(' ');
        text.push_str(&body(random, book, &scene.says));
    }
    text
}

/// `{ .. }` on one line or several.
pub(crate) fn block(random: &mut Random, lines: &[String]) -> String {
    if lines.is_empty() {
        return random.pick(&["{}", "{ }", "{\n}"]).to_string();
    }
    if random.chance(40) {
        return format!("{{ {} }}", lines.join("; "));
    }
    let mut text = "{".to_string();
    text.push_str(random.word(&["\n", " # begins\n", "\n\n"]));
    for (nth, line) in lines.iter().enumerate() {
        text.push_str("  ");
        text.push_str(line);
        let last = nth + 1 == lines.len();
        match random.below(10) {
            0 if !last => text.push_str("; "),
            1 => text.push_str(";\n"),
            2 => text.push_str(" # as agreed\n"),
            3 if last => text.push(' '),
            4 => text.push_str("\n\n"),
            _ => text.push('\n'),
        }
    }
    text.push('}');
    text
}

fn body(random: &mut Random, book: &Book, says: &[Say]) -> String {
    let mut lines = Vec::new();
    let mut rest = says;
    while let Some(first) = rest.first() {
        let Some((word, _)) = target(book, first) else {
            lines.push(saying(random, book, first));
            rest = &rest[1..];
            continue;
        };
        let mut targets = Vec::new();
        while let Some(next) = rest.first()
            && let Some((same, target)) = target(book, next)
            && same == word
            && (targets.is_empty() || random.chance(70))
        {
            targets.push(target);
            rest = &rest[1..];
        }
        let comma = *random.pick(&[", ", ", ", ",", ",\n    "]);
        lines.push(format!("{word} {}", targets.join(comma)));
    }
    block(random, &lines)
}

/// The word and the target of a statement that may stand in a list.
fn target(book: &Book, say: &Say) -> Option<(&'static str, String)> {
    let contact = |c: &Contact| format!("remote {} {}", c.jack, if c.ring { "ring" } else { "tip" });
    Some(match say {
        Say::Engage(d) => ("engage", book.devices[*d].name.clone()),
        Say::Bypass(d) => ("bypass", book.devices[*d].name.clone()),
        Say::EngageLoop(n) => ("engage", format!("loop {n}")),
        Say::BypassLoop(n) => ("bypass", format!("loop {n}")),
        Say::Close(c) => ("close", contact(c)),
        Say::Open(c) => ("open", contact(c)),
        Say::Pulse(c) => ("pulse", contact(c)),
        _ => return None,
    })
}

fn saying(random: &mut Random, book: &Book, say: &Say) -> String {
    match say {
        Say::PortAt(n, p) => format!("expression {n} at {}", quantity(random, *p, "%")),
        Say::PortFoot(n, f) => format!("expression {n} {}", foot(*f)),
        Say::PortStays(n) => format!("expression {n} stays"),
        Say::Output(n, on) => format!("output {n} {}", if *on { "on" } else { "off" }),
        Say::Mute => "mute".to_string(),
        Say::Set(d, p, to) => {
            let device = &book.devices[*d];
            let part = &device.parts[*p];
            let value = match to {
                To::State(nth) => write_board::state_name(&part.how, *nth),
                To::Amount(v) => quantity(random, *v, write_board::unit(&part.how)),
                To::Foot(f) => foot(*f).to_string(),
                To::Stays => "stays".to_string(),
            };
            format!("{}.{} {value}", device.name, part.name)
        }
        _ => unreachable!("a statement that may stand in a list"),
    }
}

fn foot(foot: Foot) -> &'static str {
    match foot {
        Foot::Anywhere => "foot",
        Foot::Heel => "foot from heel",
        Foot::Toe => "foot from toe",
    }
}

/// Exact, with or without the blank before the unit, sometimes with a nought that changes nothing.
pub(crate) fn quantity(random: &mut Random, value: Milli, unit: &str) -> String {
    let mut text = format!("{}{}", if value < 0 { "-" } else { "" }, value.abs() / 1000);
    let fraction = format!("{:03}", value.abs() % 1000);
    let fraction = fraction.trim_end_matches('0');
    let nought = if random.chance(10) { "0" } else { "" };
    if !fraction.is_empty() || !nought.is_empty() {
        text.push_str(&format!(".{fraction}{nought}"));
    }
    let blank = if random.chance(75) { " " } else { "" };
    format!("{text}{blank}{unit}")
}
