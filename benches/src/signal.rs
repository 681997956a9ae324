//! The signals: what makes a trigger's work easy, usual and hard.

use crate::buffer::Buffer;
use crate::sample::Bench;

/// A kind of signal.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Signal {
    /// Never near the level.
    Quiet,
    /// A sine of 1000 samples a period.
    Sine,
    /// A rising edge every 4 samples.
    Every4,
    /// Every value as likely as any other.
    Noise,
    /// Runs of 1 to 16 samples on either side: branches cannot be guessed.
    Runs,
}

impl Signal {
    /// All of them.
    pub const ALL: [Self; 5] = [Self::Quiet, Self::Sine, Self::Every4, Self::Noise, Self::Runs];

    /// The name in reports.
    pub fn name(self) -> &'static str {
        match self {
            Self::Quiet => "quiet",
            Self::Sine => "sine of 1000",
            Self::Every4 => "edge every 4",
            Self::Noise => "white noise",
            Self::Runs => "random runs",
        }
    }

    /// Samples of this signal, the same every time.
    pub fn samples<T: Bench>(self, len: usize) -> Buffer<T> {
        let mut random = Random(0x9E37_79B9_7F4A_7C15);
        let mut run = (0, false);
        let mut samples = Buffer::<T>::zeros(len);
        for (i, sample) in samples.iter_mut().enumerate() {
            let x = match self {
                Self::Quiet => -0.5 - 0.4 * random.unit(),
                Self::Sine => ((i % 1000) as f32 * (std::f32::consts::TAU / 1000.0)).sin() * 0.9,
                Self::Every4 => [-0.5, -0.5, 0.5, 0.5][i % 4],
                Self::Noise => 2.0 * random.unit() - 1.0,
                Self::Runs => {
                    if run.0 == 0 {
                        run = (1 + random.next() % 16, !run.1);
                    }
                    run.0 -= 1;
                    if run.1 { 0.5 } else { -0.5 }
                }
            };
            *sample = T::at(x);
        }
        samples
    }
}

/// xorshift64*: repeats after 2^64 - 1 numbers, so that no branch predictor can learn it.
struct Random(u64);

impl Random {
    fn next(&mut self) -> u64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        self.0.wrapping_mul(0x2545_F491_4F6C_DD1D) >> 32
    }

    /// From 0 to 1.
    fn unit(&mut self) -> f32 {
        (self.next() >> 8) as f32 / (1 << 24) as f32
    }
}
