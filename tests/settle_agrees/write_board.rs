//! The board's half of the writer.

use super::abstract_book::*;
use super::random::Random;
use super::write::{block, quantity};

pub(crate) fn switcher(random: &mut Random, switcher: &Switcher) -> String {
    let mut facts = vec![format!("loops {}", switcher.loops)];
    if switcher.jacks > 0 {
        facts.push(format!("remote jacks {}", switcher.jacks));
    }
    if switcher.ports > 0 {
        facts.push(format!("expressions {} of {} steps", switcher.ports, switcher.steps));
    }
    if switcher.outputs > 0 {
        facts.push(format!("outputs {}", switcher.outputs));
    }
    if let Some((first, switches)) = switcher.banks {
        // Twelve banks hold every scene of the largest book even with one switch.
        facts.push(format!("banks {first}..{}, switches 1..{switches}", first + 11));
    }
    random.shuffle(&mut facts);
    format!("switcher {}", block(random, &facts))
}

pub(crate) fn device(random: &mut Random, nth: usize, device: &Device) -> String {
    // A code of its own keeps chance likeness of names out of the comparison.
    let mut before = vec![format!("code Q{}", (b'A' + nth as u8) as char)];
    let word = match device.seat {
        Seat::Loop(n) => {
            before.push(format!("loop {n}{}", random.pick(&["", "", " mono", " stereo"])));
            before.extend(device.always.then(|| "always on".to_string()));
            "pedal"
        }
        Seat::AlwaysOn => {
            before.push("always on".to_string());
            "pedal"
        }
        Seat::Tuner(n) => {
            before.extend(["tuner".to_string(), format!("fed by output {n}")]);
            "pedal"
        }
        Seat::Amp(fed) => {
            before.extend(fed.map(|n| format!("fed by output {n}")));
            "amp"
        }
    };
    let on_foot = device.parts.iter().any(|p| matches!(p.how, How::FootStates(_)));
    if on_foot || random.chance(30) {
        before.push("place top".to_string());
    }
    if random.chance(30) {
        before.push("gain 0 dB stated".to_string());
    }
    random.shuffle(&mut before);
    let mut parts: Vec<String> = device.parts.iter().map(|p| part(random, p)).collect();
    // Facts mix, yet parts keep their order: the columns follow it.
    for fact in before {
        let at = random.below(parts.len() + 1);
        parts.insert(at, fact);
    }
    let title = if random.chance(20) { " \"as built\"" } else { "" };
    format!("{word} {}{title} {}", device.name, block(random, &parts))
}

fn part(random: &mut Random, part: &Part) -> String {
    let name = &part.name;
    match &part.how {
        How::Contacts(contacts) => control(random, name, contacts),
        How::Programs { channel, states } => {
            let from = if states.iter().all(|s| s.1 > 0) { random.below(2) } else { 0 };
            let lines: Vec<String> = states.iter().map(|(s, p)| format!("{s}: program {p}")).collect();
            format!("control {name} on midi {channel} programs from {from} {}", block(random, &lines))
        }
        How::FootStates(states) => format!("control {name} by foot {}", block(random, states)),
        How::Port { port, range } => {
            format!("level {name} on expression {port}{}", span(random, range))
        }
        How::Cc { channel, cc, range } => {
            format!("level {name} on midi {channel} cc {cc}{}", span(random, range))
        }
    }
}

fn span(random: &mut Random, range: &Range) -> String {
    if !range.written {
        return String::new();
    }
    let from = quantity(random, range.from, range.unit);
    format!(" from {from} to {}", quantity(random, range.to, range.unit))
}

fn control(random: &mut Random, name: &str, contacts: &Contacts) -> String {
    let jacks: Vec<String> = contacts
        .jacks
        .iter()
        .map(|&(jack, sides)| match sides {
            Sides::Both => format!("remote {jack}"),
            Sides::Tip => format!("remote {jack} tip"),
            Sides::Ring => format!("remote {jack} ring"),
        })
        .collect();
    let mut wiring = Vec::new();
    if contacts.shared {
        wiring.push("shared");
    }
    if contacts.normally_closed {
        wiring.push("normally closed");
    }
    random.shuffle(&mut wiring);
    let wiring: String = wiring.iter().map(|w| format!(" {w}")).collect();
    let all = contacts.contacts();
    let lines: Vec<String> = contacts
        .states
        .iter()
        .map(|(state, is)| {
            let mut said: Vec<String> = Vec::new();
            for (contact, is) in all.iter().zip(is) {
                let Some(closed) = is else { continue };
                let side = if contact.ring { "ring" } else { "tip" };
                let lead = match (contacts.jacks.len(), all.len()) {
                    (1, 1) => match random.below(4) {
                        0 => format!("{side} "),
                        1 => format!("{} {side} ", contact.jack),
                        _ => String::new(),
                    },
                    (1, _) if random.chance(80) => format!("{side} "),
                    _ => format!("{} {side} ", contact.jack),
                };
                said.push(format!("{lead}{}", if *closed { "closed" } else { "open" }));
            }
            random.shuffle(&mut said);
            format!("{state}: {}", said.join(", "))
        })
        .collect();
    format!("control {name} on {}{wiring} {}", jacks.join(", "), block(random, &lines))
}

pub(crate) fn state_name(how: &How, nth: usize) -> String {
    match how {
        How::Contacts(contacts) => contacts.states[nth].0.clone(),
        How::Programs { states, .. } => states[nth].0.clone(),
        How::FootStates(states) => states[nth].clone(),
        How::Port { .. } | How::Cc { .. } => unreachable!("a level has no states"),
    }
}

pub(crate) fn unit(how: &How) -> &'static str {
    match how {
        How::Port { range, .. } | How::Cc { range, .. } => range.unit,
        _ => unreachable!("a control has no unit"),
    }
}
