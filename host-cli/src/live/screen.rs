//! The screen.
//!
//! ```text
//! board, what it does                                    events, records
//! ┌ trace ────────────────────────────────────────┐ level   1.65 V rising
//! │             ▼                                 │ time    1 ms a division
//! │                                               │ …
//! └───────────────────────────────────────────────┘ frequency …
//! what was lost
//! keys
//! ```

use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::style::{Color, Modifier, Style};
use ratatui::symbols::Marker;
use ratatui::text::Line as Text;
use ratatui::widgets::canvas::{Canvas, Line as Stroke, Points};
use ratatui::widgets::{Block, Paragraph};
use stillwave_app::{COLUMNS, DIVISIONS_ACROSS, DIVISIONS_BEFORE, DIVISIONS_UP, Trace};

use super::keys::{HELP, HELP_AT_END, HELP_RECOUNT};
use super::{Board, State, Verdict};
use crate::quantity::{counted, format_si};

/// Rows of the trace with its border, at least.
const TRACE: usize = 6;
/// Columns from which on there is room for what is set beside the trace.
const WIDE: u16 = 60;

/// The part of a terminal of so many columns and rows that is drawn to. Some say that they have
/// 65535 of each: a picture of that would take more memory than there is.
pub fn area((columns, rows): (u16, u16)) -> Rect {
    Rect::new(0, 0, columns.min(1000), rows.min(400))
}

/// Draws all of it.
pub fn draw(frame: &mut Frame<'_>, state: &State, board: &Board, verdict: Option<&Verdict>) {
    let Rect { width, height, .. } = frame.area();
    let has_ended = board.has_ended();
    let mut help = if has_ended { HELP_AT_END.to_vec() } else { HELP.to_vec() };
    if verdict.is_some() && !has_ended {
        help.insert(help.len() - 1, HELP_RECOUNT);
    }
    let there = match board.is_connected() {
        true => state.doing(),
        false if has_ended => "it has ended",
        false => "not there",
    };
    // A board counts them whether or not it makes records of them.
    let counts_on = board.is_connected() && !state.running;
    let counted_on = if counts_on { " (still counted)" } else { "" };
    let doing = format!(
        "{} · {there} · {}, {}{counted_on}{}{}",
        board.name(),
        counted(state.records, "record"),
        counted(state.counters.events, "event"),
        if state.message.is_empty() { "" } else { " · " },
        state.message
    );
    let mut doing = wrapped(doing.split_inclusive(' '), "", width);
    let mut lost = lost(state, board, width);
    let mut beside = words(state);
    let rows = beside.len();
    beside.extend(verdict.into_iter().flat_map(expected));

    // What does not fit goes: of keys all but how to quit, of losses the last.
    doing.truncate(3);
    let room = |others: usize| usize::from(height).saturating_sub(TRACE + others);
    let fits = |lost: usize, keys: usize| room(doing.len() + lost + keys) + TRACE >= rows + 2;
    let all = wrapped(help.iter().copied(), "  ", width).len();
    let is_beside = width >= WIDE && fits(lost.len(), all);
    let beneath = if is_beside { Vec::new() } else { short(state, verdict, width) };
    let left = room(doing.len() + beneath.len());
    let keys = kept(help, left.saturating_sub(lost.len()).max(left.div_ceil(2)).max(1), width);
    lost.truncate(left.saturating_sub(keys.len()));

    let lengths = [doing.len(), beneath.len(), lost.len(), keys.len()];
    let [head, values, losses, help] = lengths.map(|rows| Constraint::Length(rows as u16));
    let rows = [head, Constraint::Fill(1), values, losses, help];
    let [head, middle, values, losses, help] = Layout::vertical(rows).areas(frame.area());
    let side = Constraint::Length(if is_beside { 28 } else { 0 });
    let [plot, side] = Layout::horizontal([Constraint::Fill(1), side]).areas(middle);
    let plain =
        |lines: Vec<String>| Paragraph::new(lines.into_iter().map(Text::from).collect::<Vec<_>>());
    frame.render_widget(plain(doing).style(Modifier::BOLD), head);
    trace(frame, plot, state, has_ended, verdict.and_then(Verdict::last));
    frame.render_widget(Paragraph::new(beside), side);
    frame.render_widget(plain(beneath), values);
    frame.render_widget(Paragraph::new(lost), losses);
    frame.render_widget(plain(keys).style(Modifier::DIM), help);
}

/// Keys in so many lines: those before the last go where they do not fit.
fn kept(mut keys: Vec<&str>, most: usize, width: u16) -> Vec<String> {
    loop {
        let lines = wrapped(keys.iter().copied(), "  ", width);
        if lines.len() <= most || keys.len() < 2 {
            return lines;
        }
        keys.remove(keys.len() - 2);
    }
}

