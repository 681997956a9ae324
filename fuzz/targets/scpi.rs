//! The bench instrument by text: whatever is said to it, it answers, its settings are such as its
//! knobs reach, and it can be spoken to afterwards.

#![no_main]

use libfuzzer_sys::fuzz_target;
use stillwave_app::{Bench, Capture, FrontEnd, Settings};
use stillwave_scpi::{Error, Instrument, Session, Write};

const LONGEST: usize = 4096;
/// How often it waits for samples in one talk.
const MOST_PAUSES: u32 = 40;

/// A board whose samples come while somebody waits: a square wave of 1 kHz.
struct OnBench<'m> {
    front: FrontEnd,
    bench: Bench,
    capture: Capture<'m>,
    pauses: u32,
    begun: u64,
    valid_after: u64,
    record: Option<(u64, Vec<u16>)>,
}

impl OnBench<'_> {
    fn meet(&mut self) {
        if let Some(shot) = self.bench.meet(&mut self.capture, true) {
            self.begun += 1;
            self.record = Some((self.begun, shot.samples().to_vec()));
            self.capture.give_back(shot);
        }
    }
}

impl Instrument for OnBench<'_> {
    type Samples = Vec<u16>;

    fn front(&self) -> FrontEnd {
        self.front
    }
    fn longest(&self) -> usize {
        LONGEST
    }
    fn settings(&self) -> Settings {
        *self.bench.settings()
    }
    fn is_running(&self) -> bool {
        self.bench.is_running()
    }
    fn set(&mut self, settings: Settings) {
        self.bench.set(settings);
        self.valid_after = self.begun;
    }
    fn run(&mut self) {
        self.bench.run();
        self.valid_after = self.begun;
    }
    fn stop(&mut self) {
        self.bench.stop();
    }
    fn begun(&self) -> u64 {
        self.begun
    }
    fn record(&self, after: u64) -> Option<Vec<u16>> {
        let (number, samples) = self.record.as_ref()?;
        (*number > after.max(self.valid_after)).then(|| samples.clone())
    }
    fn milliseconds(&self) -> u64 {
        u64::from(self.pauses) * 2
    }
    async fn pause(&mut self) -> bool {
        self.meet();
        let block: Vec<u16> = (0..1000).map(|n| if n % 500 < 250 { 1500 } else { 2600 }).collect();
        self.capture.push(&block, |_| {});
        self.pauses += 1;
        self.meet();
        self.pauses < MOST_PAUSES
    }
}

struct Heard(Vec<u8>);

impl Write for Heard {
    fn write_bytes(&mut self, bytes: &[u8]) -> Result<(), Error> {
        self.0.extend_from_slice(bytes);
        Ok(())
    }
    fn write_char(&mut self, c: char) -> Result<(), Error> {
        self.write_bytes(c.encode_utf8(&mut [0; 4]).as_bytes())
    }
    fn write_str(&mut self, text: &str) -> Result<(), Error> {
        self.write_bytes(text.as_bytes())
    }
    fn write_fmt(&mut self, text: std::fmt::Arguments<'_>) -> Result<(), Error> {
        self.write_bytes(text.to_string().as_bytes())
    }
}

fuzz_target!(|bytes: &[u8]| {
    let front = FrontEnd::of_diagram(500_000).expect("a front end");
    let bench = Bench::new(front, LONGEST, Settings::default());
    let (mut recording, mut shown) = ([0; LONGEST], [0; LONGEST]);
    let arrangement = bench.arrangement().expect("the first settings");
    let capture = Capture::new(arrangement, front.highest, &mut recording, &mut shown);
    let capture = capture.expect("a capture");
    let (pauses, begun, valid_after, record) = (0, 0, 0, None);
    let mut instrument = OnBench { front, bench, capture, pauses, begun, valid_after, record };
    let mut session = Session::default();
    let mut say = |message: &[u8]| {
        let mut heard = Heard(Vec::new());
        session.take(&mut instrument, message, &mut heard);
        let settings = *instrument.bench.settings();
        settings.arrangement(&front).expect("settings that the engine takes");
        heard.0
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
