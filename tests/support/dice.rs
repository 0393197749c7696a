//! Dice that fall the same for one seed on every machine: splitmix, 64 bits.

pub(crate) struct Dice(pub u64);

impl Dice {
    /// From 0 to one less than `sides`.
    pub(crate) fn roll(&mut self, sides: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) % sides as u64) as usize
    }

    /// True once in `n`.
    pub(crate) fn one_in(&mut self, n: usize) -> bool {
        self.roll(n) == 0
    }
}

/// A new seed each run, printed by the test that takes it; `TIPRING_SEED=n` throws the same dice again.
pub(crate) fn seed() -> u64 {
    let stated = std::env::var("TIPRING_SEED").ok().and_then(|n| n.parse().ok());
    let now = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH).map_or(0, |t| t.as_nanos() as u64);
    stated.unwrap_or(now ^ u64::from(std::process::id()) << 40)
}

/// So many cases, and more of them with `TIPRING_FULL=1`.
pub(crate) fn many(few: usize, full: usize) -> usize {
    if std::env::var_os("TIPRING_FULL").is_some() { full } else { few }
}