#[cfg(test)]
#[test]
fn how_to_quit_is_the_last_to_go() {
    for most in 1..5 {
        let lines = kept(HELP.to_vec(), most, 40);
        assert!(lines.len() <= most && lines.join("  ").ends_with("q quit"), "{lines:?}");
    }
}

#[cfg(test)]
#[test]
fn no_part_is_cut_where_all_fit_a_line() {
    for width in [20, 40, 60, 200] {
        let lines = wrapped(HELP.into_iter(), "  ", width);
        assert_eq!(lines.join("  "), HELP.join("  "));
        assert!(lines.iter().all(|line| line.chars().count() <= width.into()), "{lines:?}");
    }
}

#[cfg(test)]
#[test]
fn what_is_away_counts_nothing() {
    let listener = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
    let line = super::Line::named(&format!("tcp://{}", listener.local_addr().unwrap()));
    let mut board = Board::connect(line, false).unwrap();
    let mut calls = vec![listener.accept().unwrap()];
    let mut state = State::default();
    state.running = false;
    for counts_on in [true, false] {
        while board.is_connected() != counts_on {
            board.poll();
        }
        let backend = ratatui::backend::TestBackend::new(100, 30);
        let mut terminal = ratatui::Terminal::new(backend).unwrap();
        terminal.draw(|frame| draw(frame, &state, &board, None)).unwrap();
        let shown = terminal.backend().to_string();
        assert_eq!(shown.contains("(still counted)"), counts_on, "{shown}");
        // It goes.
        calls.clear();
    }
}

/// Parts in lines of so many characters, none of them cut.
fn wrapped<'a>(parts: impl Iterator<Item = &'a str>, between: &str, width: u16) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for part in parts {
        let letters = |text: &str| text.chars().count();
        match lines.last_mut() {
            Some(line) if letters(line) + letters(between) + letters(part) <= width.into() => {
                line.push_str(between);
                line.push_str(part);
            }
            _ => lines.push(part.to_owned()),
        }
    }
    lines
}

fn trace(frame: &mut Frame<'_>, area: Rect, state: &State, has_ended: bool, offence: Option<&str>) {
    let settings = state.settings();
    let across = f64::from(DIVISIONS_ACROSS);
    let (before, up) = (f64::from(DIVISIONS_BEFORE), f64::from(DIVISIONS_UP) / 2.0);
    // In divisions: time from the left edge, volts from the middle.
    let place =
        |volts: f64| (volts * 1e3 - f64::from(settings.centre_mv)) / f64::from(settings.volts_mv);
    // A column for every dot of the canvas, or more.
    let parts = (2 * usize::from(area.width)).div_ceil(COLUMNS).max(1);
    let columns: Vec<_> = state
        .record
        .iter()
        .flat_map(|(head, samples)| {
            let division = f64::from(state.front().rate) * f64::from(settings.time_us) / 1e6;
            let at = head.event.map_or(before * division, |event| {
                event.position.saturating_sub(head.start) as f64 - f64::from(event.lead) / 65_536.0
            });
            let left = at - before * division;
            let wide = across * division / parts as f64;
            (0..parts).flat_map(move |part| {
                Trace::of_samples(samples, (left + part as f64 * wide) as f32, wide as f32).columns
            })
        })
        .collect();
    let triggered = state.record.as_ref().is_some_and(|(head, _)| head.event.is_some());
    let level = place(f64::from(settings.level_mv) / 1e3).clamp(-up, up);
    let mut block = Block::bordered().title(if triggered { "" } else { " no event " });
    if has_ended {
        let ended = Text::styled(" its last picture ", Color::Yellow);
        block = block.title(ended).border_style(Color::Yellow);
    }
    if let Some(offence) = offence {
        let offence = Text::styled(format!(" failed last: {offence} "), Color::Red);
        block = block.title_bottom(offence);
    }
    let canvas = Canvas::default()
        .block(block)
        .marker(Marker::Braille)
        .x_bounds([0.0, across])
        .y_bounds([-up, up])
        .paint(|context| {
            let dots: Vec<(f64, f64)> = (1..DIVISIONS_ACROSS)
                .flat_map(|x| (-2..=2).map(move |y| (f64::from(x), f64::from(y))))
                .collect();
            context.draw(&Points { coords: &dots, color: Color::DarkGray });
            for (index, column) in columns.iter().enumerate() {
                let Some((low, high)) = *column else { continue };
                let volts = |code: u32| state.front().scale.volts(f64::from(code) / 16.0);
                let x = (index as f64 + 0.5) / columns.len() as f64 * across;
                let [y1, y2] = [low, high].map(|code| place(volts(code)).clamp(-up, up));
                context.draw(&Stroke { x1: x, y1, x2: x, y2, color: Color::Green });
            }
            context.layer();
            if triggered {
                context.print(before, up, "▼");
            }
            context.print(across, level, "◂");
        });
    frame.render_widget(canvas, area);
}

