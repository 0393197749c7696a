//! Circuits: segments between buffers, one after another. Source of all formulas here: circuit theory (voltage
//! divider, Kirchhoff's current law at each node); ngspice `.ac` analysis agrees (see the tests).

use super::complex::Complex;

/// What drives a segment: an ideal voltage behind a resistance, or a pickup.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Source {
    /// Resistance in series, in ohm: of a coil, or behind an output. 0 is an ideal source.
    pub ohm: f64,
    /// Inductance in series, in henry; 0 for anything but a pickup.
    pub henry: f64,
    /// Capacitance across the coil, in farad.
    pub farad: f64,
    /// Conductance across the coil, in siemens: what iron and covers lose; 0 where nobody measured it.
    pub siemens: f64,
    /// A volume control: its track from end to end in ohm, and the share of it below the wiper, 0 to 1.
    pub volume: Option<(f64, f64)>,
}

/// A stretch of the path between two devices that drive: everything in it hangs on one node, as leads have
/// no resistance worth counting.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Segment {
    /// What drives it.
    pub source: Source,
    /// Capacitance of its leads, in farad.
    pub farad: f64,
    /// The inputs that load it, in ohm each; none is an open end.
    pub loads: Vec<f64>,
    /// Gain of the device that drives it, in dB.
    pub gain: f64,
}

/// A whole path.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Circuit {
    /// Its segments, in the direction of the signal: each behind what feeds it, the end of the path last.
    pub segments: Vec<Segment>,
    /// What feeds each segment; empty where each is fed by the one before it.
    pub feeds: Vec<Feed>,
}

/// What the device that drives a segment hears.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Feed {
    /// The ways that it throws together; none for the first source.
    pub legs: Vec<Leg>,
    /// It is known how they stand to each other, so that they add with their phases; else as magnitudes, the most that
    /// they can come to.
    pub known: bool,
    /// The device turns what comes out upside down.
    pub turned: bool,
}

/// One way into a device.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Leg {
    /// The segment at whose end it comes in.
    pub of: usize,
    /// How loud it comes into the sum, in dB.
    pub gain: f64,
    /// It is turned upside down there.
    pub turned: bool,
}

/// A ratio of voltages in dB: 20·log10 |H|, from the square of its magnitude.
pub fn decibel(square: f64) -> f64 {
    10.0 * square.log10()
}

impl Feed {
    /// One way, as it comes.
    pub fn of(segment: usize) -> Feed {
        Feed { legs: vec![Leg { of: segment, gain: 0.0, turned: false }], known: true, turned: false }
    }
}

impl Segment {
    /// Conductance of all loads together, in siemens: the sum of 1/R.
    pub fn conductance(&self) -> f64 {
        // From +0: the sum of nothing is -0, and an open end would load the source with minus infinity.
        self.loads.iter().map(|ohm| 1.0 / ohm).fold(0.0, |sum, one| sum + one)
    }

    /// All loads together, in ohm; infinite for an open end.
    pub fn load(&self) -> f64 {
        1.0 / self.conductance()
    }

    /// The voltage at the loads for 1 V of the source, without gain, at angular frequency `w` (rad/s).
    ///
    /// With Z = R + jwL in series, the winding's C and losses G, the part of the volume control above the wiper Rt,
    /// the part below it Rb, and Y = 1/Rb + 1/Rload + jwClead at the wiper:
    /// H = 1 / ((1 + Rt·Y)·(1 + Z·(G + jwC)) + Z·Y).
    /// Without a volume control Rt = 0 and Rb is open, and for a plain source L = C = 0: H = 1 / (1 + R·Y).
    pub fn response(&self, w: f64) -> Complex {
        let (above, below) = match self.source.volume {
            // Turned right down the wiper lies on ground.
            Some((_, share)) if share <= 0.0 => return Complex::new(0.0, 0.0),
            Some((track, share)) => (track * (1.0 - share), 1.0 / (track * share)),
            None => (0.0, 0.0),
        };
        let z = Complex::new(self.source.ohm, w * self.source.henry);
        let y = Complex::new(below + self.conductance(), w * self.farad);
        let coil = Complex::ONE + z * Complex::new(self.source.siemens, w * self.source.farad);
        let bottom = (Complex::ONE + y * above) * coil + z * y;
        // 1/z is the conjugate of z over |z|².
        let square = bottom.square();
        Complex::new(bottom.re / square, -bottom.im / square)
    }

