//! Files, pipes and folders that are no recordings, and raw samples.

use crate::make::*;
use crate::{Case, case};

/// The rows.
pub(crate) const CASES: &[Case] = &[
    case(
        "an empty file",
        |at| put(at, "x.wav", []),
        "scan x.wav --level 1",
        "x.wav: it is empty; check that the recording was written",
    ),
    case(
        "no such file",
        |_| {},
        "scan nowhere.wav --level 1",
        "nowhere.wav: cannot be opened: No such file or directory (os error 2); check the \
             name and the permissions",
    ),
    case(
        "compressed samples",
        |at| put(at, "x.raw.gz", b"\x1f\x8b\x08rest"),
        "scan x.raw.gz --level 1",
        "x.raw.gz: it is compressed by gzip; unpack it first, such as with gzip -dc FILE | \
             stillwave … -",
    ),
    case(
        "compressed audio",
        |at| put(at, "x.flac", b"fLaCrest"),
        "scan x.flac --level 1",
        "x.flac: it is compressed audio; convert it to WAV first",
    ),
    case(
        "bytes of no format",
        |at| put(at, "x", [1, 2, 3]),
        "scan x --level 1",
        "x: the format cannot be told; state it with --input-format, or for raw samples \
             their type with --sample-type",
    ),
    case(
        "raw samples without a type",
        ramp,
        "scan ramp.raw --level 1",
        "ramp.raw: raw samples do not say their type; state it with --sample-type, such as \
             u16le",
    ),
    case(
        "half a raw sample",
        |at| put(at, "x.raw", [1]),
        "scan x.raw --sample-type u16le --level 1",
        "x.raw: there are no samples in it; check that the recording was written",
    ),
    case(
        "raw samples behind their end",
        ramp,
        "scan ramp.raw --sample-type u16le --level 1 --skip-bytes 18446744073709551615",
        "ramp.raw: there are no samples in it; check that the recording was written",
    ),
    case(
        "raw samples of 2^32 - 1 channels",
        ramp,
        "scan ramp.raw --sample-type u16le --channels 4294967295 --level 1",
        "ramp.raw: more than 4096 channels are stated; 1 to 4096 can be read; check the \
             header and --channels",
    ),
    case(
        "raw samples of no channels",
        ramp,
        "scan ramp.raw --sample-type u16le --channels 0 --level 1",
        "ramp.raw: 0 channels are stated; 1 to 4096 can be read; check the header and \
             --channels",
    ),
    case(
        "a named pipe with half a header",
        |_| {},
        "scan pipe --level 1",
        "pipe: byte 12: the file ends within its header; convert it to plain WAV, or read \
             it with --input-format raw --sample-type … --skip-bytes …",
    )
    .before("mkfifo pipe; printf RIFF1234WAVEfmt > pipe &"),
    case(
        "a named pipe with fewer samples than it says",
        |at| put(at, "x", wav_of(20)),
        "scan pipe --level 1",
        "pipe: the data end early: 12 bytes are missing; copy the file again, or read what \
             is there with --input-format raw --skip-bytes 44 --sample-type i16le --channels 1 \
             --rate 8000",
    )
    .before("mkfifo pipe; cat x > pipe &"),
    case(
        "a pipe with channels one after the other",
        |at| put(at, "x", npy_of("|u1", "(2, 4)")),
        "scan - --level 1",
        "standard input: the channels lie one after the other, which a stream cannot be \
             read by; save the recording in a file and read that",
    )
    .before("mkfifo pipe; cat x > pipe & exec < pipe;"),
    case(
        "an array without an end",
        |_| {},
        "scan /dev/zero --level 1",
        "/dev/zero: the format cannot be told; state it with --input-format, or for raw \
             samples their type with --sample-type",
    ),
    case(
        "a folder",
        |at| std::fs::create_dir(at.join("x.wav")).unwrap(),
        "scan x.wav --level 1",
        "x.wav: this is a directory; name a recording in it",
    ),
    case(
        "a link to nowhere",
        |at| link(at, "nowhere", "x.wav"),
        "scan x.wav --level 1",
        "x.wav: cannot be opened: No such file or directory (os error 2); check the name \
             and the permissions",
    ),
    case(
        "a recording that is a link to itself",
        |at| link(at, "x.wav", "x.wav"),
        "scan x.wav --level 1",
        "x.wav: cannot be opened: Too many levels of symbolic links (os error 40); check \
             the name and the permissions",
    ),
    case(
        "a name that is no UTF-8",
        |_| {},
        "scan ¤.wav --level 1",
        "�.wav: cannot be opened: No such file or directory (os error 2); check the name \
             and the permissions",
    ),
    case(
        "a file that may not be read",
        |at| {
            ramp(at);
            open_to_all(at);
        },
        "scan ramp.raw --level 1",
        "ramp.raw: cannot be opened: Permission denied (os error 13); check the name and \
             the permissions",
    )
    .before(UNREADABLE),
];
