//! A board and a computer over a line that flips bits, drops and doubles bytes, cuts frames and
//! stalls: a million faults and more, and nothing wrong is taken for right.

use std::collections::VecDeque;
use std::convert::Infallible;

use embedded_io::{ErrorType, Read, ReadReady, Write, WriteReady};
use stillwave_app::{Capture, Counts, FrontEnd, Settings, Status};
use stillwave_link::{
    Assembler, BoardLink, Encoder, FromBoard, Hello, LONGEST_FRAME, Receiver, ToBoard,
};

/// xorshift64*, by G. Marsaglia and S. Vigna.
struct Dice(u64);

impl Dice {
    fn bits(&mut self) -> u64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        self.0.wrapping_mul(0x2545_F491_4F6C_DD1D)
    }

    fn below(&mut self, n: usize) -> usize {
        (self.bits() >> 33) as usize % n
    }
}

/// One fault in a stretch of bytes.
fn fault(bytes: &mut Vec<u8>, dice: &mut Dice) {
    let at = dice.below(bytes.len());
    match dice.below(6) {
        0 => bytes[at] ^= 1 << dice.below(8),
        1 => {
            bytes.remove(at);
        }
        2 => bytes.insert(at, bytes[at]),
        3 => bytes.truncate(at),
        4 => {
            bytes.drain(..at);
        }
        _ => bytes[at] = dice.bits() as u8,
    }
}

#[test]
fn a_million_faults_between_frames() {
    const FAULTS: u64 = 1_000_000;
    let mut dice = Dice(1);
    let (mut encoder, mut computer) = (Encoder::default(), Receiver::default());
    let (mut faults, mut taken_along, mut found_after) = (0_u64, 0_u64, 0_u64);
    let mut number = 0_u32;
    let mut next = |dice: &mut Dice| {
        number += 1;
        let samples: Vec<u8> = (0..dice.below(30) * 2).map(|_| dice.bits() as u8).collect();
        let message = FromBoard::Samples { number, first: 0, bytes: &samples };
        (number, encoder.encode(&message, &mut [0; LONGEST_FRAME]).to_vec(), samples)
    };
    while faults < FAULTS {
        let (damaged, mut bytes, was) = next(&mut dice);
        fault(&mut bytes, &mut dice);
        faults += 1;
        while dice.below(4) == 0 && !bytes.is_empty() {
            fault(&mut bytes, &mut dice);
            faults += 1;
        }
        let clean = [next(&mut dice), next(&mut dice)];
        bytes.extend(clean.iter().flat_map(|(_, frame, _)| frame));
        let mut found = Vec::new();
        for &byte in &bytes {
            if let Some(FromBoard::Samples { number, bytes, .. }) = computer.push(byte) {
                found.push((number, bytes.to_vec()));
            }
        }
        // What is found is what was sent: nothing wrong is taken for right.
        for (number, samples) in &found {
            let sent = match *number {
                n if n == damaged => &was,
                n if n == clean[0].0 => &clean[0].2,
                n if n == clean[1].0 => &clean[1].2,
                n => panic!("{n} was not sent here"),
            };
            assert_eq!(samples, sent);
        }
        // The second frame after the fault is always found, the first unless they ran together.
        assert_eq!(found.last().map(|(number, _)| *number), Some(clean[1].0));
        let has_first = found.iter().any(|(number, _)| *number == clean[0].0);
        found_after += 1;
        taken_along += u64::from(!has_first);
    }
    // Every frame is found, or missing by its number; but for the very first, before any number.
    let received = computer.received();
    assert!(u64::from(number) - (received.frames + received.missing) <= 1);
    assert!(taken_along * 3 < found_after, "{taken_along} of {found_after} ran together");
    eprintln!("{faults} faults: {received:?}");
}

/// Two lines, one a direction; the board's port is at their one end.
#[derive(Default)]
struct Port {
    to_board: VecDeque<u8>,
    from_board: Vec<u8>,
    stalled: bool,
}

impl ErrorType for Port {
    type Error = Infallible;
}

impl Read for Port {
    fn read(&mut self, bytes: &mut [u8]) -> Result<usize, Infallible> {
        let count = bytes.len().min(self.to_board.len());
        for (place, byte) in bytes.iter_mut().zip(self.to_board.drain(..count)) {
            *place = byte;
        }
        Ok(count)
    }
}

impl ReadReady for Port {
    fn read_ready(&mut self) -> Result<bool, Infallible> {
        Ok(!self.to_board.is_empty())
    }
}

