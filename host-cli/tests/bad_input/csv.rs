//! CSV files with faults.

use crate::make::*;
use crate::{Case, case};

/// The rows.
pub(crate) const CASES: &[Case] = &[
    case(
        "a CSV of words",
        |at| put(at, "x.csv", "time,volts\n0,1\n0.1,2\n0.2,three\n"),
        "scan x.csv --level 1",
        "x.csv: line 4, column 2: \"three\" is not a number; correct it or choose another \
             column with --channel",
    ),
    case(
        "a CSV with a column too few",
        |at| put(at, "x.csv", "0,1\n1,2\n2\n"),
        "scan x.csv --level 1",
        "x.csv: line 3: there is 1 column here and 2 before; give every line the same \
             columns",
    ),
    case(
        "a CSV with a column too many",
        |at| put(at, "x.csv", "0,1\n1,2\n2,3,4\n"),
        "scan x.csv --level 1",
        "x.csv: line 3: there are 3 columns here and 2 before; give every line the same \
             columns",
    ),
    case(
        "a CSV with a column too many far behind",
        |at| put(at, "x.csv", format!("{}2,3,4\n", "1,2\n".repeat(50_000))),
        "scan x.csv --level 1",
        "x.csv: line 50001: there are 3 columns here and 2 before; give every line the same \
             columns",
    ),
    case(
        "a CSV with an empty field",
        |at| put(at, "x.csv", "1,2\n3,\n"),
        "scan x.csv --level 1 --channel 2",
        "x.csv: line 2, column 2: the field is empty; correct it or choose another column \
             with --channel",
    ),
    case(
        "a CSV with mixed delimiters",
        |at| put(at, "x.csv", "1;2\n3;4\n5,6;7;8\n"),
        "scan x.csv --level 1",
        "x.csv: line 3: there are 3 columns here and 2 before; give every line the same \
             columns",
    ),
    case(
        "a CSV of a header alone",
        |at| put(at, "x.csv", "time,volts\n"),
        "scan x.csv --level 1",
        "x.csv: there are no samples in it; check that the recording was written",
    ),
    case(
        "a CSV of times alone",
        |at| put(at, "x.csv", "time\n0\n1\n2\n"),
        "scan x.csv --level 1",
        "x.csv: there is no column but the times; add a column of samples, or choose \
             another with --time-column",
    ),
    case(
        "a CSV of comments alone",
        |at| put(at, "x.csv", "# one\n# two\n"),
        "scan x.csv --level 1",
        "x.csv: there are no samples in it; check that the recording was written",
    ),
    case(
        "a CSV with an open quote",
        |at| put(at, "x.csv", "1,2\n\"3,4\n"),
        "scan x.csv --level 1",
        "x.csv: line 2: a quote is not closed; correct the line, or state the columns' \
             --delimiter",
    ),
    case(
        "a CSV with a line of a megabyte",
        |at| put(at, "x.csv", "1".repeat(1 << 20)),
        "scan x.csv --level 1",
        "x.csv: line 1: the line is longer than 65536 bytes; check that this is text in \
             columns, with line feeds between its lines",
    ),
    case(
        "a CSV of 5000 columns",
        |at| put(at, "x.csv", "1,".repeat(5000)),
        "scan x.csv --level 1",
        "x.csv: line 1: there are too many columns; correct the line, or state the columns' \
             --delimiter",
    ),
    case(
        "a CSV without a line end for 4 MB",
        |at| put(at, "x.csv", "1,2,".repeat(1 << 20)),
        "scan x.csv --level 1",
        "x.csv: line 1: there are too many columns; correct the line, or state the columns' \
             --delimiter",
    ),
    case(
        "a CSV that is no UTF-8",
        |at| put(at, "x.csv", b"a,b\n1,2\n\xff\xfe,4\n"),
        "scan x.csv --level 1",
        "x.csv: line 3, column 1: \"��\" is not a number; correct it or choose another \
             column with --channel",
    ),
    case(
        "a CSV in UTF-16",
        |at| put(at, "x.csv", b"\xff\xfe1\0,\x002\0\n\0"),
        "scan x.csv --level 1",
        "x.csv: it looks like UTF-16 text; save it as UTF-8",
    ),
    case(
        "a CSV of zeros that are no text",
        |at| put(at, "x.csv", [0; 5000]),
        "scan x.csv --level 1",
        "x.csv: there are no samples in it; check that the recording was written",
    ),
    case(
        "a CSV with a time that is none",
        |at| put(at, "x.csv", "time,volts\n0,1\nsoon,2\n"),
        "scan x.csv --level 1",
        "x.csv: line 3, column 1: \"soon\" is not a number; correct it or choose another \
             column with --time-column",
    ),
    case(
        "a CSV without that channel",
        |at| put(at, "x.csv", "1,2\n3,4\n"),
        "scan x.csv --level 1 --channel 3",
        "x.csv: there is no channel 3; choose from 1 to 2",
    ),
    case(
        "a CSV without that time column",
        |at| put(at, "x.csv", "1,2\n3,4\n"),
        "scan x.csv --level 1 --time-column 3",
        "x.csv: there is no column 3; choose another with --time-column",
    ),
    case(
        "a CSV that is said to be raw",
        |at| put(at, "x.csv", "1,2\n"),
        "scan x.csv --level 1 --skip-bytes 3",
        "--skip-bytes does not apply to the format csv; leave it out, or state another with \
             --input-format",
    ),
];
