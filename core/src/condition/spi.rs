//! SPI: words on a clocked line while the device is selected.
//!
//! ```text
//! select ▔╲____________________________╱▔     bits: data at each sampling edge of the clock
//! clock  ____╱▔╲_╱▔╲_╱▔╲_ ⋯ _╱▔╲_╱▔╲_____     while select is active; a word is told at the
//! data   ══╳═══╳═══╳═══ ⋯ ══╳═══╳════════     edge of its last bit
//!            ▲   ▲   ▲        ▲   ▲
//! ```

use super::lines::{Lines, change};
use super::{Configuration, Relaxed, configuration};
use crate::{Block, Condition, ConfigError, Event, EventKind, Level, Sample, Side, Slope};

configuration! {
    /// Fires when a word is sent on an SPI line: [`Spi`].
    pub struct SpiConfig<T: Sample> {
        /// The clock line.
        pub clock: Level<T>,
        /// The data line.
        pub data: Level<T>,
        /// The line that selects the device.
        pub select: Level<T>,
        /// The format of the words, and which words count.
        pub format: SpiFormat,
    }
}

impl<T: Sample> Configuration<T> for SpiConfig<T> {
    type Condition = Spi<T>;

    fn build(self) -> Result<Self::Condition, ConfigError> {
        Spi::new(self.clock, self.data, self.select, self.format)
    }

    fn levels(&self, each: &mut dyn FnMut(Slope, Level<T>)) {
        for level in [self.clock, self.data, self.select] {
            each(Slope::Rising, level);
        }
    }

    fn relaxed(&self) -> Option<Relaxed<T>> {
        let format = SpiFormat { mask: 0, ..self.format };
        Some(Relaxed { setup: Self { format, ..*self }.into(), time: None })
    }
}

/// The bit of a word that comes first.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "kebab-case"))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum BitOrder {
    /// The most significant bit.
    #[default]
    MostSignificantFirst,
    /// The least significant bit.
    LeastSignificantFirst,
}

/// The format of words, and which words count.
///
/// For mode 1 and words of 16 bits:
///
/// ```
/// use stillwave::{Slope, SpiFormat};
/// // Mode 1, words of 16 bits.
/// let format = SpiFormat { sampling: Slope::Falling, bits: 16, ..SpiFormat::default() };
/// assert!(format.validated().is_ok());
/// assert!(SpiFormat { mask: 0x100, ..SpiFormat::default() }.validated().is_err());
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct SpiFormat {
    /// The clock edge at which data is valid: rising in modes 0 and 3, falling in 1 and 2.
    pub sampling: Slope,
    /// The side of the select line on which the device is selected.
    pub active: Side,
    /// The number of bits in a word: 1 to 32.
    pub bits: u8,
    /// The bit that comes first.
    pub order: BitOrder,
    /// A word counts if it equals this one in the bits that are set in `mask`.
    pub word: u32,
    /// The bits of `word` that must match: 0 for every word.
    pub mask: u32,
}

impl Default for SpiFormat {
    /// Every byte counts, in mode 0, selected low, most significant bit first.
    fn default() -> Self {
        Self {
            sampling: Slope::Rising,
            active: Side::Low,
            bits: 8,
            order: BitOrder::MostSignificantFirst,
            word: 0,
            mask: 0,
        }
    }
}

impl SpiFormat {
    /// Returns the format unchanged if its values are in range.
    ///
    /// # Errors
    /// `bits` is 0 or over 32; `mask` has a bit that words do not have.
    pub fn validated(self) -> Result<Self, ConfigError> {
        if !(1..=32).contains(&self.bits) {
            return Err(ConfigError::new("bits", f64::from(self.bits), "1 to 32"));
        }
        if u64::from(self.mask) >> self.bits != 0 {
            return Err(ConfigError::new("mask", f64::from(self.mask), "within a word's bits"));
        }
        Ok(self)
    }
}

