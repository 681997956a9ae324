//! `SigMF` recordings with faults.

use crate::make::*;
use crate::{Case, case};

/// The rows.
pub(crate) const CASES: &[Case] = &[
    case(
        "SigMF that is no JSON",
        |at| sigmf_text(at, "global: nothing"),
        "scan x.sigmf-data --level 1",
        "x.sigmf-meta: line 1: this is not JSON: expected value at line 1 column 1; correct \
             the metadata, or read the data with --input-format raw --sample-type …",
    ),
    case(
        "SigMF that ends early",
        |at| sigmf_text(at, r#"{"global": {"core:datatype": "ru8""#),
        "scan x.sigmf-data --level 1",
        "x.sigmf-meta: line 1: this is not JSON: EOF while parsing an object at line 1 \
             column 34; correct the metadata, or read the data with --input-format raw \
             --sample-type …",
    ),
    case(
        "SigMF of another kind of JSON",
        |at| sigmf_text(at, "[1, 2]"),
        "scan x.sigmf-data --level 1",
        "x.sigmf-meta: line 1: these are no metadata of SigMF: invalid type: sequence, \
             expected an object with \"global\" and \"captures\" at line 1 column 1; correct the \
             metadata, or read the data with --input-format raw --sample-type …",
    ),
    case(
        "SigMF without what holds for all",
        |at| sigmf_text(at, "{}"),
        "scan x.sigmf-data --level 1",
        "x.sigmf-meta: there is no object \"global\"; correct the metadata, or read the \
             data with --input-format raw --sample-type …",
    ),
    case(
        "SigMF whose global is a number",
        |at| sigmf_text(at, r#"{"global": 3}"#),
        "scan x.sigmf-data --level 1",
        "x.sigmf-meta: line 1: these are no metadata of SigMF: invalid type: integer `3`, \
             expected an object at line 1 column 13; correct the metadata, or read the data with \
             --input-format raw --sample-type …",
    ),
    case(
        "SigMF whose captures are a number",
        |at| sigmf_text(at, r#"{"global": {}, "captures": 3}"#),
        "scan x.sigmf-data --level 1",
        "x.sigmf-meta: line 1: these are no metadata of SigMF: invalid type: integer `3`, \
             expected a list of captures at line 1 column 29; correct the metadata, or read the \
             data with --input-format raw --sample-type …",
    ),
    case(
        "SigMF that nests 100000 deep",
        |at| sigmf_text(at, &format!(r#"{{"global": {}"#, "[".repeat(100_000))),
        "scan x.sigmf-data --level 1",
        "x.sigmf-meta: line 1: these are no metadata of SigMF: invalid type: sequence, \
             expected an object at line 1 column 12; correct the metadata, or read the data with \
             --input-format raw --sample-type …",
    ),
    case(
        "SigMF with a text of 4 MB",
        |at| {
            sigmf_text(
                at,
                &format!(r#"{{"global": {{"core:datatype": "{}"}}}}"#, "x".repeat(4 << 20)),
            )
        },
        "scan x.sigmf-data --level 1",
        "x.sigmf-meta: line 1: no metadata have 1 MiB without a quotation mark at line 1 \
             column 1048606; correct the metadata, or read the data with --input-format raw \
             --sample-type …",
    ),
    case(
        "SigMF with a list of 4 million for a type",
        |at| {
            sigmf_text(
                at,
                &format!(r#"{{"global": {{"core:datatype": [{}0]}}}}"#, "0,".repeat(4 << 20)),
            )
        },
        "scan x.sigmf-data --level 1",
        "x.sigmf-meta: line 1: no metadata have 1 MiB without a quotation mark at line 1 \
             column 1048603; correct the metadata, or read the data with --input-format raw \
             --sample-type …",
    ),
    case(
        "SigMF without a type",
        |at| sigmf(at, r#""core:hw": "none""#),
        "scan x.sigmf-meta --level 1",
        "x.sigmf-meta: core:datatype is missing; correct the metadata, or read the data \
             with --input-format raw --sample-type …",
    ),
    case(
        "SigMF with a type that is a number",
        |at| sigmf(at, r#""core:datatype": 3"#),
        "scan x.sigmf-meta --level 1",
        "x.sigmf-meta: core:datatype 3 is not text; correct the metadata, or read the data \
             with --input-format raw --sample-type …",
    ),
    case(
        "SigMF with a type of no order",
        |at| sigmf(at, r#""core:datatype": "ri16""#),
        "scan x.sigmf-meta --level 1",
        "x.sigmf-meta: the core:datatype \"ri16\" lacks _le or _be; correct the metadata, \
             or read the data with --input-format raw --sample-type …",
    ),
    case(
        "SigMF with a type that is none",
        |at| sigmf(at, r#""core:datatype": "ri17_le""#),
        "scan x.sigmf-meta --level 1",
        "x.sigmf-meta: the core:datatype \"ri17_le\" is not known; correct the metadata, or \
             read the data with --input-format raw --sample-type …",
    ),
    case(
        "SigMF of no channels",
        |at| sigmf(at, r#""core:datatype": "ru8", "core:num_channels": 0"#),
        "scan x.sigmf-meta --level 1",
        "x.sigmf-data: 0 channels are stated; 1 to 4096 can be read; check the header and \
             --channels",
    ),
    case(
        "SigMF of 2^32 - 1 channels",
        |at| sigmf(at, r#""core:datatype": "ru8", "core:num_channels": 4294967295"#),
        "scan x.sigmf-meta --level 1",
        "x.sigmf-data: more than 4096 channels are stated; 1 to 4096 can be read; check the \
             header and --channels",
    ),
    case(
        "SigMF of half a channel",
        |at| sigmf(at, r#""core:datatype": "ru8", "core:num_channels": 0.5"#),
        "scan x.sigmf-meta --level 1",
        "x.sigmf-meta: core:num_channels 0.5 is not a whole number; correct the metadata, \
             or read the data with --input-format raw --sample-type …",
    ),
    case(
        "SigMF at a negative rate",
        |at| sigmf(at, r#""core:datatype": "ru8", "core:sample_rate": -1"#),
        "scan x.sigmf-meta --level 1",
        "x.sigmf-meta: core:sample_rate -1 is not above zero; correct the metadata, or read \
             the data with --input-format raw --sample-type …",
    ),
    case(
        "SigMF with more bytes behind than there are",
        |at| sigmf(at, r#""core:datatype": "ru8", "core:trailing_bytes": 9"#),
        "scan x.sigmf-meta --level 1",
        "x.sigmf-meta: the header and trailing bytes exceed the data; correct the metadata, \
             or read the data with --input-format raw --sample-type …",
    ),
    case(
        "SigMF that says it has no data",
        |at| sigmf(at, r#""core:datatype": "ru8", "core:metadata_only": true"#),
        "scan x.sigmf-meta --level 1",
        "x.sigmf-meta: these metadata come without samples (core:metadata_only); correct \
             the metadata, or read the data with --input-format raw --sample-type …",
    ),
    case(
        "SigMF with data in another folder",
        |at| sigmf(at, r#""core:datatype": "ru8", "core:dataset": "../secret""#),
        "scan x.sigmf-meta --level 1",
        "x.sigmf-meta: core:dataset \"../secret\" is not a file's name; correct the \
             metadata, or read the data with --input-format raw --sample-type …",
    ),
    case(
        "SigMF with data that are not there",
        |at| sigmf(at, r#""core:datatype": "ru8", "core:dataset": "other""#),
        "scan x.sigmf-meta --level 1",
        "other: cannot be opened: No such file or directory (os error 2); check the name \
             and the permissions",
    ),
    case(
        "SigMF with a capture behind the data",
        |at| sigmf_of(at, r#""core:datatype": "ru8""#, r#"{"core:sample_start": 4}"#),
        "scan x.sigmf-meta --level 1",
        "x.sigmf-meta: a capture starts at sample 4, but there are only 4; correct the \
             metadata, or read the data with --input-format raw --sample-type …",
    ),
    case(
        "SigMF with captures out of order",
        |at| {
            sigmf_of(
                at,
                r#""core:datatype": "ru8""#,
                r#"{"core:sample_start": 2}, {"core:sample_start": 1}"#,
            )
        },
        "scan x.sigmf-meta --level 1",
        "x.sigmf-meta: line 2: these are no metadata of SigMF: the captures are not in \
             order at line 2 column 64; correct the metadata, or read the data with \
             --input-format raw --sample-type …",
    ),
    case(
        "SigMF with a capture without a start",
        |at| sigmf_of(at, r#""core:datatype": "ru8""#, "{}"),
        "scan x.sigmf-meta --level 1",
        "x.sigmf-meta: line 2: these are no metadata of SigMF: a capture lacks \
             core:sample_start at line 2 column 16; correct the metadata, or read the data with \
             --input-format raw --sample-type …",
    ),
    case(
        "SigMF with bytes between the samples",
        |at| {
            sigmf_of(
                at,
                r#""core:datatype": "ru8""#,
                r#"{"core:sample_start": 0}, {"core:sample_start": 1, "core:header_bytes": 2}"#,
            )
        },
        "scan x.sigmf-meta --level 1",
        "x.sigmf-meta: line 2: these are no metadata of SigMF: core:header_bytes stand \
             between the samples at line 2 column 88; correct the metadata, or read the data \
             with --input-format raw --sample-type …",
    ),
    case(
        "SigMF with a frame larger than its data",
        |at| sigmf(at, r#""core:datatype": "cf64_le""#),
        "scan x.sigmf-meta --level 1",
        "x.sigmf-data: there are no samples in it; check that the recording was written",
    ),
    case(
        "SigMF without metadata",
        |at| put(at, "x.sigmf-data", [1]),
        "scan x.sigmf-data --level 1",
        "x.sigmf-meta: cannot be opened: No such file or directory (os error 2); check the \
             name and the permissions",
    ),
];
