//! The registry's samples, held against the parser and against the file.

use std::collections::BTreeSet;

use tipring::syntax::{parse, registry};

use super::ebnf::{FILE, Grammar};
use super::recognise::{Names, accepts};

#[test]
fn samples_parse_or_do_not() {
    for row in registry::rows() {
        assert!(!row.good.is_empty() && !row.bad.is_empty(), "{} has no samples", row.name);
        for text in row.good {
            assert!(row.reads(text), "`{text}` should be {}", row.name);
        }
        for text in row.bad {
            assert!(!row.reads(text), "`{text}` should be no {}", row.name);
        }
    }
}

#[test]
fn the_whole_way_agrees_on_statements() {
    let mut count = 0;
    for row in registry::rows() {
        let top = row.stands.is_some_and(|s| s.place == registry::Place::Top);
        if !top && !["book", "statement"].contains(&row.name) {
            continue;
        }
        for text in row.good {
            let (tree, faults) = parse(0, text);
            assert!(faults.is_empty(), "`{text}`: {faults:?}");
            assert!(tree.statements(text).all(|s| !s.broken()), "`{text}`");
            count += 1;
        }
    }
    assert!(count > 50);
}

/// The signs of units that only the comment in the file tells of.
fn plain(text: &str) -> String {
    text.replace(['\u{2126}', '\u{3a9}'], "ohm").replace(['\u{b5}', '\u{3bc}'], "u")
}

/// Samples on which the file disagrees with the registry.
fn disagreeing(grammar: &Grammar) -> BTreeSet<&'static str> {
    let mut out = BTreeSet::new();
    for row in registry::rows() {
        // A word of the language as a name: `control by foot`. Only the strict reading may refuse a good one.
        let good = row.good.iter().all(|t| accepts(grammar, row.name, &plain(t), Names::Loose));
        let bad = row.bad.iter().any(|t| accepts(grammar, row.name, &plain(t), Names::Loose));
        if !good || bad {
            out.insert(row.name);
        }
    }
    out
}

#[test]
fn the_file_agrees_with_the_samples() {
    assert_eq!(disagreeing(&Grammar::shipped()), BTreeSet::new());
}

#[test]
fn an_alternative_gone_from_the_file_is_noticed() {
    for (from, to, production) in [
        ("'pause' text", "'pause' text text", "pause"),
        (" | 'sixteenth'\n", "\n", "note-value"),
        ("'momentary' | ", "", "wiring"),
        ("name jack-of? ( side ( ',' side )? )?", "name ( side ( ',' side )? )?", "link"),
    ] {
        let changed = FILE.replacen(from, to, 1);
        assert_ne!(changed, FILE, "{from}");
        assert!(disagreeing(&Grammar::read(&changed)).contains(production), "{production}");
    }
}

#[test]
fn good_samples_show_every_word_of_their_production() {
    let grammar = Grammar::shipped();
    for row in registry::rows().filter(|r| !grammar.lexical.contains(r.name)) {
        for literal in grammar.rules[row.name].literals() {
            let word = literal.starts_with(char::is_alphabetic);
            let shown = row.good.iter().any(|text| {
                if word {
                    text.split(|c: char| !c.is_alphanumeric() && c != '-').any(|w| w == literal)
                } else {
                    text.contains(&literal)
                }
            });
            assert!(shown, "no sample of {} shows `{literal}`", row.name);
        }
    }
}

#[test]
fn a_name_that_begins_like_a_statement_may_stand_in_column_one() {
    let text = "scene a {\namp\u{e8}re.b 5 V\nset-up.b c\nscenes.b 3 %\n}\n";
    let (tree, faults) = parse(0, text);
    assert!(faults.is_empty(), "{faults:?}");
    assert_eq!(tree.statements(text).count(), 1);
}
