//! The figures of a circuit: level, peak, -3 dB point.

use super::circuit::Circuit;

/// -3 dB is short for half the power: 10·log10 (1/2).
pub const HALF_POWER_DB: f64 = -3.010_299_956_639_812;
/// Where the curve is searched, in Hz: below every resonance of a guitar, and far above what anybody hears.
const LOWEST: f64 = 10.0;
const HIGHEST: f64 = 1e9;
const POINTS_A_DECADE: usize = 64;
/// A rise by less than this factor of the square (4e-10 dB) is arithmetic and no peak.
const RISE: f64 = 1.0 + 1e-10;

/// What is said of one circuit. Levels in dB re the first source.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Figures {
    /// The level at 1 kHz, in dB.
    pub level_1khz: f64,
    /// The highest top of the curve, in Hz and dB; None where the curve only falls.
    pub peak: Option<(f64, f64)>,
    /// Where the curve has fallen 3.0103 dB below its low end, in Hz; None where it never does.
    pub minus_3db: Option<f64>,
}

/// Measures a circuit.
pub fn figures(circuit: &Circuit) -> Figures {
    let decades = (HIGHEST / LOWEST).log10();
    let points = decades as usize * POINTS_A_DECADE + 1;
    let step = (HIGHEST / LOWEST).ln() / (points - 1) as f64;
    let low = circuit.square(0.0);
    let floor = low * 0.5;
    // The last two points, the lowest since the last top, and the highest top so far with the point it lies at.
    let (mut before, mut last) = (low, low);
    let mut lowest = low;
    let mut best: Option<(usize, f64)> = None;
    let mut fallen = None;
    let at = |i: usize| LOWEST * (step * i as f64).exp();
    for i in 0..points {
        let square = circuit.square(at(i));
        if last > before && last >= square && last > lowest * RISE {
            lowest = last;
            if best.is_none_or(|(_, top)| last > top) {
                best = i.checked_sub(1).map(|i| (i, last));
            }
        }
        lowest = lowest.min(square);
        if fallen.is_none() && square < floor {
            fallen = Some((if i == 0 { 0.0 } else { at(i - 1) }, at(i)));
        }
        (before, last) = (last, square);
    }
    Figures {
        level_1khz: circuit.level(1000.0),
        peak: best.map(|(i, _)| top(circuit, at(i) / step.exp(), at(i) * step.exp())),
        minus_3db: fallen.filter(|_| low > 0.0).map(|(from, to)| crossing(circuit, floor, from, to)),
    }
}

/// True when the curve falls 3.0103 dB below its low end nowhere up to `hz`: the -3 dB point of [`figures`] lies there or
/// above. A curve may dip and come back, so the level at `hz` alone does not tell.
pub fn holds_to(circuit: &Circuit, hz: f64) -> bool {
    let floor = circuit.square(0.0) * 0.5;
    // Most that fall are down at the end: one look, where the way there takes many.
    circuit.square(hz) >= floor && points().take_while(|at| *at < hz).all(|at| circuit.square(at) >= floor)
}

/// The frequencies that a curve is searched at, upwards.
fn points() -> impl Iterator<Item = f64> {
    let points = (HIGHEST / LOWEST).log10() as usize * POINTS_A_DECADE + 1;
    let step = (HIGHEST / LOWEST).ln() / (points - 1) as f64;
    (0..points).map(move |i| LOWEST * (step * i as f64).exp())
}

/// The top of a curve that rises and then falls between two frequencies: golden-section search.
fn top(circuit: &Circuit, from: f64, to: f64) -> (f64, f64) {
    const GOLDEN: f64 = 0.618_033_988_749_894_9;
    let (mut a, mut b) = (from.ln(), to.ln());
    let at = |x: f64| circuit.square(x.exp());
    let (mut x, mut y) = (b - GOLDEN * (b - a), a + GOLDEN * (b - a));
    let (mut fx, mut fy) = (at(x), at(y));
    for _ in 0..60 {
        if fx < fy {
            (a, x, fx) = (x, y, fy);
            y = a + GOLDEN * (b - a);
            fy = at(y);
        } else {
            (b, y, fy) = (y, x, fx);
            x = b - GOLDEN * (b - a);
            fx = at(x);
        }
    }
    let hz = (0.5 * (a + b)).exp();
    (hz, circuit.level(hz))
}

/// Where a falling curve meets a level: bisection.
fn crossing(circuit: &Circuit, floor: f64, from: f64, to: f64) -> f64 {
    let (mut a, mut b) = (from, to);
    for _ in 0..80 {
        let middle = 0.5 * (a + b);
        if circuit.square(middle) < floor { b = middle } else { a = middle }
    }
    0.5 * (a + b)
}
