//! The bench instrument on a signal, for as long as it is waited for.

use stillwave_app::{Bench, Capture, FrontEnd, Settings};
use stillwave_scpi::{Instrument, Missing};

/// Samples a second, as most have it.
pub(crate) const RATE: u32 = 500_000;
const BLOCK: u64 = 2_048;

/// A board without interrupts: its samples come while somebody waits.
pub(crate) struct OnBench<'m> {
    /// Whether it has gone.
    pub(crate) gone: bool,
    /// The converter that it says it has.
    pub(crate) front: FrontEnd,
    longest: usize,
    bench: Bench,
    capture: Capture<'m>,
    signal: fn(u64) -> u16,
    end: u64,
    fed: u64,
    begun: u64,
    valid_after: u64,
    record: Option<(u64, Vec<u16>)>,
}

impl<'m> OnBench<'m> {
    /// With `rate` samples a second, that memory, `signal` as the code of its n-th sample, and nothing
    /// more after `end` ms.
    pub(crate) fn new(
        rate: u32,
        [recording, shown]: [&'m mut [u16]; 2],
        signal: fn(u64) -> u16,
        end: u64,
    ) -> Self {
        let front = FrontEnd::of_diagram(rate).expect("a front end");
        let longest = recording.len();
        let bench = Bench::new(front, longest, Settings::default());
        let arrangement = bench.arrangement().expect("the first settings");
        let capture = Capture::new(arrangement, front.highest, recording, shown);
        Self {
            gone: false,
            front,
            longest,
            bench,
            capture: capture.expect("a capture"),
            signal,
            end,
            fed: 0,
            begun: 0,
            valid_after: 0,
            record: None,
        }
    }

    fn meet(&mut self) {
        if let Some(shot) = self.bench.meet(&mut self.capture, true) {
            self.begun += 1;
            self.record = Some((self.begun, shot.samples().to_vec()));
            self.capture.give_back(shot);
        }
    }

    /// Does as it is told, where it is there.
    fn obey(&mut self, order: impl FnOnce(&mut Bench)) -> Result<(), Missing> {
        if self.gone {
            return Err(Missing);
        }
        order(&mut self.bench);
        Ok(())
    }
}

impl Instrument for OnBench<'_> {
    type Samples = Vec<u16>;

    fn front(&self) -> FrontEnd {
        self.front
    }
    fn longest(&self) -> usize {
        self.longest
    }
    fn settings(&self) -> Settings {
        *self.bench.settings()
    }
    fn is_running(&self) -> bool {
        self.bench.is_running()
    }
    fn change(&mut self, change: impl Fn(&mut Settings)) -> Result<(), Missing> {
        self.valid_after = self.begun;
        let mut settings = self.settings();
        change(&mut settings);
        self.obey(|bench| bench.set(settings))
    }
    fn run(&mut self) -> Result<(), Missing> {
        self.valid_after = self.begun;
        self.obey(Bench::run)
    }
    fn stop(&mut self) -> Result<(), Missing> {
        self.obey(Bench::stop)
    }
    fn begun(&self) -> u64 {
        self.begun
    }
    fn record(&self, after: u64) -> Option<Vec<u16>> {
        let (number, samples) = self.record.as_ref()?;
        (*number > after.max(self.valid_after)).then(|| samples.clone())
    }
    fn milliseconds(&self) -> u64 {
        self.fed * 1_000 / u64::from(self.front.rate)
    }
    async fn pause(&mut self) -> bool {
        self.meet();
        let block: Vec<u16> = (self.fed..self.fed + BLOCK).map(self.signal).collect();
        self.capture.push(&block, |_| {});
        self.fed += BLOCK;
        self.meet();
        self.milliseconds() < self.end
    }
}
