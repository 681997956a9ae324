//! Spectra, histograms and one channel over another, as the program draws them.

mod program;
#[path = "program/run.rs"]
mod run;

use std::fs;

use run::run;
use tempfile::TempDir;

/// Two channels of 16 bits: 1 kHz with a hundredth of its double, and the same 40 degrees later.
fn folder() -> TempDir {
    let folder = TempDir::new().unwrap();
    let bytes: Vec<u8> = (0..48_000)
        .flat_map(|i| {
            let angle = std::f64::consts::TAU * 1000.3 * f64::from(i) / 48_000.0;
            let first = 20_000.0 * angle.sin() + 200.0 * (2.0 * angle).sin();
            let second = 10_000.0 * (angle - 40_f64.to_radians()).sin();
            [first, second].map(|x| (x.round() as i16).to_le_bytes()).into_iter().flatten()
        })
        .collect();
    fs::write(folder.path().join("two.raw"), bytes).unwrap();
    folder
}

const JOB: &str = "two.raw --sample-type i16le --channels 2 --rate 48kHz --bits 16 --vref 6.5536V \
                   --level 0V --hysteresis 50mV --post 20ms";

#[test]
fn a_spectrum_names_the_tone_and_its_distortion() {
    let folder = folder();
    for window in ["blackman-harris", "flat-top"] {
        let words = format!("view {JOB} --spectrum --window {window} --width 90");
        let (status, text, errors) = run(folder.path(), &words);
        assert_eq!(status, Some(0), "{errors}");
        // 2 V at its peak is 1.414 V.
        assert!(text.contains("tone 1.414 V RMS at 1.0003 kHz · THD 1.00 %"), "{text}");
        assert!(text.contains("▼×2"), "{text}");
        assert!(
            text.contains("level (dB re 1 V RMS)") && text.contains("frequency (kHz)"),
            "{text}"
        );
    }
    let words = format!("view {JOB} --spectrum --png s.png --svg s.svg");
    let (status, text, _) = run(folder.path(), &words);
    assert_eq!(status, Some(0));
    assert!(text.contains("picture    s.png"), "{text}");
    assert!(fs::read(folder.path().join("s.png")).unwrap().starts_with(b"\x89PNG"));
    let svg = fs::read_to_string(folder.path().join("s.svg")).unwrap();
    for word in ["×2", "×3", "highest of all", "mean of all records", "1.0003 kHz"] {
        assert!(svg.contains(word), "{word}");
    }
    let measured = run(folder.path(), &format!("measure {JOB} --all --format json")).1;
    let row: serde_json::Value = serde_json::from_str(measured.lines().next().unwrap()).unwrap();
    assert!((row["thd"].as_f64().unwrap() - 0.01).abs() < 1e-4, "{row}");
    // What rounding to counts leaves: 20000/√2 · √12, and 1 % of distortion.
    assert!((row["snr"].as_f64().unwrap() - 93.8).abs() < 1.5, "{row}");
    assert!((row["sinad"].as_f64().unwrap() - 40.0).abs() < 0.1, "{row}");
}

