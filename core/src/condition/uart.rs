//! UART: characters on an asynchronous line.
//!
//! ```text
//! ▔▔▔╲___╱▔▔▔╲_______╱▔ ⋯ ▔▔▔╱▔▔▔▔▔▔      start bit, data bits from the least significant on,
//!      ▲   ▲   ▲   ▲       ▲   ▲          parity, stop bit: each looked at in its middle;
//!    start 0   1   2    parity stop       a character is told at its stop bit
//! ```

use super::UartFormat;
use super::sides::Sides;
use super::{Configuration, PulseConfig, PulsePolarity, Relaxed, Setup, configuration};
use crate::{
    Block, Comparison, Condition, ConfigError, Event, EventKind, Instant, Level, Sample, Side,
    Slope, Span,
};

configuration! {
    /// Fires on characters, errors and breaks of an asynchronous line: [`Uart`].
    pub struct UartConfig<T: Sample> {
        /// The line.
        pub level: Level<T>,
        /// The format of the characters.
        pub format: UartFormat,
        /// Which of these fires.
        pub when: UartWhen,
    }
}

impl<T: Sample> Configuration<T> for UartConfig<T> {
    type Condition = Uart<T>;

    fn build(self) -> Result<Self::Condition, ConfigError> {
        Uart::new(self.level, self.format, self.when)
    }

    fn levels(&self, each: &mut dyn FnMut(Slope, Level<T>)) {
        each(Slope::Rising, self.level);
    }

    fn relaxed(&self) -> Option<Relaxed<T>> {
        let UartWhen::Break(time) = self.when else {
            return Some(Relaxed {
                setup: Self { when: UartWhen::Any, ..*self }.into(),
                time: None,
            });
        };
        // Every time that the line is not at rest is a pulse.
        let (polarity, level) = match self.format.idle {
            Side::High => (PulsePolarity::Negative, self.leaves_high()),
            Side::Low => (PulsePolarity::Positive, self.level),
        };
        let least = Span::from_parts(time.parts().saturating_sub(1));
        let pulse = PulseConfig { polarity, level, width: Comparison::ANY };
        Some(Relaxed::timed(Setup::from(pulse), Comparison::LongerThan(least)))
    }
}

impl<T: Sample> UartConfig<T> {
    /// The level at which the line leaves its high side: it is low from x < L − h on, and high
    /// again from the level itself on.
    fn leaves_high(&self) -> Level<T> {
        let Level { level, hysteresis, .. } = self.level;
        let low = T::saturating_sub(T::saturating_sub(level, hysteresis), T::STEP);
        Level { level: low, ..self.level }
    }
}

/// Which events on an asynchronous line fire.
///
/// Ranges include both ends; a break is a time in 1/65536 of a sample, over 0.
///
/// ```
/// use stillwave::{Level, Span, Uart, UartFormat, UartWhen};
/// let (level, format) = (Level::<u8>::new(100, 20)?, UartFormat::new(9600.0, 96e3)?);
/// // Longer than a character of 10 bits.
/// assert!(Uart::new(level, format, UartWhen::Break(Span::samples(101))).is_ok());
/// assert!(Uart::new(level, format, UartWhen::Character(9, 8)).is_err());
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "kebab-case"))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum UartWhen {
    /// Every character and every error in one. Starts and breaks do not fire.
    #[default]
    Any,
    /// The beginning of a character.
    Start,
    /// A character from the first to the second, both included, without an error.
    Character(u16, u16),
    /// A stop bit that is missing.
    FramingError,
    /// A parity bit that is wrong.
    ParityError,
    /// The line has been away from its idle side for this time.
    Break(Span),
}

/// What happened on an asynchronous line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "kebab-case"))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum UartEvent {
    /// A character began.
    Start,
    /// A character without errors.
    Character {
        /// The data bits.
        value: u16,
    },
    /// A stop bit was missing.
    FramingError {
        /// The data bits before it.
        value: u16,
    },
    /// A parity bit was wrong.
    ParityError {
        /// The data bits before it.
        value: u16,
    },
    /// The line was away from its idle side for a break.
    Break {
        /// How long the line has been away from its idle side, up to now.
        time: Span,
    },
}

