//! The side of the main loop: actions and records in, settings and the picture out.

use embedded_graphics::draw_target::DrawTarget;
use embedded_graphics::pixelcolor::{BinaryColor, PixelColor};
use stillwave::{EdgeConfig, EdgeSlope, Level, RecordShape, Setup};

use crate::screen::{self, Face};
use crate::settings::FARTHEST_MV;
use crate::steps::{DIVISIONS_ACROSS, DIVISIONS_BEFORE, HOLDOFFS_US, TIMES_US, VOLTS_MV, step};
use crate::{
    Action, Arrangement, Capture, Counts, FrontEnd, Mode, Readings, Settings, Shot, Trace,
};

/// What the screen tells of the capture and the processor.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Status {
    /// What was captured and lost.
    pub counts: Counts,
    /// How busy the processor is, in percent.
    pub load: u8,
}

/// The instrument: what is set, what is shown.
#[expect(clippy::struct_excessive_bools, reason = "each is a state of its own")]
pub struct Bench {
    front: FrontEnd,
    longest: usize,
    settings: Settings,
    running: bool,
    /// An automatic set-up waits for a record to look at.
    searching: bool,
    turns_holdoff: bool,
    turns_position: bool,
    /// The capture does not know yet.
    untold: bool,
    trace: Trace,
    triggered: bool,
    readings: Readings,
    status: Status,
    changed: bool,
}

impl Bench {
    /// An instrument that runs with `settings`, and records of at most `longest` samples.
    pub fn new(front: FrontEnd, longest: usize, settings: Settings) -> Self {
        let mut bench = Self {
            front,
            longest,
            settings,
            running: true,
            searching: false,
            turns_holdoff: false,
            turns_position: false,
            untold: false,
            trace: Trace::default(),
            triggered: false,
            readings: Readings::default(),
            status: Status::default(),
            changed: true,
        };
        bench.settings = settings.within_reach(front.longest_division(longest));
        bench
    }

    /// What is set.
    pub fn settings(&self) -> &Settings {
        &self.settings
    }

    /// What the last record measured.
    pub fn readings(&self) -> &Readings {
        &self.readings
    }

    /// Whether it runs; a single record stops it.
    pub fn is_running(&self) -> bool {
        self.running
    }

    /// What to capture first.
    ///
    /// # Errors
    /// Settings that the engine refuses.
    pub fn arrangement(&self) -> Result<Arrangement, stillwave::ConfigError> {
        self.settings.arrangement(&self.front)
    }

    /// Other settings, from a link. A new mode is meant to be waited in: it runs then.
    pub fn set(&mut self, settings: Settings) {
        self.running |= settings.mode != self.settings.mode;
        self.settings = settings.within_reach(self.front.longest_division(self.longest));
        (self.untold, self.changed) = (true, true);
    }

    /// Runs from now on: waits anew for a single record.
    pub fn run(&mut self) {
        (self.running, self.untold, self.changed) = (true, true, true);
    }

    /// Stops: the picture stays.
    pub fn stop(&mut self) {
        (self.running, self.searching) = (false, false);
        (self.untold, self.changed) = (true, true);
    }

    /// What a hand asks for.
    pub fn act(&mut self, action: Action) {
        let mut settings = self.settings;
        match action {
            Action::Level(steps) => {
                let step = (settings.volts_mv / 10) as i32;
                let level = settings.level_mv.saturating_add(steps.saturating_mul(step));
                settings.level_mv = level.clamp(-FARTHEST_MV, FARTHEST_MV);
            }
            Action::Slope => {
                settings.slope = match settings.slope {
                    EdgeSlope::Rising => EdgeSlope::Falling,
                    EdgeSlope::Falling => EdgeSlope::Either,
                    EdgeSlope::Either => EdgeSlope::Rising,
                }
            }
            Action::Time(steps) if self.turns_holdoff => {
                settings.holdoff_us = step(&HOLDOFFS_US, settings.holdoff_us, steps);
            }
            Action::Time(steps) => settings.time_us = step(&TIMES_US, settings.time_us, steps),
            Action::Volts(steps) if self.turns_position => {
                let step = (settings.volts_mv / 10) as i32;
                let centre = settings.centre_mv.saturating_sub(steps.saturating_mul(step));
                settings.centre_mv = centre.clamp(-FARTHEST_MV, FARTHEST_MV);
            }
            Action::Volts(steps) => {
                settings.volts_mv = step(&VOLTS_MV, settings.volts_mv, steps.signum());
            }
            Action::Mode => {
                settings.mode = match settings.mode {
                    Mode::Auto => Mode::Normal,
                    Mode::Normal => Mode::Single,
                    Mode::Single => Mode::Auto,
                }
            }
            Action::RunStop if self.running => self.stop(),
            Action::RunStop => self.run(),
            Action::Automatic => {
                self.run();
                self.searching = true;
            }
            Action::TimeOther => self.turns_holdoff = !self.turns_holdoff,
            Action::VoltsOther => self.turns_position = !self.turns_position,
        }
        self.changed = true;
        if settings == self.settings {
            return;
        }
        let looks_only = Settings {
            volts_mv: settings.volts_mv,
            centre_mv: settings.centre_mv,
            ..self.settings
        };
        if settings != looks_only {
            self.untold = true;
        }
        // A new mode is meant to be waited in.
        if settings.mode != self.settings.mode {
            self.running = true;
        }
        self.settings = settings.within_reach(self.front.longest_division(self.longest));
    }

