//! The bench instrument on a signal, for as long as it is waited for.

use stillwave_app::{Bench, Capture, FrontEnd, Settings};
use stillwave_scpi::Instrument;

/// Samples a second.
pub(crate) const RATE: u32 = 500_000;
const LONGEST: usize = 40_002;
const BLOCK: u64 = 2_048;
/// After so many ms nothing more comes.
const END: u64 = 20_000;

/// A board without interrupts: its samples come while somebody waits.
pub(crate) struct OnBench {
    front: FrontEnd,
    bench: Bench,
    capture: Capture<'static>,
    signal: fn(u64) -> u16,
    fed: u64,
    begun: u64,
    valid_after: u64,
    record: Option<(u64, Vec<u16>)>,
}

impl OnBench {
    /// With `signal` as the code of its n-th sample.
    pub(crate) fn new(signal: fn(u64) -> u16) -> Self {
        let front = FrontEnd::of_diagram(RATE).unwrap();
        let bench = Bench::new(front, LONGEST, Settings::default());
        let memory = || Box::leak(vec![0; LONGEST].into_boxed_slice());
        let arrangement = bench.arrangement().unwrap();
        let capture = Capture::new(arrangement, front.highest, memory(), memory()).unwrap();
        Self { front, bench, capture, signal, fed: 0, begun: 0, valid_after: 0, record: None }
    }

    fn meet(&mut self) {
        if let Some(shot) = self.bench.meet(&mut self.capture, true) {
            self.begun += 1;
            self.record = Some((self.begun, shot.samples().to_vec()));
            self.capture.give_back(shot);
        }
    }
}

impl Instrument for OnBench {
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
        self.fed * 1_000 / u64::from(RATE)
    }
    async fn pause(&mut self) -> bool {
        self.meet();
        let block: Vec<u16> = (self.fed..self.fed + BLOCK).map(self.signal).collect();
        self.capture.push(&block, |_| {});
        self.fed += BLOCK;
        self.meet();
        self.milliseconds() < END
    }
}
