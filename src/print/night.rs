//! What is tonight's alone: what a night's book changes of the book that it uses, and what each part loses by it.

use crate::Compiled;
use crate::book::out::Loss;
use crate::book::{Device, DeviceKind, Night};
use crate::ids::SceneId;
use crate::print::doc::{Block, Item, List, Mark, head, named};
use crate::source::Span;
use crate::syntax::kind::Kind;
use crate::syntax::one_line::one_line;

/// Wherever an amplifier, or a lead at one, is moved.
pub const CAUTION: &str = "Before an amplifier or a lead at one is moved: standby, then power off. Never run a valve amplifier without its speaker; leave its inside to licensed people.";

/// That it is a night's book, and of which: `tonight's, of winter`; nothing for any other.
pub fn of(compiled: &Compiled) -> Option<String> {
    let night = compiled.book.night.as_ref()?;
    let bases = if night.bases.is_empty() { String::new() } else { format!(", of {}", night.bases.join(" and ")) };
    Some(format!("tonight's{bases}"))
}

/// What it changes, on one line: `without hasp; another larch`; nothing for a book of every night.
pub fn brief(compiled: &Compiled) -> Option<String> {
    let night = compiled.book.night.as_ref()?;
    let absent = |name: &&str| night.absent.iter().any(|absent| absent == name);
    let out: Vec<&str> = night.gone.names().into_iter().filter(|name| !absent(name)).collect();
    let mut says = Vec::new();
    if !out.is_empty() {
        says.push(format!("without {}", out.join(" and ")));
    }
    says.extend(night.files.iter().map(|(was, by)| format!("{by} for {was}")));
    says.extend(night.replaced.iter().map(|r| match r.kind {
        Kind::Song | Kind::Set => format!("another \"{}\"", r.name),
        _ if r.name.is_empty() => format!("another {}", r.kind.name()),
        _ => format!("another {}", r.name),
    }));
    Some(says.join("; "))
}

/// The whole section; nothing for a book of every night.
pub fn section(compiled: &Compiled) -> Vec<Block> {
    let Some(night) = compiled.book.night.as_deref() else { return Vec::new() };
    let mut lines: Vec<(usize, Mark, String)> = Vec::new();
    lines.extend(
        night.files.iter().map(|(was, by)| (0, Mark::Turned, format!("`{by}` is read in the place of `{was}`"))),
    );
    for device in &night.gone.devices {
        let absent = night.absent.contains(&device.name);
        let says = match device.kind {
            DeviceKind::Amp if absent => "it is not on this board, and nothing sounds through it".to_owned(),
            _ if absent => "it is not on this board".to_owned(),
            _ => place(compiled, night, device),
        };
        lines.push((0, Mark::Went, format!("{}: {says}", called(device))));
    }
    lines.extend(night.replaced.iter().map(|r| (0, Mark::Turned, replaced(r.kind, &r.name))));
    losses(compiled, night, &mut lines);
    let quiet = |at: &Span| (0, Mark::None, format!("quiet tonight: {}", one_line(compiled.files.text(*at))));
    lines.extend(night.gone.rules.iter().chain(&night.gone.allows).map(quiet));
    let mut blocks = vec![head(2, "tonight alone")];
    let item = |(depth, mark, text): (usize, Mark, String)| Item { depth, mark, words: named(&text) };
    blocks.push(Block::List(List { columns: (2, 2), items: lines.into_iter().map(item).collect() }));
    if amps(compiled, night) {
        blocks.push(Block::Notice(vec![CAUTION.to_owned()]));
    }
    blocks
}

fn called(device: &Device) -> String {
    let title = device.title.as_ref().map_or(String::new(), |title| format!(" ({title})"));
    format!("`{}`{title} is out", device.name)
}