/// Fires on the characters, errors and breaks of an asynchronous line.
///
/// The line is high from the first sample x ≥ L on and low from the first sample x < L − h on. A
/// character begins where the line leaves its idle side at the instant s. Bit n of it (the start
/// bit is 0) is the line's side at the sample nearest to s + (n + ½)·bit. If the line is idle again
/// at bit 0, no character began.
///
/// A start is reported at the sample of the start bit, everything else at the sample of the stop
/// bit; the next character may begin there. A framing error takes precedence over a parity error. A
/// missing stop bit after nothing but zeros is part of a break, and is not a framing error.
///
/// With b samples per bit and 10 bits per character, a sender's rate may be off by (½ − 1/b)/9.5:
/// by 2.6 % at 4 samples per bit, by 4.6 % at 16. If reception starts in the middle of a character,
/// the line may be misread up to the next pause.
///
/// A break is an absence from the idle side, from s to at least s + T, whatever its length in
/// characters. Its event is at the first sample at or after s + T, once per absence. (Start, data,
/// parity and stop bits: common practice.)
///
/// ```
/// use stillwave::{Block, Condition, EventKind, Level, Uart, UartEvent, UartFormat, UartWhen};
/// // "U", 10 samples a bit: 1 and 0 in turn, from the least significant on.
/// let bits = [1, 0, 1, 0, 1, 0, 1, 0, 1, 0, 1, 1];
/// let samples: Vec<u8> = bits.iter().flat_map(|bit| [200 * bit; 10]).collect();
/// let format = UartFormat::new(9600.0, 96e3)?;
/// let capitals = UartWhen::Character(b'A'.into(), b'Z'.into());
/// let mut uart = Uart::new(Level::<u8>::new(100, 20)?, format, capitals)?;
/// let channels = [&samples[..]];
/// let event = uart.next(&Block::new(0, &channels)).unwrap();
/// assert_eq!(event.kind, EventKind::Uart { what: UartEvent::Character { value: b'U'.into() } });
/// assert_eq!(event.at.position, 105);
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Debug)]
pub struct Uart<T: Sample> {
    line: Sides<T>,
    format: UartFormat,
    when: UartWhen,
    side: Option<Side>,
    character: Option<Character>,
    /// The beginning of an absence that has not been reported as a break.
    away: Option<Instant>,
}

/// A character in progress.
#[derive(Clone, Copy, Debug)]
struct Character {
    start: Instant,
    /// The number of the next bit.
    next: u32,
    /// The bits after the start bit, with the first in the least significant place.
    bits: u16,
}

impl<T: Sample> Uart<T> {
    /// Makes a condition for characters of `format` on the channel of `level`.
    ///
    /// # Errors
    /// The errors of [`Level::new`] and [`UartFormat::validated`]; a character range whose end is
    /// below its beginning; a break of zero time.
    pub fn new(level: Level<T>, format: UartFormat, when: UartWhen) -> Result<Self, ConfigError> {
        match when {
            UartWhen::Character(from, to) if to < from => {
                return Err(ConfigError::new("last character", to.into(), "at or over the first"));
            }
            UartWhen::Break(Span::ZERO) => {
                return Err(ConfigError::new("break", 0.0, "over 0"));
            }
            _ => {}
        }
        let (line, format) = (Sides::new(level)?, format.validated()?);
        Ok(Self { line, format, when, side: None, character: None, away: None })
    }

    /// Makes a condition for a DMX512 break on the channel of `level`, sampled `rate` times a
    /// second.
    ///
    /// It is as long as receivers must recognise, 88 µs (ANSI E1.11; from memory), less the two
    /// samples that slopes and sampling may hide.
    ///
    /// # Errors
    /// The errors of [`Uart::new`].
    pub fn dmx512_break(level: Level<T>, rate: f64) -> Result<Self, ConfigError> {
        let time = Span::from_samples(88e-6 * rate - 2.0).unwrap_or(Span::ZERO);
        Self::new(level, UartFormat::dmx512(rate)?, UartWhen::Break(time))
    }

    /// The sample at which the next bit of a character is read.
    #[inline]
    fn look(&self, character: Character) -> u64 {
        let half_bits = 2 * u64::from(character.next) + 1;
        // At least two samples, and at most 23·2^47 parts, as formats are checked.
        let after = self.format.bit.parts().saturating_mul(half_bits) / 2 + (1 << 15);
        let samples = after.saturating_sub(character.start.lead.into()) >> 16;
        character.start.position.saturating_add(samples)
    }

