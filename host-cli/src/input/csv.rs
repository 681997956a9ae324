//! Text in columns: one line a sample, one column a channel, perhaps one of times.

mod head;
mod lines;
mod timing;

#[cfg(test)]
mod tests;

use std::io::Cursor;

use self::head::{Columns, TimeColumn};
use self::lines::Lines;
use self::timing::{Times, Timing};
use super::binary;
use super::planes::Planes;
use super::reader::{Blocks, Reader};
use super::sample_type::{Kind, SampleType};
use super::source::Source;
use super::{Format, Info, OpenOptions, Recording};
use crate::error::{Error, Place};

/// So many lines of a pipe are awaited before the rate is judged by their times.
const LINES_AHEAD: usize = 16;

pub(super) fn open(mut source: Source, options: &OpenOptions) -> Result<Recording, Error> {
    let awaited = if options.rate.is_some() { 3 } else { LINES_AHEAD };
    let enough = |head: &[u8]| memchr::memchr_iter(b'\n', head).count() >= awaited;
    if source.peek(|head| head.len() >= 3)?.starts_with(b"\xef\xbb\xbf") {
        source.go_to(3)?;
    }
    let mut head = source.peek(enough)?.to_vec();
    if let Some(last) = memchr::memrchr(b'\n', &head)
        && source.length().is_none_or(|length| head.len() as u64 + source.position() < length)
    {
        head.truncate(last + 1);
    }
    let delimiter = options.delimiter.unwrap_or_else(|| head::delimiter(&head));
    let ahead = Source::stream(source.name(), Box::new(Cursor::new(head)));
    let mut ahead = Lines::new(ahead, delimiter);
    let Some(columns) = head::columns(&mut ahead, options.time_column)? else {
        return Err(binary::no_samples(source.name()));
    };
    let mut info =
        Info::new(&source, Format::Csv, SampleType::little(Kind::F32), columns.channels.len());
    for (channel, (_, stated)) in info.channels.iter_mut().zip(&columns.channels) {
        channel.clone_from(stated);
    }
    let timing = judge_times(&mut ahead, &columns, &mut info, options)?;
    if let Some(timing) = timing {
        info.rate = Some(timing.rate);
        info.start_time = timing.start;
    }
    if columns.channels.is_empty() {
        return Err(Error::input(
            info.name,
            Place::Whole,
            "there is no column but the times",
            "add a column of samples, or choose another with --time-column",
        ));
    }

    let selected = info.select(options)?;
    let mut lines = Lines::new(source, delimiter);
    for _ in 0..columns.header_lines {
        lines.advance()?;
    }
    let rows = Rows {
        lines,
        width: columns.width,
        wanted: selected.iter().map(|channel| columns.channels[*channel].0).collect(),
        clock: columns.time.zip(timing).map(|(column, timing)| Clock {
            column,
            timing,
            last: None,
        }),
    };
    Ok(Recording::F32(Reader::new(info, selected, Box::new(rows))))
}

/// Reads the times of the lines ahead, of which the first with numbers is current.
fn judge_times(
    ahead: &mut Lines,
    columns: &Columns,
    info: &mut Info,
    options: &OpenOptions,
) -> Result<Option<Timing>, Error> {
    let Some(column) = columns.time else {
        return Ok(None);
    };
    let Some(seconds) = column.seconds else {
        info.notices.push("the unit of the times is not known, so they are not used".into());
        return Ok(None);
    };
    let mut times = Times::default();
    loop {
        check_width(ahead, columns.width)?;
        times.push(time_at(ahead, column.index)?, ahead.field(column.index));
        if !ahead.advance()? {
            break;
        }
    }
    let timing = times.timing(seconds);
    if timing.is_none() && options.rate.is_none() {
        info.notices.push("the times do not increase, so they give no sample rate".into());
    }
    Ok(timing)
}

fn check_width(lines: &Lines, width: usize) -> Result<(), Error> {
    if lines.width() == width {
        return Ok(());
    }
    Err(Error::input(
        lines.name(),
        Place::Line(lines.line()),
        format!("there are {} columns here and {width} before", lines.width()),
        "give every line the same columns",
    ))
}

fn time_at(lines: &Lines, index: usize) -> Result<f64, Error> {
    head::number(lines.field(index)).filter(|time| time.is_finite()).ok_or_else(|| {
        not_a_number(lines, index, "correct it or choose another column with --time-column")
    })
}

#[cold]
fn not_a_number(lines: &Lines, index: usize, remedy: &str) -> Error {
    let field = lines.field(index);
    let problem = if field.is_empty() {
        "the field is empty".to_owned()
    } else {
        let text = String::from_utf8_lossy(field);
        let start: String = text.chars().take(40).collect();
        format!("{start:?} is not a number")
    };
    let place = Place::Field { line: lines.line(), column: index + 1 };
    Error::input(lines.name(), place, problem, remedy)
}

/// Watches whether the times go on as they began.
struct Clock {
    column: TimeColumn,
    timing: Timing,
    last: Option<f64>,
}

struct Rows {
    lines: Lines,
    width: usize,
    wanted: Vec<usize>,
    clock: Option<Clock>,
}

impl Blocks<f32> for Rows {
    fn read(&mut self, planes: &mut Planes<f32>, info: &mut Info) -> Result<usize, Error> {
        let room = planes.capacity();
        let mut filled = 0;
        while filled < room && (filled == 0 || self.lines.is_ready()) && self.lines.advance()? {
            check_width(&self.lines, self.width)?;
            for (plane, column) in planes.memory().iter_mut().zip(&self.wanted) {
                plane[filled] = fast_float2::parse(self.lines.field(*column)).map_err(|_| {
                    let remedy = "correct it or choose another column with --channel";
                    not_a_number(&self.lines, *column, remedy)
                })?;
            }
            self.watch_clock(info)?;
            filled += 1;
        }
        Ok(filled)
    }
}

impl Rows {
    fn watch_clock(&mut self, info: &mut Info) -> Result<(), Error> {
        let Some(clock) = &mut self.clock else {
            return Ok(());
        };
        let time = time_at(&self.lines, clock.column.index)? * clock.column.seconds.unwrap_or(1.0);
        let step = clock.last.map(|last| time - last);
        clock.last = Some(time);
        if step.is_some_and(|step| !clock.timing.is_even(step)) {
            info.notices.push(format!(
                "the times are not evenly spaced, first at line {}: the rate {} is used all along",
                self.lines.line(),
                info.rate.unwrap_or(clock.timing.rate)
            ));
            // Told once.
            self.clock = None;
        }
        Ok(())
    }
}
