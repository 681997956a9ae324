//! Events far into a stream: positions are whole numbers to the last digit, times are exact to what
//! is shown of them.

use serde_json::Value;
use stillwave::{Event, EventKind, Instant, Slope};
use stillwave_cli::args::ReportFormat;
use stillwave_cli::calibration::Calibration;
use stillwave_cli::report::EventReport;

const RATES: [f64; 5] = [1.0, 44_100.0, 500e3, 1e6, 125e6];

fn written(format: ReportFormat, at: Instant, rate: f64) -> String {
    let calibration = Calibration {
        scale: None,
        is_counted: true,
        rate: Some(rate),
        start_time: 0.0,
        codes: None,
        origin: 0.0,
    };
    let mut report = EventReport::new(Vec::new(), format, calibration);
    report.write(&Event { at, kind: EventKind::Edge { slope: Slope::Rising } }).unwrap();
    String::from_utf8(report.into_inner()).unwrap()
}

/// Leads and positions up to 2^37 samples: more than three days at 500 kS/s.
fn reachable() -> impl Iterator<Item = Instant> {
    let positions = [1, 1 << 20, (1 << 32) - 1, 1 << 32, (1 << 32) + 1, 43_200_000_000, 1 << 37];
    let leads = [0, 1, 0x7fff, 0x8001, 0xffff];
    positions.into_iter().flat_map(move |position| leads.map(|lead| Instant { position, lead }))
}

/// How far a decimal number in text is from `parts` / 65536 / `rate`, in samples.
fn off(text: &str, at: Instant, rate: f64) -> f64 {
    let (whole, fraction) = text.split_once('.').unwrap_or((text, ""));
    let digits = fraction.len() as u32;
    let shown: i128 = format!("{whole}{fraction}").parse().unwrap();
    let exact = i128::from(at.position) * 65536 - i128::from(at.lead);
    // Both times 65536 · 10^digits · the rate, which is a whole number.
    let apart = shown * 65536 * rate as i128 - exact * 10_i128.pow(digits);
    apart as f64 / 65536.0 / 10_f64.powi(digits as i32)
}

#[test]
fn times_are_shown_to_a_hundredth_of_a_sample() {
    for (at, rate) in reachable().flat_map(|at| RATES.map(|rate| (at, rate))) {
        let table = written(ReportFormat::Table, at, rate);
        let row: Vec<_> = table.lines().nth(1).unwrap().split_whitespace().collect();
        let time = off(row[2], at, rate);
        assert!(time.abs() <= 0.0051, "{at:?} at {rate} S/s: {table} is off by {time}");
        let crossing = off(row[1], at, 1.0);
        assert!(crossing.abs() <= 0.00051, "{at:?}: {table} is off by {crossing}");
    }
}

#[test]
fn programs_get_all_digits() {
    for (at, rate) in reachable().flat_map(|at| RATES.map(|rate| (at, rate))) {
        let json = written(ReportFormat::Json, at, rate);
        // Numbers as they stand: not every reader of JSON takes the nearest double.
        let number = |name: &str| {
            let (_, rest) = json.split_once(&format!("\"{name}\":")).unwrap();
            rest.split([',', '}']).next().unwrap().to_owned()
        };
        assert_eq!(number("position").parse(), Ok(at.position));
        let parts = at.position as f64 * 65536.0 - f64::from(at.lead);
        assert_eq!(number("crossing").parse(), Ok(parts / 65536.0));
        // The double nearest to the quotient, which is one part in 2^53 off at most.
        assert_eq!(number("time").parse(), Ok(parts / 65536.0 / rate));
        let csv = written(ReportFormat::Csv, at, rate);
        let row: Vec<_> = csv.lines().nth(1).unwrap().split(',').collect();
        assert_eq!(row[0].parse(), Ok(at.position));
        assert_eq!(row[1].parse::<f64>().map(|crossing| crossing * 65536.0), Ok(parts));
    }
}

#[test]
fn no_position_is_rounded() {
    for position in [(1 << 53) - 1, (1 << 53) + 1, (1 << 63) + 1, u64::MAX] {
        let at = Instant { position, lead: 0 };
        let row: Value = serde_json::from_str(&written(ReportFormat::Json, at, 1e6)).unwrap();
        assert_eq!(row["position"].as_u64(), Some(position));
        let csv = written(ReportFormat::Csv, at, 1e6);
        assert!(csv.lines().nth(1).unwrap().starts_with(&format!("{position},")), "{csv}");
    }
}
