//! Options of commands with faults.

use crate::make::*;
use crate::{Case, case};

/// The rows.
pub(crate) const CASES: &[Case] = &[
    case(
        "another command",
        ramp,
        "stare ramp.raw",
        "unrecognized subcommand 'stare'\n\n  tip: some similar subcommands exist: \
             'survey', 'capture'\n\nUsage: stillwave <COMMAND>",
    ),
    case(
        "a record longer than can be kept",
        ramp,
        "capture ramp.raw --sample-type u16le --level 2000 --post 1000000000000sa --out x",
        "a record of 1100000000000 samples is too long; --pre and --post may be 4000000 \
             samples together",
    ),
    case(
        "an option in place of a value",
        ramp,
        "scan ramp.raw --sample-type u16le --level --hysteresis 5",
        "--level has no value: --hysteresis follows; give it one, or leave it out",
    ),
    case(
        "a baud rate that is no number",
        ramp,
        "scan ramp.raw --sample-type u16le --rate 1MS/s --on uart --level 2000 --baud nan",
        "--baud NaN is not a number above zero; give the bits a second of the line, such as \
             --baud 9600",
    ),
    case(
        "a holdoff of months",
        ramp,
        "scan ramp.raw --sample-type u16le --rate 1MS/s --level 2000 --holdoff 2Ms",
        "invalid value '2Ms' for '--holdoff <TIME>': \"2Ms\" is not a time such as 2ms, 10us or 100sa (samples): for milliseconds write ms, \
             for millions of samples Msa",
    ),
    case(
        "records for the standard output",
        ramp,
        "capture ramp.raw --sample-type u16le --level 2000 --post 10sa --save-as npy --out -",
        "invalid value '-' for '--out <PATH>': this is no file name; for a file \
             called - write ./-",
    ),
    case(
        "a rate that no board has",
        ramp,
        "live --play ramp.raw --sample-type u16le --rate 1TS/s --headless --out x",
        "ramp.raw is played at 1.00 TS/s, which no board reaches; give --rate from 1 to 1GS/s",
    ),
    case(
        "a record of nothing",
        ramp,
        "capture ramp.raw --sample-type u16le --level 2000 --pre 0sa --post 0sa --out x",
        "--pre and --post are 0 samples together; give 1 or more",
    ),
    case(
        "a record of channel 0",
        ramp,
        "capture ramp.raw --sample-type u16le --level 2000 --record 0 --out x",
        "--record 0; count from 1",
    ),
    case(
        "a record of a channel twice",
        ramp,
        "capture ramp.raw --sample-type u16le --level 2000 --record 1,1 --out x",
        "--record names channel 1 twice; name it once",
    ),
    case(
        "a WAV of unknown rate",
        ramp,
        "capture ramp.raw --sample-type u16le --level 2000 --post 10sa --out x",
        "x-0001.wav: WAV needs a sample rate, and none is known; give --rate, or write NPY",
    ),
    case(
        "records in a folder",
        ramp,
        "capture ramp.raw --sample-type u16le --level 2000 --post 10sa --save-as npy --out out/",
        "--out \"out/\" is no name for files; give a folder and the beginning of a name, such \
             as records/pulse",
    ),
    case(
        "records without a name",
        ramp,
        "capture ramp.raw --sample-type u16le --level 2000 --post 10sa --save-as npy --out ..",
        "--out \"..\" is no name for files; give a folder and the beginning of a name, such \
             as records/pulse",
    ),
    case(
        "records whose name and format differ",
        ramp,
        "capture ramp.raw --sample-type u16le --level 2000 --save-as npy --out x.csv",
        "--out x.csv does not go with --save-as npy; leave --save-as out, or give another name",
    ),
    case(
        "fewer samples whose name and format differ",
        ramp,
        "decimate ramp.raw --sample-type u16le --by 2 --save-as npy --out x.CSV",
        "--out x.CSV does not go with --save-as npy; leave --save-as out, or give another name",
    ),
    case(
        "a picture of another kind",
        ramp,
        "view ramp.raw --sample-type u16le --level 2000 --png x.JPG",
        "invalid value 'x.JPG' for '--png <FILE>': what is written is PNG; end the name with \
             .png",
    ),
    case(
        "an option of other commands",
        ramp,
        "scan ramp.raw --sample-type u16le --level 2000 --pre=5ms",
        "stillwave scan has no --pre; leave it out (capture, view, measure, check and expect can \
             have it)",
    ),
    case(
        "no records at all",
        ramp,
        "view ramp.raw --sample-type u16le --level 2000 --limit 0",
        "invalid value '0' for '--limit <N>': 0 is not in 1..18446744073709551615",
    ),
    case(
        "records in another format",
        ramp,
        "capture ramp.raw --sample-type u16le --level 2000 --save-as flac --out x",
        "invalid value 'flac' for '--save-as <FORMAT>'\n  [possible values: wav, csv, npy, \
             sigmf]",
    ),
    case(
        "a picture of two channels",
        ramp,
        "view ramp.raw --sample-type u16le --level 2000 --channels 2 --record 1,2",
        "--record names 2 channels, a picture shows one; name one",
    ),
    case(
        "one channel over another, of one",
        ramp,
        "view ramp.raw --sample-type u16le --level 2000 --xy 1",
        "--xy is of two channels; name two, such as --xy 1,2",
    ),
    case(
        "a spectrum and a mean at once",
        ramp,
        "view ramp.raw --sample-type u16le --level 2000 --spectrum --average",
        "the argument '--spectrum' cannot be used with '--average'\n\nUsage: stillwave view \
             --sample-type <TYPE> --level <LEVEL> --spectrum <FILE>",
    ),
    case(
        "a histogram of nothing known",
        ramp,
        "measure ramp.raw --sample-type u16le --level 2000 --post 10sa --histogram height",
        "--histogram: there is no quantity \"height\"; name one of minimum, maximum, \
             peak_to_peak, mean, rms, ac_rms, low, high, amplitude, period, frequency, duty, \
             positive_width, negative_width, rise_time, fall_time, cycles, thd, cycle_mean, \
             cycle_rms, shortest_period, longest_period, shortest_positive_width, \
             longest_positive_width, shortest_negative_width, longest_negative_width, \
             rise_overshoot, \
             rise_undershoot, rise_preshoot, rise_settling, rise_slew, fall_overshoot, \
             fall_undershoot, fall_preshoot, fall_settling, fall_slew, crest, form, sinad, snr",
    ),
    case(
        "no expectation",
        ramp,
        "check ramp.raw --sample-type u16le --level 2000 --post 10sa",
        "the following required arguments were not provided:\n  --expect <FILE>\n\nUsage: \
             stillwave check --expect <FILE> --sample-type <TYPE> --level <LEVEL> --post <TIME> \
             <FILE>",
    ),
    case(
        "a margin without its sign",
        ramp,
        "expect ramp.raw --sample-type u16le --level 2000 --post 10sa --margin 5",
        "invalid value '5' for '--margin <PERCENT>': \"5\" is not a part such as 20% or \
             0.5%: the % is missing",
    ),
    case(
        "a negative margin",
        ramp,
        "expect ramp.raw --sample-type u16le --level 2000 --post 10sa --margin -5%",
        "invalid value '-5%' for '--margin <PERCENT>': \"-5%\" is not a part such as 20% or \
             0.5%",
    ),
    case(
        "nothing to learn from",
        ramp,
        "expect ramp.raw --sample-type u16le --level 2000 --post 1000sa",
        "ramp.raw: there is no record to learn from: one of 1100 samples is longer than the \
             recording of 1000; give a shorter --pre or --post",
    ),
    case(
        "fewer samples by 0",
        ramp,
        "decimate ramp.raw --sample-type u16le --by 0 --out x.npy",
        "--by is 0; give 1 or more",
    ),
    case(
        "fewer samples than fit a sum",
        ramp,
        "decimate ramp.raw --sample-type u16le --by 4294967295 --out x.npy",
        "--by is 4294967295: it must be 1 or more, and small enough for the sum of so many \
             samples to fit; correct it",
    ),
    case(
        "a filter of more weights than there is memory",
        ramp,
        "decimate ramp.raw --sample-type u16le --by 4000000000 --how fir --out x.npy",
        "--how fir with --by 4000000000 takes 79472993467 weights; decimate in two steps, \
             the first with --how boxcar or cic",
    ),
    case(
        "more moving sums than there are",
        ramp,
        "decimate ramp.raw --sample-type u16le --by 5 --how cic --order 9 --out x.npy",
        "--order is 9: it must be 1 to 5; correct it",
    ),
    case(
        "fewer samples in no format",
        ramp,
        "decimate ramp.raw --sample-type u16le --by 5 --out x",
        "--out x: the name does not say what to write; end it with .wav, .csv, .npy or \
             .sigmf, or add --save-as",
    ),
    case(
        "a table of an explanation",
        ramp,
        "explain ramp.raw --sample-type u16le --level 2000 --format csv",
        "invalid value 'csv' for '--format <FORMAT>'\n  [possible values: table, json]",
    ),
    case(
        "a suggestion for channel 9",
        ramp,
        "suggest ramp.raw --sample-type u16le --channel 9",
        "ramp.raw: there is no channel 9; it has one channel",
    ),
    case(
        "a survey over what is given",
        ramp,
        "survey ramp.raw --sample-type u16le --level 5",
        "--level is what is varied; leave it out",
    ),
    case(
        "a survey of two steps",
        ramp,
        "survey ramp.raw --sample-type u16le --steps 2",
        "invalid value '2' for '--steps <N>': 2 is not in 3..=1001",
    ),
    case(
        "a survey of widths of either slope",
        ramp,
        "survey ramp.raw --sample-type u16le --over width --slope either",
        "--over width is of pulses that begin with one slope; choose --slope rising or \
             falling",
    ),
    case(
        "no board",
        ramp,
        "live",
        "the following required arguments were not provided:\n  <PORT|--play <FILE>>\n\nUsage: \
             stillwave live <PORT|--play <FILE>>",
    ),
    case(
        "a board that is not there",
        ramp,
        "live nowhere --headless",
        "nowhere: cannot be reached: No such file or directory; check the name, that the board \
             is connected, and that no other program has it",
    ),
    case(
        "a board that is a file",
        ramp,
        "live /dev/null --headless",
        "/dev/null: cannot be reached: Not a typewriter; check the name, that the board is \
             connected, and that no other program has it",
    ),
    case(
        "a board at no address",
        ramp,
        "live tcp://nowhere --headless",
        "tcp://nowhere: cannot be reached: invalid socket address; check HOST and PORT \
             (tcp://HOST:PORT), and that something listens there",
    ),
    case(
        "a board that does not answer",
        ramp,
        "live tcp://127.0.0.1:1 --headless",
        "tcp://127.0.0.1:1: cannot be reached: Connection refused (os error 111); check HOST \
             and PORT (tcp://HOST:PORT), and that something listens there",
    ),
    case(
        "a board and a recording",
        ramp,
        "live /dev/null --play ramp.raw",
        "the argument '[PORT]' cannot be used with '--play <FILE>'\n\nUsage: stillwave live \
             <PORT|--play <FILE>>",
    ),
    case(
        "a recording to play that is not there",
        ramp,
        "live --play nowhere.wav --headless",
        "nowhere.wav: cannot be opened: No such file or directory (os error 2); check the \
             name and the permissions",
    ),
    case(
        "a recording to play at unknown rate",
        ramp,
        "live --play ramp.raw --sample-type u16le --headless",
        "ramp.raw has no sample rate; add --rate",
    ),
    case(
        "a screen where there is none",
        ramp,
        "live --play ramp.raw --sample-type u16le --rate 1000",
        "live draws on a terminal, and this is none; add --headless",
    ),
    case(
        "a time to play in samples",
        ramp,
        "live --play ramp.raw --sample-type u16le --rate 1000 --headless --time 5sa",
        "--time is in samples; give seconds, such as 10s",
    ),
];
