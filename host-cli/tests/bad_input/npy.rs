//! NPY files with faults.

use crate::make::*;
use crate::{Case, case};

/// The rows.
pub(crate) const CASES: &[Case] = &[
    case(
        "an NPY that ends in its first bytes",
        |at| put(at, "x.npy", &npy_of("<i2", "(4,)")[..9]),
        "scan x.npy --level 1",
        "x.npy: byte 0: this is not an NPY file; save a plain array of numbers with one \
             dimension, or with two: (samples, channels)",
    ),
    case(
        "an NPY that ends in its header",
        |at| put(at, "x.npy", &npy_of("<i2", "(4,)")[..40]),
        "scan x.npy --level 1",
        "x.npy: byte 8: the file ends within its header; save a plain array of numbers with \
             one dimension, or with two: (samples, channels)",
    ),
    case(
        "an NPY of version 9",
        |at| {
            put(at, "x.npy", {
                let mut bytes = npy_of("<i2", "(4,)");
                bytes[6] = 9;
                bytes
            })
        },
        "scan x.npy --level 1",
        "x.npy: byte 6: version 9 of NPY is not known; save a plain array of numbers with \
             one dimension, or with two: (samples, channels)",
    ),
    case(
        "an NPY whose header says 4 GB",
        |at| put(at, "x.npy", b"\x93NUMPY\x02\0\xff\xff\xff\xff{}"),
        "scan x.npy --level 1",
        "x.npy: byte 8: a header of 4294967295 bytes is too long; save a plain array of \
             numbers with one dimension, or with two: (samples, channels)",
    ),
    case(
        "an NPY whose header is no text",
        |at| {
            put(at, "x.npy", {
                let mut bytes = npy_of("<i2", "(4,)");
                bytes[20] = 0xff;
                bytes
            })
        },
        "scan x.npy --level 1",
        "x.npy: byte 10: the header is not text; save a plain array of numbers with one \
             dimension, or with two: (samples, channels)",
    ),
    case(
        "an NPY whose header nests 30000 deep",
        |at| put(at, "x.npy", npy(&format!("{{'descr': '<i2', 'shape': {}", "(".repeat(30_000)))),
        "scan x.npy --level 1",
        "x.npy: byte 10: the header's shape is not of numbers; save a plain array of \
             numbers with one dimension, or with two: (samples, channels)",
    ),
    case(
        "an NPY whose header opens a list 30000 times",
        |at| put(at, "x.npy", npy(&format!("{{'descr': {}", "[".repeat(30_000)))),
        "scan x.npy --level 1",
        "x.npy: byte 10: its entries have several fields: save one of them; save a plain \
             array of numbers with one dimension, or with two: (samples, channels)",
    ),
    case(
        "an NPY of 30000 dimensions",
        |at| put(at, "x.npy", npy_of("<i2", &format!("({})", "1,".repeat(30_000)))),
        "scan x.npy --level 1",
        "x.npy: byte 10: the array has 30000 dimensions, not 1 or 2; save a plain array of \
             numbers with one dimension, or with two: (samples, channels)",
    ),
    case(
        "an NPY that says 35 terabytes",
        |at| put(at, "x.npy", npy_of("<f8", "(1099511627776, 4)")),
        "scan x.npy --level 1",
        "x.npy: the data end early: 35184372088824 bytes are missing; copy the file again, \
             or read what is there with --input-format raw --skip-bytes 82 --sample-type f64le \
             --channels 4",
    ),
    case(
        "an NPY of more bytes than there are numbers",
        |at| put(at, "x.npy", npy_of("<f8", "(18446744073709551615, 3)")),
        "scan x.npy --level 1",
        "x.npy: byte 10: the array is larger than any file; save a plain array of numbers \
             with one dimension, or with two: (samples, channels)",
    ),
    case(
        "an NPY with a side of 2^64",
        |at| put(at, "x.npy", npy_of("<f8", "(18446744073709551616,)")),
        "scan x.npy --level 1",
        "x.npy: byte 10: the header's shape is not of numbers; save a plain array of \
             numbers with one dimension, or with two: (samples, channels)",
    ),
    case(
        "an NPY of 2^32 - 1 channels",
        |at| put(at, "x.npy", npy_of("|u1", "(4294967295, 2147483648)")),
        "scan x.npy --level 1",
        "x.npy: more than 4096 channels are stated; 1 to 4096 can be read; check the header \
             and --channels",
    ),
    case(
        "an NPY without samples",
        |at| put(at, "x.npy", npy_of("<f8", "(0,)")),
        "scan x.npy --level 1",
        "x.npy: there are no samples in it; check that the recording was written",
    ),
    case(
        "an NPY of no dimension",
        |at| put(at, "x.npy", npy_of("<f8", "()")),
        "scan x.npy --level 1",
        "x.npy: byte 10: the array has 0 dimensions, not 1 or 2; save a plain array of \
             numbers with one dimension, or with two: (samples, channels)",
    ),
    case(
        "an NPY of three dimensions",
        |at| put(at, "x.npy", npy_of("<f8", "(1, 1, 1)")),
        "scan x.npy --level 1",
        "x.npy: byte 10: the array has 3 dimensions, not 1 or 2; save a plain array of \
             numbers with one dimension, or with two: (samples, channels)",
    ),
    case(
        "an NPY of complex numbers",
        |at| put(at, "x.npy", npy_of("<c16", "(1,)")),
        "scan x.npy --level 1",
        "x.npy: byte 10: its numbers are complex (\"<c16\"): save the real part; save a \
             plain array of numbers with one dimension, or with two: (samples, channels)",
    ),
    case(
        "an NPY of words",
        |at| put(at, "x.npy", npy_of("<U8", "(1,)")),
        "scan x.npy --level 1",
        "x.npy: byte 10: numbers of the type \"<U8\" cannot be read; save a plain array of \
             numbers with one dimension, or with two: (samples, channels)",
    ),
    case(
        "an NPY of fields",
        |at| {
            put(
                at,
                "x.npy",
                npy("{'descr': [('a', '<i2')], 'fortran_order': False, 'shape': (1,)}"),
            )
        },
        "scan x.npy --level 1",
        "x.npy: byte 10: its entries have several fields: save one of them; save a plain \
             array of numbers with one dimension, or with two: (samples, channels)",
    ),
    case(
        "an NPY that says nothing",
        |at| put(at, "x.npy", npy("{}")),
        "scan x.npy --level 1",
        "x.npy: byte 10: the header lacks descr, fortran_order or shape; save a plain array \
             of numbers with one dimension, or with two: (samples, channels)",
    ),
    case(
        "an NPY that says its type twice",
        |at| put(at, "x.npy", npy("{'descr': '<i2', 'descr': '<f8'}")),
        "scan x.npy --level 1",
        "x.npy: byte 10: the header has an unexpected \"descr\"; save a plain array of \
             numbers with one dimension, or with two: (samples, channels)",
    ),
    case(
        "an NPY with an open quote",
        |at| put(at, "x.npy", npy("{'descr")),
        "scan x.npy --level 1",
        "x.npy: byte 10: the header has an open quote; save a plain array of numbers with \
             one dimension, or with two: (samples, channels)",
    ),
    case(
        "an NPY with a header behind its header",
        |at| put(at, "x.npy", npy("{'descr': '<i2', 'fortran_order': False, 'shape': (4,)} {")),
        "scan x.npy --level 1",
        "x.npy: byte 10: the header goes on after its end; save a plain array of numbers \
             with one dimension, or with two: (samples, channels)",
    ),
    case(
        "an NPY with a negative side",
        |at| put(at, "x.npy", npy_of("<i2", "(-4,)")),
        "scan x.npy --level 1",
        "x.npy: byte 10: the header's shape is not of numbers; save a plain array of \
             numbers with one dimension, or with two: (samples, channels)",
    ),
    case(
        "NumPy's archives",
        |at| put(at, "x.npy", b"PK\x03\x04rest of an archive"),
        "scan x.npy --level 1",
        "x.npy: it is a ZIP or NPZ archive; unpack it and name a recording in it",
    ),
];
