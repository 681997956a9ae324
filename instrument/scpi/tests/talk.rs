//! What is said, and what is answered. Standards are cited from memory.

use proptest::prelude::*;
use stillwave_scpi::Session;

mod instrument;
use instrument::{OnBench, RATE};

/// Samples in the longest record.
const LONGEST: usize = 40_002;
/// After so many ms nothing more comes.
const END: u64 = 20_000;

/// 1 kHz, 2 V to either side of 1 V, on the converter of the wiring diagram.
fn sine(n: u64) -> u16 {
    let phase = n as f64 * 1_000.0 / f64::from(RATE) * std::f64::consts::TAU;
    volts(1.0 + 2.0 * phase.sin())
}

fn volts(volts: f64) -> u16 {
    (2_065.21 + 93.873 * volts).round() as u16
}

/// A talk from its beginning.
struct Talk {
    session: Session,
    instrument: OnBench<'static>,
}

impl Talk {
    fn new(signal: fn(u64) -> u16) -> Self {
        Self::at(RATE, signal)
    }

    /// With so many samples a second.
    fn at(rate: u32, signal: fn(u64) -> u16) -> Self {
        let memory = || Box::leak(vec![0; LONGEST].into_boxed_slice());
        let instrument = OnBench::new(rate, [memory(), memory()], signal, END);
        Self { session: Session::default(), instrument }
    }

    fn bytes(&mut self, message: &[u8]) -> Vec<u8> {
        let mut out = Vec::new();
        self.session.take(&mut self.instrument, message, &mut out);
        out
    }

    /// A message's answer, without its newline; empty where there is none.
    fn ask(&mut self, message: &str) -> String {
        let answer = String::from_utf8(self.bytes(format!("{message}\n").as_bytes())).unwrap();
        let Some(line) = answer.strip_suffix('\n') else {
            assert!(answer.is_empty(), "{message}: {answer:?}");
            return answer;
        };
        assert!(!line.contains('\n'), "{message}: {answer:?}");
        line.to_owned()
    }

    fn number(&mut self, message: &str) -> f64 {
        let answer = self.ask(message);
        answer.parse().unwrap_or_else(|_| panic!("{message}: {answer:?}"))
    }

    /// A message without an answer, and the error that it makes.
    fn error(&mut self, message: &str) -> String {
        assert_eq!(self.ask(message), "", "{message}");
        let error = self.ask("SYST:ERR?");
        assert_eq!(self.ask("SYST:ERR?"), "0,\"No error\"", "{message}");
        error
    }
}

#[test]
fn settings_are_set_and_told() {
    let mut talk = Talk::new(sine);
    for (message, answer) in [
        ("*IDN?", concat!("Stillwave,Bench instrument,0,", env!("CARGO_PKG_VERSION"))),
        ("SYST:VERS?", "1999.0"),
        ("*TST?", "0"),
        ("TRIG:LEV?", "0"),
        ("TRIG:LEV 1.65;LEV?", "1.65"),
        ("trigger:sequence:level 250 mV;:TRIG:LEV?", "0.25"),
        ("TRIG:SEQ:LEV -2e-1 V;LEV?;LEV? MIN;LEV? maximum;LEV? DEF", "-0.2;-22;21.622;0"),
        ("TRIG:LEV MAX;LEV?;LEV DEFAULT;LEV?", "21.622;0"),
        ("TRIGger:HYSTeresis 20mV;HYST?", "0.02"),
        ("TRIG:HOLD 1.5ms;HOLD?;HOLD 250 us;HOLD?;HOLD 2;HOLD?", "0.0015;0.00025;2"),
        ("TRIG:SLOP?;SLOP NEG;SLOP?;SLOPE EITHER;SLOP?;SLOP positive;SLOP?", "POS;NEG;EITH;POS"),
        ("SWE:TIME?;:SENS:SWE:POIN?;:SENSE:SWEEP:OREF:POINTS?", "0.008;4002;1001"),
        ("SWE:TIME 1 ms;TIME?;TIME? MIN;TIME? MAX;POIN?", "0.001;0.00008;0.08;502"),
        ("SWE:TINT?", "2.00000000E-06"),
        (
            "FORM?;FORM REAL;FORM?;FORM:DATA ASC;DATA?;BORD?;BORD SWAP;BORD?",
            "UINT,16;REAL,32;ASC,0;NORM;SWAP",
        ),
        // What it answers, and a length that is left to it.
        (
            "FORM REAL,32;FORM?;FORMAT:DATA UINT, 16;DATA?;:FORM ASC,0;FORM?",
            "REAL,32;UINT,16;ASC,0",
        ),
        ("FORM REAL,0;FORM?", "REAL,32"),
        ("*RST;FORM?;FORM:BORD?;:INIT:CONT?;:TRIG:SOUR?;HYST?", "UINT,16;NORM;0;INT;0.2"),
        ("INIT:CONT ON;CONT?;:TRIG:SOUR?;SOUR IMM;SOUR?;:INIT:CONT OFF;CONT?", "1;INT;IMM;0"),
        ("SYST:ERR:COUN?;:SYST:ERR?", "0;0,\"No error\""),
    ] {
        assert_eq!(talk.ask(message), answer, "{message}");
    }
}