    /// Takes the next bit of a character, from a sample on side `side`.
    #[inline]
    fn take_bit(&mut self, mut character: Character, side: Side) -> Option<UartEvent> {
        let one = side == self.format.idle;
        let (number, stop) = (character.next, self.format.stop());
        if number == stop {
            self.character = None;
            return self.finished(character.bits, one);
        }
        if number == 0 && one {
            self.character = None;
            return None;
        }
        character.next = number + 1;
        if let Some(bit) = number.checked_sub(1) {
            character.bits |= u16::from(one) << bit;
        }
        self.character = Some(character);
        (number == 0).then_some(UartEvent::Start)
    }

    /// The event of a finished character, if there is one.
    #[inline]
    fn finished(&self, bits: u16, stop: bool) -> Option<UartEvent> {
        let value = bits & ((1 << self.format.data_bits) - 1);
        match (stop, self.format.parity_holds(bits)) {
            (true, true) => Some(UartEvent::Character { value }),
            (true, false) => Some(UartEvent::ParityError { value }),
            (false, _) => (bits != 0).then_some(UartEvent::FramingError { value }),
        }
    }

    fn wanted(&self, event: UartEvent) -> bool {
        match (self.when, event) {
            (UartWhen::Any, UartEvent::Start) => false,
            (UartWhen::Any, _)
            | (UartWhen::Start, UartEvent::Start)
            | (UartWhen::FramingError, UartEvent::FramingError { .. })
            | (UartWhen::ParityError, UartEvent::ParityError { .. }) => true,
            (UartWhen::Character(from, to), UartEvent::Character { value }) => {
                (from..=to).contains(&value)
            }
            _ => false,
        }
    }

    /// Follows the line's next turn in `block`.
    #[inline]
    fn follow(&mut self, block: &Block<'_, T>) -> Option<()> {
        let turn = self.line.peek(block)?;
        self.line.take();
        self.side = Some(turn.into);
        let leaves = turn.into != self.format.idle && !turn.first;
        self.away = leaves.then_some(turn.at);
        if leaves && self.character.is_none() {
            self.character = Some(Character { start: turn.at, next: 0, bits: 0 });
        }
        Some(())
    }

    /// The next event of a character.
    #[inline]
    fn next_of_character(&mut self, block: &Block<'_, T>) -> Option<Event> {
        loop {
            let end = self.line.peek(block).map_or(block.end(), |turn| turn.at.position);
            match (self.character, self.side) {
                (Some(character), Some(side)) if self.look(character) < end => {
                    let at = Instant::at(self.look(character));
                    let what = self.take_bit(character, side);
                    if let Some(what) = what.filter(|&what| self.wanted(what)) {
                        return Some(Event { at, kind: EventKind::Uart { what } });
                    }
                }
                _ => self.follow(block)?,
            }
        }
    }

    /// The next break that lasts at least `time`.
    #[inline]
    fn next_break(&mut self, block: &Block<'_, T>, time: Span) -> Option<Event> {
        loop {
            let turn = self.line.peek(block).map(|turn| turn.at);
            if let Some(since) = self.away {
                let due = Instant::at(since.after(time));
                // Whether it has lasted for as long as it had to at the next turn.
                let (lasted, seen) = match turn {
                    Some(end) => (end.since(since) >= time, true),
                    None => (true, due.position < block.end()),
                };
                if lasted && seen {
                    self.away = None;
                    let what = UartEvent::Break { time: due.since(since) };
                    return Some(Event { at: due, kind: EventKind::Uart { what } });
                }
            }
            self.follow(block)?;
        }
    }

    fn forget(&mut self) {
        (self.side, self.character, self.away) = (None, None, None);
    }
}

impl<T: Sample> Condition for Uart<T> {
    type Sample = T;

    #[inline]
    fn next(&mut self, block: &Block<'_, T>) -> Option<Event> {
        match self.when {
            UartWhen::Break(time) => self.next_break(block, time),
            _ => self.next_of_character(block),
        }
    }

    fn gap(&mut self) {
        self.line.gap();
        self.forget();
    }

    fn reset(&mut self) {
        self.line.reset();
        self.forget();
    }
}
