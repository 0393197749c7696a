//! Random boards: a small switcher and devices on its loops, contacts, ports and messages.

use super::abstract_book::*;
use super::random::Random;

const PEDALS: [&str; 10] = ["sift", "grit", "throb", "swirl", "murk", "moor", "crag", "ember", "bracken", "husk"];
const AMPS: [&str; 3] = ["combo", "barrel", "lantern"];
const CONTROLS: [&str; 6] = ["voice", "flank", "wave", "way", "speed", "channel"];
const LEVELS: [&str; 5] = ["depth", "blend", "pace", "tone", "body"];
const STATES: [&str; 6] = ["round", "sharp", "even", "slow", "fast", "warm"];
const STEPS: [i64; 12] = [2, 3, 4, 5, 7, 8, 32, 33, 100, 101, 127, 128];

pub(crate) fn board(random: &mut Random) -> (Switcher, Vec<Device>) {
    loop {
        let (switcher, devices) = any_board(random);
        // A board that no scene can satisfy is another question.
        if !at_odds(&devices) {
            return (switcher, devices);
        }
    }
}

/// Two devices that always sound, and no state of a control of the one goes with a state of the other's.
fn at_odds(devices: &[Device]) -> bool {
    let fixed = parts(devices).filter(|(at, _)| !matches!(devices[*at].seat, Seat::Loop(_)));
    let wired = fixed.filter_map(|(at, part)| match &part.how {
        How::Contacts(contacts) => Some((at, contacts)),
        _ => None,
    });
    let wired: Vec<(usize, &Contacts)> = wired.collect();
    let closed = |c: &Contacts, state: usize, i: usize| c.states[state].1[i].unwrap_or(c.normally_closed);
    let agree = |a: &Contacts, b: &Contacts| {
        let (mine, theirs) = (a.contacts(), b.contacts());
        let both = mine.iter().enumerate().filter_map(|(i, c)| Some((i, theirs.iter().position(|d| d == c)?)));
        let both: Vec<(usize, usize)> = both.collect();
        both.is_empty()
            || (0..a.states.len())
                .any(|s| (0..b.states.len()).any(|t| both.iter().all(|(i, j)| closed(a, s, *i) == closed(b, t, *j))))
    };
    wired.iter().enumerate().any(|(n, (_, a))| wired[..n].iter().any(|(_, b)| !agree(a, b)))
}

fn any_board(random: &mut Random) -> (Switcher, Vec<Device>) {
    let switcher = Switcher {
        loops: random.within(1, 5),
        jacks: random.within(0, 3),
        ports: random.within(0, 2),
        steps: *random.pick(&STEPS),
        outputs: random.within(0, 3),
        banks: random.chance(50).then(|| (random.within(0, 2), random.within(1, 5))),
    };
    let mut devices = Vec::new();
    let mut seats: Vec<Seat> = (1..=switcher.loops).filter(|_| random.chance(75)).map(Seat::Loop).collect();
    if random.chance(35) {
        seats.push(Seat::AlwaysOn);
    }
    // With two amps eight devices at most: each has channels of its own.
    if switcher.outputs > 0 && seats.len() < 6 && random.chance(40) {
        seats.push(Seat::Tuner(random.within(1, switcher.outputs)));
    }
    random.shuffle(&mut seats);
    let mut names = PEDALS;
    random.shuffle(&mut names);
    for (seat, name) in seats.into_iter().zip(names) {
        let always = matches!(seat, Seat::Loop(_)) && random.chance(20);
        devices.push(Device { name: name.to_string(), seat, always, parts: Vec::new() });
    }
    for name in AMPS.iter().take(random.below(3)) {
        let fed = (switcher.outputs > 0 && random.chance(80)).then(|| random.within(1, switcher.outputs));
        devices.push(Device { name: name.to_string(), seat: Seat::Amp(fed), always: false, parts: Vec::new() });
    }
    for at in 0..devices.len() {
        for _ in 0..*random.pick(&[0, 1, 1, 2, 2, 3]) {
            let how = how(random, &switcher, &mut devices, at);
            let device = &mut devices[at];
            let names: &[&str] = match how {
                How::Port { .. } | How::Cc { .. } => &LEVELS,
                _ => &CONTROLS,
            };
            let free: Vec<&&str> = names.iter().filter(|n| device.parts.iter().all(|p| p.name != **n)).collect();
            let name = random.pick(&free).to_string();
            device.parts.push(Part { name, how });
        }
    }
    (switcher, devices)
}

fn how(random: &mut Random, switcher: &Switcher, devices: &mut [Device], at: usize) -> How {
    loop {
        match random.below(10) {
            0..=3 => {
                if let Some(contacts) = contacts(random, switcher, devices, at) {
                    return How::Contacts(contacts);
                }
            }
            4..=5 => {
                let taken = parts(devices).any(|(_, p)| matches!(p.how, How::Port { port: 1, .. }));
                let port = if taken { 2 } else { 1 };
                let second = parts(devices).any(|(_, p)| matches!(p.how, How::Port { port: 2, .. }));
                if port <= switcher.ports && !(port == 2 && second) {
                    return How::Port { port, range: range(random) };
                }
            }
            6 => {
                // One number for one message: two levels on one controller would be another question.
                let cc = 20 + parts(devices).count() as u8;
                return How::Cc { channel: channel(random, at), cc, range: range(random) };
            }
            7 => {
                // One program a channel: what two on one would do is another question.
                if devices[at].parts.iter().any(|p| matches!(p.how, How::Programs { .. })) {
                    continue;
                }
                let count = random.within(2, 3);
                let first = random.within(1, 90) as u16;
                let states = names(random, count).into_iter().zip((0..).map(|i| first + 7 * i)).collect();
                return How::Programs { channel: channel(random, at), states };
            }
            _ => {
                let count = random.within(2, 3);
                return How::FootStates(names(random, count));
            }
        }
    }
}

