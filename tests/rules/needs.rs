//! What a rule needs: a book without it names the rules that could not run, and those would have found nothing.

use tipring::check::{Facts, NEEDS, RULES, need, page};

use super::{book, compile};

/// Says all that any rule needs.
const SAID: &str = "switcher { loops 1; outputs 1; banks 1..1, switches 1..2 }
guitar plank { pickup 2.5 H, 7.5 kohm, 110 pF; volume 500 kohm at 100 %; cable 4 m at 100 pF/m }
supply brick { margin 20 %; outlet A 9 V, 100 mA, centre-negative, isolated }
pedal ember { loop 1; input 1 Mohm; output 1 kohm; gain 0 dB measured; tail 2 s; power brick.A, 20 mA }
amp larch { fed by output 1; input 1 Mohm }
chain front: guitar -> loop 1 -> output 1 -> larch
patch leads 30 cm at 100 pF/m
limit level step 6 dB
scene bed { engage ember }
song \"Quay\" on plank { bed }
";

/// What is taken out, what stands there instead, what the book is told to lack, and the rules that need it.
const LACKS: [(&str, &str, &str, &str); 10] = [
    (
        "chain front: guitar -> loop 1",
        "chain front: loop 1",
        "no chain leads away from the guitar",
        "amp-unfed engaged-unheard guitar-buffered heavy-loading level-step level-too-high loop-in-no-chain missing-value past-mute polarity-opposed stereo-collapses treble-lost",
    ),
    (
        "chain front: guitar -> loop 1 -> output 1 -> larch\n",
        "",
        "no chain leads away from the guitar",
        "amp-unfed engaged-unheard guitar-buffered heavy-loading level-step level-too-high loop-in-no-chain missing-value past-mute polarity-opposed stereo-collapses treble-lost",
    ),
    (
        "-> larch\n",
        "-> larsh\n",
        "a chain could not be understood",
        "amp-unfed engaged-unheard guitar-buffered heavy-loading level-step level-too-high loop-in-no-chain missing-value past-mute polarity-opposed stereo-collapses treble-lost",
    ),
    (
        "pickup 2.5 H, 7.5 kohm, 110 pF; ",
        "",
        "no guitar says how its pickup sounds",
        "level-step missing-value treble-lost",
    ),
    ("limit level step 6 dB\n", "", "no `limit level step` says how much is too much", "level-step"),
    (
        "song \"Quay\" on plank { bed }\n",
        "",
        "no song says what follows what",
        "bank-run level-jump-on-takeover level-step messages-late no-slot no-slot-yet tail-cut tempo-stale tempo-unsaid too-many-feet two-feet-at-once",
    ),
    ("; banks 1..1, switches 1..2", "", "the switcher states no banks and switches", "bank-run no-slot no-slot-yet"),
    ("; tail 2 s", "", "no device says how long it rings on", "tail-cut"),
    (
        "supply brick { margin 20 %; outlet A 9 V, 100 mA, centre-negative, isolated }\n",
        "",
        "no supply is described",
        "ac-dc-wrong ground-shared outlet-margin outlet-overdrawn outlet-peak polarity-wrong power-unsaid supply-overdrawn voltage-wrong",
    ),
    ("margin 20 %; ", "", "no supply says what margin is kept", "outlet-margin"),
];

#[test]
fn a_book_names_the_rules_that_could_not_run() {
    let lacks = |text: &str| need::wanting(&compile(&book(text)).book);
    assert_eq!(lacks(SAID), []);
    for (out, instead, wanting, codes) in LACKS {
        assert!(SAID.contains(out), "{out}");
        let found = lacks(&SAID.replacen(out, instead, 1));
        assert_eq!(found, [(wanting, codes.split(' ').collect::<Vec<_>>())], "without `{out}`");
    }
    let told: Vec<&str> = LACKS.iter().map(|(_, _, wanting, _)| *wanting).collect();
    let bare = lacks("switcher { loops 1 }");
    assert!(bare.iter().all(|(why, _)| told.contains(why)) && bare.len() == 7, "{bare:?}");
    assert_eq!(NEEDS.len(), 9, "each need has its line above, but the values that `missing-value` tells of");
}

/// A rule that is named as one that could not run would have found nothing, were it run; and one that finds something
/// had all it needs.
#[test]
fn a_rule_without_what_it_needs_finds_nothing() {
    let (mut idle, mut found) = (0, 0);
    let pages = RULES.iter().map(page::page);
    let books = pages.flat_map(|p| [page::books(&p, "Fires"), page::books(&p, "Silent")].concat());
    for text in books {
        let compiled = compile(&book(&text));
        let facts = Facts::of(&compiled);
        for rule in RULES.iter().filter(|r| !r.needs.is_empty()) {
            let mut out = Vec::new();
            (rule.find)(&facts, &mut out);
            let lacks = rule.needs.iter().any(|n| n.wanting(&compiled.book).is_some());
            assert!(!lacks || out.is_empty(), "{} found {out:?} without what it needs in\n{text}", rule.code);
            idle += usize::from(lacks);
            found += usize::from(!out.is_empty());
        }
    }
    println!("{idle} times a rule could not run, {found} times it found something");
    assert!(idle > 1000 && found >= 2 * 14, "{idle} {found}");
}

/// A pedal's load is known without any guitar's.
#[test]
fn heavy_loading_runs_without_a_pickup() {
    let heavy = SAID.replace("pickup 2.5 H, 7.5 kohm, 110 pF; ", "").replace("output 1 kohm", "output 500 kohm");
    let compiled = compile(&book(&heavy));
    assert!(compiled.diagnostics().iter().any(|d| d.code == "heavy-loading"));
}
