//! Serial lines as their standards have them, at the ends of what these allow and beyond.
//!
//! MIDI's rate was looked up in IEC 63035; ANSI E1.11 and UM10204 were read at second hand, their
//! tables are named from memory.

use stillwave::{
    BitOrder, Block, Condition, EventKind, I2c, I2cEvent, I2cWhen, Level, Parity, Side, Slope,
    Span, Spi, SpiFormat, Uart, UartEvent, UartFormat, UartWhen,
};
use stillwave_tests::dice::Dice;
use stillwave_tests::serial::{Picture, character};

fn kinds<C: Condition<Sample = u8>>(condition: &mut C, lines: &[Vec<bool>]) -> Vec<EventKind> {
    let volts = |line: &Vec<bool>| -> Vec<u8> {
        line.iter().map(|high| if *high { 210 } else { 30 }).collect()
    };
    let channels: Vec<_> = lines.iter().map(volts).collect();
    let channels: Vec<_> = channels.iter().map(Vec::as_slice).collect();
    let block = Block::new(0, &channels);
    std::iter::from_fn(|| condition.next(&block)).map(|event| event.kind).collect()
}

fn level(channel: u8) -> Level<u8> {
    Level::new(120, 20).unwrap().on_channel(channel)
}

fn said(what: UartEvent) -> EventKind {
    EventKind::Uart { what }
}

/// All characters of a format, one at once after the other, from a sender whose bits last `factor`
/// times as long as they should.
fn reads_all(format: UartFormat, factor: f64) -> bool {
    let idle = format.idle == Side::High;
    let mut picture = Picture::new([idle]);
    picture.wait(9.7);
    let all = 0..1 << format.data_bits;
    for value in all.clone() {
        let bit = format.bit.to_samples() * factor;
        picture.character(bit, idle, &character(format, value), true);
    }
    picture.wait(20.0 * format.bit.to_samples());
    let expected: Vec<_> = all.map(|value| said(UartEvent::Character { value })).collect();
    kinds(&mut Uart::new(level(0), format, UartWhen::Any).unwrap(), &picture.lines) == expected
}

/// 9600 Bd is 104.167 µs a bit, 115200 Bd 8.6806 µs; idle high, the start bit low, the least
/// significant bit first (practice). A receiver has to bear ±2 %.
#[test]
fn uart_with_a_rate_wrong_by_2_percent() {
    for (baud, rate) in [(9600.0, 1e6), (9600.0, 50e3), (115_200.0, 1e6), (115_200.0, 16e6)] {
        for parity in [Parity::None, Parity::Even, Parity::Odd] {
            for data_bits in 5..=9 {
                for idle in [Side::High, Side::Low] {
                    let format = UartFormat::new(baud, rate).unwrap();
                    let format = UartFormat { parity, data_bits, idle, ..format };
                    for factor in [0.98, 0.99, 1.0, 1.01, 1.02] {
                        assert!(reads_all(format, factor), "{format:?}, {factor}");
                    }
                }
            }
        }
    }
}

/// With 16 samples a bit and 10 bits a character, half a bit less a sample over 9.5 bits: 4.6 %.
#[test]
fn uart_bears_no_more_than_half_a_bit() {
    let format = UartFormat::new(10e3, 160e3).unwrap();
    assert!(reads_all(format, 0.957) && reads_all(format, 1.045));
    assert!(!reads_all(format, 0.93) && !reads_all(format, 1.07));
}

/// IEC 63035: 31.25 kBd ±1 %, 10 bits of 32 µs. A receiver may bear more; this one bears half a bit
/// less a sample over 9.5 bits, 4.9 %, and never half a bit and a sample, 5.6 %.
#[test]
fn midi_within_1_percent() {
    let format = UartFormat::midi(1e6).unwrap();
    assert_eq!(format.bit, Span::samples(32));
    for factor in [0.955, 0.99, 1.0, 1.01, 1.045] {
        assert!(reads_all(format, factor), "{factor}");
    }
    for factor in [0.94, 1.06] {
        assert!(!reads_all(format, factor), "{factor}");
    }
    // 4 samples a bit are enough.
    assert!(UartFormat::midi(125e3).is_ok() && UartFormat::midi(124e3).is_err());
    // Note on, channel 1, middle C, at 200 kS/s.
    let format = UartFormat::midi(200e3).unwrap();
    let mut picture = Picture::new([true]);
    picture.wait(100.0);
    for byte in [0x90, 60, 100] {
        picture.character(6.4, true, &character(format, byte), true);
    }
    picture.wait(100.0);
    let notes_on = UartWhen::Character(0x90, 0x9F);
    let mut uart = Uart::new(level(0), format, notes_on).unwrap();
    let expected = [said(UartEvent::Character { value: 0x90 })];
    assert_eq!(kinds(&mut uart, &picture.lines), expected);
}

