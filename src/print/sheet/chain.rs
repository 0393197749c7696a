//! The way of the signal, for drawing: what it passes, in order.

use crate::Compiled;
use crate::book::DeviceKind;
use crate::syntax::kind::Kind;
use crate::syntax::tree::View;

/// One place on the way.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Stop {
    /// A loop, by number.
    Loop(u16),
    /// A buffer that is always in, by its label.
    Always(String),
    /// A new chain begins, at what feeds it.
    Begin(String),
}

/// All chains one after the other, the guitar's first, then by name; a loop that was met before is not met again.
/// A board without chains has its loops in order.
pub fn way(compiled: &Compiled) -> Vec<Stop> {
    let mut chains: Vec<View<'_>> = Vec::new();
    for tree in &compiled.trees {
        let Some(file) = compiled.files.get(tree.file) else { continue };
        chains.extend(tree.statements(&file.text).filter(|v| v.kind() == Kind::Chain));
    }
    let guitar = |chain: &View<'_>| {
        let from = begins(*chain);
        from == "guitar" || compiled.book.guitars.iter().any(|g| g.name == from)
    };
    chains.sort_by_key(|c| (!guitar(c), c.child(Kind::Name).map_or("", |n| n.text())));
    let mut out: Vec<Stop> = Vec::new();
    for chain in chains {
        let mut stops = Vec::new();
        for link in chain.all(Kind::Link) {
            for stop in stops_of(compiled, link) {
                if !out.contains(&stop) && !stops.contains(&stop) {
                    stops.push(stop);
                }
            }
        }
        if !stops.is_empty() {
            out.push(Stop::Begin(begins(chain).to_owned()));
            out.append(&mut stops);
        }
    }
    if out.is_empty() {
        let loops = compiled.book.switcher.as_ref().map_or(0, |s| s.loops);
        out.extend((1..=loops).map(Stop::Loop));
    }
    out
}

fn begins(chain: View<'_>) -> &str {
    chain.child(Kind::Link).map_or("", |l| l.text())
}

fn stops_of(compiled: &Compiled, link: View<'_>) -> Vec<Stop> {
    let numbers: Vec<u16> = link.all(Kind::Number).filter_map(|n| n.text().parse().ok()).collect();
    match numbers.as_slice() {
        [one] if link.says("loop") => vec![Stop::Loop(*one)],
        [from, to] if link.says("loops") => (*from..=*to).map(Stop::Loop).collect(),
        _ => {
            let name = link.child(Kind::Name).map_or("", |n| n.text());
            let device = compiled.book.devices.iter().find(|d| d.name == name && d.kind == DeviceKind::Buffer);
            device.map(|d| Stop::Always(d.label())).into_iter().collect()
        }
    }
}