#[test]
fn errors_have_the_standards_numbers() {
    let mut talk = Talk::new(sine);
    for (message, error) in [
        ("VOLT:RANG 5", "-113,\"Undefined header\""),
        (":*IDN?", "-113,\"Undefined header\""),
        ("MEAS?", "-113,\"Undefined header\""),
        ("MEASU:FREQ?", "-113,\"Undefined header\""),
        ("*XYZ?", "-113,\"Undefined header\""),
        ("TRIG:LEV", "-109,\"Missing parameter\""),
        ("TRIG:LEV 1,2", "-108,\"Parameter not allowed\""),
        ("FORM:BORD NORM,1", "-108,\"Parameter not allowed\""),
        // A limit where there is none.
        ("TRIG:SLOP? MAX", "-108,\"Parameter not allowed\""),
        ("FETC:RISE:TIME? MAX", "-108,\"Parameter not allowed\""),
        ("FOO? MAX", "-113,\"Undefined header\""),
        ("TRIG:LEV 22", "-222,\"Data out of range\""),
        ("TRIG:LEV 1e400", "-222,\"Data out of range\""),
        ("TRIG:HOLD -1us", "-222,\"Data out of range\""),
        ("TRIG:LEV 1 s", "-131,\"Invalid suffix\""),
        ("*ESE 1 V", "-138,\"Suffix not allowed\""),
        ("*ESE 256", "-222,\"Data out of range\""),
        // Signed numbers, which a converter's codes are not.
        ("FORM REAL,64", "-224,\"Illegal parameter value\""),
        ("FORM REAL,all", "-224,\"Illegal parameter value\""),
        ("FORM REAL,32,1", "-108,\"Parameter not allowed\""),
        ("FORM INT", "-224,\"Illegal parameter value\""),
        ("TRIG:SLOP UP", "-224,\"Illegal parameter value\""),
        ("TRIG:SLOP 1", "-104,\"Data type error\""),
        ("TRIG:LEV 'high'", "-158,\"String data not allowed\""),
        ("TRIG:LEV #15hello", "-168,\"Block data not allowed\""),
        ("TRIG:LEV #19hello", "-168,\"Block data not allowed\""),
        ("TRIG:LEV \u{e9}", "-101,\"Invalid character\""),
        ("*RST;:TRIG:SOUR IMM", "-221,\"Settings conflict\""),
        ("*RST;:FETC?", "-230,\"Data corrupt or stale\""),
        ("INIT:CONT ON;:INIT", "-213,\"Init ignored\""),
    ] {
        assert_eq!(talk.error(message), error, "{message}");
    }
    let long = format!("TRIG:LEV {}1", " ".repeat(300));
    assert_eq!(talk.error(&long), "-363,\"Input buffer overrun\"");
    // What comes after an error in the same message is done.
    assert_eq!(talk.ask("TRIG:LEV 200;SLOP NEG;SLOP?"), "NEG");
    assert_eq!(talk.ask("SYST:ERR?"), "-222,\"Data out of range\"");
    // What is refused is not done.
    assert_eq!(talk.ask("*CLS;FOO;*ESR? DEF"), "");
    assert_eq!(talk.ask("*ESR?"), "32");
}