/// A DMX512 packet: break, mark, and slots of 44 µs with two stop bits.
fn packet(rate: f64, break_time: f64, mark: f64, slots: &[u16]) -> Picture<1> {
    let format = UartFormat::dmx512(rate).unwrap();
    let mut picture = Picture::new([true]);
    picture.wait(50e-6 * rate);
    picture.set(0, false);
    picture.wait(break_time * rate);
    picture.set(0, true);
    picture.wait(mark * rate);
    for &slot in slots {
        picture.character(4e-6 * rate, true, &character(format, slot), true);
        picture.wait(4e-6 * rate);
    }
    picture.wait(100e-6 * rate);
    picture
}

/// ANSI E1.11, tables 6 and 7: senders break for 92 µs or more, receivers must know a break of
/// 88 µs and a mark of 8 µs. Shorter breaks are none, but for the two samples that slopes and
/// sampling may hide.
#[test]
fn dmx_breaks() {
    for rate in [1e6, 2.5e6, 20e6] {
        let breaks = |time: f64| {
            let picture = packet(rate, time, 8e-6, &[0, 1, 0, 255, 0]);
            kinds(&mut Uart::dmx512_break(level(0), rate).unwrap(), &picture.lines).len()
        };
        let times = [80e-6, 82e-6, 85e-6, 88e-6, 92e-6, 1.0e-3];
        assert_eq!(times.map(breaks), [0, 0, 0, 1, 1, 1], "{rate} samples/s");
        let short_of_88_us = |samples: f64| breaks(88e-6 - samples / rate);
        assert_eq!([3.0, 1.0].map(short_of_88_us), [0, 1], "{rate} samples/s");
    }
}

/// ANSI E1.11: bits of 3.92 µs to 4.08 µs (from memory). At 8 samples a bit this receiver bears
/// 3.9 %, and never 6.6 %.
#[test]
fn dmx_within_2_percent() {
    let format = UartFormat::dmx512(2e6).unwrap();
    assert_eq!(format.bit, Span::samples(8));
    for factor in [0.97, 0.98, 1.0, 1.02, 1.03] {
        assert!(reads_all(format, factor), "{factor}");
    }
    for factor in [0.93, 1.07] {
        assert!(!reads_all(format, factor), "{factor}");
    }
    // 4 samples a bit are enough.
    assert!(UartFormat::dmx512(1e6).is_ok() && UartFormat::dmx512(0.99e6).is_err());
}

/// 513 slots of 44 µs behind a break and a mark, as short as senders may make them and receivers
/// must take them, are 22.676 ms. A mark that is shorter still is taken too: marks have no limit.
#[test]
fn dmx_packets() {
    let slots: Vec<u16> = (0..513).map(|slot| slot % 256).collect();
    for (break_time, mark) in [(92e-6, 12e-6), (88e-6, 8e-6), (88e-6, 4e-6)] {
        let picture = packet(2e6, break_time, mark, &slots);
        let format = UartFormat::dmx512(2e6).unwrap();
        let mut uart = Uart::new(level(0), format, UartWhen::Any).unwrap();
        let expected: Vec<_> =
            slots.iter().map(|&value| said(UartEvent::Character { value })).collect();
        assert_eq!(kinds(&mut uart, &picture.lines), expected);
    }
    let picture = packet(1e6, 92e-6, 12e-6, &slots);
    assert_eq!(picture.lines[0].len(), 50 + 22_676 + 100);
}

