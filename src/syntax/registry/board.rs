//! The board, its switcher, guitars, supplies, leads and panel.

use super::{Place, Row, row};
use crate::syntax::grammar::board;

pub(super) const ROWS: &[Row] = &[
    row(
        "board",
        board::board,
        &["board \"b\"", "board \"b\" version \"2\""],
        &["board", "board b", "board \"b\" \"2\""],
    )
    .opens(Place::Top, &["board"]),
    row("use", board::use_file, &["use \"a.scene\""], &["use", "use a", "use \"a\", \"b\""])
        .opens(Place::Top, &["use"]),
    row(
        "switcher",
        board::switcher,
        &["switcher {}", "switcher\n{}", "switcher { loops 8; outputs 2 }", "switcher {\n\n  loops 8\n  outputs 2\n}"],
        &["switcher", "switcher a {}", "switcher { loops 8 outputs 2 }", "switcher { mute }", "switcher; {}"],
    )
    .opens(Place::Top, &["switcher"])
    .block(board::switcher_fact),
    row(
        "switcher-fact",
        board::switcher_fact,
        &["display 8", "loops 8", "power a.B, 300 mA"],
        &["", "display", "mute", "code a"],
    ),
    row(
        "loops",
        board::loops,
        &["loops 8", "loops 8, split after 5", "loops 8,\n  split after 5"],
        &["loops", "loops a", "loops 8 split after 5", "loops 8, split 5", "loops 1..8"],
    )
    .opens(Place::Switcher, &["loops"]),
    row("jacks", board::jacks, &["remote jacks 3"], &["remote 3", "remote jacks", "jacks 3"])
        .opens(Place::Switcher, &["remote"]),
    row(
        "ports",
        board::ports,
        &["expressions 1 of 128 steps"],
        &["expressions 1", "expressions 1 of 128", "expressions of 128 steps"],
    )
    .opens(Place::Switcher, &["expressions"]),
    row(
        "trims",
        board::trims,
        &["trims of 25 steps"],
        &["trims", "trims 25 steps", "trims of 25", "output trims of 25 steps"],
    )
    .opens(Place::Switcher, &["trims"]),
    row(
        "foot-inputs",
        board::foot_inputs,
        &["foot inputs 2", "foot inputs 2, 3 targets each"],
        &["foot inputs", "foot input 2", "foot inputs 2, 3 targets", "foot inputs 2 3 targets each"],
    )
    .opens(Place::Switcher, &["foot"]),
    row("outputs", board::outputs, &["outputs 2"], &["outputs", "output 2", "outputs two"])
        .opens(Place::Switcher, &["outputs"]),
    row("isolated", board::isolated, &["isolated output 2"], &["output 2", "isolated output", "isolated 2"])
        .opens(Place::Switcher, &["isolated"]),
    row(
        "banks",
        board::banks,
        &["banks 1..8, switches 1..5", "banks 0 .. 7, switches A..E"],
        &[
            "banks 1..8",
            "banks 8, switches 5",
            "banks 1..8 switches 1..5",
            "banks A..B, switches 1..5",
            "banks 1..8, switches 1..E",
        ],
    )
    .opens(Place::Switcher, &["banks"]),
    row("guitar-inputs", board::guitar_inputs, &["guitar inputs 2"], &["guitar inputs", "guitar input 2", "guitar a"])
        .opens(Place::Switcher, &["guitar"]),
    row(
        "loop-orders",
        board::loop_orders,
        &["order of loops per preset"],
        &["order of loops", "order per preset", "order of loops per scene"],
    )
    .opens(Place::Switcher, &["order"]),
    row("display", board::display, &["display 8"], &["display", "display \"8\""]).opens(Place::Switcher, &["display"]),
    row("sends-clock", board::sends_clock, &["sends clock"], &["sends", "clock", "sends tempo"])
        .opens(Place::Switcher, &["sends"]),
    row(
        "answers",
        board::answers,
        &[
            "answers midi 1 programs from 0",
            "answers midi 16 programs from 1, banks of 100",
            "answers midi 2 programs from 1, hears itself, passes on",
        ],
        &["answers", "answers midi 1", "answers midi programs from 0", "answers midi 1 programs from 0 banks of 100"],
    )
    .opens(Place::Switcher, &["answers"]),
    row("answers-word", board::answers_word, &["hears itself", "passes on"], &["", "hears", "passes", "on"]),
    row("repress", board::repress, &["repress ignored", "repress repeats"], &["repress", "repress twice"])
        .opens(Place::Switcher, &["repress"]),
    row("wakes", board::wakes, &["wakes 1.1", "wakes 0A"], &["wakes", "wakes A", "wakes 1.1 1.2"])
        .opens(Place::Switcher, &["wakes"]),
    row(
        "presses",
        board::presses,
        &["presses: same bank 1, bank step 1"],
        &["presses", "presses same bank 1, bank step 1", "presses: bank step 1, same bank 1", "presses: same bank 1"],
    )
    .opens(Place::Switcher, &["presses"]),
    row(
        "own-power",
        board::own_power,
        &["power a.B, 300 mA", "power a.B, 300 mA at 9 V, centre-negative, isolated, reversing lead"],
        &["power a", "power a.B", "power a.B 300 mA", "power 300 mA", "gain 3 dB"],
    )
    .opens(Place::Switcher, &["power"]),
    row(
        "inside",
        board::inside,
        &["inside: switches 6..7, toggles 2", "inside: switches F..G, toggles 2, holds 1, rows 2", "inside: rows 2"],
        &["inside", "inside: 2", "inside toggles 2", "inside: toggles", "inside: rows 2 toggles 1"],
    )
    .opens(Place::Switcher, &["inside"]),
    row(
        "inside-has",
        board::inside_has,
        &["switches 6..7", "switches F..G", "toggles 2", "holds 1", "rows 2"],
        &["", "switches 6", "switches 6..G", "toggles", "2 rows"],
    ),
    row(
        "guitar",
        board::guitar,
        &[
            "guitar a",
            "guitar a \"b\"",
            "guitar a {}",
            "guitar a \"b\" { cable 6 m at 100 pF/m; volume 500 kohm at 100 % }",
        ],
        &["guitar", "guitar \"a\"", "guitar a b", "guitar a { mute }"],
    )
    .opens(Place::Top, &["guitar"])
    .block(board::guitar_fact)
    .column(2),
    row("guitar-fact", board::guitar_fact, &["volume 500 kohm at 100 %", "on guitar input 1"], &["", "gain 3 dB"]),
    row(
        "pickup",
        board::pickup,
        &["pickup 2.5 H, 7.5 kohm, 110 pF", "pickup 2.5 H, 7.5 kohm, 110 pF, loss 400 kohm"],
        &["pickup", "pickup 2.5 H, 7.5 kohm", "pickup 2.5, 7.5, 110", "pickup 2.5 H 7.5 kohm 110 pF"],
    )
    .opens(Place::Guitar, &["pickup"])
    .column(1),
    row(
        "volume",
        board::volume,
        &["volume 500 kohm at 100 %"],
        &["volume 500 kohm", "volume at 100 %", "volume 500 at 100"],
    )
    .opens(Place::Guitar, &["volume"])
    .column(1),
    row("cable", board::cable, &["cable 6 m at 100 pF/m"], &["cable 6 m", "cable 6 at 100", "cable at 100 pF/m"])
        .opens(Place::Guitar, &["cable"])
        .column(1),
    row("on-input", board::on_input, &["on guitar input 1"], &["on input 1", "on guitar input", "guitar input 1"])
        .opens(Place::Guitar, &["on"]),
    row(
        "heard-when",
        board::heard_when,
        &["heard when a.b c"],
        &["heard when a.b", "heard a.b c", "heard when a b", "heard when a.b stays 2"],
    )
    .opens(Place::Guitar, &["heard"]),
    row(
        "supply",
        board::supply,
        &["supply a {}", "supply a \"b\" { margin 20 %; outlet A 9 V, 300 mA }"],
        &["supply a", "supply {}", "supply a { gain 3 dB }"],
    )
    .opens(Place::Top, &["supply"])
    .block(board::supply_fact)
    .column(2),
    row(
        "supply-fact",
        board::supply_fact,
        &["margin 20 %", "outlet A 9 V, 300 mA"],
        &["", "margins 20 %", "power a.b, 3 mA"],
    ),
    row("margin", board::margin, &["margin 20 %"], &["margin", "margin 20", "margin a"])
        .opens(Place::Supply, &["margin"]),
    row("total", board::total, &["total 1500 mA"], &["total", "total 1500", "total a"])
        .opens(Place::Supply, &["total"]),
    row(
        "outlet",
        board::outlet,
        &[
            "outlet A 9 V, 300 mA",
            "outlet A 9 V, 300 mA peak 0.6 A, AC",
            "outlet A 9 V, 300 mA, centre-negative, isolated",
        ],
        &["outlet A 9 V", "outlet 9 V, 300 mA", "outlet A 9 V, 300 mA, loud", "outlet A 9 V 300 mA"],
    )
    .opens(Place::Supply, &["outlet"])
    .column(2),
    row(
        "outlet-word",
        board::outlet_word,
        &["centre-negative", "centre-positive", "AC", "isolated", "shared"],
        &["", "centre", "negative", "isolated shared"],
    ),
    row(
        "chain",
        board::chain,
        &["chain a: guitar-1 -> loops 1..6 -> b", "chain a: b ->\n  loop 7 -> output 1"],
        &["chain a", "chain a: b", "chain a b -> c", "chain a: b -> ", "chain a: b, c"],
    )
    .opens(Place::Top, &["chain"])
    .column(3),
    row(
        "link",
        board::link,
        &[
            "loop 7",
            "loops 1..6",
            "loop 2 of a",
            "loops 1..3 of a",
            "output 1",
            "cable 1 m at 120 pF/m",
            "a",
            "a send",
            "a return left, right",
            "a right",
            "a wet send",
            "a wet",
            "a key",
        ],
        &["", "loops 1", "a wet dry", "a left, right, left", "7"],
    ),
    row(
        "jack-of",
        board::jack_of,
        &["send", "return", "wet send", "wet return", "wet", "key"],
        &["", "send wet", "wet dry", "wet key"],
    ),
    row("side", board::side, &["left", "right"], &["", "both", "left, right"]),
    row(
        "patch",
        board::patch,
        &["patch leads 30 cm at 100 pF/m", "patch leads 30 cm at 100 pF/m,\n  for amp 6 m at 100 pF/m, for remote 3 m"],
        &["patch 30 cm at 100 pF/m", "patch leads 30 cm", "patch leads", "patch leads 30 cm at 100 pF/m, 3 m"],
    )
    .opens(Place::Top, &["patch"]),
    row(
        "leads-of",
        board::leads_of,
        &[
            "for guitar 6 m at 100 pF/m",
            "for amp 6 m at 100 pF/m",
            "for remote 3 m",
            "for expression 1 m",
            "for midi 1 m",
            "for power 50 cm",
        ],
        &["", "leads 3 m", "for amp 3 m", "for remote 3 m at 100 pF/m", "remote 3 m", "patch leads 30 cm at 100 pF/m"],
    ),
    row(
        "panel",
        board::panel,
        &["panel {}", "panel { in 1 a; out 2 b send }"],
        &["panel", "panel a {}", "panel { 1 a }", "panel { in 1 a out 2 b }"],
    )
    .opens(Place::Top, &["panel"])
    .block(board::panel_jack),
    row(
        "panel-jack",
        board::panel_jack,
        &[
            "in 1 a",
            "out 1 output 1",
            "out 2 a return left",
            "out 4 remote 2",
            "in 3 expression 1",
            "in 2 a send",
            "in 2 a right",
        ],
        &["", "in a", "1 a", "in 1", "in 1 a left, right", "in 1 loop 3"],
    )
    .opens(Place::Panel, &["in", "out"]),
];
