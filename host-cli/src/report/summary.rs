//! The lines around a result: what was read, how it was triggered, what came of it.

use std::fmt::Write as _;

use stillwave::{Counters, Mode, RecordShape, Sample};

use crate::acquire::{Outcome, Records};
use crate::calibration::Calibration;
use crate::input::Info;
use crate::quantity::{be, counted, format_si};
use crate::stream::Read;
use crate::{interrupt, note};

/// What is read and what is looked for.
pub fn heading(info: &Info, channel: usize, trigger: &str) -> String {
    format!("{}\ntrigger    {trigger}", recording_channel(info, channel))
}

/// The same of records, with their shape where that was not said in samples.
pub fn record_heading<T: Sample>(records: &Records<T>) -> String {
    let trigger = records.plan.describe();
    let heading = heading(records.info(), records.trigger_channel, &trigger);
    match &records.whole {
        Some(whole) => format!("{heading}\nrecord     {whole}"),
        None => heading,
    }
}

/// What is read, and which channel of it.
pub fn recording_channel(info: &Info, channel: usize) -> String {
    let of = match info.channels.len() {
        0 | 1 => String::new(),
        n => format!(", channel {} of {n}", channel + 1),
    };
    let name = info
        .channels
        .get(channel)
        .and_then(|c| c.name.as_deref())
        .map(|name| format!(" \"{name}\""))
        .unwrap_or_default();
    format!("{}{of}{name}", recording(info))
}

/// What is read.
pub fn recording(info: &Info) -> String {
    let rate = info.rate.map_or("no sample rate".to_owned(), |rate| format_si(rate, "S/s", 4));
    let length = match (info.frames, info.rate) {
        (Some(frames), Some(rate)) => {
            let time = format_si(frames as f64 / rate, "s", 4);
            format!(", {} ({time})", counted(frames, "sample"))
        }
        (Some(frames), None) => format!(", {}", counted(frames, "sample")),
        _ => String::new(),
    };
    format!("recording  {}: {}, {rate}{length}", info.name, info.sample_type)
}

/// What a scan found.
pub fn scan_summary(read: &Read, calibration: &Calibration, events: u64, held_off: u64) -> String {
    let read_time = calibration
        .rate
        .map(|rate| format!(" ({})", format_si(read.frames as f64 / rate, "s", 4)))
        .unwrap_or_default();
    let accepted = events - held_off;
    let rate = match calibration.rate {
        Some(rate) if accepted > 1 => {
            let seconds = read.frames as f64 / rate / accepted as f64;
            format!(", one in {} on average", format_si(seconds, "s", 4))
        }
        _ => String::new(),
    };
    format!(
        "found      {}{rate}, {held_off} held off, in {}{read_time}",
        counted(accepted, "event"),
        counted(read.frames, "sample"),
    )
}

/// What an acquisition found and kept.
pub fn record_summary(outcome: &Outcome, calibration: &Calibration) -> String {
    let Counters { events, held_off, unrecorded, records, forced, abandoned, .. } =
        outcome.counters;
    let mut summary = scan_summary(&outcome.read, calibration, events, held_off);
    let forced = if forced > 0 { format!(", {forced} of them forced") } else { String::new() };
    let unrecorded = match unrecorded {
        0 => String::new(),
        n => {
            format!("; {} came too early, or while a record was filling", counted(n, "more event"))
        }
    };
    let begun = outcome.counters.unrecorded.abs_diff(events - held_off) + outcome.counters.forced;
    let filling = match begun.saturating_sub(records + abandoned) {
        0 => String::new(),
        n => format!("; {n} begun but not complete"),
    };
    let _ =
        write!(summary, "\nrecords    {}{forced}{unrecorded}{filling}", counted(records, "record"));
    summary
}

/// Why there is no record, and what to do.
pub fn no_record(outcome: &Outcome, shape: RecordShape, what: &str) -> (String, &'static str) {
    let Counters { events, held_off, unrecorded, .. } = outcome.counters;
    let (frames, len, accepted) = (outcome.read.frames, shape.len() as u64, events - held_off);
    let (reason, remedy) = if interrupt::came() {
        (": it was interrupted before".to_owned(), "let it go on for longer")
    } else if frames < len {
        (
            format!(": one of {} is longer than the recording of {frames}", counted(len, "sample")),
            "give a shorter --pre or --post",
        )
    } else if accepted == 0 && matches!(outcome.mode, Mode::Auto { .. }) {
        let reason = ": the recording ends before one is forced and full";
        (reason.to_owned(), "give a shorter --auto-after or --post")
    } else if accepted == 0 {
        (String::new(), "see what a scan finds, or add --mode auto")
    } else if unrecorded == accepted {
        (": no event has so much before it".to_owned(), "give a shorter --pre")
    } else {
        (": the recording ends before it is full".to_owned(), "give a shorter --post")
    };
    (format!("there is no record to {what}{reason}"), remedy)
}

/// Described that there is no record.
pub fn no_record_note(outcome: &Outcome, shape: RecordShape, what: &str) {
    let (problem, remedy) = no_record(outcome, shape, what);
    note::one(format_args!("{problem}; {remedy}"));
}

/// Described of samples that are not what the voltage was.
pub fn quality_notes(read: &Read) {
    let (clipped, non_finite) = (read.quality.clipped, read.quality.non_finite);
    if clipped > 0 {
        note::one(format_args!(
            "{} {} at the converter's end codes: the voltage there may be beyond",
            counted(clipped, "sample"),
            be(clipped)
        ));
    }
    if non_finite > 0 {
        note::one(format_args!(
            "{} {} not finite: passed over",
            counted(non_finite, "sample"),
            be(non_finite)
        ));
    }
}
