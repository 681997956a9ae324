//! I²C: the traffic between a controller and its targets.
//!
//! ```text
//! clock ▔▔▔▔▔╲__╱▔╲__╱▔╲ ⋯ __╱▔╲__╱▔▔▔▔     start: data falls while the clock is high
//! data  ▔▔▔╲____╱▔▔▔▔▔╲ ⋯ ╲_______╱▔▔     stop: data rises while the clock is high
//!          ▲     ▲    ▲       ▲    ▲      bits: data as the clock rises, the ninth of
//!        start   1    0      ack  stop    each byte low where it is acknowledged
//! ```

use super::lines::{Lines, change};
use super::sides::Turn;
use super::{Configuration, Relaxed, configuration};
use crate::{
    Block, Condition, ConfigError, Event, EventKind, Instant, Level, Sample, Side, Slope, Span,
};

configuration! {
    /// Fires on starts, stops and bytes of an I²C bus: [`I2c`].
    pub struct I2cConfig<T: Sample> {
        /// The clock line.
        pub clock: Level<T>,
        /// The data line.
        pub data: Level<T>,
        /// Which of these fires.
        pub when: I2cWhen,
        /// Spikes up to this length are ignored.
        pub spikes: Span,
    }
}

impl<T: Sample> Configuration<T> for I2cConfig<T> {
    type Condition = I2c<T>;

    fn build(self) -> Result<Self::Condition, ConfigError> {
        Ok(I2c::new(self.clock, self.data, self.when)?.without_spikes(self.spikes))
    }

    fn levels(&self, each: &mut dyn FnMut(Slope, Level<T>)) {
        each(Slope::Rising, self.clock);
        each(Slope::Rising, self.data);
    }

    fn relaxed(&self) -> Option<Relaxed<T>> {
        Some(Relaxed { setup: Self { when: I2cWhen::Any, ..*self }.into(), time: None })
    }
}

/// Which events on an I²C bus fire.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "kebab-case"))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum I2cWhen {
    /// Every start, stop, address byte and data byte.
    #[default]
    Any,
    /// A start, including a repeated one.
    Start,
    /// A stop.
    Stop,
    /// An address byte.
    Address {
        /// The 7-bit address.
        address: u8,
        /// `true` for a read, `false` for a write, `None` for either.
        read: Option<bool>,
    },
    /// A data byte in the range from the first to the second, both included.
    Data(u8, u8),
    /// An address or data byte that was not acknowledged.
    MissingAcknowledge,
}

/// What happened on an I²C bus.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "kebab-case"))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum I2cEvent {
    /// A start, or a repeated one.
    Start,
    /// A stop.
    Stop,
    /// The first byte after a start: the address.
    Address {
        /// The 7-bit address.
        address: u8,
        /// Whether the controller reads from the target.
        read: bool,
        /// Whether a target acknowledged the byte.
        acknowledged: bool,
    },
    /// A later byte, with data.
    Data {
        /// The value of the byte.
        value: u8,
        /// Whether its receiver acknowledged the byte.
        acknowledged: bool,
    },
}

/// Fires on the starts, stops and bytes of an I²C bus, whose clock and data lines are two channels.
///
/// Both lines are high from the first sample x ≥ L on and low from the first sample x < L − h on.
/// When the data line falls while the clock is high, that is a start; when it rises, a stop. The
/// side of the data line as the clock rises is a bit. Bytes count from a start to the next stop,
/// most significant bit first. Each byte is reported at the clock edge of its ninth bit, the
/// acknowledgement; a byte that ends early is not reported. Starts and stops are reported where the
/// data line passes its level.
///
/// If both lines change at the same sample, the data is taken to change while the clock is low:
/// before it rises, or after it has fallen. A 10-bit address comes as an address byte of 0x78 to
/// 0x7B followed by a data byte. (UM10204: start and stop 3.1.4, bytes 3.1.5, acknowledgement
/// 3.1.6, addresses of 10 bits 3.1.11; from memory.)
///
/// ```
/// use stillwave::{Block, Condition, EventKind, I2c, I2cEvent, I2cWhen, Level};
/// // A start, address 0x50 for writing, acknowledged.
/// let (mut clock, mut data) = (vec![200u8, 200, 0], vec![200u8, 0, 0]);
/// for bit in [1, 0, 1, 0, 0, 0, 0, 0, 0] {
///     clock.extend([0, 200, 0]);
///     data.extend([200 * bit; 3]);
/// }
/// let level = Level::<u8>::new(100, 20)?;
/// let when = I2cWhen::Address { address: 0x50, read: None };
/// let mut i2c = I2c::new(level, level.on_channel(1), when)?;
/// let channels = [&clock[..], &data[..]];
/// let event = i2c.next(&Block::new(0, &channels)).unwrap();
/// let what = I2cEvent::Address { address: 0x50, read: false, acknowledged: true };
/// assert_eq!(event.kind, EventKind::I2c { what });
/// assert_eq!(event.at.position, 28);
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Debug)]
pub struct I2c<T: Sample> {
    /// The clock line and the data line.
    lines: Lines<T, 2>,
    when: I2cWhen,
    /// The transfer in progress.
    transfer: Option<Transfer>,
}

