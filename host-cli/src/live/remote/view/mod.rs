//! What is known of the board, and what was asked of it that it has not confirmed yet.

use std::sync::Arc;
use std::time::{Duration, Instant};

use stillwave_app::{FrontEnd, Mode, Settings};
use stillwave_link::{Hello, ToBoard};

use crate::live::News;
use crate::live::state::UNKNOWN;

/// After so long an order is taken for done, or for lost; and a record that a board has finished,
/// and of which no more comes, for lost on its way.
const LONG: Duration = Duration::from_secs(1);

/// So many orders wait at most; then programs do.
const MOST: usize = 64;

/// Orders go out with a hello behind them, and the next when these are confirmed: by the hello that
/// comes back, and by what is set after it.
#[derive(Default)]
pub(super) struct View {
    hello: Option<Hello>,
    told: Option<(Settings, bool)>,
    wanted: Wanted,
    orders: Vec<ToBoard>,
    asked: Option<Asked>,
    /// What they change makes another record than before.
    renews: bool,
    begun: u64,
    valid_after: u64,
    record: Option<(u64, Arc<[u16]>)>,
    /// A single record was asked for, and has not come.
    expected: bool,
    stopped: Option<Instant>,
    is: Is,
}

/// Where the board is.
#[derive(Default, PartialEq, Eq)]
enum Is {
    #[default]
    There,
    Away,
    /// One is there that has not said yet what it is, and then what is set.
    Unknown,
    Unset,
    /// A recording that is over.
    Ended,
}

/// What was asked for last, where it is not confirmed.
#[derive(Clone, Copy, Default)]
struct Wanted {
    settings: Option<Settings>,
    running: Option<bool>,
}

/// Orders that have gone out.
struct Asked {
    since: Instant,
    wanted: Wanted,
    /// Hellos up to theirs that have not come.
    hellos: u32,
    /// Whether the board has said since that what was wanted is so. A single record may have ended
    /// before the hello comes.
    was_so: bool,
}

impl View {
    pub(super) fn take(&mut self, news: &News) {
        match news {
            News::Hello(hello) => {
                if self.hello.replace(*hello).is_some_and(|before| before != *hello) {
                    // Another board, whose counts are other volts.
                    self.record = None;
                }
                if let Some(asked) = &mut self.asked {
                    asked.hellos = asked.hellos.saturating_sub(1);
                }
                if self.is == Is::Unknown {
                    self.is = Is::Unset;
                }
            }
            News::Settings { settings, running } => {
                self.set_is(settings, *running);
                if self.is == Is::Unset {
                    self.is = Is::There;
                }
            }
            News::RecordBegins => {
                self.begun += 1;
                self.goes_on();
            }
            News::RecordGoesOn => self.goes_on(),
            News::Record(_, samples) => {
                self.record = Some((self.begun, samples.as_slice().into()));
                self.expected &= !self.is_valid(0);
            }
            News::Connected => self.is = Is::Unknown,
            News::Gone(_) => {
                self.is = Is::Away;
                self.orders.clear();
                self.confirmed();
            }
            News::Ended(_) => self.is = Is::Ended,
            News::Missed | News::Event(_) | News::Counters(_) => {}
        }
    }

    /// A record is on its way: no sooner than long after its last frame is it lost.
    fn goes_on(&mut self) {
        self.stopped = self.stopped.map(|_| Instant::now());
    }

    fn set_is(&mut self, settings: &Settings, running: bool) {
        if let Some((before, ran)) = self.told.replace((*settings, running)) {
            if ran && !running {
                self.stopped = Some(Instant::now());
            }
            // By a knob, it may be; how a record is shown does not change it.
            let Settings { volts_mv, centre_mv, .. } = *settings;
            if (Settings { volts_mv, centre_mv, ..before }) != *settings {
                self.valid_after = self.begun;
            }
        }
        if let Some(asked) = &mut self.asked {
            let Wanted { settings: wanted, running: wanted_running } = asked.wanted;
            asked.was_so |= wanted.is_none_or(|wanted| wanted == *settings)
                && wanted_running.is_none_or(|wanted| wanted == running);
            if asked.hellos == 0 && asked.was_so {
                self.confirmed();
            }
        }
    }

    /// What was asked is so. What was asked after it is yet to go out.
    fn confirmed(&mut self) {
        self.asked = None;
        if self.orders.is_empty() {
            self.wanted = Wanted::default();
            if std::mem::take(&mut self.renews) {
                self.valid_after = self.begun;
            }
        }
    }

    /// What goes out now, where the board has yet to say `due` hellos that others asked for.
    pub(super) fn take_orders(&mut self, due: u32) -> Vec<ToBoard> {
        if self.asked.as_ref().is_some_and(|asked| asked.since.elapsed() >= LONG) {
            self.confirmed();
        }
        if self.asked.is_some() || self.orders.is_empty() {
            return Vec::new();
        }
        let wanted = self.wanted;
        let hellos = due.saturating_add(1);
        self.asked = Some(Asked { since: Instant::now(), wanted, hellos, was_so: false });
        let mut orders = std::mem::take(&mut self.orders);
        orders.push(ToBoard::Hello);
        orders
    }

    /// Whether no more orders can wait.
    pub(super) fn is_full(&self) -> bool {
        self.orders.len() >= MOST
    }

    /// Whether there is nothing that could do what is asked, or it is not known what that means there.
    pub(super) fn is_gone(&self) -> bool {
        self.is != Is::There
    }

    /// Whether the board has said what it is and what is set.
    pub(super) fn is_ready(&self) -> bool {
        self.hello.is_some() && self.told.is_some()
    }

    pub(super) fn has_ended(&self) -> bool {
        self.is == Is::Ended
    }

    pub(super) fn front(&self) -> FrontEnd {
        self.hello.map_or(UNKNOWN, |hello| hello.front())
    }

    pub(super) fn longest(&self) -> usize {
        self.hello.map_or(0, |hello| hello.longest as usize)
    }

    pub(super) fn settings(&self) -> Settings {
        self.wanted.settings.or(self.told.map(|(settings, _)| settings)).unwrap_or_default()
    }

    pub(super) fn is_running(&self) -> bool {
        let runs = self.wanted.running.or(self.told.map(|(_, running)| running)).unwrap_or(false);
        // The record of a board that has stopped by itself is on its way.
        runs || (self.expected && self.stopped.is_some_and(|stopped| stopped.elapsed() < LONG))
    }

    pub(super) fn set(&mut self, settings: Settings) {
        if settings.mode != self.settings().mode {
            self.ran(settings.mode == Mode::Single);
        }
        self.wanted.settings = Some(settings);
        self.order(ToBoard::Settings(settings), true);
    }

    pub(super) fn run(&mut self) {
        self.ran(self.settings().mode == Mode::Single);
        self.order(ToBoard::Run, true);
    }

    fn ran(&mut self, expected: bool) {
        (self.wanted.running, self.expected, self.stopped) = (Some(true), expected, None);
    }

    pub(super) fn stop(&mut self) {
        (self.wanted.running, self.expected) = (Some(false), false);
        self.order(ToBoard::Stop, false);
    }

    fn order(&mut self, order: ToBoard, renews: bool) {
        self.renews |= renews;
        // Of several alike in a row the last is enough; but another mode also runs.
        let is_alike = self.orders.last().is_some_and(|last| match (last, &order) {
            (ToBoard::Settings(last), ToBoard::Settings(order)) => last.mode == order.mode,
            (last, order) => last == order,
        });
        if is_alike {
            self.orders.pop();
        }
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

#[cfg(test)]
mod tests;
