//! The circuit of one scene and guitar as a SPICE deck.

use std::fmt::Write;

use crate::book::Book;
use crate::study::signal::circuit::{Feed, Source};
use crate::study::signal::path::From;
use crate::study::signal::{Found, words};

/// A deck that a SPICE program in batch mode runs as it is: it prints the level at 1 kHz, the top of the curve and
/// the -3 dB point. None when a value is missing or nothing is heard, and where legs are added as magnitudes.
pub fn deck(book: &Book, scene: &str, guitar: &str, found: &Found) -> Option<String> {
    let body = circuit(book, scene, guitar, found)?;
    Some(
        body + "\
.control
set numdgt=12
ac lin 1 1000 1000
let level_1khz_db = vdb(out)
print level_1khz_db
ac dec 2000 10 1meg
let level = vdb(out)
let fall = vdb(out)-vdb(out)[0]
meas ac peak_db MAX level
meas ac peak_hz MAX_AT level
meas ac minus_3db_hz when fall=-3.01029995663981 fall=1
quit
.endc
.end
",
    )
}

/// The elements alone; the end of the path is the node `out`.
pub fn circuit(book: &Book, scene: &str, guitar: &str, found: &Found) -> Option<String> {
    found.level_1khz()?;
    if !found.path.as_magnitudes.is_empty() {
        return None;
    }
    let segments = &found.path.circuit.segments;
    let mut out = format!("* {scene} on {guitar}\n");
    for (number, (segment, stretch)) in segments.iter().zip(&found.path.stretches).enumerate() {
        let n = number + 1;
        let from = words::from(&book.board, stretch.from);
        let _ = writeln!(out, "* {from} into {}", words::loads(&book.board, &stretch.to));
        let node = if n == segments.len() { "out".to_owned() } else { format!("n{n}") };
        // A voltage-controlled source stands for the device: its input only loads, its output only drives.
        let inverts =
            matches!(stretch.from, From::Device(d) if book.board.devices.get(d).is_some_and(|d| d.electric.inverts));
        let gain = 10f64.powf(segment.gain / 20.0) * if inverts { -1.0 } else { 1.0 };
        match number {
            0 => out.push_str("V1 s1 0 dc 0 ac 1\n"),
            _ => fed(&mut out, n, found.path.circuit.feeds.get(number), gain),
        }
        source(&mut out, n, &segment.source, &node);
        capacitor(&mut out, &format!("C{n}"), &node, segment.farad);
        for (load, ohm) in segment.loads.iter().enumerate() {
            let _ = writeln!(out, "R{n}l{} {node} 0 {ohm:e}", load + 1);
        }
    }
    Some(out)
}

/// The source of a device: what it hears, times its gain. Of several legs each is a source, one on top of the other.
fn fed(out: &mut String, n: usize, feed: Option<&Feed>, gain: f64) {
    let Some(feed) = feed else {
        let _ = writeln!(out, "E{n} s{n} 0 n{} 0 {gain:e}", n - 1);
        return;
    };
    let mut foot = "0".to_owned();
    for (leg, number) in feed.legs.iter().zip(1..) {
        let top = if number == feed.legs.len() { format!("s{n}") } else { format!("s{n}l{number}") };
        let gain = gain * 10f64.powf(leg.gain / 20.0) * if leg.turned { -1.0 } else { 1.0 };
        let _ = writeln!(out, "E{n}l{number} {top} {foot} n{} 0 {gain:e}", leg.of + 1);
        foot = top;
    }
}

fn source(out: &mut String, n: usize, source: &Source, node: &str) {
    // An element of nothing is left out, as SPICE knows no resistor of 0 ohm.
    let mut at = format!("s{n}");
    let coil = match source.volume {
        Some((_, share)) if share < 1.0 => format!("v{n}"),
        _ => node.to_owned(),
    };
    let middle = if source.henry > 0.0 { format!("l{n}") } else { coil.clone() };
    if source.ohm > 0.0 {
        let _ = writeln!(out, "R{n} {at} {middle} {:e}", source.ohm);
        at.clone_from(&middle);
    }
    if source.henry > 0.0 {
        let _ = writeln!(out, "L{n} {at} {coil} {:e}", source.henry);
        at.clone_from(&coil);
    }
    if at != coil {
        // Nothing in series: a source of no voltage joins the two nodes.
        let _ = writeln!(out, "V{n}j {at} {coil} dc 0");
    }
    capacitor(out, &format!("C{n}w"), &coil, source.farad);
    if source.siemens > 0.0 {
        let _ = writeln!(out, "R{n}w {coil} 0 {:e}", 1.0 / source.siemens);
    }
    if let Some((track, share)) = source.volume {
        if share < 1.0 {
            let _ = writeln!(out, "R{n}a {coil} {node} {:e}", track * (1.0 - share));
        }
        let _ = writeln!(out, "R{n}b {node} 0 {:e}", track * share);
    }
}

fn capacitor(out: &mut String, name: &str, node: &str, farad: f64) {
    if farad > 0.0 {
        let _ = writeln!(out, "{name} {node} 0 {farad:e}");
    }
}
