//! What is known of the board, and what was asked of it that it has not confirmed yet.

use std::sync::Arc;
use std::time::{Duration, Instant};

use stillwave::Scale;
use stillwave_app::{FrontEnd, Mode, Settings};
use stillwave_link::{Hello, ToBoard};

use crate::live::News;

/// After so long an order is taken for done, or for lost; and a record that a board has finished,
/// for lost on its way.
const LONG: Duration = Duration::from_secs(1);

/// Orders go out with a hello behind them. The hello that comes back, and what is set after it, say
/// that they were taken.
#[derive(Default)]
pub(super) struct View {
    hello: Option<Hello>,
    told: Option<(Settings, bool)>,
    wanted: Option<Settings>,
    wanted_running: Option<bool>,
    orders: Vec<ToBoard>,
    /// Orders have gone out: since when, and whether the hello has come.
    asked: Option<(Instant, bool)>,
    /// What they change makes another record than before.
    renews: bool,
    begun: u64,
    valid_after: u64,
    record: Option<(u64, Arc<[u16]>)>,
    /// A single record was asked for, and has not come.
    expected: bool,
    stopped: Option<Instant>,
    ended: bool,
}

impl View {
    pub(super) fn take(&mut self, news: &News) {
        match news {
            News::Hello(hello) => {
                self.hello = Some(*hello);
                if let Some((_, came)) = &mut self.asked {
                    *came = self.orders.is_empty();
                }
            }
            News::Settings { settings, running } => {
                if self.told.is_some_and(|(_, ran)| ran) && !running {
                    self.stopped = Some(Instant::now());
                }
                self.told = Some((*settings, *running));
                let as_wanted = self.wanted.is_none_or(|wanted| wanted == *settings);
                if self.asked.is_some_and(|(_, came)| came) && as_wanted {
                    self.confirmed();
                }
            }
            News::RecordBegins => self.begun += 1,
            News::Record(_, samples) => {
                self.record = Some((self.begun, samples.as_slice().into()));
                self.expected &= !self.is_valid(0);
            }
            News::Gone(_) => self.confirmed(),
            News::Ended => self.ended = true,
            News::Connected | News::Missed | News::Event(_) | News::Counters(_) => {}
        }
    }

    /// What was asked is so.
    fn confirmed(&mut self) {
        (self.wanted, self.wanted_running, self.asked) = (None, None, None);
        if std::mem::take(&mut self.renews) {
            self.valid_after = self.begun;
        }
    }

    pub(super) fn take_orders(&mut self) -> Vec<ToBoard> {
        if self.asked.is_some_and(|(since, _)| since.elapsed() >= LONG) {
            self.confirmed();
        }
        let mut orders = std::mem::take(&mut self.orders);
        if !orders.is_empty() {
            orders.push(ToBoard::Hello);
            self.asked = Some((Instant::now(), false));
        }
        orders
    }

    /// Whether the board has said what it is and what is set.
    pub(super) fn is_ready(&self) -> bool {
        self.hello.is_some() && self.told.is_some()
    }

    pub(super) fn has_ended(&self) -> bool {
        self.ended
    }

    pub(super) fn front(&self) -> FrontEnd {
        let Some(hello) = self.hello else {
            return FrontEnd { rate: 1, highest: u16::MAX, scale: Scale::VOLTS };
        };
        let scale = Scale { volts_per_count: hello.volts_per_count, zero: hello.zero };
        FrontEnd { rate: hello.rate, highest: hello.highest, scale }
    }

    pub(super) fn longest(&self) -> usize {
        self.hello.map_or(0, |hello| hello.longest as usize)
    }

    pub(super) fn settings(&self) -> Settings {
        self.wanted.or(self.told.map(|(settings, _)| settings)).unwrap_or_default()
    }

    pub(super) fn is_running(&self) -> bool {
        let runs = self.wanted_running.or(self.told.map(|(_, running)| running)).unwrap_or(false);
        // The record of a board that has stopped by itself is on its way.
        runs || (self.expected && self.stopped.is_some_and(|stopped| stopped.elapsed() < LONG))
    }

    pub(super) fn set(&mut self, settings: Settings) {
        if settings.mode != self.settings().mode {
            self.ran(settings.mode == Mode::Single);
        }
        self.wanted = Some(settings);
        self.order(ToBoard::Settings(settings), true);
    }

    pub(super) fn run(&mut self) {
        self.ran(self.settings().mode == Mode::Single);
        self.order(ToBoard::Run, true);
    }

    fn ran(&mut self, expected: bool) {
        (self.wanted_running, self.expected, self.stopped) = (Some(true), expected, None);
    }

    pub(super) fn stop(&mut self) {
        (self.wanted_running, self.expected) = (Some(false), false);
        self.order(ToBoard::Stop, false);
    }

    fn order(&mut self, order: ToBoard, renews: bool) {
        self.renews |= renews;
        self.orders.push(order);
    }

    pub(super) fn begun(&self) -> u64 {
        self.begun
    }

    pub(super) fn record(&self, after: u64) -> Option<Arc<[u16]>> {
        let (_, samples) = self.record.as_ref()?;
        self.is_valid(after).then(|| Arc::clone(samples))
    }

    fn is_valid(&self, after: u64) -> bool {
        let after = after.max(self.valid_after);
        !self.renews && self.record.as_ref().is_some_and(|(number, _)| *number > after)
    }
}
