//! The smallest set of buffers, against every set there is.

use crate::support::{compile, one};
use tipring::study::signal::path::Tried;
use tipring::study::signal::{Signal, buffers, figures};

/// A board of long leads that cannot do without a buffer.
fn board(cable: u32, input: u32) -> String {
    format!(
        "switcher {{ loops 2; outputs 1 }}
guitar plank {{ pickup 2.5 H, 7.5 kohm, 110 pF; volume 500 kohm at 100 %; cable 3 m at 100 pF/m }}
pedal ember {{ loop 1; input {input} kohm; output 50 kohm; gain 0 dB }}
pedal prism {{ loop 2; input 1 Mohm; output 1 kohm; gain 0 dB }}
amp larch {{ fed by output 1; input 1 Mohm }}
chain front: guitar -> cable {cable} m at 100 pF/m -> loop 1 -> cable {cable} m at 100 pF/m -> loop 2 -> output 1 -> \
cable {cable} m at 100 pF/m -> larch
patch leads 30 cm at 100 pF/m
scene bed {{ }}
scene dirt {{ engage ember }}
scene bright {{ engage prism }}
"
    )
}

#[test]
fn the_smallest_set_is_the_smallest_of_all() {
    for (cable, target) in [(2, 3000.0), (6, 4000.0), (6, 6000.0), (12, 5000.0), (12, 9000.0)] {
        let compiled = compile(&one("book.scene", &board(cable, 150)));
        let signal = Signal::new(&compiled.book, &compiled.table);
        let found = buffers::search(&signal, &compiled.book, target, 1e6, 150.0);
        assert!(found.proven && found.unknown == 0);
        let does = |edges: &[usize]| {
            (0..3).all(|scene| {
                let path = signal.path(scene, 0, Tried { edges, input: 1e6, output: 150.0 }).unwrap();
                // Measured the long way round, not by one look as the search does.
                figures::figures(&path.circuit).minus_3db.is_none_or(|hz| hz >= target)
            })
        };
        let places = signal.route.edges.len();
        let sets: Vec<Vec<usize>> =
            (0u32..1 << places).map(|bits| (0..places).filter(|p| bits >> p & 1 == 1).collect()).collect();
        let least = sets.iter().filter(|s| does(s)).map(Vec::len).min();
        assert_eq!(found.smallest.as_ref().map(Vec::len), least, "{cable} m, {target} Hz");
        if let Some(set) = &found.smallest {
            assert!(does(set));
        }
        for alone in &found.alone {
            assert_eq!(alone.misses == 0, does(&[alone.edge]), "{cable} m, {target} Hz, place {}", alone.edge);
        }
    }
}
