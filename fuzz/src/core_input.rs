//! Settings and signals for the engine, out of bytes: small, and full of corners.

use arbitrary::{Arbitrary, Unstructured};
use stillwave_tests::dice::Dice;
use stillwave_tests::kind::Kind;
use stillwave_tests::oracle::{Hold, Width};
use stillwave_tests::scene::Act;

/// A sample type.
#[derive(Arbitrary, Clone, Copy, Debug)]
pub enum Type {
    U8,
    U16,
    I16,
    I32,
    F32,
}

/// Does something for the sample type that was chosen.
#[macro_export]
macro_rules! for_type {
    ($kind:expr, $check:ident($($argument:expr),*)) => {
        match $kind {
            $crate::core_input::Type::U8 => $check::<u8>($($argument),*),
            $crate::core_input::Type::U16 => $check::<u16>($($argument),*),
            $crate::core_input::Type::I16 => $check::<i16>($($argument),*),
            $crate::core_input::Type::I32 => $check::<i32>($($argument),*),
            $crate::core_input::Type::F32 => $check::<f32>($($argument),*),
        }
    };
}

/// A level with its hysteresis, among those that are hard.
#[derive(Arbitrary, Clone, Copy, Debug)]
pub struct Threshold {
    level: u8,
    hysteresis: u8,
}

impl Threshold {
    pub fn level<T: Kind>(self) -> T::Wide {
        T::level(&mut Dice::new(self.level.into()))
    }

    pub fn hysteresis<T: Kind>(self) -> T::Wide {
        T::hysteresis(&mut Dice::new(self.hysteresis.into()))
    }
}

/// The most samples in a signal.
const MOST: usize = 3000;

/// A signal in runs: what it is, and for how long.
#[derive(Clone, Debug)]
pub struct Wave(Vec<(u8, u8)>);

impl Arbitrary<'_> for Wave {
    fn arbitrary(bytes: &mut Unstructured<'_>) -> arbitrary::Result<Self> {
        let runs = bytes.arbitrary_len::<(u8, u8)>()?.min(500);
        (0..runs).map(|_| bytes.arbitrary()).collect::<Result<_, _>>().map(Self)
    }
}

/// As many as the byte says: mostly few.
fn few(byte: u8) -> usize {
    match byte {
        0..200 => usize::from(byte % 10),
        _ => usize::from(byte - 190) * 9,
    }
}

impl Wave {
    /// The samples, at and around levels with their hysteresis.
    pub fn samples<T: Kind>(&self, levels: &[T::Wide], hysteresis: T::Wide) -> Vec<T> {
        let corners: Vec<T> =
            levels.iter().flat_map(|&level| T::corners(level, hysteresis)).collect();
        let value = |byte: u8| match byte {
            0..160 => corners[usize::from(byte) % corners.len()],
            250.. => T::noise(&mut Dice::new(byte.into())).spoil(&mut Dice::new(byte.into()), 1),
            _ => {
                let level = levels[usize::from(byte) % levels.len()];
                T::near(level, hysteresis, i32::from(byte) - 205)
            }
        };
        let runs = self.0.iter().map(|&(byte, run)| std::iter::repeat_n(value(byte), 1 + few(run)));
        runs.flatten().take(MOST).collect()
    }
}

/// Signals of one length, each with its level and hysteresis: shorter ones stay where they end.
pub fn side_by_side<'a, T: Kind>(
    waves: impl IntoIterator<Item = (&'a Wave, T::Wide, T::Wide)>,
) -> Vec<Vec<T>> {
    let samples = |(wave, level, hysteresis): (&Wave, _, _)| wave.samples(&[level], hysteresis);
    let mut channels: Vec<Vec<T>> = waves.into_iter().map(samples).collect();
    let length = channels.iter().map(Vec::len).max().unwrap_or(0);
    for channel in &mut channels {
        let last = channel.last().copied().unwrap_or(T::MIN);
        channel.resize(length, last);
    }
    channels
}

/// Where a signal is cut, in turn.
#[derive(Arbitrary, Clone, Debug)]
pub struct Cuts([u8; 5]);

impl Cuts {
    pub fn lengths(&self) -> Vec<usize> {
        self.0.iter().map(|&byte| few(byte)).chain([257]).collect()
    }
}

/// A number of samples lost, or before the first.
#[derive(Arbitrary, Clone, Copy, Debug)]
pub enum Lost {
    None,
    Few(u8),
    Beyond32Bits(u8),
    BeyondDoubles(u8),
}

impl Lost {
    pub fn samples(self) -> u64 {
        match self {
            Self::None => 0,
            Self::Few(n) => n.into(),
            Self::Beyond32Bits(n) => (1 << 32) - 4 * u64::from(n),
            Self::BeyondDoubles(n) => (1 << 53) - 4 * u64::from(n),
        }
    }
}

/// A time in 1/65536 of a sample.
#[derive(Arbitrary, Clone, Copy, Debug)]
pub enum Bound {
    Near { samples: u8, parts: i8 },
    Any(u32),
    Longest,
}

impl Bound {
    pub fn parts(self) -> u64 {
        match self {
            Self::Near { samples, parts } => {
                (u64::from(samples) << 16).saturating_add_signed(parts.into())
            }
            Self::Any(parts) => parts.into(),
            Self::Longest => u64::MAX,
        }
    }

    /// As whole samples.
    pub fn samples(self) -> u64 {
        match self {
            Self::Longest => u64::MAX,
            other => other.parts() >> 16,
        }
    }
}

#[derive(Arbitrary, Clone, Copy, Debug)]
pub enum Widths {
    Shorter(Bound),
    Longer(Bound),
    Within(Bound, Bound),
    Outside(Bound, Bound),
}

impl Widths {
    pub fn width(self) -> Width {
        let pair = |a: Bound, b: Bound| (a.parts().min(b.parts()), a.parts().max(b.parts()));
        match self {
            Self::Shorter(a) => Width::ShorterThan(a.parts()),
            Self::Longer(a) => Width::LongerThan(a.parts()),
            Self::Within(a, b) => Width::Within(pair(a, b).0, pair(a, b).1),
            Self::Outside(a, b) => Width::Outside(pair(a, b).0, pair(a, b).1),
        }
    }
}

#[derive(Arbitrary, Clone, Copy, Debug)]
pub enum Holding {
    None,
    Samples(Bound),
    Every(u8),
}

impl Holding {
    pub fn hold(self) -> Hold {
        match self {
            Self::None => Hold::None,
            Self::Samples(bound) => Hold::Samples(bound.samples()),
            Self::Every(n) => Hold::Every(1 + u32::from(n % 8)),
        }
    }
}

/// What happens before which sample, in order; a few things at most.
pub fn acts<A, B>(acts: &[(u16, A)], act: impl Fn(&A) -> B) -> Vec<(usize, B)> {
    let mut placed: Vec<(usize, B)> =
        acts.iter().take(6).map(|(at, a)| (usize::from(*at) % MOST, act(a))).collect();
    placed.sort_by_key(|(at, _)| *at);
    placed
}

/// Gaps, and new beginnings of the stream.
pub fn breaks(breaks: &[(u16, Option<Lost>)]) -> Vec<(usize, Act)> {
    acts(breaks, |lost| lost.map_or(Act::Reset, |lost| Act::Gap(lost.samples())))
}
