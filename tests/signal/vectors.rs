//! Every electrical vector, within its tolerance. `tests/references/electrical.json` holds closed forms that ngspice 39
//! computed as well (each vector names its source).

use serde_json::Value;
use tipring::study::signal::circuit::{Circuit, Segment, Source};
use tipring::study::signal::figures::{HALF_POWER_DB, figures};

fn number(v: &Value, name: &str) -> Option<f64> {
    v["inputs"]["values"][name].as_f64()
}

fn plain(ohm: f64) -> Source {
    Source { ohm, ..Source::default() }
}

fn segment(source: Source, farad: f64, load: Option<f64>) -> Segment {
    Segment { source, farad, loads: load.into_iter().collect(), gain: 0.0 }
}

fn one(segment: Segment) -> Circuit {
    Circuit { segments: vec![segment], ..Circuit::default() }
}

/// The circuit of a vector.
fn circuit(v: &Value, name: &str) -> Circuit {
    let n = |k: &str| number(v, k);
    if let Some(stages) = v["inputs"]["values"]["stages"].as_array() {
        let stage = |s: &Value| segment(plain(s[0].as_f64().unwrap()), 0.0, s[1].as_f64());
        return Circuit { segments: stages.iter().map(stage).collect(), ..Circuit::default() };
    }
    if name.starts_with("P8") {
        let values = &v["inputs"]["values"];
        let source = Source {
            ohm: n("R").unwrap(),
            henry: n("L").unwrap(),
            farad: n("C_winding").unwrap(),
            siemens: 0.0,
            volume: Some((n("pot").unwrap(), 1.0)),
        };
        let (before, after) = (n("C_cable_before").unwrap(), n("C_cable_after").unwrap());
        let buffer = &values["buffer"];
        if buffer.is_null() {
            return one(segment(source, before + after, n("Rload")));
        }
        let first = segment(source, before, buffer["in"].as_f64());
        let second = segment(plain(buffer["out"].as_f64().unwrap()), after, n("Rload"));
        return Circuit { segments: vec![first, second], ..Circuit::default() };
    }
    if let Some(henry) = n("L") {
        let source = Source { ohm: n("R").unwrap(), henry, ..Source::default() };
        return one(segment(source, n("C").unwrap(), n("Rload")));
    }
    one(segment(plain(n("Rs").unwrap()), n("C").unwrap_or(0.0), n("Rl")))
}

#[test]
fn every_electrical_vector_within_its_tolerance() {
    let text = std::fs::read_to_string("tests/references/electrical.json").unwrap();
    let vectors: Vec<Value> = serde_json::from_str(&text).unwrap();
    assert!(vectors.len() >= 53, "vectors went missing");
    let mut last: Option<Value> = None;
    for v in &vectors {
        let name = v["name"].as_str().unwrap().strip_prefix("elec.").unwrap();
        let expected = v["expected"]["value"].as_f64().unwrap();
        let tolerance = v["tolerance"].as_f64().unwrap();
        // A level "at that corner" is one of the circuit of the vector before it.
        let of = if name.ends_with('g') && name.starts_with('E') { last.clone().unwrap() } else { v.clone() };
        let made = circuit(&of, name);
        let figures = figures(&made);
        let found = match name.split_once('.') {
            None if name.ends_with('g') => made.level(number(v, "f").unwrap()),
            None if v["expected"]["unit"] == "Hz" => figures.minus_3db.unwrap(),
            None => {
                assert!(
                    (made.segments.iter().map(Segment::loading).sum::<f64>() - expected).abs() <= tolerance,
                    "{name}"
                );
                figures.level_1khz
            }
            Some((_, "fp")) => figures.peak.unwrap().0,
            Some((_, "gp" | "gp@fp")) => figures.peak.unwrap().1,
            Some((_, "f3")) => figures.minus_3db.unwrap(),
            Some((_, "nopeak")) => {
                assert_eq!(figures.peak, None, "{name}: the curve only falls");
                made.level(0.0)
            }
            Some((_, "fn")) => undamped(&made),
            Some((_, at)) => {
                let hz = at.trim_start_matches(|c: char| !c.is_ascii_digit());
                made.level(hz.parse().unwrap())
            }
        };
        assert!((found - expected).abs() <= tolerance, "{name}: {found}, not {expected} within {tolerance}");
        last = Some(v.clone());
    }
}

/// Where a pickup and its leads would ring undamped: the level of the same circuit without any loss has its pole there,
/// which is found by looking for it, not from the closed form.
fn undamped(circuit: &Circuit) -> f64 {
    let mut bare = circuit.clone();
    bare.segments[0].source.ohm = 0.0;
    bare.segments[0].loads.clear();
    figures(&bare).peak.unwrap().0
}

#[test]
fn minus_3_db_is_half_the_power() {
    assert!((HALF_POWER_DB - 10.0 * 0.5f64.log10()).abs() < 1e-15);
    let rc = one(segment(plain(10e3), 500e-12, None));
    let corner = figures(&rc).minus_3db.unwrap();
    assert!((rc.level(corner) - rc.level(0.0) - HALF_POWER_DB).abs() < 1e-9);
}
