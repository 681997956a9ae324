//! Serial lines as they are sent: mostly as they should be.

use crate::dice::Dice;
use crate::engine::AnyCondition;
use crate::kind::Kind;
use crate::oracle::many::{Side, Watcher};
use crate::oracle::serial;
use crate::plan::lengths;
use crate::scene::Scene;
use proptest::prelude::*;
use stillwave::{
    BitOrder, Composition, I2cConfig, I2cWhen, Level, Parity, Slope, Span, SpiConfig, SpiFormat,
    UartConfig, UartFormat, UartWhen,
};

/// A protocol; whatever is said is to be told.
#[derive(Clone, Copy, Debug)]
#[allow(missing_docs)]
pub enum Protocol {
    Uart { format: UartFormat, when: UartWhen },
    I2c,
    Spi(SpiFormat),
}

/// Lines, and what is to be read from them.
#[derive(Clone, Debug)]
#[allow(missing_docs)]
pub struct SerialCase<T: Kind> {
    pub protocol: Protocol,
    pub levels: Vec<(T::Wide, T::Wide)>,
    pub channels: Vec<Vec<T>>,
    pub lengths: Vec<usize>,
}

impl<T: Kind> SerialCase<T> {
    /// What the engine looks for, out of its catalogue.
    ///
    /// # Panics
    /// Where the engine refuses what every case may ask.
    pub fn composition(&self) -> Composition<T> {
        let level = |i: usize| {
            let (level, hysteresis) = self.levels[i];
            Level::new(level, hysteresis).expect("a level").on_channel(i as u8)
        };
        match self.protocol {
            Protocol::Uart { format, when } => {
                Composition::Uart(UartConfig { level: level(0), format, when })
            }
            Protocol::I2c => Composition::I2c(I2cConfig {
                clock: level(0),
                data: level(1),
                when: I2cWhen::Any,
                spikes: Span::ZERO,
            }),
            Protocol::Spi(format) => Composition::Spi(SpiConfig {
                clock: level(0),
                data: level(1),
                select: level(2),
                format,
            }),
        }
    }
}

impl<T: Kind> Scene<T> for SerialCase<T> {
    fn condition(&self) -> AnyCondition<T> {
        AnyCondition(Box::new(self.composition().build().expect("a protocol")))
    }

    fn watcher(&self) -> Box<dyn Watcher<T::Exact>> {
        let side = |i: usize| {
            let (level, hysteresis) = self.levels[i];
            Side::new(T::exact_level(level), T::exact_level(hysteresis), i)
        };
        match self.protocol {
            Protocol::Uart { format, when } => Box::new(serial::Uart {
                line: side(0),
                bit: format.bit.parts(),
                data_bits: format.data_bits.into(),
                parity: match format.parity {
                    Parity::None => None,
                    Parity::Even => Some(false),
                    Parity::Odd => Some(true),
                },
                idle: format.idle == stillwave::Side::High,
                starts: when == UartWhen::Start,
                pause: match when {
                    UartWhen::Break(time) => Some(time.parts()),
                    _ => None,
                },
                begin: None,
                bits: vec![],
                away: None,
            }),
            Protocol::I2c => {
                Box::new(serial::I2c { clock: side(0), data: side(1), transfer: None })
            }
            Protocol::Spi(format) => Box::new(serial::Spi {
                clock: side(0),
                data: side(1),
                select: side(2),
                rising: format.sampling == Slope::Rising,
                active_high: format.active == stillwave::Side::High,
                length: format.bits.into(),
                most_first: format.order == BitOrder::MostSignificantFirst,
                word: None,
            }),
        }
    }

    fn channels(&self) -> &[Vec<T>] {
        &self.channels
    }

    fn lengths(&self) -> &[usize] {
        &self.lengths
    }
}

/// The lines of a protocol, high or low at each sample.
#[derive(Clone, Debug)]
pub struct Picture<const N: usize> {
    /// The samples of each line.
    pub lines: [Vec<bool>; N],
    now: [bool; N],
    /// The time up to which samples were drawn, in samples.
    time: f64,
}

impl<const N: usize> Picture<N> {
    /// Nothing drawn yet.
    pub fn new(now: [bool; N]) -> Self {
        Self { lines: [const { Vec::new() }; N], now, time: 0.0 }
    }

    /// Lets a line be high or low from here on.
    pub fn set(&mut self, line: usize, high: bool) {
        self.now[line] = high;
    }

    /// Lets time pass, a number of samples that need not be whole.
    pub fn wait(&mut self, samples: f64) {
        self.time += samples;
        for (line, now) in self.lines.iter_mut().zip(self.now) {
            while (line.len() as f64) < self.time {
                line.push(now);
            }
        }
    }
}

impl Picture<1> {
    /// A character of bits of a length: start bit, `bits`, stop bit.
    pub fn character(&mut self, bit: f64, idle: bool, bits: &[bool], stop: bool) {
        for one in [&[false], bits, &[stop]].concat() {
            self.set(0, one == idle);
            self.wait(bit);
        }
        self.set(0, idle);
    }
}

/// The data and parity bits of a character of a format, with the right parity.
pub fn character(format: UartFormat, value: u16) -> Vec<bool> {
    let mut bits: Vec<_> = (0..format.data_bits).map(|n| value >> n & 1 == 1).collect();
    let odd = bits.iter().filter(|one| **one).count() % 2 == 1;
    match format.parity {
        Parity::None => {}
        Parity::Even => bits.push(odd),
        Parity::Odd => bits.push(!odd),
    }
    bits
}

