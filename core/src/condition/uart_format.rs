//! The format of characters on an asynchronous line.

use crate::{ConfigError, Side, Span};

/// The parity bit of a character.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "lowercase"))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Parity {
    /// No parity bit.
    #[default]
    None,
    /// Even parity: the number of ones among data and parity is even.
    Even,
    /// Odd parity: the number of ones among data and parity is odd.
    Odd,
}

/// The format of characters: a start bit, `data_bits` data bits with the least significant first, a
/// parity bit if there is one, and a stop bit.
///
/// Further stop bits count as a pause.
///
/// ```
/// use stillwave::{Parity, UartFormat};
/// // 9600 8E1, sampled at 1 MS/s.
/// let format = UartFormat { parity: Parity::Even, ..UartFormat::new(9600.0, 1e6)? };
/// assert_eq!(format.bit.parts(), 6_826_667);
/// // 3 samples a bit are too few.
/// assert!(UartFormat::new(115_200.0, 345_600.0).is_err());
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct UartFormat {
    /// The length of a bit: from 4 to 2^32 samples.
    pub bit: Span,
    /// The number of data bits: 5 to 9.
    pub data_bits: u8,
    /// The parity bit.
    pub parity: Parity,
    /// The side of an idle line, which is also the side of a one: high, or low on an inverting
    /// interface.
    pub idle: Side,
}

impl UartFormat {
    /// Makes a format with 8 data bits, no parity and an idle line that is high, of `baud` bits a
    /// second, on a line sampled `rate` times a second. Both must be over 0.
    ///
    /// # Errors
    /// The errors of [`validated`](Self::validated).
    pub fn new(baud: f64, rate: f64) -> Result<Self, ConfigError> {
        let bit = Span::from_samples(rate / baud).unwrap_or(Span::ZERO);
        Self { bit, data_bits: 8, parity: Parity::None, idle: Side::High }.validated()
    }

    /// The format of MIDI: 31.25 kBd, 8 data bits (IEC 63035).
    ///
    /// # Errors
    /// The errors of [`validated`](Self::validated).
    pub fn midi(rate: f64) -> Result<Self, ConfigError> {
        Self::new(31_250.0, rate)
    }

    /// The format of DMX512: 250 kBd, 8 data bits (ANSI E1.11; from memory).
    ///
    /// # Errors
    /// The errors of [`validated`](Self::validated).
    pub fn dmx512(rate: f64) -> Result<Self, ConfigError> {
        Self::new(250_000.0, rate)
    }

    /// Returns the format unchanged if its values are in range.
    ///
    /// # Errors
    /// `bit` is below 4 samples or over 2^32; `data_bits` is below 5 or over 9.
    pub fn validated(self) -> Result<Self, ConfigError> {
        if !(Span::samples(4)..=Span::samples(1 << 32)).contains(&self.bit) {
            let value = self.bit.to_samples();
            return Err(ConfigError::new("samples a bit", value, "4 to 2^32"));
        }
        if !(5..=9).contains(&self.data_bits) {
            return Err(ConfigError::new("data_bits", f64::from(self.data_bits), "5 to 9"));
        }
        Ok(self)
    }

    /// The number of the stop bit, with the start bit as 0.
    pub(super) fn stop(self) -> u32 {
        1 + u32::from(self.data_bits) + u32::from(self.parity != Parity::None)
    }

    /// Whether a character with these data and parity bits, data first, has the right parity.
    pub(super) fn parity_holds(self, bits: u16) -> bool {
        match self.parity {
            Parity::None => true,
            Parity::Even => bits.count_ones().is_multiple_of(2),
            Parity::Odd => !bits.count_ones().is_multiple_of(2),
        }
    }
}