fn place(compiled: &Compiled, night: &Night, device: &Device) -> String {
    let helpers = || night.gone.devices.iter().filter_map(|d| Some((d, d.helper.as_deref()?)));
    if let Some((helper, _)) = device.loop_at.and_then(|at| helpers().find(|(_, h)| h.own(at.value).is_some())) {
        return format!("it sits in `{}`, which is out", helper.name);
    }
    // Loops are counted without those of helpers that are out.
    let before = |n: u16| helpers().filter(|(_, h)| h.first < n).map(|(_, h)| h.loops).sum::<u16>();
    match (device.kind, device.loop_at) {
        (DeviceKind::Helper, _) => {
            "its loops are in no preset; what led to it leads on to what stood behind it".to_owned()
        }
        (DeviceKind::Listener, _) => "what the scenes send to it is not sent; nobody hears a difference".to_owned(),
        (DeviceKind::Amp, _) => "nothing is plugged into it, and no preset sets it".to_owned(),
        (_, Some(at)) => format!(
            "{} is in no preset; where the loop itself is dead, a lead from its send to its return bridges it",
            compiled.book.board.loop_says(at.value - before(at.value))
        ),
        (_, None) => "its place in the line is bridged: what led to it leads on to what stood behind it".to_owned(),
    }
}

fn replaced(kind: Kind, name: &str) -> String {
    match kind {
        Kind::Song | Kind::Set => format!("another {} \"{name}\"", kind.name()),
        _ if name.is_empty() => format!("another `{}`", kind.name()),
        _ => format!("another {} `{name}`", kind.name()),
    }
}

/// Parts that lose the same, together.
fn losses(compiled: &Compiled, night: &Night, lines: &mut Vec<(usize, Mark, String)>) {
    let show = &compiled.book.show;
    let gone = &night.gone;
    let mut losses: Vec<&Loss> = gone.losses.iter().collect();
    let name = |scene: SceneId| show.scene(scene).map_or("?", |s| s.name.as_str());
    let title = |loss: &Loss| show.songs.get(loss.song).map_or("", |s| s.title.as_str());
    losses.sort_by_key(|loss| (name(loss.scene), loss.devices.clone(), title(loss), loss.part));
    for of in losses.chunk_by(|a, b| (a.scene, &a.devices) == (b.scene, &b.devices)) {
        let Some(first) = of.first() else { continue };
        let lost: Vec<String> =
            first.devices.iter().filter_map(|d| gone.devices.get(*d)).map(|d| format!("`{}`", d.name)).collect();
        let (scene, lost) = (name(first.scene), lost.join(" and "));
        let way = first.devices.first().and_then(|d| gone.devices.get(*d)).map_or("", |d| d.name.as_str());
        lines.push(match first.stands {
            Some(stands) => (0, Mark::Turned, format!("`{}` stands for `{scene}`, which needs {lost}:", name(stands))),
            None => (
                0,
                Mark::Turned,
                format!("`{scene}` sounds without {lost}; for another sound say `if {way} fails, {scene} becomes …`:"),
            ),
        });
        for song in of.chunk_by(|a, b| a.song == b.song) {
            let labels = song.iter().filter_map(|l| Some(show.songs.get(l.song)?.parts.get(l.part)?.label.to_string()));
            let labels: Vec<String> = labels.collect();
            lines.push((
                1,
                Mark::None,
                format!("\"{}\": {}", song.first().map_or("", |l| title(l)), labels.join(", ")),
            ));
        }
    }
}

/// True when an amplifier is put in the place of another, or is out.
fn amps(compiled: &Compiled, night: &Night) -> bool {
    let is_amp = |name: &str| compiled.book.board.devices.iter().any(|d| d.kind == DeviceKind::Amp && d.name == name);
    let fed = compiled.book.board.devices.iter().any(|d| d.kind == DeviceKind::Amp);
    night.gone.devices.iter().any(|d| d.kind == DeviceKind::Amp)
        || (fed && !night.files.is_empty())
        || night.replaced.iter().any(|r| {
            matches!(r.kind, Kind::Chain | Kind::Panel | Kind::Switcher) && fed
                || r.kind == Kind::Amp
                || is_amp(&r.name)
        })
}