/// Samples of a line: at its level where it changes, or well beyond.
fn samples<T: Kind>(line: &[bool], (level, back): (T::Wide, T::Wide), dice: &mut Dice) -> Vec<T> {
    let mut before = None;
    let mut sample = |&high: &bool| {
        let changed = before.replace(high) != Some(high);
        let steps = if changed { dice.below(6) } else { 5 } as i32;
        let sample = if high { T::near(level, back, steps) } else { T::near(level, back, -steps) };
        sample.spoil(dice, 50)
    };
    line.iter().map(&mut sample).collect()
}

fn uart(dice: &mut Dice) -> (Protocol, Vec<Vec<bool>>) {
    let format = UartFormat {
        bit: Span::from_parts((4 << 16) + dice.below(10 << 16)),
        data_bits: 5 + dice.below(5) as u8,
        parity: dice.pick(&[Parity::None, Parity::Even, Parity::Odd]),
        idle: dice.pick(&[stillwave::Side::High, stillwave::Side::Low]),
    };
    let bit = format.bit.to_samples();
    let pause = Span::from_parts(1 + dice.below(16 * format.bit.parts()));
    let pauses = UartWhen::Break(dice.pick(&[pause, Span::from_parts(1), Span::MAX]));
    let when = dice.pick(&[UartWhen::Any, UartWhen::Any, UartWhen::Start, pauses]);
    let idle = format.idle == stillwave::Side::High;
    let mut picture = Picture::new([idle]);
    for _ in 0..dice.below(30) {
        let rate = 0.96 + dice.below(80) as f64 / 1000.0;
        let mut bits = character(format, dice.bits() as u16);
        match dice.below(8) {
            0 => bits = vec![false; dice.below(12) as usize],
            1 => {
                let wrong = dice.below(bits.len() as u64) as usize;
                bits[wrong] = !bits[wrong];
            }
            _ => {}
        }
        picture.character(bit * rate, idle, &bits, dice.below(6) > 0);
        let rest = dice.pick(&[0.0, 0.0, 0.3, 1.0, 2.5, 20.0]);
        picture.wait(bit * rest);
    }
    (Protocol::Uart { format, when }, picture.lines.to_vec())
}

/// At least so many samples, mostly one or a few; none makes two changes meet.
fn short(dice: &mut Dice, least: i32) -> f64 {
    dice.pick(&[least, 1, 1, 2, 2, 3, 40]).into()
}

fn i2c(dice: &mut Dice) -> Vec<Vec<bool>> {
    let (clock, data) = (0, 1);
    let mut picture = Picture::new([true, true]);
    picture.wait(1.0);
    let least = dice.pick(&[0, 1, 1]);
    for _ in 0..=dice.below(4) {
        let mut changes = vec![(data, true), (clock, true), (data, false), (clock, false)];
        for _ in 0..dice.pick(&[9, 9, 9, 18, 18, 27, 5, 14]) {
            changes.extend([(data, dice.below(2) == 0), (clock, true), (clock, false)]);
        }
        if dice.below(2) == 0 {
            changes.extend([(data, false), (clock, true), (data, true)]);
        }
        for (line, high) in changes {
            picture.set(line, high);
            picture.wait(short(dice, least));
        }
    }
    picture.lines.to_vec()
}

fn spi(dice: &mut Dice) -> (Protocol, Vec<Vec<bool>>) {
    let format = SpiFormat {
        sampling: dice.pick(&[Slope::Rising, Slope::Falling]),
        active: dice.pick(&[stillwave::Side::High, stillwave::Side::Low]),
        bits: dice.pick(&[1, 2, 3, 8, 16, 31, 32]),
        order: dice.pick(&[BitOrder::MostSignificantFirst, BitOrder::LeastSignificantFirst]),
        ..SpiFormat::default()
    };
    let active = format.active == stillwave::Side::High;
    let rest = dice.below(2) == 0;
    let mut picture = Picture::new([rest, false, !active]);
    picture.wait(dice.below(4) as f64);
    let least = dice.pick(&[0, 1, 1]);
    for _ in 0..=dice.below(4) {
        picture.set(2, active);
        picture.wait(short(dice, least));
        for _ in 0..dice.below(70) {
            picture.set(1, dice.below(2) == 0);
            picture.wait(short(dice, least));
            picture.set(0, !rest);
            picture.wait(short(dice, least));
            picture.set(0, rest);
            picture.wait(short(dice, least));
        }
        picture.set(2, !active);
        picture.wait(short(dice, least));
    }
    (Protocol::Spi(format), picture.lines.to_vec())
}

/// Any protocol, with lines of any levels.
pub fn serial<T: Kind>() -> impl Strategy<Value = SerialCase<T>> {
    (any::<u64>(), lengths()).prop_map(|(seed, lengths)| {
        let mut dice = Dice::new(seed);
        let (protocol, lines) = match dice.below(3) {
            0 => uart(&mut dice),
            1 => (Protocol::I2c, i2c(&mut dice)),
            _ => spi(&mut dice),
        };
        let levels: Vec<_> =
            lines.iter().map(|_| (T::level(&mut dice), T::hysteresis(&mut dice))).collect();
        let pairs = lines.iter().zip(&levels);
        let channels = pairs.map(|(line, &level)| samples(line, level, &mut dice)).collect();
        SerialCase { protocol, levels, channels, lengths }
    })
}