#[test]
fn registers_are_as_ieee_488_2_has_them() {
    let mut talk = Talk::new(sine);
    assert_eq!(talk.ask("*ESR?;*STB?"), "0;16");
    talk.ask("*CLS;FOO;TRIG:LEV 200");
    // A command error and an execution error; the queue is not empty.
    assert_eq!(talk.ask("*STB?"), "4");
    assert_eq!(talk.ask("*ESE 48;*STB?;*SRE 36;*STB?;*ESE?;*SRE?"), "36;116;48;36");
    assert_eq!(talk.ask("*ESR?;*ESR?;*STB?"), "48;0;84");
    talk.ask("*CLS");
    assert_eq!(talk.ask("*STB?"), "0");
    assert_eq!(talk.ask("*ESE?;*SRE #HFF;*SRE?;*SRE #Q17;*SRE?;*SRE #B101;*SRE?"), "48;191;15;5");
    // The queue holds sixteen; the last says that there were more.
    for _ in 0..30 {
        talk.ask("FOO");
    }
    assert_eq!(talk.ask("SYST:ERR:COUN?"), "16");
    for _ in 0..15 {
        assert_eq!(talk.ask("SYST:ERR?"), "-113,\"Undefined header\"");
    }
    assert_eq!(talk.ask("SYST:ERR?;ERR?"), "-350,\"Queue overflow\";0,\"No error\"");
    assert_eq!(talk.ask("*ESR?"), "40");
    // Waiting for a trigger, and from when.
    talk.ask("*RST;:STAT:OPER:ENAB 32");
    assert_eq!(talk.ask("STAT:OPER:COND?"), "0");
    assert_eq!(talk.ask("STAT:OPER?;:INIT;:STAT:OPER:COND?;*STB?"), "0;32;144");
    assert_eq!(talk.ask("*OPC?;*OPC;*ESR?;:STAT:PRES;OPER:ENAB?;COND?"), "1;1;0;0");
}

#[test]
fn a_single_record_is_waited_for_and_fetched() {
    let mut talk = Talk::new(sine);
    talk.ask("*RST;:TRIG:LEV 1;:SWE:TIME 2ms;:INIT;*OPC");
    assert_eq!(talk.ask("*ESR?"), "0");
    assert_eq!(talk.ask("*OPC?;*ESR?"), "1;1");
    let points = talk.number("SWE:POIN?") as usize;
    let before = talk.number("SWE:OREF:POIN?") as usize;
    let answer = talk.bytes(b"FETC?\n");
    let head = format!("#4{}", 2 * points);
    assert!(answer.starts_with(head.as_bytes()) && answer.ends_with(b"\n"));
    let block = &answer[head.len()..answer.len() - 1];
    let codes: Vec<u16> =
        block.as_chunks::<2>().0.iter().map(|&bytes| u16::from_be_bytes(bytes)).collect();
    assert_eq!(codes.len(), points);
    let level = volts(1.0);
    assert!(codes[before] >= level && codes[before - 1] < level);
    // It is the signal, from somewhere on.
    let period: Vec<u16> = (0..500).map(sine).collect();
    let phase = (0..500).find(|&at| (0..points).all(|i| codes[i] == period[(at + i) % 500]));
    assert!(phase.is_some());

    // The same in the other order, in volts, and in digits.
    let swapped = talk.bytes(b"FORM:BORD SWAP;:FETC?\n");
    assert_eq!(swapped[head.len()..][..2], codes[0].to_le_bytes());
    let real = talk.bytes(b"FORM:BORD NORM;DATA REAL;:FETC?\n");
    let first = f32::from_be_bytes(real[6..10].try_into().unwrap());
    assert!((first - (f32::from(codes[0]) - 2_065.21) / 93.873).abs() < 1e-4);
    let digits = talk.ask("FORM ASC;:FETC?");
    assert_eq!(digits.split(',').count(), points);
    assert!((digits.split(',').next().unwrap().parse::<f32>().unwrap() - first).abs() < 1e-6);

    // A changed set-up has no record yet.
    assert_eq!(talk.error("TRIG:LEV 0.5;:FETC?"), "-230,\"Data corrupt or stale\"");
}

#[test]
fn what_is_reset_is_the_default() {
    let mut talk = Talk::new(sine);
    // No level of 0 V.
    talk.instrument.front.scale.zero = -1_000.0;
    assert_eq!(talk.ask("*RST;:TRIG:LEV?;LEV? DEF;LEV? MIN"), "10.653;10.653;10.653");
    assert_eq!(talk.ask("SYST:ERR?"), "0,\"No error\"");
}

