//! `live`: a board, or a recording played as one.

use std::io::{IsTerminal, Write};
use std::path::Path;
use std::process::ExitCode;
use std::time::{Duration, Instant};

use ratatui::crossterm::event::{self, Event};
use ratatui::crossterm::{execute, terminal};
use ratatui::{TerminalOptions, Viewport};
use serde_json::json;
use stillwave_app::FrontEnd;
use stillwave_link::{EventAt, RecordHead, ToBoard};

use crate::args::{LiveArgs, RecordFormat, ReportFormat};
use crate::calibration::Calibration;
use crate::error::Error;
use crate::export::{ChannelContext, Context, Store};
use crate::input::{self, OpenOptions};
use crate::live::{
    self, Board, Events, Found, Key, Line, News, Outcome, Played, Remote, State, Verdict, owned,
};
use crate::quantity::Time;
use crate::report::CheckReport;
use crate::{interrupt, note, printed};

pub(super) fn run(args: &LiveArgs) -> Result<ExitCode, Error> {
    if !args.headless && !std::io::stdout().is_terminal() {
        return Err(Error::usage("live draws on a terminal, and this is none", "add --headless"));
    }
    let session = Session::new(args)?;
    if args.headless { session.log() } else { session.show() }
}

struct Session<'a> {
    args: &'a LiveArgs,
    board: Board,
    state: State,
    remote: Option<Remote>,
    verdict: Option<Verdict>,
    /// Of the converter whose records it takes.
    store: Option<(FrontEnd, Store)>,
    /// The number of the next record written, from 0.
    next: u64,
    until: Option<Instant>,
}

impl<'a> Session<'a> {
    fn new(args: &'a LiveArgs) -> Result<Self, Error> {
        let until = match args.time {
            None => None,
            // A time beyond all clocks never comes.
            Some(Time::Seconds(seconds)) => Duration::try_from_secs_f64(seconds)
                .ok()
                .and_then(|time| Instant::now().checked_add(time)),
            Some(Time::Samples(_)) => {
                return Err(Error::usage("--time is in samples", "give seconds, such as 10s"));
            }
        };
        let mut assumed = None;
        let line = match &args.play {
            Some(file) => {
                let played = play(args, file)?;
                if !played.is_scaled() {
                    assumed = Some("a count is taken for 1 mV: add --bits and --vref");
                }
                Line::Played(Some(played))
            }
            None => Line::named(args.port.as_deref().unwrap_or_default()),
        };
        let (name, remedy) = (line.name(), line.remedy());
        let mut board = Board::connect(line, args.headless || args.expect.is_some())
            .map_err(|source| Error::Unreachable { name, source, remedy })?;
        let listen = |address: &String| Remote::listen(address, args.scpi_anywhere);
        let remote = args.scpi.as_ref().map(listen).transpose()?;
        let mut state = State::default();
        if !args.headless && args.play.is_none() {
            state.message.push_str("probe's ground clip to ground only, never to a live node");
        }
        if let Some(remote) = &remote {
            let listens = format!("SCPI at {}", remote.address());
            note::one(&listens);
            if !state.message.is_empty() {
                state.message.push_str(" · ");
            }
            state.message.push_str(&listens);
        }
        if let Some(assumed) = assumed {
            note::one(assumed);
            if !state.message.is_empty() {
                state.message.push_str(" · ");
            }
            state.message.push_str(assumed);
            // All that 16 bits can say leaves a converter of fewer a flat line far from the level.
            if !args.headless {
                board.order(ToBoard::Automatic);
            }
        }
        let verdict = args.expect.as_deref().map(Verdict::new);
        Ok(Self { args, board, state, remote, verdict, store: None, next: 0, until })
    }

    /// Whether it is time to end.
    fn is_over(&self, ended: bool) -> bool {
        ended
            || interrupt::came()
            || self.until.is_some_and(|until| Instant::now() >= until)
            || self.args.records.is_some_and(|records| self.state.records >= records)
    }

    /// What the board says goes to all that want it; gives what was found of it.
    fn hear(&mut self, news: &News) -> Result<Option<Found>, Error> {
        self.state.take(news);
        if let (News::Hello(hello), Some(verdict)) = (news, &self.verdict)
            && let Some(said) = verdict.begins_anew(hello)
        {
            if self.args.headless {
                note::one(&said);
            }
            self.state.message = said;
        }
        if let Some(remote) = &self.remote {
            remote.take(news);
        }
        self.verdict.as_mut().map_or(Ok(None), |verdict| verdict.take(news))
    }