#[test]
fn errors_of_characters() {
    let format = UartFormat { parity: Parity::Even, ..UartFormat::new(9600.0, 96e3).unwrap() };
    let mut picture = Picture::new([true]);
    let mut send = |value, right: bool, stop| {
        let mut bits = character(format, value);
        bits[8] ^= !right;
        picture.wait(30.0);
        picture.character(10.0, true, &bits, stop);
    };
    send(0x41, true, true);
    send(0x42, false, true);
    send(0x43, true, false);
    send(0x44, false, false);
    // All low: a break.
    send(0x00, true, false);
    send(0x45, true, true);
    picture.wait(30.0);
    let found = |when| kinds(&mut Uart::new(level(0), format, when).unwrap(), &picture.lines);
    let good = |value| said(UartEvent::Character { value });
    let parity = said(UartEvent::ParityError { value: 0x42 });
    let framing = |value| said(UartEvent::FramingError { value });
    assert_eq!(
        found(UartWhen::Any),
        [good(0x41), parity, framing(0x43), framing(0x44), good(0x45)]
    );
    assert_eq!(found(UartWhen::ParityError), [parity]);
    assert_eq!(found(UartWhen::FramingError), [framing(0x43), framing(0x44)]);
    assert_eq!(found(UartWhen::Character(0x42, 0x50)), [good(0x45)]);
    assert_eq!(found(UartWhen::Start).len(), 6);
    // Eleven low bits, from half way to half way.
    let breaks = |parts| {
        let when = UartWhen::Break(Span::from_parts(parts));
        let mut uart = Uart::new(Level::new(120, 0).unwrap(), format, when).unwrap();
        kinds(&mut uart, &picture.lines).len()
    };
    assert_eq!([breaks(110 << 16), breaks((110 << 16) + 1)], [1, 0]);
}

#[test]
fn a_spike_is_no_start() {
    let format = UartFormat::new(9600.0, 96e3).unwrap();
    let mut picture = Picture::new([true]);
    picture.wait(20.0);
    picture.set(0, false);
    picture.wait(4.0);
    picture.set(0, true);
    picture.wait(3.0);
    picture.character(10.0, true, &character(format, 0x55), true);
    picture.wait(20.0);
    let expected = [said(UartEvent::Character { value: 0x55 })];
    let mut uart = Uart::new(level(0), format, UartWhen::Any).unwrap();
    assert_eq!(kinds(&mut uart, &picture.lines), expected);
}

/// The shortest times that UM10204 allows, in seconds.
struct BusTimes {
    start_hold: f64,
    clock_low: f64,
    clock_high: f64,
    data_setup: f64,
    stop_setup: f64,
    bus_free: f64,
}

const STANDARD: BusTimes = BusTimes {
    start_hold: 4.0e-6,
    clock_low: 4.7e-6,
    clock_high: 4.0e-6,
    data_setup: 250e-9,
    stop_setup: 4.0e-6,
    bus_free: 4.7e-6,
};

const FAST: BusTimes = BusTimes {
    start_hold: 0.6e-6,
    clock_low: 1.3e-6,
    clock_high: 0.6e-6,
    data_setup: 100e-9,
    stop_setup: 0.6e-6,
    bus_free: 1.3e-6,
};

impl BusTimes {
    /// A transfer: its bytes, each with whether it is acknowledged, and a stop at the end or none,
    /// so that the next start is a repeated one.
    fn transfer(&self, picture: &mut Picture<2>, rate: f64, bytes: &[(u8, bool)], stop: bool) {
        let mut go = |line, high, time: f64| {
            picture.set(line, high);
            picture.wait(time * rate);
        };
        let (clock, data) = (0, 1);
        go(data, false, self.start_hold);
        for &(byte, acknowledged) in bytes {
            let bits = (0..8).rev().map(|n| byte >> n & 1 == 1).chain([!acknowledged]);
            for one in bits {
                // Data changes with the hold time of 0 after the clock, then as late as it may.
                go(clock, false, 0.0);
                go(data, !one, self.clock_low - self.data_setup);
                go(data, one, self.data_setup);
                go(clock, true, self.clock_high);
            }
        }
        go(clock, false, self.clock_low - self.data_setup);
        go(data, !stop, self.data_setup);
        go(clock, true, self.stop_setup);
        if stop {
            go(data, true, self.bus_free);
        }
    }
}