#[test]
fn it_is_idle_once_it_does_not_go_on() {
    let mut talk = Talk::new(sine);
    talk.ask("TRIG:LEV 1;:INIT:CONT ON");
    assert_eq!(talk.ask("INIT:CONT OFF;:STAT:OPER:COND?;:INIT;:STAT:OPER:COND?"), "0;32");
    assert_eq!(talk.ask("*OPC?;:SYST:ERR?"), "1;0,\"No error\"");
}

#[test]
fn what_is_measured_anew_came_after_it_was_asked_for() {
    // One step, of which no record is complete when the first patience ends.
    const STEP: u64 = 753_000;
    let mut talk = Talk::new(|n| volts(if n < STEP { 0.0 } else { 2.0 }));
    talk.ask("*RST;:TRIG:LEV 1;:INIT:CONT ON");
    for _ in 0..2 {
        assert_eq!(talk.error("MEAS:VOLT:AMPL?"), "-365,\"Time out error\"");
    }
}

#[test]
fn a_long_sweep_is_waited_for() {
    // 5 kS/s, and a period of 100 ms.
    let mut talk = Talk::at(5_000, |n| volts(if n % 500 < 250 { 0.0 } else { 2.0 }));
    talk.ask("TRIG:LEV 1;:INIT:CONT ON;:SWE:TIME MAX");
    assert!(talk.number("SWE:TIME?") > 2.0);
    assert!((talk.number("MEAS:FREQ?") - 10.0).abs() < 0.01);
}

#[test]
fn what_has_gone_does_nothing() {
    let mut talk = Talk::new(sine);
    assert!(talk.number("TRIG:LEV 1.5;:MEAS:VOLT?;:INIT:CONT OFF;:ABOR") > 0.9);
    talk.instrument.gone = true;
    let missing = "-241,\"Hardware missing\"";
    for message in
        ["TRIG:LEV 2", "TRIG:SLOP NEG", "SWE:TIME 2ms", "*RST", "INIT", "ABOR", "INIT:CONT ON"]
    {
        assert_eq!(talk.error(message), missing, "{message}");
    }
    assert_eq!(talk.error("MEAS:FREQ?"), missing);
    assert_eq!(talk.ask("TRIG:LEV?;:SYST:ERR:COUN?"), "1.5;0");
}

#[test]
fn measurements_are_those_of_the_signal() {
    let mut talk = Talk::new(sine);
    talk.ask("*RST;:TRIG:LEV 1 V;:SWE:TIME 10 ms");
    let mut near = |message: &str, wanted: f64, error: f64| {
        let found = talk.number(message);
        assert!((found - wanted).abs() <= error, "{message}: {found}, not {wanted}");
    };
    near("MEAS:FREQ?", 1_000.0, 0.05);
    near("MEASure:VOLTage:FREQuency?", 1_000.0, 0.05);
    near("FETC:PER?", 1e-3, 1e-7);
    near("READ:VOLT?", 1.0, 0.01);
    near("MEAS:VOLT:DC?", 1.0, 0.01);
    near("FETCH:VOLTAGE:AC?", 2.0_f64.sqrt(), 0.01);
    near("FETC:VOLT:PTP?", 4.0, 0.022);
    near("FETC:VOLT:MAX?", 3.0, 0.011);
    near("FETC:VOLT:MIN?", -1.0, 0.011);
    near("FETC:DCYC?", 50.0, 0.2);
    near("FETC:PWID?", 5e-4, 2e-6);
    near("FETC:NWID?", 5e-4, 2e-6);
    // From 10 to 90 % of a sine that is taken from peak to peak: asin 0.8 / π of its period.
    near("FETC:RISE:TIME?", 0.8_f64.asin() / std::f64::consts::PI * 1e-3, 6e-6);
    near("FETC:FALL:TIME?", 0.8_f64.asin() / std::f64::consts::PI * 1e-3, 6e-6);
    assert_eq!(talk.ask("STAT:QUES:COND?;:SYST:ERR?"), "0;0,\"No error\"");
    let peaks = "\"does not rest: high and low are its peaks\"";
    assert_eq!(talk.ask("FETC:QUES?"), peaks);
}

