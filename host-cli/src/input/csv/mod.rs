//! Text in columns: one line a sample, one column a channel, perhaps one of times.

mod fields;
mod head;
mod lines;
mod rows;
mod text;
mod timing;

#[cfg(test)]
mod tests;

use self::fields::{check_width, number, time_at};
use self::head::Columns;
use self::lines::Lines;
use self::rows::{Rows, Wanted};
use self::timing::{Times, Timing};
use super::binary;
use super::reader::Reader;
use super::sample_type::{Kind, SampleType};
use super::source::{LOOK_AHEAD, Source};
use super::{Format, Info, OpenOptions, Recording};
use crate::error::{Error, Place};

/// So many lines of a pipe, blank ones and comments aside, are awaited before the rate is judged by
/// their times. Whether values are counts is judged by no more of a file either, so that a file and
/// a pipe of the same text are the same.
const LINES_AHEAD: usize = 16;

/// Whole numbers without a unit of so much and more are a converter's counts.
const MANY_VOLTS: f64 = 100.0;

pub(super) fn open(mut source: Source, options: &OpenOptions) -> Result<Recording, Error> {
    let enough = |head: &[u8]| {
        let whole = memchr::memrchr(b'\n', head).map_or(&[][..], |last| &head[..last]);
        whole.split(|&byte| byte == b'\n').filter(|line| head::says_something(line)).count()
            >= LINES_AHEAD
    };
    if source.peek(|head| head.len() >= 3)?.starts_with(b"\xef\xbb\xbf") {
        source.go_to(3)?;
    }
    let before = pass_preface(&mut source)?;
    let mut head = source.peek(enough)?.to_vec();
    // A stream that brings less than was awaited is at its end, in a line without a break too.
    let goes_on = match source.length() {
        Some(length) => head.len() as u64 + source.position() < length,
        None => enough(&head) || head.len() >= LOOK_AHEAD,
    };
    if goes_on && let Some(last) = memchr::memrchr(b'\n', &head) {
        head.truncate(last + 1);
    }
    let delimiter = options.delimiter.unwrap_or_else(|| head::delimiter(&head));
    let name = source.name().to_owned();
    let lines = || Lines::new(&name, &head, delimiter, before);
    let mut ahead = lines();
    let Some(columns) = head::columns(&mut ahead, options.time_column)? else {
        return Err(if goes_on {
            Error::input(
                name,
                Place::Whole,
                format!("no line of its first {} KiB has samples", LOOK_AHEAD / 1024),
                "take out what is before the first",
            )
        } else {
            binary::no_samples(&name)
        });
    };
    let mut info =
        Info::new(&source, Format::Csv, SampleType::little(Kind::F32), columns.channels.len());
    for (channel, (_, stated)) in info.channels.iter_mut().zip(&columns.channels) {
        channel.clone_from(stated);
    }
    let timing = judge_times(&mut ahead, &columns, &mut info, options)?;
    let mut ahead = lines();
    for _ in 0..=columns.header_lines {
        ahead.advance()?;
    }
    judge_values(&mut ahead, &columns, &mut info);
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
    let mut lines = lines();
    for _ in 0..columns.header_lines {
        lines.advance()?;
    }
    let passed = head.len() - lines.rest().len();
    source.go_to(source.position() + passed as u64)?;
    let wanted = Wanted::new(&columns, &selected, delimiter, timing);
    let rows = Rows::new(source, lines.line(), wanted);
    Ok(Recording::F32(Reader::new(info, selected, Box::new(rows))))
}

/// Reads the times of the lines ahead, of which the first with numbers is current.
fn judge_times(
    ahead: &mut Lines<'_>,
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

/// Passes over blank lines and comments, however many and however long; how many they were.
fn pass_preface(source: &mut Source) -> Result<u64, Error> {
    let says = |text: &[u8]| text.split(|&byte| byte == b'\n').any(head::says_something);
    let mut lines = 0;
    loop {
        let head = source.peek(says)?;
        let (mut passed, before) = (0, lines);
        while let Some(end) = memchr::memchr(b'\n', &head[passed..])
            && !head::says_something(&head[passed..passed + end])
        {
            passed += end + 1;
            lines += 1;
        }
        let is_long = head.len() >= LOOK_AHEAD && head.trim_ascii_start().starts_with(b"#");
        if lines > before {
            source.go_to(source.position() + passed as u64)?;
        } else if is_long {
            pass_line(source)?;
            lines += 1;
        } else {
            return Ok(lines);
        }
    }
}

/// Passes over a line of any length.
fn pass_line(source: &mut Source) -> Result<(), Error> {
    loop {
        let head = source.peek(|head| head.contains(&b'\n'))?;
        let end = memchr::memchr(b'\n', head);
        let passed = end.map_or(head.len(), |end| end + 1);
        source.go_to(source.position() + passed as u64)?;
        if end.is_some() || passed == 0 {
            return Ok(());
        }
    }
}

/// Reads the values of the lines ahead, of which the first with numbers is current: whether those
/// without a unit are counts, by [`LINES_AHEAD`], and whether the first are times, by all.
fn judge_values(ahead: &mut Lines<'_>, columns: &Columns, info: &mut Info) {
    let mut counts = vec![(true, 0.0_f64); info.channels.len()];
    let (mut first, mut times) = (Vec::new(), Times::default());
    for line in columns.header_lines.. {
        let judged = counts.iter_mut().zip(&columns.channels);
        for ((whole, most), (index, _)) in judged.take_while(|_| line < LINES_AHEAD) {
            let field = ahead.field(*index);
            let digits = field.strip_prefix(b"-").or(field.strip_prefix(b"+")).unwrap_or(field);
            *whole &= !digits.is_empty() && digits.iter().all(u8::is_ascii_digit);
            *most = number(field).unwrap_or(0.0).abs().max(*most);
        }
        if let Some(time) = number(ahead.field(0)) {
            times.push(time, ahead.field(0));
            first.push(time);
        }
        // A fault is told when it is read.
        if !ahead.advance().unwrap_or(false) {
            break;
        }
    }
    for ((channel, (whole, most)), (index, _)) in
        info.channels.iter_mut().zip(counts).zip(&columns.channels)
    {
        // Volts may be whole, but then they are few.
        let many = (MANY_VOLTS..f64::INFINITY).contains(&most);
        if channel.scale.is_none() && !channel.counts && whole && many {
            channel.counts = true;
            channel.guessed = Some(index + 1);
        }
    }
    let may_be_times = columns.time.is_none() && columns.channels.len() > 1 && first.len() > 3;
    if may_be_times && let Some(timing) = times.timing(1.0) {
        let mut steps = first.windows(2).map(|pair| pair[1] - pair[0]);
        if steps.all(|step| timing.is_even(step)) {
            info.notices.push(
                "column 1 rises evenly, as times do, and is read as a channel: if it has the times, \
                 add --time-column 1"
                    .into(),
            );
        }
    }
}