/// UM10204, table 10: receivers in fast mode pass over spikes of up to 50 ns; a longer one on
/// the data line while the clock is high is a start and a stop.
#[test]
fn i2c_in_fast_mode_without_spikes() {
    let rate = 200e6;
    let mut clean = Picture::new([true, true]);
    clean.wait(rate * 5e-6);
    for byte in 0..12 {
        FAST.transfer(&mut clean, rate, &[(0xA0, true), (byte * 21, byte % 3 != 0)], true);
    }
    let span = |seconds: f64| Span::from_seconds(seconds, rate).unwrap();
    let mut dice = Dice::new(11);
    // Away from edges by more than a spike is long, in samples of 5 ns.
    let spiked = |longest: u64, dice: &mut Dice| {
        let mut lines = clean.lines.clone();
        for line in &mut lines {
            let (mut at, mut count) = (30, 0);
            while at + 60 < line.len() {
                let length = 1 + dice.below(longest) as usize;
                if line[at - 14..at + length + 14].iter().all(|side| *side == line[at]) {
                    line[at..at + length].iter_mut().for_each(|side| *side = !*side);
                    count += 1;
                }
                at += 40 + dice.below(200) as usize;
            }
            assert!(count > 100, "{count} spikes");
        }
        lines
    };
    let bus = || I2c::new(level(0), level(1), I2cWhen::Any).unwrap();
    let expected = kinds(&mut bus(), &clean.lines);
    assert_eq!(expected.len(), 12 * 4);
    for _ in 0..20 {
        // Nine samples, and what the level adds: from crossing to crossing 50 ns at most.
        let lines = spiked(9, &mut dice);
        assert_ne!(kinds(&mut bus(), &lines), expected);
        assert_eq!(kinds(&mut bus().without_spikes(span(50e-9)), &lines), expected);
    }
    // In blocks, each but a few samples long.
    let lines = spiked(9, &mut dice);
    let volts = |line: &Vec<bool>| line.iter().map(|high| 200 * u8::from(*high)).collect();
    let channels: Vec<Vec<u8>> = lines.iter().map(volts).collect();
    let (mut condition, mut found, mut at) = (bus().without_spikes(span(50e-9)), vec![], 0);
    while at < channels[0].len() {
        let end = (at + 1 + dice.below(30) as usize).min(channels[0].len());
        let part = [&channels[0][at..end], &channels[1][at..end]];
        let block = Block::new(at as u64, &part);
        while let Some(event) = condition.next(&block) {
            assert!((block.start()..block.end()).contains(&event.at.position));
            found.push(event.kind);
        }
        at = end;
    }
    assert_eq!(found, expected);

    let mut picture = Picture::new([true, true]);
    for (line, time) in [(1, 45e-9), (1, 60e-9), (0, 200e-9)] {
        picture.wait(1e-6 * rate);
        picture.set(line, false);
        picture.wait(time * rate);
        picture.set(line, true);
    }
    picture.wait(1e-6 * rate);
    let found = kinds(&mut bus().without_spikes(span(50e-9)), &picture.lines);
    assert_eq!(found, [I2cEvent::Start, I2cEvent::Stop].map(|what| EventKind::I2c { what }));
}

/// UM10204, table 10: standard and fast mode at their shortest times.
#[test]
fn i2c_at_its_shortest_times() {
    for (times, rate) in [(STANDARD, 4e6), (STANDARD, 20e6), (FAST, 10e6), (FAST, 48e6)] {
        let mut picture = Picture::new([true, true]);
        picture.wait(rate * 10e-6);
        // A register of a memory is written, then read from; nobody is at 0x23.
        times.transfer(&mut picture, rate, &[(0xA0, true), (0x5A, true)], false);
        times.transfer(&mut picture, rate, &[(0xA1, true), (0x00, true), (0xFF, false)], true);
        times.transfer(&mut picture, rate, &[(0x46, false)], true);
        let found = |when| {
            let events = kinds(&mut I2c::new(level(0), level(1), when).unwrap(), &picture.lines);
            let what = |kind| match kind {
                EventKind::I2c { what } => what,
                other => panic!("{other:?}"),
            };
            events.into_iter().map(what).collect::<Vec<_>>()
        };
        let address =
            |address, read, acknowledged| I2cEvent::Address { address, read, acknowledged };
        let data = |value, acknowledged| I2cEvent::Data { value, acknowledged };
        let all = [
            I2cEvent::Start,
            address(0x50, false, true),
            data(0x5A, true),
            I2cEvent::Start,
            address(0x50, true, true),
            data(0x00, true),
            data(0xFF, false),
            I2cEvent::Stop,
            I2cEvent::Start,
            address(0x23, false, false),
            I2cEvent::Stop,
        ];
        assert_eq!(found(I2cWhen::Any), all, "{rate} samples/s");
        assert_eq!(found(I2cWhen::Start).len(), 3);
        assert_eq!(found(I2cWhen::Stop).len(), 2);
        let to = |read| found(I2cWhen::Address { address: 0x50, read });
        assert_eq!([to(None).len(), to(Some(true)).len(), to(Some(false)).len()], [2, 1, 1]);
        assert_eq!(found(I2cWhen::Data(0x50, 0x5F)), [data(0x5A, true)]);
        let missing = [data(0xFF, false), address(0x23, false, false)];
        assert_eq!(found(I2cWhen::MissingAcknowledge), missing);
    }
}

