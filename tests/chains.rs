//! Chains held against a graph library (petgraph): which amplifiers a guitar reaches past every output, which orders of
//! loops contradict each other, and whether a chain passes a place twice.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::unreachable)]
#![allow(clippy::disallowed_methods, clippy::print_stdout, clippy::print_stderr, unreachable_pub)]

mod support;

use std::collections::BTreeSet;

use petgraph::algo::is_cyclic_directed;
use petgraph::graphmap::DiGraphMap;
use petgraph::visit::Dfs;
use support::dice::Dice;
use tipring::compile_texts;

const BOOKS: u64 = 2_000;
const LOOPS: usize = 4;
const AMPS: usize = 3;

/// Places by their words, as the chains name them.
type Chain = Vec<&'static str>;

const PLACES: [&str; 10] =
    ["loop 1", "loop 2", "loop 3", "loop 4", "wick", "output 1", "output 2", "amp-a", "amp-b", "amp-c"];

/// Chains of a few places; mostly in an order that can be wired, ending where something can be heard.
fn chains(dice: &mut Dice) -> Vec<Chain> {
    let mut out = Vec::new();
    for nth in 0..1 + dice.roll(3) {
        let mut inner: Vec<&'static str> = PLACES[..5].iter().copied().filter(|_| dice.roll(100) < 50).collect();
        if dice.roll(100) < 20 && inner.len() > 1 {
            let (a, b) = (dice.roll(inner.len()), dice.roll(inner.len()));
            inner.swap(a, b);
        }
        if dice.roll(100) < 10 && !inner.is_empty() {
            let again = inner[dice.roll(inner.len())];
            inner.push(again);
        }
        let mut chain: Chain = Vec::new();
        if nth == 0 || dice.roll(100) < 30 || inner.is_empty() {
            chain.push("guitar");
        }
        chain.extend(inner);
        if dice.roll(100) < 60 {
            chain.push(PLACES[5 + dice.roll(2)]);
        }
        if dice.roll(100) < 60 || chain.len() < 2 {
            chain.push(PLACES[7 + dice.roll(AMPS)]);
        }
        if chain.len() < 2 {
            chain.insert(0, "guitar");
        }
        out.push(chain);
    }
    out
}

fn text(chains: &[Chain]) -> String {
    let mut out = format!("switcher {{ loops {LOOPS}; outputs 2 }}\nguitar plank\nbuffer wick\n");
    for n in 1..=LOOPS {
        out += &format!("pedal p{n} {{ loop {n} }}\n");
    }
    for name in &PLACES[7..] {
        out += &format!("amp {name}\n");
    }
    for (nth, chain) in chains.iter().enumerate() {
        out += &format!("chain c{nth}: {}\n", chain.join(" -> "));
    }
    out + "scene hush { mute }\nsong \"Quay\" on plank { hush }\n"
}

/// What an amplifier hears by the graph alone, all outputs off: an output lets nothing through.
fn past(chains: &[Chain]) -> BTreeSet<&'static str> {
    let mut graph: DiGraphMap<&str, ()> = DiGraphMap::new();
    for pair in chains.iter().flat_map(|c| c.windows(2)) {
        if !pair[0].starts_with("output") {
            graph.add_edge(pair[0], pair[1], ());
        }
    }
    let mut found = BTreeSet::new();
    if graph.contains_node("guitar") {
        let mut search = Dfs::new(&graph, "guitar");
        while let Some(place) = search.next(&graph) {
            found.extend(PLACES[7..].iter().copied().filter(|a| *a == place));
        }
    }
    found
}

fn twice(chain: &Chain) -> bool {
    chain.iter().collect::<BTreeSet<_>>().len() < chain.len()
}

/// Two chains whose orders, laid together over the places that both pass, run in a circle.
fn at_odds(one: &Chain, other: &Chain) -> bool {
    let both: Vec<&str> = one.iter().copied().filter(|p| other.contains(p)).collect();
    let mut graph: DiGraphMap<&str, ()> = DiGraphMap::new();
    for chain in [one, other] {
        let along: Vec<&str> = chain.iter().copied().filter(|p| both.contains(p)).collect();
        for pair in along.windows(2) {
            graph.add_edge(pair[0], pair[1], ());
        }
    }
    is_cyclic_directed(&graph)
}

#[test]
fn chains_agree_with_a_graph_library() {
    let (mut past_any, mut odd, mut doubled) = (0, 0, 0);
    for seed in 0..BOOKS {
        let mut dice = Dice(seed);
        let chains = chains(&mut dice);
        let text = text(&chains);
        let compiled = compile_texts(&[("book.scene", &text)]);
        let told = |code: &str| compiled.diagnostics().iter().filter(|d| d.code == code).count();
        let again = chains.iter().filter(|c| twice(c)).count();
        assert_eq!(told("chain-twice"), again, "seed {seed}\n{text}");
        let pairs = (0..chains.len()).flat_map(|b| (0..b).map(move |a| (a, b)));
        let right = |n: usize| !twice(&chains[n]);
        let turned = pairs.filter(|(a, b)| right(*a) && right(*b) && at_odds(&chains[*a], &chains[*b])).count();
        assert_eq!(told("chains-disagree"), turned, "seed {seed}\n{text}");
        // Where no order can be wired, nothing else is asked of the chains.
        let wired = again + turned + told("loop-fed-twice") == 0;
        let reached = if wired { past(&chains) } else { BTreeSet::new() };
        assert_eq!(told("past-mute"), reached.len(), "seed {seed}: {reached:?}\n{text}");
        past_any += usize::from(!reached.is_empty());
        odd += usize::from(turned > 0);
        doubled += usize::from(again > 0);
    }
    println!("{past_any} books sound past their outputs, {odd} have two orders, {doubled} pass a place twice");
    assert!(past_any > 200 && odd > 50 && doubled > 100, "{past_any} {odd} {doubled}");
}
