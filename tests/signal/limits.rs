//! Ideal source, open load, zero capacitance; and what must hold of every circuit.

use proptest::prelude::*;
use tipring::study::signal::circuit::{Circuit, Segment, Source};
use tipring::study::signal::figures::{figures, holds_to};

fn plain(ohm: f64, farad: f64, loads: &[f64]) -> Circuit {
    let source = Source { ohm, ..Source::default() };
    Circuit { segments: vec![Segment { source, farad, loads: loads.to_vec(), gain: 0.0 }], ..Circuit::default() }
}

fn pickup() -> Source {
    Source { ohm: 7500.0, henry: 2.5, farad: 110e-12, siemens: 0.0, volume: Some((500e3, 1.0)) }
}

#[test]
fn an_ideal_source_loses_nothing() {
    let circuit = plain(0.0, 10e-9, &[1000.0]);
    let found = figures(&circuit);
    assert_eq!((found.level_1khz, found.peak, found.minus_3db), (0.0, None, None));
    assert_eq!(circuit.segments[0].loading(), 0.0);
    assert_eq!(circuit.segments[0].corner(), None);
    // A source of ever less resistance comes ever closer to it.
    let mut before = f64::NEG_INFINITY;
    for ohm in [1e4, 1e2, 1.0, 1e-2, 1e-4] {
        let level = plain(ohm, 10e-9, &[1000.0]).level(1000.0);
        assert!(level > before && level < 0.0);
        before = level;
    }
    assert!(before > -1e-5);
}

#[test]
fn an_open_end_loads_nothing() {
    let open = plain(100e3, 0.0, &[]);
    assert_eq!(open.level(1000.0), 0.0);
    assert_eq!(open.segments[0].loading(), 0.0);
    assert!(open.segments[0].load().is_infinite());
    let nearly = plain(100e3, 0.0, &[1e15]).level(1000.0);
    assert!(nearly.abs() < 1e-8);
}

#[test]
fn without_capacitance_the_curve_is_flat_but_for_the_coil() {
    let flat = plain(10e3, 0.0, &[1e6]);
    assert_eq!(figures(&flat).minus_3db, None);
    assert_eq!(figures(&flat).peak, None);
    assert!((flat.level(20.0) - flat.level(20_000.0)).abs() < 1e-12);
    // A coil without any capacitance falls as R / L does: f = R / (2·pi·L) with all resistances in the loop.
    let source = Source { farad: 0.0, volume: None, ..pickup() };
    let coil =
        Circuit { segments: vec![Segment { source, farad: 0.0, loads: vec![100e3], gain: 0.0 }], ..Circuit::default() };
    let expected = (7500.0 + 100e3) / (std::f64::consts::TAU * 2.5);
    let found = figures(&coil).minus_3db.unwrap();
    assert!((found / expected - 1.0).abs() < 1e-9, "{found}, not {expected}");
}

#[test]
fn a_volume_control_divides_and_ends_at_nothing() {
    let at = |share: f64| {
        let source = Source { volume: Some((500e3, share)), ..pickup() };
        Circuit { segments: vec![Segment { source, farad: 500e-12, loads: vec![], gain: 0.0 }], ..Circuit::default() }
    };
    assert!((at(0.5).level(0.0) - 20.0 * (250e3f64 / 507.5e3).log10()).abs() < 1e-12);
    assert_eq!(at(0.0).level(1000.0), f64::NEG_INFINITY);
    assert_eq!(figures(&at(0.0)).minus_3db, None);
    assert_eq!(at(0.0).segments[0].source_ohm(), 0.0);
}

/// Resistances, inductances and capacitances as guitars and pedals have them.
fn segments() -> impl Strategy<Value = Vec<Segment>> {
    let device = (0.0..200e3f64, 0.0..3e-9f64, proptest::collection::vec(10e3..2e6f64, 0..3), -20.0..20.0f64);
    let device = device.prop_map(|(ohm, farad, loads, gain)| Segment {
        source: Source { ohm, ..Source::default() },
        farad,
        loads,
        gain,
    });
    let guitar = (1e3..15e3f64, 0.5..8.0f64, 20e-12..300e-12f64, 0.05..1.0f64, 50e-12..2e-9f64, 20e3..2e6f64);
    let guitar = guitar.prop_map(|(ohm, henry, winding, share, farad, load)| Segment {
        source: Source { ohm, henry, farad: winding, siemens: 0.0, volume: Some((250e3, share)) },
        farad,
        loads: vec![load],
        gain: 0.0,
    });
    (guitar, proptest::collection::vec(device, 0..6)).prop_map(|(first, rest)| {
        let mut all = vec![first];
        all.extend(rest);
        all
    })
}

proptest! {
    #[test]
    fn what_holds_of_every_circuit(segments in segments(), extra in 1e-12..1e-9f64, load in 10e3..1e6f64) {
        let circuit = Circuit { segments, ..Circuit::default() };
        let found = figures(&circuit);
        // The curve through the -3 dB point really is there, and the peak really is a top.
        if let Some(hz) = found.minus_3db {
            prop_assert!((circuit.level(hz) - circuit.level(0.0) + 3.010_299_956_6).abs() < 1e-6);
            // Up to there nothing fell, and just behind it has.
            prop_assert!(holds_to(&circuit, hz * 0.999) && !holds_to(&circuit, hz * 1.001));
        }
        if let Some((hz, db)) = found.peak {
            prop_assert!((circuit.level(hz) - db).abs() < 1e-9);
            prop_assert!(circuit.level(hz * 0.999) <= db + 1e-12 && circuit.level(hz * 1.001) <= db + 1e-12);
        }
        // One more load never makes it louder at the low end, and one more lead never moves it there.
        let mut loaded = circuit.clone();
        loaded.segments[0].loads.push(load);
        prop_assert!(loaded.level(0.0) <= circuit.level(0.0) + 1e-12);
        let mut longer = circuit.clone();
        longer.segments[0].farad += extra;
        prop_assert!((longer.level(0.0) - circuit.level(0.0)).abs() < 1e-12);
        // A gain lifts all figures of level alike and none of frequency.
        let mut louder = circuit.clone();
        louder.segments.push(Segment { source: Source::default(), farad: 0.0, loads: vec![], gain: 6.0 });
        let lifted = figures(&louder);
        prop_assert!((lifted.level_1khz - found.level_1khz - 6.0).abs() < 1e-9);
        prop_assert_eq!(lifted.minus_3db.is_some(), found.minus_3db.is_some());
        // Segments behind a buffer may stand in any order.
        let mut turned = circuit.clone();
        turned.segments.reverse();
        prop_assert!((turned.level(1234.5) - circuit.level(1234.5)).abs() < 1e-9);
    }
}