impl Write for Port {
    fn write(&mut self, bytes: &[u8]) -> Result<usize, Infallible> {
        let count = bytes.len().min(64);
        self.from_board.extend(&bytes[..count]);
        Ok(count)
    }
    fn flush(&mut self) -> Result<(), Infallible> {
        Ok(())
    }
}

impl WriteReady for Port {
    fn write_ready(&mut self) -> Result<bool, Infallible> {
        Ok(!self.stalled)
    }
}

/// The whole way, ten seconds and more of it at a time: a board that captures, a line with
/// faults and stalls in both directions, a computer that puts records together.
#[test]
fn a_board_over_a_bad_line() {
    let front = FrontEnd::of_diagram(500_000).unwrap();
    let settings = Settings { time_us: 200, ..Settings::default() };
    let (mut recording, mut shown) = ([0; 2_048], [0; 2_048]);
    let arrangement = settings.arrangement(&front).unwrap();
    let mut capture = Capture::new(arrangement, 4_095, &mut recording, &mut shown).unwrap();
    let mut board = BoardLink::<1_024>::new(Hello::new(&front, 2_048));
    let mut port = Port::default();
    let (mut orders, mut computer) = (Encoder::default(), Receiver::default());
    let mut assembler = Assembler::new(vec![0; 2_048]);
    let mut dice = Dice(2);
    let wave = |position: u64| (position * 7 % 4_000) as u16;
    let (mut shot, mut sent, mut faults, mut records, mut events) =
        (None, 0_u64, 0_u64, 0_u64, 0_u64);
    let mut counters = None;
    let mut held_up = 0;
    let mut events_waiting = Vec::new();
    for now in 0..60_000_u64 {
        let start = capture.counts().position;
        let block: Vec<u16> = (start..start + 500).map(wave).collect();
        capture.push(&block, |event| events_waiting.push(event));
        for event in events_waiting.drain(..) {
            board.event(event);
        }
        // The line stalls for two seconds now and then.
        held_up = if now % 10_000 == 9_999 { 2_000 } else { held_up - i32::from(held_up > 0) };
        port.stalled = held_up > 0;
        if now % 50 == 0 {
            for order in [ToBoard::Records(true), ToBoard::Events(true), ToBoard::Hello] {
                let mut frame = orders.encode(&order, &mut [0; LONGEST_FRAME]).to_vec();
                if dice.below(3) == 0 {
                    fault(&mut frame, &mut dice);
                    faults += 1;
                }
                port.to_board.extend(frame);
            }
        }
        board.pump(&mut port, now, |order| assert_eq!(order, ToBoard::Hello)).unwrap();
        board.counters(&Status { counts: Counts::default(), load: 1 }, 0, now);
        if shot.is_none() {
            shot = capture.take();
            sent += u64::from(shot.is_some());
        }
        if let Some(taken) = shot.take() {
            if board.send(&taken, now) {
                capture.give_back(taken);
            } else {
                shot = Some(taken);
            }
        }
        let mut bytes = std::mem::take(&mut port.from_board);
        if dice.below(20) == 0 && !bytes.is_empty() {
            fault(&mut bytes, &mut dice);
            faults += 1;
        }
        for byte in bytes {
            let Some(message) = computer.push::<FromBoard>(byte) else { continue };
            match message {
                FromBoard::Event(event) => {
                    // The wave wraps from high to low: it rises through the level once a turn.
                    let (here, before) = (wave(event.position), wave(event.position - 1));
                    assert!(event.rising && here >= 2_065 && before < 2_065);
                    events += 1;
                }
                FromBoard::Counters(found) => counters = Some(found),
                _ => {}
            }
            if let Some(whole) = assembler.push(&message) {
                let wanted = (whole.head.start..).map(wave).take(whole.head.len as usize);
                assert!(whole.samples.iter().copied().eq(wanted), "a wrong record");
                records += 1;
            }
        }
    }
    let (received, counters) = (computer.received(), counters.expect("counters"));
    eprintln!(
        "{faults} faults, {records} of {sent} records, {events} events: {received:?}, {counters:?}"
    );
    assert!(faults > 3_000 && records > 1_000 && events > 10_000);
    assert_eq!(assembler.whole(), records);
    assert!(assembler.broken() > 0 && counters.records_cut >= 4 && counters.frames_dropped > 0);
    assert!(counters.frames_damaged > 100 && counters.frames_missing > 100);
    // Each record sent came whole, was cut or broken, or has lost its head; the last is under way.
    let lost = sent - records;
    assert!(assembler.broken() <= lost && lost <= received.missing + received.damaged + 2);
}
