//! The whole instrument on a PC: signals in, knobs turned, and the screen as committed pictures.
//! `STILLWAVE_BLESS=1` writes them anew; look at every one of them then.

mod display;

use display::Display;
use embedded_graphics::pixelcolor::{BinaryColor, Rgb565};
use stillwave_app::{Action, Bench, Capture, FrontEnd, Mode, Settings, Status};

const RATE: u32 = 500_000;

struct Instrument {
    front: FrontEnd,
    capture: Capture<'static>,
    bench: Bench,
    signal: Box<dyn Fn(f64) -> f64>,
    samples: u64,
}

impl Instrument {
    /// On a signal: seconds to volts.
    fn on(signal: impl Fn(f64) -> f64 + 'static) -> Self {
        let front = FrontEnd::of_diagram(RATE).unwrap();
        let [recording, shown] = [(); 2].map(|()| Box::leak(vec![0; 40_002].into_boxed_slice()));
        let bench = Bench::new(front, 40_002, Settings::default());
        let arrangement = bench.arrangement().unwrap();
        let capture = Capture::new(arrangement, 4_095, recording, shown).unwrap();
        Self { front, capture, bench, signal: Box::new(signal), samples: 0 }
    }

    /// Time goes on, in blocks of 2 ms.
    fn run(&mut self, milliseconds: u64) {
        for _ in 0..milliseconds / 2 {
            let block: Vec<u16> = (0..1_000)
                .map(|i| {
                    let seconds = (self.samples + i) as f64 / f64::from(RATE);
                    let counts = self.front.scale.counts((self.signal)(seconds));
                    counts.round().clamp(0.0, 4_095.0) as u16
                })
                .collect();
            self.samples += 1_000;
            self.capture.push(&block, |_| {});
            if let Some(shot) = self.bench.meet(&mut self.capture, true) {
                self.bench.look(&shot);
                self.capture.give_back(shot);
            }
        }
        self.bench.note(Status { counts: self.capture.counts(), load: 17 });
    }

    fn act(&mut self, action: Action) {
        self.bench.act(action);
        self.run(200);
    }

    fn picture(&mut self, name: &str) {
        let mut display = Display::<BinaryColor>::new(128, 64);
        self.bench.draw(&mut display).unwrap();
        display.expect(name);
    }

    /// Later records draw the same, but for where samples fall: straight lines between few of them
    /// cut a sine's tops here or there. A picture that rolled would differ in most of its pixels.
    fn stands(&mut self) {
        let mut displays = [(); 5].map(|()| {
            let mut display = Display::<BinaryColor>::new(128, 64);
            self.run(222);
            self.bench.draw(&mut display).unwrap();
            display
        });
        for display in &mut displays {
            // The readings vary in their last digit.
            display.cover(48);
        }
        let [first, others @ ..] = displays;
        for other in others {
            let (lit, differs) = (first.lit(), first.differs(&other));
            assert!(lit > 250 && differs * 5 <= lit, "{differs} of {lit} pixels");
        }
    }

    fn large_picture(&mut self, name: &str) {
        let mut display = Display::<Rgb565>::new(240, 240);
        self.bench.draw(&mut display).unwrap();
        display.expect(name);
    }
}

fn sine(frequency: f64, amplitude: f64, offset: f64) -> impl Fn(f64) -> f64 {
    move |t| offset + amplitude * (t * frequency * std::f64::consts::TAU).sin()
}

/// 1.5 ms high of every 20 ms, as a servo's control signal.
fn pulses(t: f64) -> f64 {
    if t % 0.02 < 0.0015 { 3.3 } else { 0.0 }
}

#[test]
fn a_sine_as_it_comes_and_after_automatic_set_up() {
    let mut instrument = Instrument::on(sine(1_234.0, 1.5, 1.5));
    instrument.run(200);
    instrument.picture("sine-at-first");
    instrument.act(Action::Automatic);
    instrument.picture("sine-set-up");
    instrument.large_picture("sine-large");
    let frequency = instrument.bench.readings().frequency.unwrap();
    assert!((frequency - 1_234.0).abs() < 2.0, "{frequency}");
    instrument.stands();
}