#[test]
fn what_is_doubtful_is_said() {
    // Three levels, the outer ones alike.
    let mut talk = Talk::new(|n| volts([0.0, 1.0, 0.0, -1.0][(n / 100 % 4) as usize]));
    talk.ask("*RST;:TRIG:LEV 0.5;:SWE:TIME 10ms");
    assert!((talk.number("MEAS:VOLT:AMPL?") - 2.0).abs() < 0.05);
    assert_eq!(talk.ask("STAT:QUES:COND?"), "1");
    let said = talk.ask("FETC:QUES?");
    let level: f64 =
        said.trim_matches(|c| "\" V".contains(c)).rsplit(' ').next().unwrap().parse().unwrap();
    assert!(said.starts_with("\"rests at a third level, about ") && level.abs() < 0.01, "{said}");
    assert!(said.ends_with(" V\""), "{said}");
}

#[test]
fn what_is_not_there_is_said() {
    // No event ever comes: less than two seconds are waited.
    let mut talk = Talk::new(|_| volts(0.0));
    assert_eq!(talk.error("*RST;:TRIG:LEV 1;:MEAS:FREQ?"), "-365,\"Time out error\"");
    // A record without a cycle: SCPI's number for none.
    assert_eq!(talk.ask("INIT:CONT ON;:TRIG:SOUR IMM;:MEAS:FREQ?"), "9.91000000E+37");
    // At the converter's end: the voltage is questionable.
    let mut talk = Talk::new(|n| if n % 500 < 250 { 4_095 } else { 2_000 });
    assert!((talk.number("*RST;:TRIG:LEV 5;:MEAS:FREQ?") - 1_000.0).abs() < 0.1);
    assert_eq!(talk.ask("STAT:QUES?;QUES?;QUES:COND?"), "1;0;1");
    assert_eq!(talk.ask("FETC:QUES?"), "\"at the converter's end code: may be beyond\"");
}

/// Pieces of messages, in any order.
const PIECES: [&str; 44] = [
    "*",
    ":",
    ";",
    "?",
    " ",
    ",",
    "\n",
    "\r\n",
    "#",
    "#15",
    "#H1F",
    "'",
    "\"",
    "1",
    "-2.5",
    "1e9",
    "mV",
    "us",
    "s",
    "V",
    "MIN",
    "MAX",
    "ON",
    "OFF",
    "TRIG",
    "TRIGger",
    "LEV",
    "SLOP",
    "POS",
    "HOLD",
    "HYST",
    "INIT",
    "CONT",
    "ABOR",
    "MEAS",
    "FREQ",
    "FETC",
    "*RST",
    "*CLS",
    "SYST:ERR?",
    "FORM",
    "ASC",
    "SWE:TIME",
    "é",
];

proptest! {
    #![proptest_config(ProptestConfig { cases: 500, ..ProptestConfig::default() })]

    #[test]
    fn no_bytes_make_it_stumble(
        mut bytes in proptest::collection::vec(any::<u8>(), 0..400),
        pieces in proptest::collection::vec(proptest::sample::select(&PIECES[..]), 0..60),
        cut in 0_usize..400,
    ) {
        let mut talk = Talk::new(sine);
        bytes.splice(cut.min(bytes.len()).., pieces.concat().bytes());
        talk.bytes(&bytes);
        // It listens as before.
        talk.bytes(b"\n*CLS\n");
        prop_assert_eq!(talk.ask("TRIG:LEV 1.25;LEV?;:SYST:ERR?"), "1.25;0,\"No error\"");
    }

    #[test]
    fn cuts_make_no_difference(
        pieces in proptest::collection::vec(proptest::sample::select(&PIECES[..]), 0..60),
        cut in 0_usize..200,
    ) {
        let message = pieces.concat() + "\n*ESR?;:SYST:ERR:COUN?;:TRIG:LEV?\n";
        let whole = Talk::new(sine).bytes(message.as_bytes());
        let (first, second) = message.as_bytes().split_at(cut.min(message.len()));
        let mut talk = Talk::new(sine);
        let mut parts = talk.bytes(first);
        parts.extend(talk.bytes(second));
        prop_assert_eq!(whole, parts);
    }
}