#[test]
fn what_a_spectrum_cannot_tell_is_said() {
    let folder = folder();
    let reason = "too few cycles for a spectrum: use a longer --post";
    let few = JOB.replace("20ms", "2.5ms");
    let (_, text, _) = run(folder.path(), &format!("measure {few}"));
    assert!(
        text.contains(&format!(" × {reason})")) && !text.contains("no complete cycle"),
        "{text}"
    );
    let (_, text, _) = run(folder.path(), &format!("view {few} --spectrum --width 90"));
    assert!(text.contains(&format!("no tone: {reason}")), "{text}");

    let short = JOB.replace("20ms", "7sa");
    let (_, _, told) = run(folder.path(), &format!("view {short} --spectrum"));
    let told: Vec<_> = told.lines().collect();
    assert!(
        matches!(told[..], [first, _] if first.starts_with("note: no spectrum of ")),
        "{told:?}"
    );
    assert_eq!(told[1], "note: there is no spectrum to show; give a longer --post");

    // Amplified until the converter's end codes.
    let bytes: Vec<u8> = (0..48_000)
        .flat_map(|i| {
            let angle = std::f64::consts::TAU * 1000.3 * f64::from(i) / 48_000.0;
            ((40_000.0 * angle.sin()) as i16).to_le_bytes()
        })
        .collect();
    fs::write(folder.path().join("clipped.raw"), bytes).unwrap();
    let job = JOB.replace("two.raw", "clipped.raw").replace("--channels 2 ", "");
    let (_, text, _) = run(folder.path(), &format!("view {job} --spectrum --width 120"));
    assert!(text.contains("CLIPPED in 49 records · tone "), "{text}");
    let (_, text, _) = run(folder.path(), &format!("measure {job} --all --format json"));
    let row: serde_json::Value = serde_json::from_str(text.lines().next().unwrap()).unwrap();
    for key in ["thd", "crest", "form"] {
        assert_eq!(row["reasons"][key], "clipped", "{row}");
    }
}

#[test]
fn one_channel_over_another_has_a_phase() {
    let folder = folder();
    let (status, text, errors) = run(folder.path(), &format!("view {JOB} --xy 1,2 --width 80"));
    assert_eq!(status, Some(0), "{errors}");
    assert!(text.contains("phase      the second channel lags by 40."), "{text}");
    let (_, text, _) = run(folder.path(), &format!("view {JOB} --xy 2,1 --svg xy.svg"));
    assert!(text.contains("phase      the second channel leads by 40."), "{text}");
    let svg = fs::read_to_string(folder.path().join("xy.svg")).unwrap();
    assert!(svg.contains("channel 1 over channel 2") && svg.contains("fitted ellipse"));
    let line = |i: u32| {
        let angle = f64::from(i) / 20.0;
        format!("{},{}\n", angle.sin(), angle.cos())
    };
    let points = (0..2000).map(line).collect::<Vec<_>>().concat();
    fs::write(folder.path().join("xy.csv"), "in (mV),out (V)\n".to_owned() + &points).unwrap();
    let job = "view xy.csv --rate 1kHz --level 0 --post 500sa --xy 1,2 --svg named.svg";
    let (_, text, errors) = run(folder.path(), job);
    assert!(text.contains(", its sine 1.0000"), "{text}{errors}");
    let svg = fs::read_to_string(folder.path().join("named.svg")).unwrap();
    assert!(svg.contains("out over in") && svg.contains("out (V)") && svg.contains("in (mV)"));
    for (header, [first, second]) in [
        ("V(in),V(out)", ["V(in)", "V(out)"]),
        ("a (mV),a (V)", ["a (channel 1)", "a (channel 2)"]),
        ("V(in) [mV],b_V", ["V(in)", "b"]),
        ("channel 2,", ["channel 2 (channel 1)", "channel 2 (channel 2)"]),
    ] {
        fs::write(folder.path().join("xy.csv"), format!("{header}\n{points}")).unwrap();
        let (_, _, errors) = run(folder.path(), &format!("{job} --overwrite"));
        assert_eq!(errors, "", "{header}");
        let svg = fs::read_to_string(folder.path().join("named.svg")).unwrap();
        assert!(svg.contains(&format!(", {second} over {first}\n")), "{header}: {svg:.900}");
    }
    for (words, message) in [
        ("--xy 1", "--xy is of two channels; name two, such as --xy 1,2"),
        ("--xy 1,1", "--xy is of two channels; name two, such as --xy 1,2"),
        ("--xy 1,0", "--xy 0; count from 1"),
        ("--xy 1,2 --record 1", "--record has no use with --xy; leave it out"),
    ] {
        let (status, _, errors) = run(folder.path(), &format!("view {JOB} {words}"));
        assert_eq!((status, errors), (Some(2), format!("error: {message}\n")), "{words}");
    }
}

