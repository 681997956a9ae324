//! What format a recording has.

use std::path::Path;

use super::format::Format;
use super::options::OpenOptions;
use super::source::Source;
use crate::error::{Error, Place};

/// Described the format: as the user says, by the first bytes, by the name, or by what they look like.
pub(super) fn format(
    source: &mut Source,
    path: &Path,
    options: &OpenOptions,
) -> Result<Format, Error> {
    let name = source.name().to_owned();
    // Enough for every signature, and asked of a pipe only as far as it has data.
    let head = source.peek(|head| !head.is_empty())?;
    if head.is_empty() {
        return Err(Error::input(
            name,
            Place::Whole,
            "it is empty",
            "check that the recording was written",
        ));
    }
    if let Some(format) = options.format {
        return Ok(format);
    }
    if [&b"RI"[..], b"RF", b"BW", b"\x93N"]
        .iter()
        .any(|magic| head.starts_with(&magic[..head.len().min(2)]))
    {
        let head = source.peek(|head| head.len() >= 12)?;
        if let Some(format) = by_magic(head) {
            return Ok(format);
        }
    }
    let head = source.peek(|head| !head.is_empty())?;
    if options.sample_type.is_some() {
        return Ok(Format::Raw);
    }
    if let Some((what, remedy)) = foreign(head) {
        return Err(Error::input(name, Place::Whole, what, remedy));
    }
    if let Some(format) = by_extension(path) {
        return Ok(format);
    }
    if is_text(head) {
        return Ok(Format::Csv);
    }
    Err(Error::input(
        name,
        Place::Whole,
        "the format cannot be told",
        "state it with --input-format, or for raw samples their type with --sample-type",
    ))
}

fn by_magic(head: &[u8]) -> Option<Format> {
    match head {
        [b'R', b'I', b'F', b'F' | b'X', _, _, _, _, b'W', b'A', b'V', b'E', ..]
        | [b'R' | b'B', b'F' | b'W', b'6', b'4', _, _, _, _, b'W', b'A', b'V', b'E', ..] => {
            Some(Format::Wav)
        }
        [0x93, b'N', b'U', b'M', b'P', b'Y', ..] => Some(Format::Npy),
        _ => None,
    }
}

fn by_extension(path: &Path) -> Option<Format> {
    let extension = path.extension()?.to_str()?.to_ascii_lowercase();
    match extension.as_str() {
        "csv" | "tsv" => Some(Format::Csv),
        "raw" | "bin" => Some(Format::Raw),
        "wav" => Some(Format::Wav),
        "npy" => Some(Format::Npy),
        _ => None,
    }
}

/// Well-known content that cannot be read, and what to do with it.
fn foreign(head: &[u8]) -> Option<(&'static str, &'static str)> {
    let archive = "unpack it and name a recording in it";
    match head {
        [0x1f, 0x8b, ..] => Some((
            "it is compressed by gzip",
            "unpack it first, such as with gzip -dc FILE | stillwave … -",
        )),
        [b'P', b'K', 3, 4, ..] => Some(("it is a ZIP or NPZ archive", archive)),
        [b'f', b'L', b'a', b'C', ..] | [b'O', b'g', b'g', b'S', ..] => {
            Some(("it is compressed audio", "convert it to WAV first"))
        }
        [0xff, 0xfe, ..] | [0xfe, 0xff, ..] => {
            Some(("it looks like UTF-16 text", "save it as UTF-8"))
        }
        _ if head.get(257..262) == Some(b"ustar") => Some(("it is a tar archive", archive)),
        _ => None,
    }
}

fn is_text(head: &[u8]) -> bool {
    let printable = |byte: &u8| matches!(byte, b'\t' | b'\n' | b'\r' | 0x20..=0x7e | 0x80..);
    match std::str::from_utf8(head) {
        Ok(_) => head.iter().all(printable),
        // A letter may have been cut in two.
        Err(fault) => fault.error_len().is_none() && head.iter().all(printable),
    }
}

/// Refuses options that the format has no use for, rather than to leave them unheard.
pub(super) fn check_options(format: Format, options: &OpenOptions) -> Result<(), Error> {
    let raw = format == Format::Raw;
    let csv = format == Format::Csv;
    let unheard = [
        ("--sample-type", options.sample_type.is_some(), raw),
        ("--channels", options.channel_count.is_some(), raw),
        ("--skip-bytes", options.skip_bytes > 0, raw),
        ("--delimiter", options.delimiter.is_some(), csv),
        ("--time-column", options.time_column.is_some(), csv),
    ];
    match unheard.iter().find(|(_, given, heard)| *given && !heard) {
        None => Ok(()),
        Some((option, ..)) => Err(Error::usage(
            format!("{option} does not apply to the format {format}"),
            if csv {
                "leave it out, or state another with --input-format"
            } else {
                "the file says it itself: leave it out, or add --input-format raw"
            },
        )),
    }
}
