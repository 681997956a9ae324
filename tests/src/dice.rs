//! Numbers out of a seed, the same on every machine.

/// A `SplitMix64` generator ("Fast splittable pseudorandom number generators", OOPSLA 2014; from
/// memory).
#[derive(Clone, Debug)]
pub struct Dice(u64);

impl Dice {
    /// The sequence of one seed.
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// Any 64 bits.
    pub fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// A number below `n`, which is not 0.
    pub fn below(&mut self, n: u64) -> u64 {
        self.bits() % n
    }

    /// One of `choices`, of which there are some.
    pub fn pick<T: Copy>(&mut self, choices: &[T]) -> T {
        choices[self.below(choices.len() as u64) as usize]
    }

    /// A number from 0 to below 1.
    pub fn unit(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// A number from one to another.
    pub fn between(&mut self, from: f64, to: f64) -> f64 {
        from + (to - from) * self.unit()
    }

    /// A number from one to another, evenly in their logarithm.
    pub fn between_log(&mut self, from: f64, to: f64) -> f64 {
        from * (to / from).powf(self.unit())
    }

    /// A number of normal distribution, of deviation 1 (Box and Muller, 1958; textbook).
    pub fn normal(&mut self) -> f64 {
        let radius = (-2.0 * (1.0 - self.unit()).ln()).sqrt();
        radius * (std::f64::consts::TAU * self.unit()).cos()
    }
}