    /// The resistance that the loads look into at low frequency, in ohm: the coil's, with its losses, in parallel with the volume
    /// control's lower part, after its upper part (Thévenin).
    pub fn source_ohm(&self) -> f64 {
        let coil = self.source.ohm / (1.0 + self.source.ohm * self.source.siemens);
        match self.source.volume {
            Some((track, share)) => {
                let above = coil + track * (1.0 - share);
                let below = track * share;
                if below <= 0.0 { 0.0 } else { above * below / (above + below) }
            }
            None => coil,
        }
    }

    /// What the loads take at low frequency, in dB: Rload / (Rsource + Rload), 0 for an open end or an ideal source.
    pub fn loading(&self) -> f64 {
        let share = 1.0 / (1.0 + self.source_ohm() * self.conductance());
        20.0 * share.log10()
    }

    /// The frequency at which a plain source and the leads have taken 3.0103 dB, in Hz: 1 / (2·pi·R·C) with R the
    /// source parallel to the loads. None for a pickup, and where nothing falls.
    pub fn corner(&self) -> Option<f64> {
        let ohm = self.source_ohm() / (1.0 + self.source_ohm() * self.conductance());
        let plain = self.source.henry == 0.0;
        (plain && ohm * self.farad > 0.0).then(|| 1.0 / (std::f64::consts::TAU * ohm * self.farad))
    }
}

impl Circuit {
    /// Forgets what feeds the segments where that is the one before, each at its full level.
    pub fn straighten(&mut self) {
        let plain = |(at, feed): (usize, &Feed)| match feed.legs.as_slice() {
            [] => at == 0,
            [leg] => leg.of + 1 == at && leg.gain == 0.0,
            _ => false,
        };
        if self.feeds.iter().enumerate().all(plain) {
            self.feeds.clear();
        }
    }

    /// All segments that a signal at the end of one has come through, that one first.
    pub fn behind(&self, segment: usize) -> Vec<usize> {
        let mut all = vec![segment];
        let mut next = 0;
        while let Some(at) = all.get(next).copied() {
            let legs = self.feeds.get(at).map_or(&[][..], |f| f.legs.as_slice());
            let new: Vec<usize> = legs.iter().map(|leg| leg.of).filter(|of| !all.contains(of)).collect();
            all.extend(new);
            next += 1;
        }
        all
    }

    /// The square of the voltage at the end for 1 V of the first source, at `hz`: the product over the segments.
    pub fn square(&self, hz: f64) -> f64 {
        let w = std::f64::consts::TAU * hz;
        if !self.feeds.is_empty() {
            return self.ends(w).last().map_or(1.0, |end| end.square());
        }
        self.segments.iter().map(|s| s.response(w).square() * 10f64.powf(s.gain / 10.0)).product()
    }

    /// The voltage at the end of each segment for 1 V of the first source, at angular frequency `w`. Voltages that meet in
    /// a sum are added (superposition): as they stand where that is known, else their magnitudes.
    pub fn ends(&self, w: f64) -> Vec<Complex> {
        let mut ends: Vec<Complex> = Vec::with_capacity(self.segments.len());
        for (segment, feed) in self.segments.iter().zip(&self.feeds) {
            let at = |leg: &Leg| {
                let gain = 10f64.powf(leg.gain / 20.0) * if leg.turned { -1.0 } else { 1.0 };
                ends.get(leg.of).map_or(Complex::new(0.0, 0.0), |end| *end * gain)
            };
            let legs = feed.legs.iter();
            let fed = match feed.legs.as_slice() {
                [] => Complex::ONE,
                [one] => at(one),
                _ if feed.known => legs.fold(Complex::new(0.0, 0.0), |sum, leg| sum + at(leg)),
                _ => Complex::new(legs.map(|leg| at(leg).square().sqrt()).sum(), 0.0),
            };
            let gain = 10f64.powf(segment.gain / 20.0) * if feed.turned { -1.0 } else { 1.0 };
            ends.push(fed * segment.response(w) * gain);
        }
        ends
    }

    /// The level at the end in dB re the first source, at `hz`.
    pub fn level(&self, hz: f64) -> f64 {
        decibel(self.square(hz))
    }

    /// The level at `points` frequencies from `from` to `to` Hz, evenly spaced on a logarithmic scale: Hz and dB.
    pub fn curve(&self, from: f64, to: f64, points: usize) -> Vec<(f64, f64)> {
        let step = (to / from).ln() / (points.max(2) - 1) as f64;
        (0..points).map(|i| from * (step * i as f64).exp()).map(|hz| (hz, self.level(hz))).collect()
    }
}