/// Fires on the words of an SPI line, while the device is selected.
///
/// The lines are high from the first sample x ≥ L on and low from the first sample x < L − h on.
/// While select is on its active side, each sampling edge of the clock takes a bit from the data
/// line. The bits of a word are counted from the point where select became active, or from the end
/// of the previous word. A word is reported at the edge of its last bit; a word that ends early is
/// not reported. If select is active at the start of the stream or after a gap, nothing is read
/// until it has been inactive.
///
/// Data and select are taken at the sample of the edge, including changes at that sample. (There is
/// no standard; the four modes are common practice.)
///
/// ```
/// use stillwave::{Block, Condition, EventKind, Level, Spi, SpiFormat};
/// let (mut select, mut clock, mut data) = (vec![200u8], vec![0u8], vec![0u8]);
/// for bit in [1, 0, 1, 0, 0, 1, 0, 1] {
///     select.extend([0, 0]);
///     clock.extend([0, 200]);
///     data.extend([200 * bit; 2]);
/// }
/// let level = Level::<u8>::new(100, 20)?;
/// // Bytes whose lower half is 5.
/// let format = SpiFormat { word: 0x05, mask: 0x0F, ..SpiFormat::default() };
/// let mut spi = Spi::new(level, level.on_channel(1), level.on_channel(2), format)?;
/// let channels = [&clock[..], &data[..], &select[..]];
/// let event = spi.next(&Block::new(0, &channels)).unwrap();
/// assert_eq!((event.at.position, event.kind), (16, EventKind::Spi { word: 0xA5 }));
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Debug)]
pub struct Spi<T: Sample> {
    /// The clock line, the data line and the select line.
    lines: Lines<T, 3>,
    format: SpiFormat,
    /// The bits of the word in progress, and their number; `None` while the device is not selected.
    word: Option<(u32, u8)>,
}

impl<T: Sample> Spi<T> {
    /// Makes a condition for words of `format` on the channels of `clock`, `data` and `select`.
    ///
    /// # Errors
    /// The errors of [`Level::new`] and [`SpiFormat::validated`].
    pub fn new(
        clock: Level<T>,
        data: Level<T>,
        select: Level<T>,
        format: SpiFormat,
    ) -> Result<Self, ConfigError> {
        let lines = Lines::three([clock, data, select])?;
        Ok(Self { lines, format: format.validated()?, word: None })
    }

    /// Takes a bit, and returns the word if the bit ends one.
    #[inline]
    fn bit(&mut self, one: bool) -> Option<u32> {
        let (word, taken) = self.word?;
        let one = u32::from(one);
        let word = match self.format.order {
            BitOrder::MostSignificantFirst => word << 1 | one,
            BitOrder::LeastSignificantFirst => word | one.checked_shl(taken.into()).unwrap_or(0),
        };
        let ends = taken + 1 >= self.format.bits;
        self.word = Some(if ends { (0, 0) } else { (word, taken + 1) });
        ends.then_some(word)
    }
}

impl<T: Sample> Condition for Spi<T> {
    type Sample = T;

    #[inline]
    fn next(&mut self, block: &Block<'_, T>) -> Option<Event> {
        let format = self.format;
        loop {
            let [clock, _, select] = self.lines.next(block)?;
            let [_, data, _] = self.lines.now();
            if let Some(select) = change(select) {
                self.word = (select.into == format.active).then_some((0, 0));
            }
            if let (Some(clock), Some(data)) = (change(clock), data)
                && clock.into == Side::from(format.sampling)
                && let Some(word) = self.bit(data == Side::High)
                && (word ^ format.word) & format.mask == 0
            {
                return Some(Event { at: clock.at, kind: EventKind::Spi { word } });
            }
        }
    }

    fn gap(&mut self) {
        self.lines.gap();
        self.word = None;
    }

    fn reset(&mut self) {
        self.lines.reset();
        self.word = None;
    }
}
