//! Lines of numbers as samples.
//!
//! A file is read some segments at a time, which are parsed side by side, one a processor, and
//! joined in order.

use std::collections::VecDeque;

use memchr::memchr;
use rayon::prelude::*;

use super::super::Info;
use super::super::planes::Planes;
use super::super::reader::Blocks;
use super::super::source::Source;
use super::fields::{check_width, not_a_number, time_at};
use super::head::{Columns, TimeColumn};
use super::lines::Lines;
use super::text::Text;
use super::timing::Timing;
use crate::error::Error;

/// Bytes of text parsed in one go: enough that handing them to another processor pays.
const SEGMENT: usize = 256 * 1024;

/// Segments parsed side by side at most: they take memory.
const MAX_SEGMENTS: usize = 8;

/// What is wanted of a line.
pub(super) struct Wanted {
    pub(super) delimiter: u8,
    /// How many fields every line has.
    pub(super) width: usize,
    /// The columns that are read.
    pub(super) columns: Vec<usize>,
    /// The times, as long as they are watched: whether they go on as they began.
    pub(super) clock: Option<Clock>,
}

/// What the times should be.
#[derive(Clone, Copy)]
pub(super) struct Clock {
    column: usize,
    seconds: f64,
    timing: Timing,
}

impl Wanted {
    pub(super) fn new(
        columns: &Columns,
        selected: &[usize],
        delimiter: u8,
        timing: Option<Timing>,
    ) -> Self {
        let clock = |(TimeColumn { index, seconds }, timing): (TimeColumn, Timing)| Clock {
            column: index,
            seconds: seconds.unwrap_or(1.0),
            timing,
        };
        Self {
            delimiter,
            width: columns.width,
            columns: selected.iter().map(|channel| columns.channels[*channel].0).collect(),
            clock: columns.time.zip(timing).map(clock),
        }
    }
}

pub(super) struct Rows {
    text: Text,
    wanted: Wanted,
    /// Segments parsed and not handed out, and how much of the first was.
    parsed: VecDeque<Segment>,
    given: usize,
    /// The time in the last line parsed.
    last_time: Option<f64>,
}

impl Rows {
    /// The lines from where the source stands, behind `lines` others.
    pub(super) fn new(source: Source, lines: u64, wanted: Wanted) -> Self {
        let segments = if source.is_file() { rayon::current_num_threads() } else { 1 };
        let size = SEGMENT * segments.min(MAX_SEGMENTS);
        let text = Text::new(source, size, lines);
        Self { text, wanted, parsed: VecDeque::new(), given: 0, last_time: None }
    }

    /// Parses the text that comes next; `false` at its end.
    fn parse(&mut self, info: &mut Info) -> Result<bool, Error> {
        let Self { text, wanted, .. } = self;
        // The name is lent to every segment while the text is.
        let name = text.name().to_owned();
        let (mut rest, mut before) = text.read()?;
        if rest.is_empty() {
            return Ok(false);
        }
        let mut segments = Vec::new();
        while !rest.is_empty() {
            let reach = rest.len().min(SEGMENT);
            let end = memchr(b'\n', &rest[reach..]).map_or(rest.len(), |at| reach + at + 1);
            let (segment, behind) = rest.split_at(end);
            segments.push((segment, before));
            before += memchr::memchr_iter(b'\n', segment).count() as u64;
            rest = behind;
        }
        let wanted = &*wanted;
        let parse = |&(text, before): &(&[u8], u64)| {
            Segment::parse(Lines::new(&name, text, wanted.delimiter, before), wanted)
        };
        let parsed: Vec<Segment> = match &segments[..] {
            [alone] => vec![parse(alone)],
            _ => segments.par_iter().map(parse).collect(),
        };
        for segment in parsed {
            self.watch_clock(&segment, info);
            self.parsed.push_back(segment);
        }
        Ok(true)
    }

    fn watch_clock(&mut self, segment: &Segment, info: &mut Info) {
        let (Some(clock), Some(times)) = (&self.wanted.clock, &segment.times) else { return };
        let step = self.last_time.replace(times.last).map(|last| times.first - last);
        let uneven = match step {
            Some(step) if !clock.timing.is_even(step) => Some(times.first_line),
            _ => times.uneven,
        };
        if let Some(line) = uneven {
            info.notices.push(format!(
                "the times are not evenly spaced, first at line {line}: the rate {} is used all \
                 along",
                info.rate.unwrap_or(clock.timing.rate)
            ));
            // Description once.
            self.wanted.clock = None;
        }
    }
}

impl Blocks<f32> for Rows {
    fn read(&mut self, planes: &mut Planes<f32>, info: &mut Info) -> Result<usize, Error> {
        let room = planes.capacity();
        let mut filled = 0;
        while filled < room {
            let Some(segment) = self.parsed.front_mut() else {
                // What a stream has brought is handed on before more is awaited.
                if (filled > 0 && !self.text.is_file()) || !self.parse(info)? {
                    break;
                }
                continue;
            };
            let count = (segment.rows - self.given).min(room - filled);
            for (plane, column) in planes.memory().iter_mut().zip(&segment.columns) {
                let from = &column[self.given..self.given + count];
                plane[filled..filled + count].copy_from_slice(from);
            }
            filled += count;
            self.given += count;
            if self.given == segment.rows {
                if segment.fault.is_some() && filled > 0 {
                    break;
                }
                let fault = segment.fault.take();
                self.parsed.pop_front();
                self.given = 0;
                if let Some(fault) = fault {
                    return Err(fault);
                }
            }
        }
        Ok(filled)
    }
}

/// Some whole lines as numbers.
#[derive(Default)]
struct Segment {
    columns: Vec<Vec<f32>>,
    rows: usize,
    times: Option<TimesSeen>,
    /// What was wrong with the line after these.
    fault: Option<Error>,
}

/// The times of a segment.
struct TimesSeen {
    first: f64,
    first_line: u64,
    last: f64,
    /// The first line whose time does not follow on the one before.
    uneven: Option<u64>,
}

impl Segment {
    fn parse(mut lines: Lines<'_>, wanted: &Wanted) -> Self {
        let mut segment = Self {
            columns: vec![Vec::with_capacity(lines.rest().len() / 8); wanted.columns.len()],
            ..Self::default()
        };
        segment.fault = segment.take(&mut lines, wanted).err();
        segment
    }

    fn take(&mut self, lines: &mut Lines<'_>, wanted: &Wanted) -> Result<(), Error> {
        while lines.advance()? {
            check_width(lines, wanted.width)?;
            if let Some(clock) = &wanted.clock {
                self.take_time(lines, clock)?;
            }
            for (column, &index) in self.columns.iter_mut().zip(&wanted.columns) {
                column.push(fast_float2::parse(lines.field(index)).map_err(|_| {
                    let remedy = "correct it or choose another column with --channel";
                    not_a_number(lines, index, remedy)
                })?);
            }
            self.rows += 1;
        }
        Ok(())
    }

    fn take_time(&mut self, lines: &Lines<'_>, clock: &Clock) -> Result<(), Error> {
        let time = time_at(lines, clock.column)? * clock.seconds;
        let line = lines.line();
        let times = self.times.get_or_insert(TimesSeen {
            first: time,
            first_line: line,
            last: time,
            uneven: None,
        });
        if times.first_line < line
            && times.uneven.is_none()
            && !clock.timing.is_even(time - times.last)
        {
            times.uneven = Some(line);
        }
        times.last = time;
        Ok(())
    }
}
