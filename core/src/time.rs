//! Time, counted in samples: positions, instants between samples, and spans.
//!
//! A *position* is a plain `u64`: the number of samples since the start of the stream, lost ones
//! included. It does not wrap; it saturates at the largest `u64`, which 1 GS/s reaches after 584
//! years.

use core::cmp::Ordering;

/// The number of parts a sample interval is divided into: instants and spans are counted in these.
pub const PARTS_PER_SAMPLE: u64 = 1 << 16;

/// A point in time: at a sample, or up to one sample before it.
///
/// ```
/// use stillwave::Instant;
/// let crossing = Instant { position: 1000, lead: 0x4000 };
/// assert_eq!(crossing.samples(), 999.75);
/// ```
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Instant {
    /// The first sample at or past the level.
    pub position: u64,
    /// How far before that sample the level was crossed, by linear interpolation, in 1/65536 of a
    /// sample: 0 to 65536, rounded down.
    pub lead: u32,
}

impl Instant {
    /// The instant of the sample at `position`.
    #[inline]
    pub const fn at(position: u64) -> Self {
        Self { position, lead: 0 }
    }

    /// The instant as a number of samples since the start of the stream. Exact to 1/65536 of a
    /// sample below position 2^37, and to one sample below 2^53.
    pub fn samples(self) -> f64 {
        self.position as f64 - f64::from(self.lead) / PARTS_PER_SAMPLE as f64
    }

    /// Whether this instant comes before another: by position, and at the same position by lead.
    #[inline]
    pub(crate) fn precedes(self, other: Instant) -> bool {
        match self.position.cmp(&other.position) {
            Ordering::Less => true,
            Ordering::Equal => self.lead > other.lead,
            Ordering::Greater => false,
        }
    }

    /// The first sample that is at least `time` later than this instant.
    #[inline]
    pub(crate) fn after(self, time: Span) -> u64 {
        let parts = time.0.saturating_sub(u64::from(self.lead));
        self.position.saturating_add(parts.div_ceil(PARTS_PER_SAMPLE))
    }

    /// The time from `earlier` to this instant; zero if `earlier` is in fact later.
    #[inline]
    pub fn since(self, earlier: Instant) -> Span {
        // A lead is a sample at most: what is at a later position is no earlier.
        let Some(samples) = self.position.checked_sub(earlier.position) else {
            return Span::ZERO;
        };
        let leads = i64::from(earlier.lead) - i64::from(self.lead);
        match samples.checked_mul(PARTS_PER_SAMPLE) {
            Some(parts) => Span(parts.saturating_add_signed(leads)),
            None => Span::MAX,
        }
    }
}

/// A length of time in 1/65536 of a sample: pulse widths, intervals and their bounds.
///
/// Saturates at 2^48 samples, which is three days at 1 GS/s.
///
/// ```
/// use stillwave::Span;
/// // 12 µs at 500 kS/s
/// assert_eq!(Span::from_seconds(12e-6, 500e3), Some(Span::samples(6)));
/// assert_eq!(Span::from_samples(2.5), Some(Span::from_parts(163_840)));
/// ```
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Span(u64);

impl Span {
    /// Zero time.
    pub const ZERO: Self = Self(0);
    /// The longest span.
    pub const MAX: Self = Self(u64::MAX);

    /// A span of a whole number of samples.
    #[inline]
    pub const fn samples(samples: u64) -> Self {
        Self(samples.saturating_mul(PARTS_PER_SAMPLE))
    }

    /// A span of `parts` times 1/65536 of a sample.
    #[inline]
    pub const fn from_parts(parts: u64) -> Self {
        Self(parts)
    }

    /// The length in 1/65536 of a sample.
    #[inline]
    pub const fn parts(self) -> u64 {
        self.0
    }

    /// A span of a number of samples, rounded to the nearest 1/65536 and limited to
    /// [`MAX`](Self::MAX). `None` if the number is negative or not a number.
    pub fn from_samples(samples: f64) -> Option<Self> {
        (samples >= 0.0).then(|| Self(libm::round(samples * PARTS_PER_SAMPLE as f64) as u64))
    }

    /// A span in seconds at a rate in samples a second, rounded to the nearest 1/65536 of a sample.
    /// `None` if either is negative or not a number, or if the rate is 0.
    pub fn from_seconds(seconds: f64, rate: f64) -> Option<Self> {
        if rate > 0.0 { Self::from_samples(seconds * rate) } else { None }
    }

    /// The length in samples.
    pub fn to_samples(self) -> f64 {
        self.0 as f64 / PARTS_PER_SAMPLE as f64
    }

    /// The length in seconds, at a rate in samples a second, which must be over 0.
    pub fn to_seconds(self, rate: f64) -> f64 {
        self.to_samples() / rate
    }
}

/// Converts `seconds` to a number of samples, at `rate` samples a second.
///
/// A product within 2^-20 of a whole number, or within its own last two bits, is rounded to that
/// number. Without this, the last bit of `0.002` would turn `2 ms` at 1 MS/s into 2001 samples when
/// rounded up.
///
/// ```
/// assert_eq!(0.07 * 100.0, 7.000000000000001);
/// assert_eq!(stillwave::samples_in(0.07, 100.0), 7.0);
/// assert_eq!(stillwave::samples_in(0.0625, 100.0), 6.25);
/// ```
pub fn samples_in(seconds: f64, rate: f64) -> f64 {
    let samples = seconds * rate;
    let whole = libm::round(samples);
    let noise = (1.0 / 1_048_576.0_f64).max(libm::fabs(samples) * (2.0 * f64::EPSILON));
    if libm::fabs(samples - whole) <= noise { whole } else { samples }
}

/// The smallest whole number of samples that covers `seconds` at `rate` samples a second.
///
/// It is [`samples_in`] rounded up; holdoff, delays and record lengths are counted this way. `None`
/// if either is negative or not a number, or if the rate is 0.
///
/// ```
/// use stillwave::whole_samples;
/// assert_eq!(whole_samples(2e-3, 1e6), Some(2000));
/// // 2.4 samples are covered by 3.
/// assert_eq!(whole_samples(2.4e-6, 1e6), Some(3));
/// assert_eq!(whole_samples(-1.0, 1e6), None);
/// ```
pub fn whole_samples(seconds: f64, rate: f64) -> Option<u64> {
    let samples = libm::ceil(samples_in(seconds, rate));
    (rate > 0.0 && seconds >= 0.0).then_some(samples as u64)
}
