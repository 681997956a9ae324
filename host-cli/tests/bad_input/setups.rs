//! Setup files with faults.

use crate::make::*;
use crate::{Case, case};

/// The rows.
pub(crate) const CASES: &[Case] = &[
    case(
        "a setup that is not there",
        ramp,
        "scan ramp.raw --sample-type u16le --setup nowhere.toml",
        "nowhere.toml: cannot be opened: No such file or directory (os error 2); check the \
             name and the permissions",
    ),
    case(
        "a setup that is no TOML",
        |at| {
            ramp(at);
            put(at, "s.toml", "[trigger\n");
        },
        "scan ramp.raw --sample-type u16le --level 2000 --setup s.toml",
        "s.toml: line 1: unclosed table, expected `]`; write it as TOML: key = \"value\"",
    ),
    case(
        "a setup with another table",
        |at| {
            ramp(at);
            put(at, "s.toml", "[trigger]\nlevel = 5\n[oscillator]\n");
        },
        "scan ramp.raw --sample-type u16le --level 2000 --setup s.toml",
        "s.toml: line 3: there is no \"oscillator\" in a setup file; its tables are \
             [scale], [trigger] and [record]",
    ),
    case(
        "a setup with another key",
        |at| {
            ramp(at);
            put(at, "s.toml", "[trigger]\n\nlevle = 5\n");
        },
        "scan ramp.raw --sample-type u16le --level 2000 --setup s.toml",
        "s.toml: line 3: [trigger] has no key \"levle\"; did you mean level?",
    ),
    case(
        "a setup with a key twice",
        |at| {
            ramp(at);
            put(at, "s.toml", "[trigger]\nlevel = 5\nlevel = 6\n");
        },
        "scan ramp.raw --sample-type u16le --level 2000 --setup s.toml",
        "s.toml: line 3: duplicate key; write it as TOML: key = \"value\"",
    ),
    case(
        "a setup with a key of the recording",
        |at| {
            ramp(at);
            put(at, "s.toml", "[trigger]\nrate = 5\n");
        },
        "scan ramp.raw --sample-type u16le --level 2000 --setup s.toml",
        "s.toml: line 2: [trigger] has no key \"rate\"; its keys are the options of that \
             group, as the help has them",
    ),
    case(
        "a setup with a value that is none",
        |at| {
            ramp(at);
            put(at, "s.toml", "[trigger]\nlevel = \"high\"\n");
        },
        "scan ramp.raw --sample-type u16le  --setup s.toml",
        "s.toml: line 2: invalid value 'high' for '--level <LEVEL>': \"high\" is not a \
             level such as 1.65V, 50mV or 2048 (counts); correct it",
    ),
    case(
        "a setup with a date",
        |at| {
            ramp(at);
            put(at, "s.toml", "[trigger]\nlevel = 2020-01-01\n");
        },
        "scan ramp.raw --sample-type u16le  --setup s.toml",
        "s.toml: line 2: level has no such value; write a number, or words in quotation marks",
    ),
    case(
        "a setup with a value out of range",
        |at| {
            ramp(at);
            put(at, "s.toml", "[trigger]\nhysteresis = -1\n");
        },
        "scan ramp.raw --sample-type u16le --level 2000 --setup s.toml",
        "s.toml: line 2: --hysteresis is -1: it must be 0 or more; correct it",
    ),
    case(
        "a setup with a reference voltage that is none",
        |at| {
            ramp(at);
            put(at, "s.toml", "[scale]\nbits = 12\nvref = \"0V\"\n[trigger]\nlevel = 5\n");
        },
        "scan ramp.raw --sample-type u16le --setup s.toml",
        "s.toml: line 3: --vref is 0: it must be over 0 V; correct it",
    ),
    case(
        "a setup with a record of no length",
        |at| {
            ramp(at);
            put(at, "s.toml", "[record]\npre = \"0sa\"\npost = \"0sa\"\n");
        },
        "capture ramp.raw --sample-type u16le --level 5 --out x --setup s.toml",
        "s.toml: line 2: --pre and --post are 0 samples together; give 1 or more",
    ),
    case(
        "a setup that contradicts itself",
        |at| {
            ramp(at);
            put(at, "s.toml", "[trigger]\nholdoff = \"5sa\"\nevery = 2\n");
        },
        "scan ramp.raw --sample-type u16le --level 2000 --setup s.toml",
        "s.toml: line 2: the argument '--holdoff <TIME>' cannot be used with '--every <N>'; \
             correct it",
    ),
    case(
        "a setup of bits without volts",
        |at| {
            ramp(at);
            put(at, "s.toml", "[scale]\nbits = 12\n");
        },
        "scan ramp.raw --sample-type u16le --level 2000 --setup s.toml",
        "s.toml: line 2: the following required arguments were not provided: --vref \
             <VOLTAGE>; correct it",
    ),
    case(
        "a setup whose trigger is a number",
        |at| {
            ramp(at);
            put(at, "s.toml", "trigger = 5\n");
        },
        "scan ramp.raw --sample-type u16le --level 2000 --setup s.toml",
        "s.toml: line 1: \"trigger\" is not a table; write [trigger] on a line of its own",
    ),
    case(
        "a setup that nests 100000 deep",
        |at| {
            ramp(at);
            put(at, "s.toml", format!("a = {}", "[".repeat(100_000)));
        },
        "scan ramp.raw --sample-type u16le --level 2000 --setup s.toml",
        "s.toml: line 1: cannot recurse further; max recursion depth met; write it as TOML: \
             key = \"value\"",
    ),
    case(
        "a setup of a megabyte",
        |at| {
            ramp(at);
            put(at, "s.toml", "#".repeat(1 << 20));
        },
        "scan ramp.raw --sample-type u16le --level 2000 --setup s.toml",
        "s.toml: it is larger than 512 KiB; name a setup file, as --save-setup writes it",
    ),
    case(
        "a setup that is no UTF-8",
        |at| {
            ramp(at);
            put(at, "s.toml", b"[trigger]\nlevel = \"\xff\"\n");
        },
        "scan ramp.raw --sample-type u16le --level 2000 --setup s.toml",
        "s.toml: byte 19: this is no text in UTF-8; name a setup file, as --save-setup \
             writes it",
    ),
    case(
        "a setup without an end",
        ramp,
        "scan ramp.raw --sample-type u16le --level 1 --setup /dev/zero",
        "/dev/zero: it is larger than 512 KiB; name a setup file, as --save-setup writes it",
    ),
    case(
        "a setup that is a folder",
        |at| {
            ramp(at);
            std::fs::create_dir(at.join("s.toml")).unwrap();
        },
        "scan ramp.raw --sample-type u16le --level 1 --setup s.toml",
        "s.toml: cannot be opened: Is a directory (os error 21); check the name and the \
             permissions",
    ),
    case(
        "a setup whose name is no UTF-8",
        ramp,
        "scan ramp.raw --sample-type u16le --level 1 --setup ¤.toml",
        "�.toml: cannot be opened: No such file or directory (os error 2); check the name \
             and the permissions",
    ),
    case(
        "a setup that may not be read",
        |at| {
            ramp(at);
            put(at, "s.toml", "");
            open_to_all(at);
        },
        "scan ramp.raw --sample-type u16le --level 1 --setup s.toml",
        "s.toml: cannot be opened: Permission denied (os error 13); check the name and the \
             permissions",
    )
    .before(UNREADABLE),
];
