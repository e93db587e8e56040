//! Choices that look random and are the same in every run.

/// Numbers by Marsaglia's xorshift, from a state that is not nought.
pub struct Random(pub u64);

impl Random {
    /// The series of a seed; those of seeds that lie close by are far apart.
    pub fn of(seed: u64) -> Random {
        let mut random = Random(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1);
        for _ in 0..8 {
            random.next();
        }
        random
    }

    fn next(&mut self) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0 >> 11
    }

    /// A whole number below a bound.
    pub fn below(&mut self, bound: usize) -> usize {
        usize::try_from(self.next()).unwrap() % bound.max(1)
    }

    /// A number between two others.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.next() as f64 / (1_u64 << 53) as f64
    }

    /// True once in so many times.
    pub fn once_in(&mut self, times: usize) -> bool {
        self.below(times) == 0
    }
}