fn millivolts(mv: i32) -> String {
    format_si(f64::from(mv) / 1e3, "V", 3)
}

fn microseconds(us: u32) -> String {
    format_si(f64::from(us) / 1e6, "s", 3)
}

fn value(value: Option<f64>, unit: &str) -> String {
    value.map_or_else(|| "-".to_owned(), |value| format_si(value, unit, 4))
}

/// What matters most of it, for where there is little room.
fn short(state: &State, verdict: Option<&Verdict>, width: u16) -> Vec<String> {
    let (settings, readings) = (state.settings(), &state.readings);
    let parts = [
        format!("level {} {}", millivolts(settings.level_mv), state.slope()),
        format!("{}/div", microseconds(settings.time_us)),
        format!("{}/div", millivolts(settings.volts_mv as i32)),
        value(readings.frequency, "Hz"),
        value(readings.amplitude, "V"),
    ];
    let failed = verdict.map(|verdict| {
        let (records, failed) = verdict.records();
        format!("{failed} of {records} records failed")
    });
    wrapped(parts.iter().chain(&failed).map(String::as_str), "  ", width)
}

fn words(state: &State) -> Vec<Text<'static>> {
    let settings = state.settings();
    let row = |name: &str, text: String| Text::from(format!(" {name:<11}{text}"));
    let mut rows = vec![
        row("level", format!("{} {}", millivolts(settings.level_mv), state.slope())),
        row("hysteresis", millivolts(settings.hysteresis_mv as i32)),
        row("holdoff", microseconds(settings.holdoff_us)),
        row("time/div", microseconds(settings.time_us)),
        row("volts/div", millivolts(settings.volts_mv as i32)),
        row("middle", millivolts(settings.centre_mv)),
        Text::default(),
        row("frequency", value(state.readings.frequency, "Hz")),
        row("amplitude", value(state.readings.amplitude, "V")),
        row("mean", value(state.readings.mean, "V")),
    ];
    let readings = &state.readings;
    for doubt in readings.frequency_doubt().into_iter().chain(readings.amplitude_doubt()) {
        rows.push(Text::styled(format!(" {doubt}"), Style::new().fg(Color::Yellow)));
    }
    if readings.clipped {
        rows.push(Text::styled(" clipped: it may be more", Style::new().fg(Color::Red)));
    }
    rows
}

/// How many records were as expected, and what was not in the others.
fn expected(verdict: &Verdict) -> Vec<Text<'static>> {
    let (records, failed) = verdict.records();
    let red = Style::new().fg(Color::Red);
    let style = if failed > 0 { red } else { Style::new() };
    let mut rows = vec![
        Text::default(),
        Text::from(format!(" passed     {}", counted(records - failed, "record"))),
        Text::styled(format!(" failed     {}", counted(failed, "record")), style),
    ];
    rows.extend(verdict.failed().map(|tally| {
        let (name, failed, compared) = (tally.subject.name(), tally.failed, tally.compared);
        Text::styled(format!("  {name}: {failed} of {compared}"), red)
    }));
    rows
}

fn lost(state: &State, board: &Board, width: u16) -> Vec<Text<'static>> {
    let (counters, link) = (&state.counters, board.received());
    let on_board = format!(
        "board  {} overruns ({} samples lost), {} records passed over, {} cut, {} frames dropped, busy {} %",
        counters.overruns,
        counters.lost,
        counters.passed_over,
        counters.records_cut,
        counters.frames_dropped,
        counters.load
    );
    let here = format!(
        "link   {} frames, {} missing, {} damaged, {} records broken, connected {}×",
        link.frames,
        link.missing,
        link.damaged,
        board.broken(),
        board.connections()
    );
    let style = |bad: bool| if bad { Style::new().fg(Color::Red) } else { Style::new() };
    let bad_link = link.missing + link.damaged + board.broken() > 0;
    let lines = |text: &str, bad: bool| {
        let parts = wrapped(text.split_inclusive(", "), "", width);
        parts.into_iter().map(move |line| Text::styled(line, style(bad))).collect::<Vec<_>>()
    };
    [lines(&on_board, counters.overruns > 0), lines(&here, bad_link)].concat()
}