#[test]
fn how_far_harmonics_may_shift_a_phase_is_said() {
    let folder = TempDir::new().unwrap();
    for (lag, harmonic) in [(40.0, 3.0), (40.0, 2.0), (100.0, 3.0), (15.0, 5.0)] {
        let bytes: Vec<u8> = (0..20_000)
            .flat_map(|i| {
                let angle = std::f64::consts::TAU * f64::from(i) / 50.0;
                let second = angle - f64::to_radians(lag);
                let second = 4000.0 * second.cos() + 200.0 * (harmonic * angle + 1.0).cos();
                [8000.0 * angle.cos(), second].map(|x| (x.round() as i16).to_le_bytes()).concat()
            })
            .collect();
        fs::write(folder.path().join("xy.raw"), bytes).unwrap();
        let words = "view xy.raw --sample-type i16le --channels 2 --rate 50kHz --level 0 --post 500sa \
                     --xy 1,2 --width 80";
        let (_, text, _) = run(folder.path(), words);
        let after = |before: &str| -> f64 {
            let (_, rest) = text.rsplit_once(before).expect(&text);
            rest.split('°').next().unwrap().parse().expect(&text)
        };
        let (found, bound) = (after("lags by "), after("(harmonics: up to "));
        assert!((found - lag).abs() < bound + 0.05 && bound < 1.0, "{lag}, ×{harmonic}: {text}");
    }
}

/// Harmonics of a third shift the phase by little, and the ellipse is not larger than the points.
#[test]
fn an_ellipse_stays_on_points_that_have_harmonics() {
    let folder = TempDir::new().unwrap();
    let wave = |angle: f64| 6000.0 * (angle.cos() - (3.0 * angle).cos() / 6.0);
    let bytes: Vec<u8> = (0..20_000)
        .flat_map(|i| {
            let angle = std::f64::consts::TAU * f64::from(i) / 53.7;
            [wave(angle), wave(angle - f64::to_radians(0.6))]
                .map(|x| (x.round() as i16).to_le_bytes())
                .concat()
        })
        .collect();
    fs::write(folder.path().join("xy.raw"), bytes).unwrap();
    let words = "view xy.raw --sample-type i16le --channels 2 --rate 50kHz --level 0 --post 500sa \
                 --xy 1,2 --svg xy.svg";
    let (_, text, _) = run(folder.path(), words);
    let lag = text.split("lags by ").nth(1).expect(&text).split('°').next().unwrap();
    assert!((lag.parse::<f64>().unwrap() - 0.6).abs() < 0.05, "{text}");
}

#[test]
fn a_histogram_counts_every_record() {
    let folder = folder();
    let words = format!("measure {JOB} --histogram frequency --svg h.svg");
    let (status, text, errors) = run(folder.path(), &words);
    assert_eq!(status, Some(0), "{errors}");
    assert!(text.contains("picture    h.svg"), "{text}");
    let svg = fs::read_to_string(folder.path().join("h.svg")).unwrap();
    assert!(svg.contains("frequency (kHz)") && svg.contains("49 records"), "{svg}");
    let (_, text, _) = run(folder.path(), &format!("measure {JOB} --histogram crest"));
    assert!(text.contains("crest factor") && text.contains("49 records · bars of"), "{text}");
    let (status, _, errors) = run(folder.path(), &format!("measure {JOB} --histogram width"));
    assert_eq!(status, Some(2));
    assert!(
        errors
            .starts_with("error: --histogram: there is no quantity \"width\"; name one of minimum")
    );
    let (status, _, errors) = run(folder.path(), &format!("measure {JOB} --png x.png"));
    assert_eq!(
        (status, errors.as_str()),
        (Some(2), "error: there is nothing to draw; add --histogram NAME\n")
    );
}
