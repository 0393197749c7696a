//! Scenes, layers, defaults, and what may be said in them.

use super::{Place, Row, row};
use crate::syntax::grammar::scene;

pub(super) const ROWS: &[Row] = &[
    row(
        "scene",
        scene::scene,
        &["scene a", "scene a {}", "scene a # b\n{ mute }", "scene a \"b\" from c with d, e was f { mute }"],
        &["scene", "scene \"b\"", "scene a was f from c", "scene a with d from c", "scene a b", "scene a; { mute }"],
    )
    .opens(Place::Top, &["scene"])
    .block(scene::saying)
    .column(2),
    row(
        "default",
        scene::default,
        &["default {}", "default { a.b 0 % }"],
        &["default", "default a {}", "default { use \"a\" }"],
    )
    .opens(Place::Top, &["default"])
    .block(scene::saying),
    row(
        "layer",
        scene::layer,
        &["layer a {}", "layer a \"b\" { engage c }"],
        &["layer a", "layer {}", "layer a with b {}"],
    )
    .opens(Place::Top, &["layer"])
    .block(scene::saying)
    .column(2),
    row("from", scene::from, &["from a"], &["from", "from \"a\"", "from a, b"]),
    row("with", scene::with, &["with a", "with a, b"], &["with", "with a b", "with a,"]),
    row("was", scene::was, &["was a"], &["was", "was a, b", "is a"]),
    row(
        "scene-body",
        scene::scene_body,
        &["{}", "{ mute; engage a }", "{\n  engage a,\n    b # both\n\n  mute\n}"],
        &["", "mute", "{ mute engage a }", "{ mute", "{ tuning \"a\" }", "{ engage a\n, b }"],
    ),
    row("saying", scene::saying, &["mute", "a.b 20 %", "engage a", "again a"], &["", "scene a", "a", "engage"]),
    row(
        "engage",
        scene::engage,
        &["engage a", "engage a, loop 5"],
        &["engage", "engage a b", "engage a and b", "engage 5"],
    )
    .opens(Place::Scene, &["engage"]),
    row("bypass", scene::bypass, &["bypass a", "bypass loop 5, a"], &["bypass", "bypass a b", "bypass loop 5 stereo"])
        .opens(Place::Scene, &["bypass"]),
    row("loop-or-name", scene::loop_or_name, &["loop 5", "loop 2 of a", "a"], &["", "5", "loop 5, a", "loop a"])
        .keeps(&["loop"]),
    row(
        "close",
        scene::close,
        &["close remote 1 tip", "close remote 1 tip, remote 2 ring"],
        &["close", "close remote 1", "close a"],
    )
    .opens(Place::Scene, &["close"]),
    row(
        "open",
        scene::open,
        &["open remote 1 ring", "open remote 1 tip, remote 1 ring"],
        &["open", "open remote 1", "open 1 tip"],
    )
    .opens(Place::Scene, &["open"]),
    row(
        "pulse",
        scene::pulse,
        &["pulse remote 1 tip", "pulse remote 1 tip, remote 2 tip"],
        &["pulse", "pulse remote", "pulse a"],
    )
    .opens(Place::Scene, &["pulse"]),
    row("contact", scene::contact, &["remote 1 tip", "remote 1 ring"], &["", "remote tip", "remote 1", "1 tip"]),
    row(
        "port-at",
        scene::port_at,
        &["expression 1 at 33 %", "expression 1 foot from toe", "expression 1 stays"],
        &["expression 1", "expression at 33 %", "expression 1 at 33", "expression 1 33 %"],
    )
    .opens(Place::Scene, &["expression"]),
    row("output-is", scene::output_is, &["output 2 on", "output 2 off"], &["output 2", "output on", "output 2 closed"])
        .opens(Place::Scene, &["output"]),
    row("hear", scene::hear, &["hear a", "hear input 2"], &["hear", "hear 2", "hear a, b", "hear input 2 on"])
        .free(Place::Scene, &["hear"]),
    row(
        "order-is",
        scene::order_is,
        &["order loop 3, loop 1", "order a, b, c", "order as wired"],
        &["order", "order 3, 1", "order a b", "order as wired a", "order a, b per preset"],
    )
    .free(Place::Scene, &["order"]),
    row("mute", scene::mute, &["mute"], &["", "mute all", "mute 2"]).opens(Place::Scene, &["mute"]),
    row(
        "setting",
        scene::setting,
        &["a.b 20 %", "a.b round", "a.b foot from heel", "a.b stays", "a . b m"],
        &["a.b", "a b 20 %", "a.b 20", "a.b.c d", "a.b \"round\"", "a.b foot from"],
    )
    .opens(Place::Scene, &[])
    .keeps(&["stays"]),
    row(
        "press",
        scene::press,
        &["switch 6 toggles a", "switch F toggles a.b c", "switch 6 holds loop 3", "switch 6 does nothing"],
        &["switch", "switch 6", "switch 6 a", "switch toggles a", "switch 6 does", "switch 6 toggles a, b"],
    )
    .free(Place::Scene, &["switch"]),
    row(
        "press-moves",
        scene::press_moves,
        &["a", "a.b", "a.b c", "loop 3", "output 2", "remote 2 tip"],
        &["", "loop a", "a b", "a.b 20 %", "output a", "remote 2", "3"],
    ),
    row("again", scene::again, &["again a"], &["again", "again \"a\"", "again a, b"]).free(Place::Scene, &["again"]),
    row(
        "foot",
        scene::foot,
        &["foot", "foot from heel", "foot from toe"],
        &["", "foot heel", "foot from", "foot from middle"],
    )
    .keeps(&["foot"]),
    row(
        "moves",
        scene::moves,
        &[
            "a moves b.c",
            "a moves b.c from 20 % to 70 %, d.e",
            "a from heel moves b.c from 60 % to 10 %",
            "a from toe moves b.c",
            "a moves nothing",
        ],
        &["a moves", "moves b.c", "a moves b", "a moves b.c from 20 %", "a moves b.c, nothing", "a from moves b.c"],
    )
    .opens(Place::Scene, &[]),
    row(
        "moved",
        scene::moved,
        &["a.b", "a.b from 20 % to 70 %", "a.b from 600 ms to 20 ms"],
        &["", "a", "a.b from 20 %", "a.b 20 %", "a.b to 70 %"],
    ),
];
