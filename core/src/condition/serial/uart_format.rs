//! How characters are sent on an asynchronous line.

use crate::{ConfigError, Side, Span};

/// The parity bit of a character.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "lowercase"))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Parity {
    /// There is none.
    #[default]
    None,
    /// The ones among data and parity are even in number.
    Even,
    /// The ones among data and parity are odd in number.
    Odd,
}

/// The format of characters: a start bit, `data_bits` data bits with the least significant first,
/// a parity bit if there is one, a stop bit. Further stop bits are a pause like any other.
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
    /// How long a bit is: from 4 to 2^32 samples.
    pub bit: Span,
    /// How many data bits: 5 to 9.
    pub data_bits: u8,
    /// The parity bit.
    pub parity: Parity,
    /// The side of a line at rest, which is that of a one too: high, or low where an interface
    /// inverts.
    pub idle: Side,
}

impl UartFormat {
    /// 8 data bits without parity, idle high, of `baud` bits a second, where the line is sampled
    /// `rate` times a second, both over 0.
    ///
    /// # Errors
    /// As [`validated`](Self::validated).
    pub fn new(baud: f64, rate: f64) -> Result<Self, ConfigError> {
        let bit = Span::from_samples(rate / baud).unwrap_or(Span::ZERO);
        Self { bit, data_bits: 8, parity: Parity::None, idle: Side::High }.validated()
    }

    /// MIDI: 31.25 kBd, 8 data bits (IEC 63035).
    ///
    /// # Errors
    /// As [`validated`](Self::validated).
    pub fn midi(rate: f64) -> Result<Self, ConfigError> {
        Self::new(31_250.0, rate)
    }

    /// DMX512: 250 kBd, 8 data bits (ANSI E1.11; from memory).
    ///
    /// # Errors
    /// As [`validated`](Self::validated).
    pub fn dmx512(rate: f64) -> Result<Self, ConfigError> {
        Self::new(250_000.0, rate)
    }

    /// The format itself where its values are in range.
    ///
    /// # Errors
    /// `bit` below 4 samples or over 2^32, `data_bits` below 5 or over 9.
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

    /// The number of the stop bit, the start bit being 0.
    pub(super) fn stop(self) -> u32 {
        1 + u32::from(self.data_bits) + u32::from(self.parity != Parity::None)
    }

    /// Whether a character with these data and parity bits, the data first, has the right parity.
    pub(super) fn parity_holds(self, bits: u16) -> bool {
        match self.parity {
            Parity::None => true,
            Parity::Even => bits.count_ones().is_multiple_of(2),
            Parity::Odd => !bits.count_ones().is_multiple_of(2),
        }
    }
}
