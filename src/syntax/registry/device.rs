//! Pedals, buffers, amps and treadles.

use super::{Place, Row, row};
use crate::syntax::grammar::device;

pub(super) const ROWS: &[Row] = &[
    row("pedal", device::pedal, &["pedal a", "pedal a \"b\" like c { loop 1 }"], &["pedal", "pedal \"a\"", "amp a"])
        .opens(Place::Top, &["pedal"])
        .block(device::device_fact)
        .column(2),
    row("buffer", device::buffer, &["buffer a", "buffer a like b"], &["buffer", "buffer a b"])
        .opens(Place::Top, &["buffer"])
        .block(device::device_fact)
        .column(2),
    row("amp", device::amp, &["amp a", "amp a { fed by output 1 }"], &["amp", "amp a fed by output 1"])
        .opens(Place::Top, &["amp"])
        .block(device::device_fact)
        .column(2),
    row(
        "device-head",
        device::device_head,
        &["a", "a \"b\"", "a like b", "a \"b\" like c {}", "a { loop 1; place top }"],
        &["", "\"b\" a", "a like", "a like b like c", "a { loop 1 place top }", "a { mute }"],
    ),
    row("device-fact", device::device_fact, &["code ABC", "knob a 1:30", "always on"], &["", "mute", "loops 1"]),
    row("code", device::code, &["code ABC"], &["code", "code \"ABC\"", "code A B"])
        .opens(Place::Device, &["code"])
        .column(1),
    row(
        "loop",
        device::loop_place,
        &["loop 9", "loop 9 stereo", "loop 9 mono", "loop 2 of a", "loop 2 of a stereo"],
        &["loop", "loop a", "loop 9 wide", "loop 1..2"],
    )
    .opens(Place::Device, &["loop"])
    .column(1),
    row("always-on", device::always_on, &["always on"], &["always", "on", "always off"])
        .opens(Place::Device, &["always"]),
    row("input", device::input, &["input 1 Mohm"], &["input", "input 1", "input a"])
        .opens(Place::Device, &["input"])
        .column(1),
    row("output", device::output, &["output 1 kohm"], &["output", "output 1", "output 1 on"])
        .opens(Place::Device, &["output"])
        .column(1),
    row("send", device::send, &["send 1 kohm", "send 1 kohm at line level"], &["send", "send 1", "send a"])
        .opens(Place::Device, &["send"])
        .column(1),
    row(
        "return",
        device::return_jack,
        &["return 220 kohm", "return 10 kohm at line level"],
        &["return", "return 220", "return left"],
    )
    .opens(Place::Device, &["return"])
    .column(1),
    row(
        "gain",
        device::gain,
        &["gain 6 dB", "gain -3 dB stated", "gain 0 dB measured"],
        &["gain", "gain 6", "gain 6 dB loud"],
    )
    .opens(Place::Device, &["gain"])
    .column(1),
    row(
        "power",
        device::power,
        &[
            "power a.B, 60 mA",
            "power a.B, 60 mA peak 0.2 A at 9 V, AC",
            "power a.B, 60 mA at 9 V, centre-negative",
            "power a.B, 60 mA at 9 V to 18 V, isolated",
        ],
        &["power a", "power a.B", "power a, 60 mA", "power a.B 60 mA", "power a.B, 60", "power a.B, 60 mA, 9 V"],
    )
    .opens(Place::Device, &["power"])
    .column(1),
    row(
        "power-word",
        device::power_word,
        &["centre-negative", "centre-positive", "AC", "isolated", "reversing lead"],
        &["", "centre", "negative", "shared", "reversing"],
    ),
    row("peak", device::peak, &["peak 300 mA"], &["peak", "peak 300", "300 mA"]),
    row(
        "battery",
        device::battery,
        &["battery 550 mAh, 4 mA"],
        &["battery", "battery 550 mAh", "battery 550, 4", "battery 550 mAh 4 mA"],
    )
    .opens(Place::Device, &["battery"])
    .column(1),
    row("place", device::place, &["place top", "place under"], &["place", "place left", "top"])
        .opens(Place::Device, &["place"])
        .column(1),
    row(
        "own-switch",
        device::own_switch,
        &["own switch starts on", "own switch starts off"],
        &["own switch on", "own switch starts", "switch starts on"],
    )
    .opens(Place::Device, &["own"]),
    row("fed-by", device::fed_by, &["fed by output 1"], &["fed by 1", "fed output 1", "fed by output"])
        .opens(Place::Device, &["fed"]),
    row("at-line", device::at_line, &["at line level"], &["at line", "line level", "at instrument level"]),
    row("bare", device::bare, &["sees bare guitar"], &["sees guitar", "bare guitar", "sees bare guitar first"])
        .opens(Place::Device, &["sees"]),
    row("inverts", device::inverts, &["inverts polarity"], &["inverts", "polarity", "inverts phase"])
        .opens(Place::Device, &["inverts"]),
    row("keeps", device::keeps, &["keeps polarity"], &["keeps", "keeps phase", "polarity"])
        .opens(Place::Device, &["keeps"]),
    row(
        "leg",
        device::leg,
        &["leg dry", "leg wet gain -6 dB", "leg wet by mix", "leg low gain 0 dB, inverts polarity"],
        &["leg", "leg wet -6 dB", "leg wet gain", "leg dry, wet", "legs dry"],
    )
    .opens(Place::Device, &["leg"])
    .column(2),
    row("key-input", device::key_input, &["key input 1 Mohm"], &["key", "key input", "key 1 Mohm"])
        .opens(Place::Device, &["key"]),
    row("insert-stays", device::insert_stays, &["insert stays"], &["insert", "stays", "insert stays in"])
        .opens(Place::Device, &["insert"]),
    row("takes", device::takes, &["takes instrument level"], &["takes", "takes line level", "instrument level"])
        .opens(Place::Device, &["takes"]),
    row(
        "own-leads",
        device::own_leads,
        &["leads 60 cm at 100 pF/m"],
        &["leads", "leads 60 cm", "leads 60 at 100", "lead 60 cm at 100 pF/m"],
    )
    .opens(Place::Device, &["leads"])
    .column(1),
    row("earthed", device::earthed, &["earthed"], &["", "earthed 2", "earth"]).opens(Place::Device, &["earthed"]),
    row("tuner", device::tuner, &["tuner"], &["", "tuner on output 2", "tuners"]).opens(Place::Device, &["tuner"]),
    row(
        "engaged-by",
        device::engaged_by,
        &["engaged by a b"],
        &["engaged by a", "engaged a b", "engaged by a.b", "engaged by a, b"],
    )
    .opens(Place::Device, &["engaged"]),
    row("tap", device::tap, &["tap by foot"], &["tap", "tap by hand", "tap foot"]).opens(Place::Device, &["tap"]),
    row(
        "beat",
        device::beat,
        &[
            "tempo by clock",
            "tempo by 3 pulses on remote 1 tip",
            "tempo by 4 pulses on remote 2 ring from 40 bpm to 300 bpm",
            "tempo on midi 5 cc 21 from 40 bpm to 240 bpm",
        ],
        &[
            "tempo",
            "tempo by foot",
            "tempo clock",
            "tempo by pulses on remote 1 tip",
            "tempo by 3 pulses on remote 1",
            "tempo on midi 5 cc 21",
        ],
    )
    .opens(Place::Device, &["tempo"]),
    row(
        "by-pulses",
        device::by_pulses,
        &["by 3 pulses on remote 1 tip"],
        &["by 3 pulses", "by pulses on remote 1 tip", "3 pulses on remote 1 tip"],
    ),
    row("tempi", device::tempi, &["from 40 bpm to 240 bpm"], &["from 40 bpm", "to 240 bpm", "40 bpm to 240 bpm"]),
    row(
        "tail",
        device::tail,
        &["tail 3 s", "tail 800 ms", "tail 3 s, cut by programs"],
        &["tail", "tail 3", "tail long", "tail 3 s, cut"],
    )
    .opens(Place::Device, &["tail"]),
    row(
        "knob",
        device::knob,
        &["knob a 1:30", "knob a 5 kHz", "knob a wide", "knob a \"as marked\""],
        &["knob", "knob a", "knob a 5", "knob 1:30", "knob a wide open"],
    )
    .opens(Place::Device, &["knob"])
    .column(1),
    row(
        "control",
        device::control,
        &[
            "control a by foot { slow; fast }",
            "control a on remote 1 { b: tip closed, ring open; c: tip open, ring closed }",
            "control a on remote 2 tip momentary { b; c } starts b",
            "control a on midi 3 programs from 1 { b: program 12 }",
            "control a on midi 3 cc 80 { b: value 0; c: value 127 }",
            "control a by foot",
        ],
        &["control a", "control by foot", "control a on", "control a on expression 1", "control a by foot starts b {}"],
    )
    .opens(Place::Device, &["control"])
    .block(device::state),
    row("by-foot", device::by_foot, &["by foot"], &["foot", "by", "by hand"]),
    row(
        "on-remote",
        device::on_remote,
        &["on remote 1", "on remote 1 tip, remote 2 ring shared", "on remote ring normally closed momentary"],
        &["on", "remote 1", "on remote 1 loud", "on remote 1, 2", "on shared remote 1"],
    ),
    row("jack", device::jack, &["remote", "remote 1", "remote 1 tip", "remote ring"], &["", "1 tip", "remote tip 1"]),
    row(
        "wiring",
        device::wiring,
        &["momentary", "shared", "normally closed"],
        &["", "normally", "closed", "normally open"],
    ),
    row(
        "on-midi",
        device::on_midi,
        &["on midi 3 programs from 1", "on midi programs from 0", "on midi 3 programs from 1 shared"],
        &["on midi 3", "on midi 3 programs", "on midi 3 cc 14", "midi 3 programs from 1"],
    ),
    row(
        "states",
        device::states,
        &["{}", "{ a; b }", "{\n  a: tip open\n  b: tip closed\n}"],
        &["", "a", "{ a, b }", "{ a", "{ 1 tip open }"],
    ),
    row(
        "state",
        device::state,
        &["a", "a: open", "a: tip open, ring closed", "a: program 12", "a: value 127", "a: note 60 off, cc 20 value 1"],
        &["", "a:", "a open", "a: 12", "a: tip open ring closed", "a: program 12, open"],
    )
    .opens(Place::Control, &[]),
    row(
        "program",
        device::program,
        &["program 12", "program 12 bank 3"],
        &["program", "12", "program a", "program 12 bank"],
    ),
    row("value", device::value, &["value 127"], &["value", "127", "value a", "value 1 2"]),
    row(
        "contact-is",
        device::contact_is,
        &["open", "closed", "tip open", "2 ring closed", "2 open"],
        &["", "tip", "2", "tip 2 open", "tip on"],
    ),
    row("starts", device::starts, &["starts clean", "starts unknown"], &["starts", "clean", "starts \"clean\""]),
    row(
        "level",
        device::level,
        &[
            "level a by foot",
            "level a on expression 1 from 0 % to 60 %",
            "level a on midi 3 cc 14 from 6 dB to -60 dB",
            "level a on output 1 from -6 dB to 6 dB",
        ],
        &[
            "level a",
            "level on expression 1",
            "level a on expression 1 from 0 %",
            "level a on expression 1 to 60 %",
            "level a on remote 1",
        ],
    )
    .opens(Place::Device, &["level"]),
    row("on-trim", device::on_trim, &["on output 1"], &["on output", "output 1", "on output a"]),
    row(
        "on-port",
        device::on_port,
        &["on expression", "on expression 2", "on expression 2 shared", "on expression shared"],
        &["on", "expression 2", "on expression tip"],
    ),
    row(
        "on-cc",
        device::on_cc,
        &["on midi 3 cc 14", "on midi cc 14", "on midi 3 cc 14 shared"],
        &["on midi 3", "on cc 14", "on midi 3 cc", "on midi 3 shared cc 14"],
    ),
    row(
        "treadle",
        device::treadle,
        &["treadle a feeds expression 1", "treadle a \"b\" feeds expression 1", "treadle a \"b\" on foot input 2"],
        &["treadle a", "treadle feeds expression 1", "treadle a feeds 1", "treadle a feeds expression"],
    )
    .opens(Place::Top, &["treadle"]),
    row(
        "on-foot-input",
        device::on_foot_input,
        &["on foot input 1"],
        &["on foot input", "foot input 1", "on input 1", "on foot inputs 1"],
    ),
];
