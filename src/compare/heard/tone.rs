//! How much louder or duller a part becomes, where the book says enough to know.

use crate::Compiled;
use crate::ids::SceneId;
use crate::study::signal::{Found, Signal};

/// A change of less than this is not told, in dB. Common practice, no source: about what a player notices.
const LEAST_DB: f64 = 0.5;
/// A change of the -3 dB point by less than this share is not told. Common practice, no source.
const LEAST_SHARE: f64 = 0.1;
/// A change of the peak over the level at 1 kHz of less than this is not told, in dB. Common practice, no source.
const LEAST_PEAK: f64 = 1.0;

/// What becomes of level and treble.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Tone {
    /// Level at 1 kHz, new less old, in dB; None when it is not known or not worth a word.
    pub level: Option<f64>,
    /// The -3 dB point, old and new, in Hz; None when it is not known or not worth a word.
    pub treble: Option<(f64, f64)>,
    /// How far the curve's peak stands over the level at 1 kHz, new less old, in dB; None when it is not known or not
    /// worth a word.
    pub peak: Option<f64>,
}

impl Tone {
    /// True when there is nothing to tell.
    pub fn same(self) -> bool {
        self == Tone::default()
    }
}

/// Both books' signal paths.
pub(super) struct Tones<'c> {
    old: Signal<'c>,
    new: Signal<'c>,
}

impl<'c> Tones<'c> {
    /// Ready to measure.
    pub(super) fn new(old: &'c Compiled, new: &'c Compiled) -> Tones<'c> {
        Tones { old: Signal::new(&old.book, &old.table), new: Signal::new(&new.book, &new.table) }
    }

    /// Between an old scene on an old guitar and a new scene on a new one.
    pub(super) fn between(&mut self, old: (SceneId, usize), new: (SceneId, usize)) -> Tone {
        let (Some(was), Some(now)) = (self.old.found(old.0, old.1), self.new.found(new.0, new.1)) else {
            return Tone::default();
        };
        let level = was.level_1khz().zip(now.level_1khz()).map(|(was, now)| now - was);
        let treble = was.minus_3db().zip(now.minus_3db());
        let over = |found: &Found| Some(found.peak_db()? - found.level_1khz()?);
        let peak = over(&was).zip(over(&now)).map(|(was, now)| now - was);
        Tone {
            level: level.filter(|l| l.abs() >= LEAST_DB - 1e-9),
            treble: treble.filter(|(was, now)| (now / was - 1.0).abs() >= LEAST_SHARE),
            peak: peak.filter(|p| p.abs() >= LEAST_PEAK - 1e-9),
        }
    }
}