/// Each device has two channels to itself.
fn channel(random: &mut Random, at: usize) -> u8 {
    (at + 1 + 8 * random.below(2)) as u8
}

fn parts(devices: &[Device]) -> impl Iterator<Item = (usize, &Part)> {
    devices.iter().enumerate().flat_map(|(at, d)| d.parts.iter().map(move |p| (at, p)))
}

fn names(random: &mut Random, count: usize) -> Vec<String> {
    let mut names = STATES;
    random.shuffle(&mut names);
    names.iter().take(count).map(|n| n.to_string()).collect()
}

fn contacts(random: &mut Random, switcher: &Switcher, devices: &mut [Device], at: usize) -> Option<Contacts> {
    if random.chance(35)
        && let Some(contacts) = shared(random, devices, at)
    {
        return Some(contacts);
    }
    let taken = taken(devices);
    let is_free = |contact: Contact| !taken.contains(&contact);
    let mut offers = Vec::new();
    for jack in 1..=switcher.jacks {
        let (tip, ring) = (is_free(Contact { jack, ring: false }), is_free(Contact { jack, ring: true }));
        match (tip, ring) {
            (true, true) => offers.push((jack, *random.pick(&[Sides::Both, Sides::Both, Sides::Tip, Sides::Ring]))),
            (true, false) => offers.push((jack, Sides::Tip)),
            (false, true) => offers.push((jack, Sides::Ring)),
            (false, false) => {}
        }
    }
    random.shuffle(&mut offers);
    offers.truncate(if random.chance(30) { 2 } else { 1 });
    if offers.is_empty() {
        return None;
    }
    let normally_closed = random.chance(25);
    Some(with_states(random, offers, normally_closed, false))
}

/// A second device on contacts that another one uses: both say `shared`, and rest the same way.
fn shared(random: &mut Random, devices: &mut [Device], at: usize) -> Option<Contacts> {
    let mine: Vec<Contact> = taken(&devices[at..=at]);
    let all = taken(devices);
    let (jacks, normally_closed) = {
        let mut others = Vec::new();
        for (owner, device) in devices.iter_mut().enumerate().filter(|(owner, _)| *owner != at) {
            for (nth, part) in device.parts.iter().enumerate() {
                if let How::Contacts(contacts) = &part.how
                    && contacts.contacts().iter().all(|c| !mine.contains(c))
                {
                    others.push((owner, nth, contacts.jacks.clone(), contacts.normally_closed));
                }
            }
        }
        if others.is_empty() {
            return None;
        }
        let (owner, nth, mut jacks, closed) = random.pick(&others).clone();
        if let How::Contacts(contacts) = &mut devices[owner].parts[nth].how {
            contacts.shared = true;
        }
        // Sometimes the two overlap only in part.
        let (jack, sides) = jacks[0];
        let other = Contact { jack, ring: sides == Sides::Tip };
        if sides == Sides::Both && random.chance(30) {
            jacks = vec![(jack, Sides::Tip)];
        } else if sides != Sides::Both && !all.contains(&other) && random.chance(60) {
            jacks[0] = (jack, Sides::Both);
        }
        (jacks, closed)
    };
    Some(with_states(random, jacks, normally_closed, true))
}

fn taken(devices: &[Device]) -> Vec<Contact> {
    parts(devices)
        .filter_map(|(_, part)| match &part.how {
            How::Contacts(contacts) => Some(contacts.contacts()),
            _ => None,
        })
        .flatten()
        .collect()
}

fn with_states(random: &mut Random, jacks: Vec<(usize, Sides)>, normally_closed: bool, shared: bool) -> Contacts {
    let mut contacts = Contacts { jacks, normally_closed, shared, states: Vec::new() };
    let width = contacts.contacts().len();
    let mut patterns: Vec<usize> = (0..1 << width).collect();
    random.shuffle(&mut patterns);
    let count = random.within(2, patterns.len().min(4));
    for (name, pattern) in names(random, count).into_iter().zip(patterns) {
        let mut is: Vec<Option<bool>> = (0..width).map(|bit| Some(pattern >> bit & 1 == 1)).collect();
        for nth in 0..width {
            // Not mentioned means at rest; a state mentions at least one contact.
            let said = is.iter().flatten().count();
            if is[nth] == Some(normally_closed) && said > 1 && random.chance(30) {
                is[nth] = None;
            }
        }
        contacts.states.push((name, is));
    }
    contacts
}

fn range(random: &mut Random) -> Range {
    if random.chance(10) {
        return Range { from: 0, to: 100_000, unit: "%", written: false };
    }
    let (unit, low, high) = *random.pick(&[
        ("%", 0, 60_000),
        ("%", 0, 100_000),
        ("%", 10_000, 87_500),
        ("ms", 20_000, 620_000),
        ("dB", -12_000, 6_000),
        ("Hz", 125, 8_000),
        ("s", 0, 4_000),
    ]);
    let (from, to) = if random.chance(40) { (high, low) } else { (low, high) };
    Range { from, to, unit, written: true }
}