    /// What programs ask of the board goes there.
    fn pass_orders(&mut self) {
        if let Some(remote) = &self.remote {
            for text in remote.notes() {
                if self.args.headless {
                    note::one(&text);
                }
                self.state.message = text;
            }
            for order in remote.orders(self.board.hellos_due()) {
                self.board.order(order);
            }
        }
    }

    /// Whether it writes every record: a program that talks to it fetches those that it wants.
    fn keeps(&self) -> bool {
        self.remote.is_none() || self.args.out.is_some()
    }

    /// Writes a record, under the next number; under the next that is free, where a person asks for
    /// it.
    fn save(&mut self, head: &RecordHead, samples: &[u16], free: bool) -> Result<(), Error> {
        let front = self.state.front();
        if let Some((of, store)) = &self.store
            && *of != front
        {
            if store.is_one() {
                return Err(Error::usage(
                    "another board, whose records one SigMF recording cannot have as well",
                    "begin another by another --out, or choose another --save-as",
                ));
            }
            self.complete()?;
        }
        if self.store.is_none() {
            let context = Context {
                rate: Some(f64::from(front.rate)),
                channels: vec![ChannelContext { name: None, scale: Some(front.scale) }],
                source: self.board.name(),
                overwrite: self.args.overwrite,
                ..Context::default()
            };
            let out = self.args.out.as_deref().unwrap_or(Path::new("record"));
            let store = Store::new(out, self.args.save_as, RecordFormat::Csv, context)?;
            self.store = Some((front, store));
        }
        if let Some((_, store)) = &mut self.store {
            let number = if free { store.free(self.next) } else { self.next };
            store.put(&owned(number, head, samples))?;
            self.next = number + 1;
        }
        Ok(())
    }

    /// Completes what was written, and tells of it.
    fn complete(&mut self) -> Result<(), Error> {
        let written = self.store.take().map(|(_, store)| store.finish()).transpose()?.flatten();
        if let Some(written) = written {
            note::one(format!("written {written}"));
        }
        Ok(())
    }

    /// Ends with what was written, and whether all was as expected.
    fn finish(mut self) -> Result<ExitCode, Error> {
        self.complete()?;
        if let Some(fault) = self.board.take_fault() {
            return Err(fault);
        }
        let Some(verdict) = self.verdict else { return Ok(interrupt::status()) };
        let Some(Outcome { tested, calibration, events, passed }) = verdict.finish() else {
            return match interrupt::status() {
                ExitCode::SUCCESS => Err(Error::usage(
                    format!("{} never said what it is, so nothing was checked", self.board.name()),
                    "see that a board with this firmware is there, and give it more time",
                )),
                status => Ok(status),
            };
        };
        let failed = |source| Error::output("standard output", source);
        let format = if self.args.headless { ReportFormat::Json } else { ReportFormat::Table };
        let report = CheckReport::new(printed::Text, format, calibration);
        report.finish(&tested, events.came, Some(events.without_record)).map_err(failed)?;
        if tested.passed() && !passed {
            note::one("the board that was there before failed");
        }
        Ok(match interrupt::status() {
            ExitCode::SUCCESS if !passed => ExitCode::from(1),
            status => status,
        })
    }

    fn log(mut self) -> Result<ExitCode, Error> {
        let outcome = self.listen();
        if outcome.is_ok() {
            self.sum_up();
        }
        // Whatever ended it, what was written is completed.
        let status = self.finish();
        outcome.and(status)
    }

    fn listen(&mut self) -> Result<(), Error> {
        let mut out = printed::Text;
        let failed = |source| Error::output("standard output", source);
        let mut ended = false;
        while !self.is_over(ended) {
            for news in self.board.poll() {
                match &news {
                    News::Event(event) => {
                        let line = event_line(event, self.state.front().rate);
                        writeln!(out, "{line}").map_err(failed)?;
                    }
                    // No more than were asked for.
                    News::RecordBegins | News::Record(..) if self.is_over(false) => continue,
                    News::Record(head, samples) if self.keeps() => {
                        self.save(head, samples, false)?;
                    }
                    News::Gone(reason) => note::one(format!("{}: {reason}", self.board.name())),
                    News::Connected => note::one("connected again"),
                    News::Ended(_) => ended = true,
                    _ => {}
                }
                if let Some(found) = self.hear(&news)? {
                    let Found { at, findings, calibration } = found;
                    let mut report = CheckReport::new(&mut out, ReportFormat::Json, calibration);
                    report.write(at, &findings).map_err(failed)?;
                }
            }
            self.pass_orders();
        }
        Ok(())
    }

