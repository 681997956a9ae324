//! Options of recordings and triggers with faults.

use crate::make::*;
use crate::{Case, case};

/// The rows.
pub(crate) const CASES: &[Case] = &[
    case(
        "no recording",
        ramp,
        "scan --level 1",
        "the following required arguments were not provided:\n  <FILE>\n\nUsage: stillwave \
             scan --level <LEVEL> <FILE>",
    ),
    case(
        "two recordings",
        ramp,
        "scan ramp.raw ramp.raw --level 1",
        "unexpected argument 'ramp.raw' found\n\nUsage: stillwave scan [OPTIONS] <FILE>",
    ),
    case(
        "another option",
        ramp,
        "scan ramp.raw --sample-type u16le --level 1 --loudness 3",
        "unexpected argument '--loudness' found\n\n  tip: a similar argument exists: \
             '--lines'\n\nUsage: stillwave scan --sample-type <TYPE> --level <LEVEL> --lines \
             <LINE,…> <FILE>",
    ),
    case(
        "an option twice",
        ramp,
        "scan ramp.raw --sample-type u16le --level 1 --level 2",
        "the argument '--level <LEVEL>' cannot be used multiple times\n\nUsage: stillwave \
             scan [OPTIONS] <FILE>",
    ),
    case(
        "an option without its value",
        ramp,
        "scan ramp.raw --sample-type u16le --level",
        "a value is required for '--level <LEVEL>' but none was supplied",
    ),
    case(
        "another format",
        ramp,
        "scan ramp.raw --input-format flac --level 1",
        "invalid value 'flac' for '--input-format <FORMAT>': --input-format: \"flac\" is \
             not a format; use raw, wav, csv, npy or sigmf",
    ),
    case(
        "another sample type",
        ramp,
        "scan ramp.raw --sample-type u15 --level 1",
        "invalid value 'u15' for '--sample-type <TYPE>': --sample-type: \"u15\" is not a \
             sample type; use u8, i8, u16le, i16le, i24le, u32le, i32le, f32le, f64le, or with \
             be for the other byte order",
    ),
    case(
        "a sample type for what has its own",
        ramp,
        "scan ramp.raw --input-format wav --sample-type u8 --level 1",
        "--sample-type does not apply to the format wav; the file says it itself: leave it \
             out, or add --input-format raw",
    ),
    case(
        "a delimiter of raw samples",
        ramp,
        "scan ramp.raw --sample-type u16le --level 1 --delimiter ;",
        "--delimiter does not apply to the format raw; the file says it itself: leave it \
             out, or add --input-format raw",
    ),
    case(
        "a delimiter of two characters",
        ramp,
        "scan ramp.raw --input-format csv --level 1 --delimiter ;;",
        "--delimiter \";;\" is not one character; give one such as ; or the word tab",
    ),
    case(
        "a rate of 0",
        ramp,
        "scan ramp.raw --sample-type u16le --level 2000 --rate 0",
        "invalid value '0' for '--rate <RATE>': \"0\" is not a sample rate such as 1MS/s, \
             44.1kHz or 48000: it must be above zero",
    ),
    case(
        "a negative rate",
        ramp,
        "scan ramp.raw --sample-type u16le --level 2000 --rate -5",
        "invalid value '-5' for '--rate <RATE>': \"-5\" is not a sample rate such as 1MS/s, \
             44.1kHz or 48000: it must be above zero",
    ),
    case(
        "a rate without an end",
        ramp,
        "scan ramp.raw --sample-type u16le --level 2000 --rate 1e999",
        "invalid value '1e999' for '--rate <RATE>': \"1e999\" is not a sample rate such as \
             1MS/s, 44.1kHz or 48000",
    ),
    case(
        "no level",
        ramp,
        "scan ramp.raw --sample-type u16le ",
        "--on edge needs --level; add --level 1.65V or, in counts, --level 2048",
    ),
    case(
        "a level in words",
        ramp,
        "scan ramp.raw --sample-type u16le --level two",
        "invalid value 'two' for '--level <LEVEL>': \"two\" is not a level such as 1.65V, \
             50mV or 2048 (counts)",
    ),
    case(
        "a level that is no number",
        ramp,
        "scan ramp.raw --sample-type u16le --level nan",
        "invalid value 'nan' for '--level <LEVEL>': \"nan\" is not a level such as 1.65V, \
             50mV or 2048 (counts)",
    ),
    case(
        "a level in volts of unknown counts",
        ramp,
        "scan ramp.raw --sample-type u16le --level 1V",
        "--level needs to know how many volts a count is; add --bits and --vref, such as \
             --bits 12 --vref 3.3V, or give a level in counts",
    ),
    case(
        "a level that is no UTF-8",
        ramp,
        "scan ramp.raw --sample-type u16le --level ¤",
        "--level �: this is no text in UTF-8; type it anew; names of files alone may be \
             other than UTF-8",
    ),
    case(
        "bits without volts",
        ramp,
        "scan ramp.raw --sample-type u16le --level 1V --bits 12",
        "the following required arguments were not provided:\n  --vref <VOLTAGE>\n\nUsage: \
             stillwave scan --vref <VOLTAGE> --sample-type <TYPE> --level <LEVEL> --bits <N> \
             <FILE>",
    ),
    case(
        "forty bits",
        ramp,
        "scan ramp.raw --sample-type u16le --level 1 --bits 40 --vref 3V",
        "--bits is 40: it must be 1 to 32; correct it",
    ),
    case(
        "no volts at the top",
        ramp,
        "scan ramp.raw --sample-type u16le --level 1 --bits 12 --vref 0V",
        "--vref is 0: it must be over 0 V; correct it",
    ),
    case(
        "negative hysteresis",
        ramp,
        "scan ramp.raw --sample-type u16le --level 2000 --hysteresis -1",
        "--hysteresis is -1: it must be 0 or more; correct it",
    ),
    case(
        "a time without a unit",
        ramp,
        "scan ramp.raw --sample-type u16le --level 2000 --holdoff 5",
        "invalid value '5' for '--holdoff <TIME>': \"5\" is not a time such as 2ms, 10us or \
             100sa (samples): the unit is missing",
    ),
    case(
        "a negative time",
        ramp,
        "scan ramp.raw --sample-type u16le --level 2000 --holdoff -5ms",
        "invalid value '-5ms' for '--holdoff <TIME>': \"-5ms\" is not a time such as 2ms, \
             10us or 100sa (samples): it must not be negative",
    ),
    case(
        "a time in seconds of unknown rate",
        ramp,
        "scan ramp.raw --sample-type u16le --level 2000 --holdoff 2ms",
        "--holdoff is in seconds, but the recording has no sample rate; add --rate, or give \
             samples such as 100sa",
    ),
    case(
        "holdoff by time and by count",
        ramp,
        "scan ramp.raw --sample-type u16le --level 2000 --holdoff 2sa --every 2",
        "the argument '--holdoff <TIME>' cannot be used with '--every <N>'\n\nUsage: \
             stillwave scan --sample-type <TYPE> --level <LEVEL> --holdoff <TIME> <FILE>",
    ),
    case(
        "every event but none",
        ramp,
        "scan ramp.raw --sample-type u16le --level 2000 --every 0",
        "--every is 0: it must be 1 or more; correct it",
    ),
    case(
        "every event of more than there can be",
        ramp,
        "scan ramp.raw --sample-type u16le --level 2000 --every 4294967296",
        "invalid value '4294967296' for '--every <N>': 4294967296 is not in 0..=4294967295",
    ),
    case(
        "a pulse of no width",
        ramp,
        "scan ramp.raw --sample-type u16le --level 2000 --on pulse",
        "--on pulse needs a width to compare; add --shorter-than T, --longer-than T, \
             --within T1..T2 or --outside T1..T2",
    ),
    case(
        "a range that is upside down",
        ramp,
        "scan ramp.raw --sample-type u16le --level 2000 --on pulse --within 20sa..10sa",
        "invalid value '20sa..10sa' for '--within <T1..T2>': \"20sa..10sa\" is not a range \
             such as 1ms..2ms: the lower bound comes first",
    ),
    case(
        "two widths at once",
        ramp,
        "scan ramp.raw --sample-type u16le --level 2000 --on pulse --longer-than 2sa \
             --shorter-than 9sa",
        "the argument '--longer-than <TIME>' cannot be used with '--shorter-than \
             <TIME>'\n\nUsage: stillwave scan --sample-type <TYPE> --level <LEVEL> --on \
             <CONDITION> --longer-than <TIME> <FILE>",
    ),
    case(
        "an option of another condition",
        ramp,
        "scan ramp.raw --sample-type u16le --level 2000 --slope rising --polarity positive",
        "--polarity has no use with --on edge; leave it out, or choose --on pulse or --on \
             runt or --on video",
    ),
    case(
        "a condition that is none",
        ramp,
        "scan ramp.raw --sample-type u16le --level 2000 --on moon",
        "invalid value 'moon' for '--on <CONDITION>'\n  [possible values: edge, pulse, \
             interval, dropout, transition, runt, window, delay, count, sequence, pattern, \
             setup-hold, uart, i2c, spi, video]",
    ),
    case(
        "levels that are upside down",
        ramp,
        "scan ramp.raw --sample-type u16le --on runt --low 5 --high 2",
        "--high is 2: it must be over low; correct it",
    ),
    case(
        "levels that are upside down, in volts",
        ramp,
        "scan ramp.raw --sample-type u16le --on runt --low 2V --high 1V --bits 12 --vref 4.096V",
        "--high is 1.000 V (1000 counts): it must be over low; correct it",
    ),
    case(
        "a level without its unit",
        ramp,
        "scan ramp.raw --sample-type u16le --level 1.6 --bits 12 --vref 4.096V",
        "--level: 1.6 is no whole number of counts; for volts write 1.6V, or round it",
    ),
    case(
        "a hysteresis without its unit, and no volts",
        ramp,
        "scan ramp.raw --sample-type u16le --level 1600 --hysteresis 0.2",
        "--hysteresis: 0.2 is no whole number of counts; for volts write 0.2V and add --bits and \
             --vref, or round it",
    ),
    case(
        "more volts than any sample",
        ramp,
        "scan ramp.raw --sample-type u16le --level 1e9V --bits 12 --vref 4.096V",
        "--level 1.000 GV is beyond all that samples can be; give one within their range, from \
             0.000 V (0 counts) to 4.095 V (4095 counts)",
    ),
    case(
        "channel 0",
        ramp,
        "scan ramp.raw --sample-type u16le --level 2000 --channel 0",
        "--channel 0; count from 1",
    ),
    case(
        "channel 2 of one",
        ramp,
        "scan ramp.raw --sample-type u16le --level 2000 --channel 2",
        "ramp.raw: there is no channel 2; it has one channel",
    ),
    case(
        "channel 2^64",
        ramp,
        "scan ramp.raw --sample-type u16le --level 2000 --channel 18446744073709551616",
        "invalid value '18446744073709551616' for '--channel <N>': number too large to fit \
             in target type",
    ),
    case(
        "a serial line without a speed",
        ramp,
        "scan ramp.raw --sample-type u16le --level 5 --on uart",
        "--on uart needs --baud; add --baud 9600",
    ),
    case(
        "a pattern without lines",
        ramp,
        "scan ramp.raw --sample-type u16le --level 5 --on pattern",
        "--on pattern needs --lines; add --lines 1:high,2:low",
    ),
    case(
        "a pattern of words",
        ramp,
        "scan ramp.raw --sample-type u16le --level 5 --on pattern --lines one:high",
        "invalid value 'one:high' for '--lines <LINE,…>': \"one:high\" does not begin with \
             a channel, such as 2 or 2@1.65V",
    ),
    case(
        "a coupling of unknown rate",
        ramp,
        "scan ramp.raw --sample-type u16le --level 1 --coupling ac",
        "--coupling needs to know the sample rate, and the recording has none; add --rate",
    ),
    case(
        "a corner over a quarter of the rate",
        ramp,
        "scan ramp.raw --sample-type u16le --level 1 --rate 1000 --coupling ac --corner 600Hz",
        "--corner 600.0 Hz is out of range; with this sample rate give one of up to 250.0 Hz",
    ),
];