/// The four modes (practice): in 0 and 3 data is valid as the clock rises, in 1 and 2 as it falls;
/// in 2 and 3 the clock rests high.
#[test]
fn spi_in_its_four_modes() {
    for (mode, sampling) in
        [Slope::Rising, Slope::Falling, Slope::Falling, Slope::Rising].into_iter().enumerate()
    {
        let (rest, late) = (mode >= 2, mode % 2 == 1);
        let mut picture = Picture::new([rest, false, true]);
        picture.wait(5.0);
        picture.set(2, false);
        picture.wait(3.0);
        for n in (0..16).rev() {
            // Data changes with the first edge of a bit, or with the last of the bit before.
            picture.set(1, 0xB10C_u32 >> n & 1 == 1);
            picture.set(0, rest ^ late);
            picture.wait(2.0);
            picture.set(0, rest ^ !late);
            picture.wait(2.0);
        }
        picture.set(0, rest);
        picture.wait(2.0);
        picture.set(2, true);
        picture.wait(3.0);
        let words = |format: SpiFormat| {
            let format = SpiFormat { sampling, ..format };
            kinds(&mut Spi::new(level(0), level(1), level(2), format).unwrap(), &picture.lines)
        };
        let spi = |words: &[u32]| -> Vec<_> {
            words.iter().map(|&word| EventKind::Spi { word }).collect()
        };
        let bits = |bits| SpiFormat { bits, ..SpiFormat::default() };
        assert_eq!(words(bits(16)), spi(&[0xB10C]), "mode {mode}");
        assert_eq!(words(bits(8)), spi(&[0xB1, 0x0C]));
        assert_eq!(words(SpiFormat { word: 0x01, mask: 0x0F, ..bits(8) }), spi(&[0xB1]));
        assert_eq!(words(bits(5)), spi(&[0b10110, 0b00100, 0b00110]));
        let order = BitOrder::LeastSignificantFirst;
        assert_eq!(words(SpiFormat { order, ..bits(16) }), spi(&[0x308D]));
        assert_eq!(words(SpiFormat { active: Side::High, ..bits(1) }), spi(&[]));
    }
}

#[test]
fn configurations_out_of_range() {
    let format = UartFormat::new(9600.0, 96e3).unwrap();
    assert!(UartFormat::new(0.0, 96e3).is_err());
    assert!(UartFormat::new(f64::NAN, 96e3).is_err());
    assert!(UartFormat::new(-1.0, 96e3).is_err());
    assert!(UartFormat::new(96e3, 383e3).is_err());
    assert!(UartFormat { data_bits: 4, ..format }.validated().is_err());
    assert!(UartFormat { data_bits: 10, ..format }.validated().is_err());
    assert!(Uart::new(level(0), format, UartWhen::Character(2, 1)).is_err());
    assert!(Uart::new(level(0), format, UartWhen::Break(Span::ZERO)).is_err());
    let address = I2cWhen::Address { address: 128, read: None };
    assert!(I2c::new(level(0), level(1), address).is_err());
    assert!(I2c::new(level(0), level(1), I2cWhen::Data(2, 1)).is_err());
    let spi = SpiFormat::default();
    assert!(SpiFormat { bits: 0, ..spi }.validated().is_err());
    assert!(SpiFormat { bits: 33, ..spi }.validated().is_err());
    assert!(SpiFormat { bits: 32, mask: u32::MAX, ..spi }.validated().is_ok());
    assert!(SpiFormat { mask: 0x100, ..spi }.validated().is_err());
}
