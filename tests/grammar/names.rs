//! Names: of productions, of words, of units.

use std::collections::BTreeSet;

use tipring::syntax::registry::{self, Place};
use tipring::syntax::units::UNITS;

use super::ebnf::{Expr, FILE, Grammar};

/// What is in one set only.
fn differences(grammar: &Grammar) -> Vec<String> {
    let file: BTreeSet<&str> = grammar.names.iter().map(String::as_str).collect();
    let without = registry::WITHOUT_PARSER.iter().map(|(name, _)| *name);
    let known: BTreeSet<&str> = registry::rows().map(|r| r.name).chain(without).collect();
    file.symmetric_difference(&known).map(|n| n.to_string()).collect()
}

fn undefined(grammar: &Grammar) -> Vec<String> {
    let refs = grammar.rules.values().flat_map(Expr::refs);
    refs.filter(|name| !grammar.rules.contains_key(name)).collect()
}

#[test]
fn the_file_and_the_registry_name_the_same_productions() {
    let grammar = Grammar::shipped();
    assert_eq!(differences(&grammar), Vec::<String>::new());
    let count = registry::rows().count() + registry::WITHOUT_PARSER.len();
    assert_eq!(count, grammar.names.len(), "a production stands twice in the registry");
    assert!(count > 100);
    assert!(registry::WITHOUT_PARSER.iter().all(|(name, why)| grammar.lexical.contains(*name) && !why.is_empty()));
}

#[test]
fn every_production_is_defined_and_used() {
    let grammar = Grammar::shipped();
    assert_eq!(undefined(&grammar), Vec::<String>::new());
    let used: BTreeSet<String> = grammar.rules.values().flat_map(Expr::refs).collect();
    let unused: Vec<&String> = grammar.names.iter().filter(|n| !used.contains(*n)).collect();
    assert_eq!(unused, ["book"]);
}

#[test]
fn a_renamed_production_is_noticed() {
    let renamed = FILE.replace("pinned      ::=", "pinned-x    ::=");
    assert_ne!(renamed, FILE);
    let grammar = Grammar::read(&renamed);
    assert_eq!(differences(&grammar), ["pinned", "pinned-x"]);
    assert_eq!(undefined(&grammar), ["pinned"]);
}

#[test]
fn statements_stand_where_the_file_puts_them() {
    let grammar = Grammar::shipped();
    let blocks = [
        ("statement", Place::Top),
        ("switcher-fact", Place::Switcher),
        ("guitar-fact", Place::Guitar),
        ("supply-fact", Place::Supply),
        ("device-fact", Place::Device),
        ("helper-fact", Place::Helper),
        ("listener-fact", Place::Listener),
        ("saying", Place::Scene),
        ("song-line", Place::Song),
        ("set-line", Place::Set),
        ("slot-line", Place::Slots),
    ];
    let mut statements = 0;
    for (block, place) in blocks {
        let rows = registry::rows().filter(|r| r.stands.is_some_and(|s| s.place == place));
        let rows: BTreeSet<String> = rows.map(|r| r.name.to_string()).collect();
        assert_eq!(rows, grammar.rules[block].refs(), "{place:?}");
        statements += rows.len();
    }
    // Two blocks hold one kind of statement each.
    for (name, place) in [("panel-jack", Place::Panel), ("state", Place::Control)] {
        assert_eq!(registry::row_of(name).unwrap().stands.unwrap().place, place);
        statements += 1;
    }
    assert_eq!(registry::rows().filter(|r| r.stands.is_some()).count(), statements);
}

#[test]
fn statements_open_with_the_words_of_the_file() {
    let grammar = Grammar::shipped();
    let (mut by_word, mut otherwise) = (0, 0);
    for row in registry::rows() {
        let Some(stands) = row.stands else { continue };
        let (first, other) = grammar.first(row.name);
        let words: BTreeSet<String> = stands.words.iter().map(|w| w.to_string()).collect();
        assert_eq!(first, words, "{}", row.name);
        assert_eq!(other, words.is_empty(), "{}", row.name);
        *(if other { &mut otherwise } else { &mut by_word }) += 1;
    }
    assert!(by_word > 60 && otherwise == 7, "{by_word} and {otherwise}");
}

fn words_of(places: &[Place]) -> BTreeSet<String> {
    let stands = registry::rows().filter_map(|r| r.stands).filter(|s| places.contains(&s.place));
    stands.flat_map(|s| s.words).map(|w| w.to_string()).collect()
}

#[test]
fn the_quick_answers_are_those_of_the_registry() {
    let grammar = Grammar::shipped();
    let every: BTreeSet<String> = grammar.rules.values().flat_map(Expr::literals).collect();
    let top = words_of(&[Place::Top]);
    assert_eq!(top.len(), 28);
    assert_eq!(every.iter().filter(|w| registry::opens_top(w)).cloned().collect::<BTreeSet<_>>(), top);
    assert!(!["", "Scene", "scenes", "scene ", "scen", "grit"].into_iter().any(registry::opens_top));

    // Where a name could open a line or stand for itself: scenes, songs, slots, lists of loops, rules, settings.
    let places = [Place::Top, Place::Scene, Place::Song, Place::Slots];
    let mut reserved = words_of(&places);
    // But for those that what follows tells from a name.
    let free = registry::rows().filter_map(|r| r.stands).filter(|s| s.free && places.contains(&s.place));
    let free: BTreeSet<&str> = free.flat_map(|s| s.words).copied().collect();
    let all = [
        "again", "called", "capo", "count", "hear", "helper", "instead", "key", "lasts", "listener", "note", "order",
        "switch", "without",
    ];
    assert_eq!(free, BTreeSet::from(all));
    reserved.retain(|word| !free.contains(word.as_str()));
    for part in ["loop-or-name", "at-most", "exactly", "never", "always", "denied", "foot"] {
        reserved.extend(grammar.first(part).0.into_iter().filter(|w| w.starts_with(char::is_alphabetic)));
    }
    let setting = grammar.rules["setting"].literals().into_iter().filter(|w| w.starts_with(char::is_alphabetic));
    reserved.extend(setting);
    assert_eq!(every.iter().filter(|w| registry::reserved(w)).cloned().collect::<BTreeSet<_>>(), reserved);
    assert!(!["", "m", "V", "dB", "left", "Foot", "grit"].into_iter().any(registry::reserved));
}

#[test]
fn units_are_those_of_the_file() {
    let grammar = Grammar::shipped();
    let Expr::Alt(_, all) = &grammar.rules["unit"] else { panic!("units are a choice") };
    let file: Vec<String> = all.iter().flat_map(Expr::literals).collect();
    assert_eq!(file, UNITS.map(|u| u.name));
    assert_eq!(file.len(), 23);
}
