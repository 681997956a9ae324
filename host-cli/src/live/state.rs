//! What is known of a board.

use stillwave::{EdgeSlope, EventKind, Instant, Scale, Slope};
use stillwave_app::{Action, Bench, FrontEnd, Mode, Readings, Settings};
use stillwave_link::{Counters, Hello, RecordHead, ToBoard};

use super::News;
use crate::export::OwnedRecord;

/// The converter of a board that has not said what it is.
pub(super) const UNKNOWN: FrontEnd = FrontEnd { rate: 1, highest: u16::MAX, scale: Scale::VOLTS };

/// What a board has said so far.
pub struct State {
    hello: Option<Hello>,
    bench: Option<Bench>,
    /// Whether it runs.
    pub running: bool,
    /// The last record.
    pub record: Option<(RecordHead, Vec<u16>)>,
    /// What it measures.
    pub readings: Readings,
    /// What the board has counted.
    pub counters: Counters,
    /// Records that came.
    pub records: u64,
    /// Events that came.
    pub events: Events,
    /// A word on what happened last.
    pub message: String,
}

/// Events that came, counted.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Events {
    /// All of them.
    pub came: u64,
    /// Those that no record is of: a board sends no more records than a person could look at.
    pub without_record: u64,
}

impl Events {
    pub(super) fn take(&mut self, news: &News) {
        match news {
            News::Event(_) => {
                self.came += 1;
                self.without_record += 1;
            }
            // Its event came before it, unless it was before events were asked for.
            News::Record(head, _) if head.event.is_some() => {
                self.without_record = self.without_record.saturating_sub(1);
            }
            _ => {}
        }
    }
}

impl Default for State {
    fn default() -> Self {
        Self {
            hello: None,
            bench: None,
            running: true,
            record: None,
            readings: Readings::default(),
            counters: Counters::default(),
            records: 0,
            events: Events::default(),
            message: String::new(),
        }
    }
}

impl State {
    /// Takes what a board says.
    pub fn take(&mut self, news: &News) {
        self.events.take(news);
        match news {
            News::Connected => "connected again".clone_into(&mut self.message),
            News::Gone(reason) => self.message = format!("gone: {reason}; looking for it"),
            News::Ended(None) => self.message.clear(),
            News::Ended(Some(reason)) => self.message.clone_from(reason),
            News::Hello(hello) => self.hello(*hello),
            News::Settings { settings, running } => {
                self.running = *running;
                if let Some(bench) = &mut self.bench {
                    bench.set(*settings);
                }
            }
            News::Event(_) | News::RecordBegins | News::RecordGoesOn | News::Missed => {}
            News::Record(head, samples) => {
                self.records += 1;
                self.readings = Readings::of(samples, &self.front());
                self.record = Some((*head, samples.clone()));
            }
            News::Counters(counters) => self.counters = *counters,
        }
    }

    fn hello(&mut self, hello: Hello) {
        if self.hello != Some(hello) {
            let longest = hello.longest as usize;
            self.bench = Some(Bench::new(hello.front(), longest, Settings::default()));
            // The counts of the board that was there before are other volts.
            (self.record, self.readings) = (None, Readings::default());
        }
        self.hello = Some(hello);
    }

    /// What is set; as at first where the board has not said.
    pub fn settings(&self) -> Settings {
        self.bench.as_ref().map_or_else(Settings::default, |bench| *bench.settings())
    }

    /// The board's converter.
    pub fn front(&self) -> FrontEnd {
        self.hello.map_or(UNKNOWN, |hello| hello.front())
    }

    /// What to ask of the board, where a key does what a knob does.
    pub fn act(&mut self, action: Action) -> Option<ToBoard> {
        let order = match action {
            Action::Automatic => ToBoard::Automatic,
            Action::RunStop if self.running => ToBoard::Stop,
            Action::RunStop => ToBoard::Run,
            action => {
                let bench = self.bench.as_mut()?;
                bench.act(action);
                return Some(ToBoard::Settings(*bench.settings()));
            }
        };
        Some(order)
    }

    /// Turns the holdoff, which shares a knob on a board.
    pub fn turn_holdoff(&mut self, steps: i32) -> Option<ToBoard> {
        self.other(Action::TimeOther, Action::Time(steps))
    }

    /// Turns the voltage in the middle, which shares a knob on a board.
    pub fn turn_position(&mut self, steps: i32) -> Option<ToBoard> {
        self.other(Action::VoltsOther, Action::Volts(steps))
    }

    fn other(&mut self, switch: Action, turn: Action) -> Option<ToBoard> {
        let bench = self.bench.as_mut()?;
        for action in [switch, turn, switch] {
            bench.act(action);
        }
        Some(ToBoard::Settings(*bench.settings()))
    }

    /// What it does, in words.
    pub fn doing(&self) -> &'static str {
        match (self.settings().mode, self.running) {
            (Mode::Auto, true) => "auto, running",
            (Mode::Normal, true) => "normal, running",
            (Mode::Single, true) => "single, waiting",
            (_, false) => "stopped",
        }
    }

    /// Which edges count, in words.
    pub fn slope(&self) -> &'static str {
        match self.settings().slope {
            EdgeSlope::Rising => "rising",
            EdgeSlope::Falling => "falling",
            EdgeSlope::Either => "either",
        }
    }
}

/// A record as one that can be written, with the number that it has here, from 0: a board begins
/// anew when it does, and not all of its records come.
pub fn owned(number: u64, head: &RecordHead, samples: &[u16]) -> OwnedRecord {
    let event = head.event.map(|event| stillwave::Event {
        at: event.into(),
        kind: EventKind::Edge { slope: if event.rising { Slope::Rising } else { Slope::Falling } },
    });
    let at = event.map_or(Instant::at(head.start), |event| event.at);
    OwnedRecord { number, start: head.start, at, event, channels: vec![samples.to_vec().into()] }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_record_goes_with_its_board() {
        let hello =
            Hello { rate: 1_000, highest: 4_095, longest: 100, volts_per_count: 0.001, zero: 0.0 };
        let head = RecordHead { number: 0, len: 4, start: 0, event: None };
        let mut state = State::default();
        state.take(&News::Hello(hello));
        state.take(&News::Record(head, vec![500, 1_000, 500, 1_000]));
        state.take(&News::Hello(hello));
        assert!(state.record.is_some() && state.readings.mean.is_some(), "the same board");
        state.take(&News::Hello(Hello { volts_per_count: 0.01, ..hello }));
        assert!(state.record.is_none() && state.readings.mean.is_none(), "another");
    }
}
