//! Expectations with faults.

use crate::make::*;
use crate::{Case, case};

/// The rows.
pub(crate) const CASES: &[Case] = &[
    case(
        "an expectation that is not there",
        ramp,
        "check ramp.raw --sample-type u16le --rate 1000 --level 2000 --post 10sa --expect \
             e.toml",
        "e.toml: cannot be opened: No such file or directory (os error 2); check the name \
             and the permissions",
    ),
    case(
        "an expectation that is no TOML",
        |at| {
            ramp(at);
            put(at, "e.toml", "mean = \n");
        },
        "check ramp.raw --sample-type u16le --rate 1000 --level 2000 --post 10sa --expect \
             e.toml",
        "e.toml: line 1: string values must be quoted, expected literal string; correct it; \
             the format is TOML",
    ),
    case(
        "an expectation of nothing known",
        |at| {
            ramp(at);
            put(at, "e.toml", "height = \"5V\"\n");
        },
        "check ramp.raw --sample-type u16le --rate 1000 --level 2000 --post 10sa --expect \
             e.toml",
        "e.toml: line 1: there is no quantity \"height\"; name one of minimum, maximum, \
             peak_to_peak, mean, rms, ac_rms, low, high, amplitude, period, frequency, duty, \
             positive_width, negative_width, rise_time, fall_time, cycles, thd, cycle_mean, \
             cycle_rms, shortest_period, longest_period, shortest_positive_width, \
             longest_positive_width, shortest_negative_width, longest_negative_width, \
             rise_overshoot, \
             rise_undershoot, rise_preshoot, rise_settling, rise_slew, fall_overshoot, \
             fall_undershoot, fall_preshoot, fall_settling, fall_slew, crest, form, sinad, snr, \
             or write [mask] or [events]",
    ),
    case(
        "an expectation of nothing",
        |at| {
            ramp(at);
            put(at, "e.toml", "");
        },
        "check ramp.raw --sample-type u16le --rate 1000 --level 2000 --post 10sa --expect \
             e.toml",
        "e.toml: nothing is expected here; state something such as frequency = \"49 Hz..51 \
             Hz\"",
    ),
    case(
        "an expectation without a unit",
        |at| {
            ramp(at);
            put(at, "e.toml", "mean = 5\n");
        },
        "check ramp.raw --sample-type u16le --rate 1000 --level 2000 --post 10sa --expect \
             e.toml",
        "e.toml: line 1: 5 is not a limit such as \"1 V..2 V\", { nominal = \"1 V\", \
             tolerance = \"5 %\" } or { at_most = \"2 V\" }; correct it",
    ),
    case(
        "an expectation in another unit",
        |at| {
            ramp(at);
            put(at, "e.toml", "mean = \"5 s..6 s\"\n");
        },
        "check ramp.raw --sample-type u16le --rate 1000 --level 2000 --post 10sa --expect \
             e.toml",
        "e.toml: line 1: \"5 s\" is not a level such as 1.65V, 50mV or 2048 (counts); \
             correct it",
    ),
    case(
        "an expectation upside down",
        |at| {
            ramp(at);
            put(at, "e.toml", "mean = \"6..5\"\n");
        },
        "check ramp.raw --sample-type u16le --rate 1000 --level 2000 --post 10sa --expect \
             e.toml",
        "e.toml: line 1: this limit lets nothing through; put the lower value first",
    ),
    case(
        "an expectation with a negative tolerance",
        |at| {
            ramp(at);
            put(at, "e.toml", "mean = { nominal = \"5\", tolerance = \"-1 %\" }\n");
        },
        "check ramp.raw --sample-type u16le --rate 1000 --level 2000 --post 10sa --expect \
             e.toml",
        "e.toml: line 1: the tolerance -1 % is below zero; give 0 or more",
    ),
    case(
        "an expectation with another key",
        |at| {
            ramp(at);
            put(at, "e.toml", "mean = { about = \"5\" }\n");
        },
        "check ramp.raw --sample-type u16le --rate 1000 --level 2000 --post 10sa --expect \
             e.toml",
        "e.toml: line 1: \"about\" has no meaning here; write nominal with tolerance, \
             at_least or at_most",
    ),
    case(
        "a mask of one corner",
        |at| {
            ramp(at);
            put(at, "e.toml", "[mask]\nupper = [[\"1 ms\", \"5\"]]\n");
        },
        "check ramp.raw --sample-type u16le --rate 1000 --level 2000 --post 10sa --expect \
             e.toml",
        "e.toml: line 2: a bound has two corners at least; add one",
    ),
    case(
        "a mask that goes back in time",
        |at| {
            ramp(at);
            put(at, "e.toml", "[mask]\nupper = [[\"1 ms\", \"5\"], [\"0 ms\", \"5\"]]\n");
        },
        "check ramp.raw --sample-type u16le --rate 1000 --level 2000 --post 10sa --expect \
             e.toml",
        "e.toml: line 2: \"0 ms\" is earlier than the corner before it; put corners in \
             order of time",
    ),
    case(
        "a mask with a corner of three",
        |at| {
            ramp(at);
            put(at, "e.toml", "[mask]\nupper = [[\"1 ms\", \"5\", \"6\"]]\n");
        },
        "check ramp.raw --sample-type u16le --rate 1000 --level 2000 --post 10sa --expect \
             e.toml",
        "e.toml: line 2: [\"1 ms\", \"5\", \"6\"] is not a corner such as [\"1 ms\", \"0.5 \
             V\"]; correct it",
    ),
    case(
        "an expectation that nests 100000 deep",
        |at| {
            ramp(at);
            put(at, "e.toml", format!("a = {}", "[".repeat(100_000)));
        },
        "check ramp.raw --sample-type u16le --rate 1000 --level 2000 --post 10sa --expect \
             e.toml",
        "e.toml: line 1: cannot recurse further; max recursion depth met; correct it; the \
             format is TOML",
    ),
    case(
        "an expectation of 400 KiB",
        |at| {
            ramp(at);
            put(at, "e.toml", format!("a = [{}]", "[],".repeat(130_000)));
        },
        "check ramp.raw --sample-type u16le --rate 1000 --level 2000 --post 10sa --expect \
             e.toml",
        "e.toml: line 1: there is no quantity \"a\"; name one of minimum, maximum, \
             peak_to_peak, mean, rms, ac_rms, low, high, amplitude, period, frequency, duty, \
             positive_width, negative_width, rise_time, fall_time, cycles, thd, cycle_mean, \
             cycle_rms, shortest_period, longest_period, shortest_positive_width, \
             longest_positive_width, shortest_negative_width, longest_negative_width, \
             rise_overshoot, \
             rise_undershoot, rise_preshoot, rise_settling, rise_slew, fall_overshoot, \
             fall_undershoot, fall_preshoot, fall_settling, fall_slew, crest, form, sinad, snr, \
             or write [mask] or [events]",
    ),
    case(
        "an expectation that is no UTF-8",
        |at| {
            ramp(at);
            put(at, "e.toml", b"# \xff\n");
        },
        "check ramp.raw --sample-type u16le --rate 1000 --level 2000 --post 10sa --expect \
             e.toml",
        "e.toml: byte 2: this is no text in UTF-8; name an expectation, as stillwave expect \
             drafts one",
    ),
    case(
        "an expectation without an end",
        ramp,
        "check ramp.raw --sample-type u16le --rate 1000 --level 2000 --post 10sa --expect \
             /dev/zero",
        "/dev/zero: it is larger than 512 KiB; name an expectation, as stillwave expect \
             drafts one",
    ),
    case(
        "an expectation of two channels",
        |at| {
            ramp(at);
            put(at, "e.toml", "mean = \"1..2\"\n");
        },
        "check ramp.raw --sample-type u16le --channels 2 --record 1,2 --rate 1000 --level \
             2000 --post 10sa --expect e.toml",
        "--record names 2 channels, an expectation is of one; name one",
    ),
];