    /// Tells the capture what has changed since it was last told, and takes its newest record where
    /// one is `wanted`. Short, for a capture is locked meanwhile.
    pub fn meet<'m>(&mut self, capture: &mut Capture<'m>, wanted: bool) -> Option<Shot<'m>> {
        if core::mem::take(&mut self.untold) {
            let arrangement = if self.searching { Ok(self.search()) } else { self.arrangement() };
            // All is within reach: neither the settings nor the memory can be refused.
            let _ = arrangement.map(|arrangement| capture.arrange(arrangement));
            if self.running { capture.run() } else { capture.stop() }
        }
        let shot = if wanted { capture.take() } else { None };
        if self.running && !capture.is_running() {
            (self.running, self.changed) = (false, true);
        }
        shot
    }

    /// Looks at a record; it may go back afterwards.
    pub fn look(&mut self, shot: &Shot<'_>) {
        self.changed = true;
        if self.searching {
            self.searching = false;
            let found = crate::auto::fit(shot.samples(), &self.front, self.settings);
            self.set(found);
            return;
        }
        let division = self.front.rate as f32 * self.settings.time_us as f32 / 1e6;
        let (before, across) = (DIVISIONS_BEFORE as f32, DIVISIONS_ACROSS as f32);
        self.trace = Trace::of(shot, before * division, across * division);
        self.triggered = shot.event.is_some();
        self.readings = Readings::of(shot.samples(), &self.front);
    }

    /// What has become of the capture and the processor.
    pub fn note(&mut self, status: Status) {
        let shown = |status: &Status| {
            let engine = &status.counts.engine;
            (status.load, engine.gaps, status.counts.passed_over)
        };
        self.changed |= shown(&status) != shown(&self.status);
        self.status = status;
    }

    /// Whether the screen would look different from when it was last drawn.
    pub fn has_changed(&self) -> bool {
        self.changed
    }

    /// Draws the screen: 128 × 64 pixels, or larger.
    ///
    /// # Errors
    /// The display's.
    pub fn draw<C, D>(&mut self, display: &mut D) -> Result<(), D::Error>
    where
        C: PixelColor + From<BinaryColor>,
        D: DrawTarget<Color = C>,
    {
        self.changed = false;
        screen::draw(
            display,
            &Face {
                settings: &self.settings,
                front: &self.front,
                trace: &self.trace,
                readings: &self.readings,
                counts: &self.status.counts,
                load: self.status.load,
                running: self.running,
                searching: self.searching,
                triggered: self.triggered,
                turns_holdoff: self.turns_holdoff,
                turns_position: self.turns_position,
            },
        )
    }

    /// A quarter of a second of whatever comes, or as much as there is memory for.
    fn search(&self) -> Arrangement {
        let long_enough = self.front.samples(250_000) as usize;
        Arrangement {
            setup: Setup::Edge(EdgeConfig { slope: EdgeSlope::Rising, level: UNREACHABLE }),
            holdoff: stillwave::Holdoff::None,
            shape: RecordShape { pre: 0, post: self.longest.min(long_enough).max(1) },
            mode: stillwave::Mode::Auto { after: 1 },
        }
    }
}

/// A level that no sample reaches.
const UNREACHABLE: Level<u16> = Level { level: i32::MAX, hysteresis: 0, channel: 0 };