#[test]
fn few_samples_a_division_are_joined_and_stand_still() {
    let mut instrument = Instrument::on(sine(61_111.0, 4.0, 0.0));
    instrument.act(Action::Automatic);
    for _ in 0..3 {
        instrument.act(Action::Time(-1));
    }
    instrument.picture("fast-sine");
    instrument.stands();
}

#[test]
fn the_level_moves_by_a_tenth_of_a_division() {
    let mut instrument = Instrument::on(pulses);
    instrument.act(Action::Automatic);
    let Settings { level_mv, volts_mv, time_us, .. } = *instrument.bench.settings();
    assert_eq!((volts_mv, time_us), (1_000, 5_000));
    instrument.act(Action::Level(3));
    assert_eq!(instrument.bench.settings().level_mv, level_mv + 300);
    instrument.act(Action::Slope);
    for _ in 0..3 {
        instrument.act(Action::Time(-1));
    }
    instrument.picture("pulses-falling");
    instrument.act(Action::TimeOther);
    instrument.act(Action::Time(7));
    instrument.act(Action::VoltsOther);
    instrument.act(Action::Volts(5));
    instrument.picture("pulses-holdoff-position");
    assert_eq!(instrument.bench.settings().holdoff_us, 1_000);
    instrument.large_picture("pulses-large");
}

#[test]
fn modes_wait_force_and_stop() {
    let mut instrument = Instrument::on(pulses);
    instrument.act(Action::Automatic);
    // A level out of the signal's reach: auto goes on without.
    for _ in 0..4 {
        instrument.act(Action::Level(10));
    }
    let forced = instrument.capture.counts().engine.forced;
    instrument.run(400);
    assert!(instrument.capture.counts().engine.forced > forced + 2);
    instrument.picture("auto-without-event");
    instrument.act(Action::Mode);
    assert_eq!(instrument.bench.settings().mode, Mode::Normal);
    let records = instrument.capture.counts().engine.records;
    instrument.run(1_000);
    assert_eq!(instrument.capture.counts().engine.records, records);
    instrument.act(Action::Mode);
    assert_eq!(instrument.bench.settings().mode, Mode::Single);
    assert!(instrument.bench.is_running());
    instrument.picture("single-waiting");
    for _ in 0..4 {
        instrument.act(Action::Level(-10));
    }
    assert!(!instrument.bench.is_running());
    assert_eq!(instrument.capture.counts().engine.records, records + 1);
    instrument.picture("single-done");
    instrument.act(Action::RunStop);
    assert_eq!(instrument.capture.counts().engine.records, records + 2);
    instrument.act(Action::Mode);
    assert!(instrument.bench.is_running());
    instrument.act(Action::RunStop);
    let records = instrument.capture.counts().engine.records;
    instrument.run(400);
    assert_eq!(instrument.capture.counts().engine.records, records);
}

#[test]
fn an_overrun_and_a_clipped_signal_show() {
    let mut instrument = Instrument::on(sine(100.0, 30.0, 0.0));
    instrument.run(100);
    instrument.capture.gap(123);
    instrument.run(100);
    instrument.picture("clipped-overrun");
}

#[test]
fn stopping_an_automatic_set_up_leaves_the_settings() {
    let mut instrument = Instrument::on(pulses);
    instrument.run(100);
    let before = *instrument.bench.settings();
    instrument.bench.act(Action::Automatic);
    instrument.run(4);
    instrument.act(Action::RunStop);
    instrument.act(Action::RunStop);
    assert_eq!(*instrument.bench.settings(), before);
    // And it triggers as before, at 0 V no more than it did.
    instrument.run(300);
    assert!(instrument.bench.is_running());
}
