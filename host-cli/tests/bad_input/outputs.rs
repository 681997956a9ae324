//! Outputs that cannot be.

use crate::make::*;
use crate::{Case, case};

/// The rows.
pub(crate) const CASES: &[Case] = &[
    case(
        "wav records in a folder that is not there",
        ramp,
        "capture ramp.raw --sample-type u16le --rate 1000 --level 2000 --post 10sa --out \
             nowhere/x --save-as wav",
        "nowhere/x-0001.wav: there is no folder nowhere; make it first",
    ),
    case(
        "csv records in a folder that is not there",
        ramp,
        "capture ramp.raw --sample-type u16le --rate 1000 --level 2000 --post 10sa --out \
             nowhere/x --save-as csv",
        "nowhere/x-0001.csv: there is no folder nowhere; make it first",
    ),
    case(
        "npy records in a folder that is not there",
        ramp,
        "capture ramp.raw --sample-type u16le --rate 1000 --level 2000 --post 10sa --out \
             nowhere/x --save-as npy",
        "nowhere/x-0001.npy: there is no folder nowhere; make it first",
    ),
    case(
        "sigmf records in a folder that is not there",
        ramp,
        "capture ramp.raw --sample-type u16le --rate 1000 --level 2000 --post 10sa --out \
             nowhere/x --save-as sigmf",
        "nowhere/x.sigmf-data: there is no folder nowhere; make it first",
    ),
    case(
        "a setup of no kind",
        ramp,
        "scan ramp.raw --sample-type u16le --level 1 --save-setup x.txt",
        "--save-setup x.txt: the name does not say what to write; end it with .toml for a \
             setup file, or .rs for constants in Rust",
    ),
    case(
        "a folder that is a file",
        |at| {
            ramp(at);
            put(at, "e.toml", "mean = \"0..1\"\n");
        },
        "check ramp.raw --sample-type u16le --level 2000 --post 10sa --expect e.toml --keep \
             e.toml",
        "e.toml: is a file; give the name of a folder",
    ),
    case(
        "a demo in a file",
        ramp,
        "demo --folder ramp.raw",
        "ramp.raw: is a file; give the name of a folder",
    ),
    case(
        "a file that is a folder",
        |at| {
            ramp(at);
            std::fs::create_dir(at.join("x.npy")).unwrap();
        },
        "decimate ramp.raw --sample-type u16le --by 2 --out x.npy --overwrite",
        "x.npy: is a folder; give the name of a file",
    ),
    case(
        "a folder that is a file, in a name",
        ramp,
        "decimate ramp.raw --sample-type u16le --by 2 --out ramp.raw/x.npy",
        "ramp.raw/x.npy: there is no folder ramp.raw; make it first",
    ),
    case(
        "a device",
        ramp,
        "decimate ramp.raw --sample-type u16le --by 2 --out /dev/full --save-as npy \
             --overwrite",
        "/dev/full: is a device or a pipe; give the name of a file",
    ),
    case(
        "a named pipe",
        ramp,
        "decimate ramp.raw --sample-type u16le --by 2 --out x.npy --overwrite",
        "x.npy: is a device or a pipe; give the name of a file",
    )
    .before("mkfifo x.npy;"),
    case(
        "a link to itself",
        |at| {
            ramp(at);
            link(at, "x.npy", "x.npy");
        },
        "decimate ramp.raw --sample-type u16le --by 2 --out x.npy",
        "x.npy: there is such a file already; choose another name, or replace it with \
             --overwrite",
    ),
    case(
        "a folder that may not be written to",
        |at| {
            ramp(at);
            shut(at);
        },
        "decimate ramp.raw --sample-type u16le --by 2 --out x.npy",
        "x.npy: cannot be written: permission denied; check the space and the permissions",
    )
    .before(AS_NOBODY),
    case(
        "wav on a disk that is full",
        large,
        "decimate large.raw --sample-type u16le --by 2 --out full/x.wav --rate 1000",
        "full/x.wav: cannot be written: no storage space; check the space and the permissions",
    )
    .before(TINY),
    case(
        "csv on a disk that is full",
        large,
        "decimate large.raw --sample-type u16le --by 2 --out full/x.csv --rate 1000",
        "full/x.csv: cannot be written: no storage space; check the space and the permissions",
    )
    .before(TINY),
    case(
        "npy on a disk that is full",
        large,
        "decimate large.raw --sample-type u16le --by 2 --out full/x.npy --rate 1000",
        "full/x.npy: cannot be written: no storage space; check the space and the permissions",
    )
    .before(TINY),
    case(
        "sigmf on a disk that is full",
        large,
        "decimate large.raw --sample-type u16le --by 2 --out full/x.sigmf --rate 1000",
        "full/x.sigmf-data: cannot be written: no storage space; check the space and the \
             permissions",
    )
    .before(TINY),
    case(
        "a picture on a disk that is full",
        large,
        "view large.raw --sample-type u16le --level 2000 --post 10sa --png full/x.png",
        "full/x.png: cannot be written: no storage space; check the space and the permissions",
    )
    .before(TINY),
    case(
        "records on a disk that is full",
        large,
        "capture large.raw --sample-type u16le --rate 1000 --level 2000 --post 50sa \
             --save-as npy --out full/x",
        "full/x-0005.npy: cannot be written: no storage space; check the space and the \
             permissions",
    )
    .before(TINY),
    case(
        "wav larger than a file may be",
        large,
        "decimate large.raw --sample-type u16le --by 2 --out x.wav --rate 1000",
        "x.wav: cannot be written: file too large; check the space and the permissions",
    )
    .before(LIMIT),
    case(
        "csv larger than a file may be",
        large,
        "decimate large.raw --sample-type u16le --by 2 --out x.csv --rate 1000",
        "x.csv: cannot be written: file too large; check the space and the permissions",
    )
    .before(LIMIT),
    case(
        "npy larger than a file may be",
        large,
        "decimate large.raw --sample-type u16le --by 2 --out x.npy --rate 1000",
        "x.npy: cannot be written: file too large; check the space and the permissions",
    )
    .before(LIMIT),
    case(
        "sigmf larger than a file may be",
        large,
        "decimate large.raw --sample-type u16le --by 2 --out x.sigmf --rate 1000",
        "x.sigmf-data: cannot be written: file too large; check the space and the permissions",
    )
    .before(LIMIT),
    case(
        "a list on a full standard output",
        ramp,
        "scan ramp.raw --sample-type u16le --level 2000",
        "standard output: cannot be written: No space left on device (os error 28); check \
             the space and the permissions",
    )
    .before("exec > /dev/full;"),
    case(
        "JSON on a full standard output",
        ramp,
        "scan ramp.raw --sample-type u16le --level 2000 --format json",
        "standard output: cannot be written: No space left on device (os error 28); check \
             the space and the permissions",
    )
    .before("exec > /dev/full;"),
    case(
        "a draft on a full standard output",
        ramp,
        "expect ramp.raw --sample-type u16le --level 2000 --post 10sa",
        "standard output: cannot be written: No space left on device (os error 28); check \
             the space and the permissions",
    )
    .before("exec > /dev/full;"),
    case(
        "live events on a full standard output",
        large,
        "live --play large.raw --sample-type u16le --rate 100000 --bits 12 --vref 3.3V \
             --zero 2048 --headless --records 1 --out x",
        "standard output: cannot be written: No space left on device (os error 28); check \
             the space and the permissions",
    )
    .before("exec > /dev/full;"),
];