#[derive(Clone, Copy, Debug, Default)]
struct Transfer {
    /// Whether the address has been seen.
    addressed: bool,
    /// The bits of the byte in progress, and their number: 0 to 8.
    byte: u8,
    bits: u8,
}

impl<T: Sample> I2c<T> {
    /// Makes a condition for the bus whose lines are the channels of `clock` and `data`.
    ///
    /// # Errors
    /// The errors of [`Level::new`]; an address of more than 7 bits; a data range whose end is
    /// below its beginning.
    pub fn new(clock: Level<T>, data: Level<T>, when: I2cWhen) -> Result<Self, ConfigError> {
        match when {
            I2cWhen::Address { address: address @ 0x80.., .. } => {
                Err(ConfigError::new("address", address.into(), "below 128"))
            }
            I2cWhen::Data(from, to) if to < from => {
                Err(ConfigError::new("last byte", to.into(), "at or over the first"))
            }
            _ => Ok(Self { lines: Lines::two([clock, data])?, when, transfer: None }),
        }
    }

    /// Ignores spikes of up to `longest` on both lines, as receivers do in fast mode: up to 50 ns
    /// (UM10204, table 10; from memory).
    ///
    /// Everything else is reported later by the same time, when it is certain.
    #[must_use]
    pub fn without_spikes(mut self, longest: Span) -> Self {
        self.lines.pass_over(longest);
        self
    }

    /// The event of a change of the data line while the clock is high.
    #[inline]
    fn data(&mut self, into: Side) -> I2cEvent {
        match into {
            Side::Low => {
                self.transfer = Some(Transfer::default());
                I2cEvent::Start
            }
            Side::High => {
                self.transfer = None;
                I2cEvent::Stop
            }
        }
    }

    /// Takes a bit as the clock rises.
    #[inline]
    fn bit(&mut self, data: Option<Side>) -> Option<I2cEvent> {
        let transfer = self.transfer.as_mut()?;
        let one = data? == Side::High;
        if transfer.bits < 8 {
            transfer.bits += 1;
            transfer.byte = transfer.byte << 1 | u8::from(one);
            return None;
        }
        let (value, acknowledged) = (transfer.byte, !one);
        let addressed = core::mem::replace(&mut transfer.addressed, true);
        transfer.bits = 0;
        Some(if addressed {
            I2cEvent::Data { value, acknowledged }
        } else {
            I2cEvent::Address { address: value >> 1, read: value & 1 == 1, acknowledged }
        })
    }

    fn wanted(&self, event: I2cEvent) -> bool {
        match (self.when, event) {
            (I2cWhen::Any, _)
            | (I2cWhen::Start, I2cEvent::Start)
            | (I2cWhen::Stop, I2cEvent::Stop) => true,
            (I2cWhen::Address { address, read }, I2cEvent::Address { address: a, read: r, .. }) => {
                address == a && read.is_none_or(|read| read == r)
            }
            (I2cWhen::Data(from, to), I2cEvent::Data { value, .. }) => (from..=to).contains(&value),
            (
                I2cWhen::MissingAcknowledge,
                I2cEvent::Address { acknowledged, .. } | I2cEvent::Data { acknowledged, .. },
            ) => !acknowledged,
            _ => false,
        }
    }

    /// The event of what the lines do at one sample, if there is one.
    #[inline]
    fn step(&mut self, [clock, data]: [Option<Turn>; 2]) -> Option<(Instant, I2cEvent)> {
        let [clock_now, data_now] = self.lines.now();
        match (clock, change(data)) {
            (None, Some(data)) if clock_now == Some(Side::High) => {
                Some((data.at, self.data(data.into)))
            }
            // Without a clock known before there was no start, and no bit counts.
            (Some(clock), _) if clock.into == Side::High => {
                self.bit(data_now).map(|what| (clock.at, what))
            }
            _ => None,
        }
    }
}

impl<T: Sample> Condition for I2c<T> {
    type Sample = T;

    #[inline]
    fn next(&mut self, block: &Block<'_, T>) -> Option<Event> {
        loop {
            let turns = self.lines.next(block)?;
            if let Some((at, what)) = self.step(turns)
                && self.wanted(what)
            {
                return Some(Event { at, kind: EventKind::I2c { what } });
            }
        }
    }

    fn gap(&mut self) {
        self.lines.gap();
        self.transfer = None;
    }

    fn reset(&mut self) {
        self.lines.reset();
        self.transfer = None;
    }
}
