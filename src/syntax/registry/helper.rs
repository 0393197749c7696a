//! A helper, its loops and its presets.

use super::{Place, Row, row};
use crate::syntax::grammar::helper;

pub(super) const ROWS: &[Row] = &[
    row(
        "helper",
        helper::helper,
        &["helper a {}", "helper a \"b\" { loops 4; on midi 3 programs from 1 }", "helper a\n{\n  loops 4\n}"],
        &["helper", "helper a", "helper {}", "helper \"a\" {}", "helper a { mute }", "helper a { loops 4 presets 16 }"],
    )
    .free(Place::Top, &["helper"])
    .block(helper::helper_fact)
    .column(2),
    row(
        "helper-fact",
        helper::helper_fact,
        &["loops 4", "on remote 2", "presets 16", "preset 3: a", "power a.B, 100 mA", "place under"],
        &["", "loops 4, split after 2", "gain 3 dB", "code ABC", "loop 1"],
    ),
    row("own-loops", helper::own_loops, &["loops 4"], &["loops", "loops a", "loop 4", "loops 1..4"])
        .opens(Place::Helper, &["loops"])
        .column(1),
    row(
        "called",
        helper::called,
        &[
            "on midi 3 programs from 1",
            "on midi 3 cc 20",
            "on remote 2",
            "on remote 2 tip, remote 3 ring normally closed",
        ],
        &["on", "on midi 3", "on expression 1", "remote 2", "on programs"],
    )
    .opens(Place::Helper, &["on"])
    .column(1),
    row("presets", helper::presets, &["presets 16"], &["presets", "presets a", "preset 16", "presets 1..16"])
        .opens(Place::Helper, &["presets"])
        .column(1),
    row(
        "kept",
        helper::kept,
        &["preset 3: a", "preset 3: a, loop 2", "preset 1"],
        &["preset", "preset a", "preset 3 a", "preset 3:", "preset 3: a b"],
    )
    .opens(Place::Helper, &["preset"]),
    row("helper-power", helper::helper_power, &["power a.B, 100 mA"], &["power a", "power a.B", "gain 3 dB"])
        .opens(Place::Helper, &["power"])
        .column(1),
    row("helper-place", helper::helper_place, &["place top", "place under"], &["place", "place left"])
        .opens(Place::Helper, &["place"])
        .column(1),
    row("of-helper", helper::of_helper, &["of a"], &["of", "a", "of \"a\"", "of a, b"]),
];
