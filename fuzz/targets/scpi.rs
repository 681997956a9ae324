//! The bench instrument by text: whatever is said to it, it answers, its settings are such as its
//! knobs reach, and it can be spoken to afterwards.

#![no_main]

#[path = "../../instrument/scpi/tests/instrument/mod.rs"]
mod instrument;

use instrument::{OnBench, RATE};
use libfuzzer_sys::fuzz_target;
use stillwave_scpi::{Instrument, Session};

const LONGEST: usize = 4096;
/// How long it has samples in one talk, in ms.
const END: u64 = 160;

/// A square wave of 1 kHz.
fn square(n: u64) -> u16 {
    if n % 500 < 250 { 1500 } else { 2600 }
}

fuzz_target!(|bytes: &[u8]| {
    let (mut recording, mut shown) = ([0; LONGEST], [0; LONGEST]);
    let mut instrument = OnBench::new(RATE, [&mut recording, &mut shown], square, END);
    let mut session = Session::default();
    let mut say = |message: &[u8]| {
        let mut heard = Vec::new();
        session.take(&mut instrument, message, &mut heard);
        let settings = instrument.settings().arrangement(&instrument.front());
        settings.expect("settings that the engine takes");
        heard
    };
    for message in bytes.split_inclusive(|byte| *byte == b'\n').take(50) {
        let answer = say(message);
        assert!(answer.is_empty() || answer.ends_with(b"\n"), "{answer:?}");
    }
    // Ends what was under way.
    say(b"\n");
    let error = String::from_utf8(say(b":SYST:ERR?\n")).expect("text");
    let (number, words) = error.split_once(',').expect("a number and words");
    number.parse::<i16>().expect("a number");
    assert!(words.starts_with('"') && words.ends_with("\"\n"), "{words}");
    say(b"*CLS\n");
    assert_eq!(say(b":SYST:ERR?\n"), b"0,\"No error\"\n");
});
