//! A board's end of the link: orders, in sound frames and in broken ones, while it captures.

#![no_main]

use std::collections::VecDeque;
use std::convert::Infallible;

use arbitrary::Arbitrary;
use embedded_io::{ErrorType, Read, ReadReady, Write, WriteReady};
use libfuzzer_sys::fuzz_target;
use stillwave::EdgeSlope;
use stillwave_app::{Capture, FrontEnd, Mode, Settings, store::Nothing};
use stillwave_link::{Encoder, LONGEST_FRAME, Station, ToBoard};

#[derive(Arbitrary, Debug)]
enum Step {
    Bytes(Vec<u8>),
    Set { millivolts: [i32; 2], sizes: [u32; 4], slope: u8, mode: u8 },
    Order(u8),
    Samples { first: u16, step: i16, count: u16 },
    Gap(u32),
    Stall(bool),
    Wait(u16),
}

#[derive(Default)]
struct Port {
    orders: VecDeque<u8>,
    stalled: bool,
}

impl ErrorType for Port {
    type Error = Infallible;
}

impl Read for Port {
    fn read(&mut self, bytes: &mut [u8]) -> Result<usize, Infallible> {
        let count = bytes.len().min(self.orders.len());
        bytes.iter_mut().zip(self.orders.drain(..count)).for_each(|(place, byte)| *place = byte);
        Ok(count)
    }
}

impl ReadReady for Port {
    fn read_ready(&mut self) -> Result<bool, Infallible> {
        Ok(!self.orders.is_empty())
    }
}

impl Write for Port {
    fn write(&mut self, bytes: &[u8]) -> Result<usize, Infallible> {
        Ok(bytes.len().min(64))
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

fn order(step: &Step) -> Option<ToBoard> {
    Some(match *step {
        Step::Set { millivolts: [level_mv, centre_mv], sizes, slope, mode } => {
            let [hysteresis_mv, holdoff_us, time_us, volts_mv] = sizes;
            let slopes = [EdgeSlope::Rising, EdgeSlope::Falling, EdgeSlope::Either];
            let modes = [Mode::Auto, Mode::Normal, Mode::Single];
            let (slope, mode) = (slopes[usize::from(slope % 3)], modes[usize::from(mode % 3)]);
            ToBoard::Settings(Settings {
                level_mv,
                hysteresis_mv,
                slope,
                holdoff_us,
                time_us,
                volts_mv,
                centre_mv,
                mode,
            })
        }
        Step::Order(number) => match number % 6 {
            0 => ToBoard::Hello,
            1 => ToBoard::Run,
            2 => ToBoard::Stop,
            3 => ToBoard::Records(number < 128),
            4 => ToBoard::Events(number < 128),
            _ => ToBoard::Automatic,
        },
        _ => return None,
    })
}

fuzz_target!(|steps: Vec<Step>| {
    const LONGEST: usize = 2048;
    let front = FrontEnd::of_diagram(500_000).expect("a front end");
    let mut station = Station::<_, 4096>::new(front, LONGEST, Nothing);
    let (mut recording, mut shown) = ([0; LONGEST], [0; LONGEST]);
    let arrangement = station.bench().arrangement().expect("the first settings");
    let mut capture =
        Capture::new(arrangement, 4095, &mut recording, &mut shown).expect("a capture");
    let (mut port, mut encoder, mut now) = (Port::default(), Encoder::default(), 0_u64);
    let (mut position, mut samples) = (0, 0_u64);
    for step in steps.iter().take(200) {
        if let Some(order) = order(step) {
            port.orders.extend(&*encoder.encode(&order, &mut [0; LONGEST_FRAME]));
        }
        match *step {
            Step::Bytes(ref bytes) => port.orders.extend(bytes),
            Step::Samples { first, step, count } => {
                let wave = (0..count % 3000).map(|n| {
                    (i32::from(first) + i32::from(n) * i32::from(step)).rem_euclid(4096) as u16
                });
                let wave: Vec<u16> = wave.collect();
                samples += wave.len() as u64;
                capture.push(&wave, |event| station.event(event));
            }
            Step::Gap(lost) => {
                samples += u64::from(lost);
                capture.gap(lost.into());
            }
            Step::Stall(stalled) => port.stalled = stalled,
            Step::Wait(milliseconds) => now += u64::from(milliseconds),
            Step::Set { .. } | Step::Order(_) => {}
        }
        now += 60;
        let Ok(()) = station.turn(now, 0, &mut port, |bench, wanted, back| {
            if let Some(shot) = back {
                capture.give_back(shot);
            }
            (bench.meet(&mut capture, wanted), capture.counts())
        });
        assert!(capture.counts().position >= position);
        position = capture.counts().position;
    }
    assert_eq!(position.max(capture.counts().position), samples);
});
