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
