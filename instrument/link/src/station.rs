//! The main loop of a board: all that is not an interrupt.

use embedded_graphics::draw_target::DrawTarget;
use embedded_graphics::pixelcolor::{BinaryColor, PixelColor};
use embedded_io::{Read, ReadReady, Write, WriteReady};
use stillwave::Event;
use stillwave_app::store::Patience;
use stillwave_app::{Action, Bench, Counts, FrontEnd, Keep, Load, Settings, Shot, Status};

use crate::{BoardLink, Hello, ToBoard};

/// Pictures are at least so far apart, ms.
const PICTURE: u64 = 50;

/// Bench, link and memory of a board together. Each [`turn`](Self::turn) does what there is to do.
pub struct Station<'m, K, const N: usize> {
    bench: Bench,
    link: BoardLink<N>,
    keep: K,
    patience: Patience,
    /// What the other end knows.
    told: Option<(Settings, bool)>,
    /// A record on its way to the other end.
    shot: Option<Shot<'m>>,
    load: Load,
    milliseconds: u64,
    looked: u64,
    drawn: u64,
    not_kept: u32,
}

impl<'m, K: Keep, const N: usize> Station<'m, K, N> {
    /// A station that begins with the settings that were kept last.
    pub fn new(front: FrontEnd, longest: usize, mut keep: K) -> Self {
        // Memory that cannot be read is as none: the knobs are there.
        let kept = keep.load().ok().flatten().unwrap_or_default();
        let bench = Bench::new(front, longest, kept);
        Self {
            patience: Patience::new(kept),
            bench,
            link: BoardLink::new(Hello::new(&front, longest)),
            keep,
            told: None,
            shot: None,
            load: Load::default(),
            milliseconds: 0,
            looked: 0,
            drawn: 0,
            not_kept: 0,
        }
    }

    /// The bench, to look at.
    pub fn bench(&self) -> &Bench {
        &self.bench
    }

    /// Other settings.
    pub fn set(&mut self, settings: Settings) {
        self.bench.set(settings);
    }

    /// Whether there is nothing more to tell.
    pub fn is_idle(&self) -> bool {
        self.shot.is_none() && self.link.is_idle()
    }

    /// How often settings could not be kept.
    pub fn not_kept(&self) -> u32 {
        self.not_kept
    }

    /// The processor slept from one time to another, in µs.
    pub fn slept(&mut self, from: u64, to: u64) {
        self.load.slept(from, to);
    }

    /// A hand asks for something.
    pub fn act(&mut self, action: Action) {
        self.bench.act(action);
    }

    /// Whether an event would find room now.
    pub fn has_room(&self) -> bool {
        self.link.has_room()
    }

    /// An event was accepted.
    pub fn event(&mut self, event: Event) {
        self.link.event(event);
    }

    /// Does what there is to do, at a time in ms.
    ///
    /// `meet` locks the capture, gives a record back to it, lets the bench meet it (which wants a
    /// record or not), and returns the record and what was counted; `events_dropped` is how many events found no room on
    /// the way from the interrupt.
    ///
    /// # Errors
    /// The port's.
    pub fn turn<P: Read + ReadReady + Write + WriteReady>(
        &mut self,
        milliseconds: u64,
        events_dropped: u32,
        port: &mut P,
        mut meet: impl FnMut(&mut Bench, bool, Option<Shot<'m>>) -> (Option<Shot<'m>>, Counts),
    ) -> Result<(), P::Error> {
        self.milliseconds = milliseconds;
        let Self { bench, link, told, .. } = self;
        let mut anew = false;
        link.pump(port, milliseconds, |order| match order {
            ToBoard::Settings(settings) => {
                anew = true;
                bench.set(settings);
            }
            ToBoard::Run => {
                anew = true;
                bench.run();
            }
            ToBoard::Stop => bench.stop(),
            ToBoard::Automatic => bench.act(Action::Automatic),
            // All else is the link's own; what is set is told to whoever says hello.
            _ => *told = None,
        })?;
        let done = match self.shot.take() {
            // No record of before begins after its settings have gone.
            Some(shot) if anew && !self.link.is_sending() => Some(shot),
            Some(shot) if !self.link.send(&shot, milliseconds) => {
                self.shot = Some(shot);
                None
            }
            sent => sent,
        };
        // No more records than pictures: each costs its measurements.
        let wanted = milliseconds.saturating_sub(self.looked) >= PICTURE;
        let (shot, counts) = meet(&mut self.bench, wanted, done);
        if let Some(shot) = shot {
            self.looked = milliseconds;
            self.bench.look(&shot);
            self.shot = Some(shot);
        }
        let status = Status { counts, load: self.load.percent() };
        self.bench.note(status);
        let now = (*self.bench.settings(), self.bench.is_running());
        if self.told != Some(now) {
            self.told = Some(now);
            self.link.settings(&now.0, now.1);
        }
        self.link.counters(&status, events_dropped, milliseconds);
        if self.patience.is_over(&now.0, milliseconds) && self.keep.save(&now.0).is_err() {
            self.not_kept += 1;
        }
        Ok(())
    }

    /// Draws where the picture has changed and it is time; whether it did.
    ///
    /// # Errors
    /// The display's.
    pub fn draw<C, D>(&mut self, display: &mut D) -> Result<bool, D::Error>
    where
        C: PixelColor + From<BinaryColor>,
        D: DrawTarget<Color = C>,
    {
        let due = self.milliseconds.saturating_sub(self.drawn) >= PICTURE;
        if !(due && self.bench.has_changed()) {
            return Ok(false);
        }
        self.drawn = self.milliseconds;
        self.bench.draw(display)?;
        Ok(true)
    }
}
