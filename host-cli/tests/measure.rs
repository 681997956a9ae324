//! `stillwave measure`: values with their uncertainty, and with what is doubtful about them.

mod program;
#[path = "program/run.rs"]
mod run;

use std::f64::consts::{PI, TAU};
use std::fs;
use std::path::Path;

use run::run;
use serde_json::Value;
use tempfile::TempDir;

/// A recording of 12-bit counts; 1 mV a count.
fn recording(folder: &Path, of: impl Fn(f64) -> f64) {
    let bytes = (0..20_000).flat_map(|n| (of(f64::from(n)).round() as u16).to_le_bytes());
    fs::write(folder.join("x.raw"), bytes.collect::<Vec<u8>>()).unwrap();
}

const JOB: &str = "x.raw --sample-type u16le --rate 1MS/s --bits 12 --vref 4.096V --level 2V \
                   --hysteresis 50mV --post 1000sa";

fn first(folder: &Path, words: &str) -> Value {
    let (status, out, errors) = run(folder, &format!("measure {JOB} --format json {words}"));
    assert_eq!(status, Some(0), "{errors}");
    serde_json::from_str(out.lines().next().unwrap()).unwrap()
}

fn near(found: &Value, wanted: f64, error: f64) {
    let value = found.as_f64().unwrap_or(f64::NAN);
    assert!((value - wanted).abs() <= error, "{found}, not {wanted}");
}

/// 54 samples a cycle: its values repeat, so that single bins of a histogram stand out.
fn sine(t: f64) -> f64 {
    2000.0 + 1500.0 * (TAU * t / 54.0).sin()
}

#[test]
fn a_sine_is_measured_at_its_peaks_and_that_is_said() {
    let folder = TempDir::new().unwrap();
    recording(folder.path(), sine);
    let row = first(folder.path(), "");
    near(&row["amplitude"], 3.0, 0.01);
    near(&row["duty"], 0.5, 0.002);
    near(&row["frequency"], 1e6 / 54.0, 1.0);
    let peaks = "does not rest: high and low are its peaks";
    assert_eq!(row["doubts"]["high"], serde_json::json!([peaks]));
    assert!(row["doubts"].get("frequency").is_none(), "{row}");
    for key in ["amplitude", "frequency", "duty", "rise_time", "mean"] {
        let sigma = row["sigma"][key].as_f64().unwrap();
        assert!(sigma > 0.0 && sigma < 0.01 * row[key].as_f64().unwrap().abs(), "{key}: {sigma}");
    }
    let (_, table, _) = run(folder.path(), &format!("measure {JOB}"));
    assert!(table.contains("± 1 sigma"), "{table}");
    assert!(table.contains(&format!("× {peaks})")), "{table}");
    let (_, csv, _) = run(folder.path(), &format!("measure {JOB} --format csv"));
    let mut lines = csv.lines();
    let header = lines.next().unwrap();
    assert!(header.contains(",duty,") && header.ends_with(",sigma_fall_time,doubts"), "{header}");
    let doubts = "\"low high amplitude rise_time fall_time: does not rest";
    assert!(lines.next().unwrap().contains(doubts), "{csv}");
}

#[test]
fn the_way_to_the_states_can_be_chosen_and_the_states_be_given() {
    let folder = TempDir::new().unwrap();
    recording(folder.path(), sine);
    near(&first(folder.path(), "--states extremes")["amplitude"], 3.0, 0.01);
    near(&first(folder.path(), "--states mean")["amplitude"], 2.0 * 1.5 * 2.0 / PI, 0.05);
    let given = first(folder.path(), "--state-low 0V --state-high 4000");
    assert_eq!((&given["low"], &given["high"]), (&serde_json::json!(0.0), &serde_json::json!(4.0)));
    // From 20 to 80 % of the peaks: asin 0.6 / π of the period.
    let rise = first(folder.path(), "--references 20%..80%")["rise_time"].clone();
    near(&rise, 0.6_f64.asin() / PI * 54e-6, 1e-7);
    let (_, table, _) = run(folder.path(), &format!("measure {JOB} --references 20%..80%"));
    assert!(table.contains("rise 20-80 %") && !table.contains("10-90"), "{table}");
    for (words, message) in [
        ("--state-low 1V", "--state-high"),
        ("--state-low 2V --state-high 1V", "--state-low is not below --state-high"),
        ("--references 80%..20%", "the first must be over 0 %"),
        ("--references 20..80", "is not a range such as 20%..80%"),
        ("--states mode --state-low 0V --state-high 1V", "cannot be used with"),
    ] {
        let (status, _, errors) = run(folder.path(), &format!("measure {JOB} {words}"));
        assert!(status == Some(2) && errors.contains(message), "{words}: {errors}");
    }
}

#[test]
fn logic_from_0_v_and_spikes_and_third_levels_are_measured_and_said() {
    let folder = TempDir::new().unwrap();
    recording(folder.path(), |t| if t % 100.0 < 30.0 { 3300.0 } else { 0.0 });
    let row = first(folder.path(), "");
    near(&row["duty"], 0.3, 0.002);
    near(&row["high"], 3.3, 0.001);
    let end = "at the converter's end code: may be beyond";
    assert_eq!(row["doubts"]["low"], serde_json::json!([end]));
    recording(folder.path(), |t| match t as u32 % 100 {
        0..25 => 3000.0,
        50..75 => 1000.0,
        _ => 2000.0,
    });
    let row = first(folder.path(), "");
    near(&row["amplitude"], 2.0, 0.001);
    let third = "rests at a third level, about 2.003 V";
    assert_eq!(row["doubts"]["amplitude"], serde_json::json!([third]), "{row}");
    recording(folder.path(), |t| match t as u32 {
        n if n % 1000 == 517 => 4000.0,
        n if n % 100 < 40 => 2500.0,
        _ => 500.0,
    });
    let row = first(folder.path(), "");
    near(&row["high"], 2.5, 0.001);
    near(&row["maximum"], 4.0, 0.001);
    let spike = "1 sample stands apart and is left out";
    assert_eq!(row["doubts"]["high"], serde_json::json!([spike]), "{row}");
}

/// 12-bit counts from 0 up in a file of signed 16 bits; what shows it comes late.
#[test]
fn counts_in_a_type_with_a_sign_may_begin_at_0() {
    let folder = TempDir::new().unwrap();
    let pulse = |n: i32| if (150_000..150_100).contains(&n) { 3900_i16 } else { 300 };
    let bytes = (0..200_000).flat_map(|n| pulse(n).to_le_bytes());
    fs::write(folder.path().join("late.raw"), bytes.collect::<Vec<u8>>()).unwrap();
    let job = "measure late.raw --sample-type i16le --rate 100kS/s --bits 12 --vref 4.096V --level 2V \
               --hysteresis 0.1V --pre 1ms --post 4ms --format json";
    let (status, out, errors) = run(folder.path(), job);
    assert_eq!((status, errors.contains("end codes")), (Some(0), false), "{errors}");
    near(&serde_json::from_str::<Value>(&out).unwrap()["maximum"], 3.9, 1e-6);
}