    fn sum_up(&self) {
        let (link, counters) = (self.board.received(), self.state.counters);
        let Events { came, without_record } = self.state.events;
        let without = match without_record {
            0 => String::new(),
            count => format!(" ({count} events have none)"),
        };
        note::one(format!(
            "{came} events, {} records{without}; {} frames, {} missing, {} damaged, {} records broken; \
             on the board {} overruns, {} samples lost, {} frames dropped, {} records cut",
            self.state.records,
            link.frames,
            link.missing,
            link.damaged,
            self.board.broken(),
            counters.overruns,
            counters.lost,
            counters.frames_dropped,
            counters.records_cut
        ));
    }

    fn show(mut self) -> Result<ExitCode, Error> {
        let failed = |source| Error::output("the terminal", source);
        let viewport = Viewport::Fixed(live::area(terminal::size().map_err(failed)?));
        let opened = execute!(std::io::stdout(), terminal::EnterAlternateScreen)
            .and_then(|()| ratatui::try_init_with_options(TerminalOptions { viewport }));
        let mut terminal = opened.inspect_err(|_| ratatui::restore()).map_err(failed)?;
        let outcome = self.screen(&mut terminal);
        ratatui::restore();
        let status = self.finish();
        outcome.and(status)
    }

    fn screen(&mut self, terminal: &mut ratatui::DefaultTerminal) -> Result<(), Error> {
        const PICTURE: Duration = Duration::from_millis(50);
        let failed = |source| Error::output("the terminal", source);
        let mut drawn: Option<Instant> = None;
        // The last picture of a recording that has ended stays.
        while !self.is_over(false) {
            for news in self.board.poll() {
                self.hear(&news)?;
            }
            self.pass_orders();
            while event::poll(Duration::ZERO).map_err(failed)? {
                let Event::Key(pressed) = event::read().map_err(failed)? else { continue };
                match live::key(pressed) {
                    Some(Key::Quit) => return Ok(()),
                    Some(key) => self.press(key),
                    None => {}
                }
            }
            if drawn.is_none_or(|drawn| drawn.elapsed() >= PICTURE) {
                drawn = Some(Instant::now());
                let Self { state, board, .. } = self;
                let verdict = self.verdict.as_ref();
                let area = live::area(terminal::size().map_err(failed)?);
                if terminal.get_frame().area() != area {
                    terminal.resize(area).map_err(failed)?;
                }
                terminal.draw(|frame| live::draw(frame, state, board, verdict)).map_err(failed)?;
            }
        }
        Ok(())
    }

    fn press(&mut self, key: Key) {
        if self.board.has_ended() && key != Key::Save {
            return;
        }
        let order = match key {
            Key::Knob(action) => self.state.act(action),
            Key::Holdoff(steps) => self.state.turn_holdoff(steps),
            Key::Position(steps) => self.state.turn_position(steps),
            Key::Recount => {
                if let Some(Err(error)) = self.verdict.as_mut().map(Verdict::restart) {
                    self.state.message = error.to_string();
                }
                None
            }
            Key::Save => {
                if let Some((head, samples)) = self.state.record.clone() {
                    self.state.message = match self.save(&head, &samples, true) {
                        Ok(()) => match self.store.as_ref().and_then(|(_, store)| store.last()) {
                            Some(file) => format!("{} written", file.display()),
                            None => format!("record {} written", self.next),
                        },
                        Err(error) => error.to_string(),
                    };
                }
                None
            }
            Key::Quit => None,
        };
        if let Some(order) = order {
            self.board.order(order);
        }
    }
}

fn play(args: &LiveArgs, file: &std::path::Path) -> Result<Played, Error> {
    let options = OpenOptions {
        rate: args.rate.map(|rate| rate.0),
        sample_type: args.sample_type,
        channels: Some(vec![0]),
        ..OpenOptions::default()
    };
    let recording = input::open(file, &options)?;
    let calibration = Calibration::new(&args.scale, recording.info(), 0)?;
    Played::new(recording, &calibration)
}

/// As `scan` prints an edge.
fn event_line(event: &EventAt, rate: u32) -> serde_json::Value {
    let crossing = stillwave::Instant::from(*event).samples();
    json!({
        "position": event.position,
        "crossing": crossing,
        "time": crossing / f64::from(rate),
        "kind": "edge",
        "slope": if event.rising { "rising" } else { "falling" },
    })
}
