use super::super::tests::{all, opened, refused, trickled, try_all};
use super::*;
use stillwave::Scale;

fn options() -> OpenOptions {
    OpenOptions::default()
}

fn read(text: &str) -> Vec<Vec<f64>> {
    all(&mut opened(text.as_bytes(), "x.csv", &options()))
}

/// The message with which reading ends.
fn fault(text: &str) -> String {
    let opened = super::super::tests::open_bytes(text.as_bytes(), "x.csv", &options());
    match opened.and_then(|mut recording| try_all(&mut recording)) {
        Ok(_) => panic!("no fault in {text:?}"),
        Err(error) => error.to_string(),
    }
}

#[test]
fn plain_columns() {
    assert_eq!(read("1\n2\n3"), [[1.0, 2.0, 3.0]]);
    assert_eq!(read("1,2\r\n-3.5,4e2\r\n\r\n"), [[1.0, -3.5], [2.0, 400.0]]);
    assert_eq!(read("1;2,5\n3;4,5\n"), [[1.0, 3.0], [2.5, 4.5]]);
    assert_eq!(read("\u{feff}1 2\n 3  4\n"), [[1.0, 3.0], [2.0, 4.0]]);
    assert_eq!(read("1,2,\n3,4,\n"), [[1.0, 3.0], [2.0, 4.0]]);
    assert_eq!(read("# made by hand\n+1\n\"2\"\n"), [[1.0, 2.0]]);
}

#[test]
fn header_gives_names_times_and_scale() {
    let text = "time (ms),ch1 (mV),ch2\n10,1,2\n10.5,3,4\n11,5,6\n";
    let mut recording = opened(text.as_bytes(), "x.csv", &options());
    let info = recording.info();
    assert_eq!(info.rate, Some(2000.0));
    assert_eq!(info.start_time, 0.01);
    assert_eq!(info.channels[0].name.as_deref(), Some("ch1 (mV)"));
    assert_eq!(info.channels[0].scale, Some(Scale { volts_per_count: 0.001, zero: 0.0 }));
    assert_eq!(info.channels[1].scale, None);
    assert_eq!(all(&mut recording), [[1.0, 3.0, 5.0], [2.0, 4.0, 6.0]]);
    assert!(recording.take_notices().is_empty());
}

#[test]
fn units_may_have_a_line_of_their_own() {
    let text = "t;U\n(us);(V)\n0;1\n2;3\n";
    let mut recording = opened(text.as_bytes(), "x.csv", &options());
    assert_eq!(recording.info().rate, Some(500_000.0));
    assert_eq!(recording.info().channels[0].scale, Some(Scale { volts_per_count: 1.0, zero: 0.0 }));
    assert_eq!(all(&mut recording), [[1.0, 3.0]]);
}

#[test]
fn the_user_chooses_columns() {
    let chosen = OpenOptions { time_column: Some(1), channels: Some(vec![1]), ..options() };
    let mut recording = opened(b"5,0.0,7\n6,0.1,8\n", "x.csv", &chosen);
    assert_eq!(recording.info().rate, Some(10.0));
    assert_eq!(all(&mut recording), [[7.0, 8.0]]);
    let chosen = OpenOptions { time_column: Some(3), ..options() };
    assert!(refused(b"1,2\n", "x.csv", &chosen).contains("there is no column 4"));
    // Columns that are not wanted may hold anything.
    let chosen = OpenOptions { channels: Some(vec![0]), ..options() };
    assert_eq!(all(&mut opened(b"5,ok\n6,\n", "x.csv", &chosen)), [[5.0, 6.0]]);
    let chosen = OpenOptions { delimiter: Some(b':'), ..options() };
    assert_eq!(all(&mut opened(b"5:6\n", "x.csv", &chosen)), [[5.0], [6.0]]);
}

#[test]
fn not_finite_is_read_as_such() {
    let planes = read("1\nnan\n-inf\nNaN\n");
    assert!(planes[0][1].is_nan() && planes[0][3].is_nan());
    assert_eq!(planes[0][2], f64::NEG_INFINITY);
}

#[test]
fn faults_name_line_and_column() {
    assert_eq!(
        fault("a,b\n1,2\n3,abc\n").split_once("x.csv: ").unwrap().1,
        "line 3, column 2: \"abc\" is not a number; \
         correct it or choose another column with --channel"
    );
    assert!(fault("1,2\n3,\n").contains("line 2, column 2: the field is empty"));
    assert!(fault("1,2\n3\n").contains("line 2: there is 1 column here and 2 before"));
    assert!(fault("a,b,c\n1,2\n").contains("line 2: there are 2 columns here and 3 in the header"));
    assert!(fault("time,a\n1,2\nx,3\n").contains("line 3, column 1: \"x\" is not a number"));
    assert!(fault("time\n1\n2\n").contains("no column but the times"));
    assert!(fault("a,b\n").contains("no samples"));
    assert!(fault("\n\n").contains("no samples"));
    assert!(fault("1\n\u{1b}[2J\n").contains("\"\\u{1b}[2J\""));
}

#[test]
fn uneven_times_are_told_once() {
    let text = "t,a\n0,1\n1,1\n2,1\n3,1\n4,1\n9,1\n20,1\n";
    let mut recording = opened(text.as_bytes(), "x.csv", &options());
    all(&mut recording);
    let notices = recording.take_notices();
    assert_eq!(notices.len(), 1);
    assert!(notices[0].contains("not evenly spaced"), "{notices:?}");
    let mut recording = opened(b"t,a\n2,1\n1,1\n", "x.csv", &options());
    assert_eq!(recording.info().rate, None);
    assert!(recording.take_notices()[0].contains("do not increase"));
    let mut recording = opened(b"time (h),a\n1,1\n2,1\n", "x.csv", &options());
    assert!(recording.take_notices()[0].contains("unit of the times"));
}

#[test]
fn a_stated_rate_wins_and_is_compared() {
    let stated = OpenOptions { rate: Some(5.0), ..options() };
    let mut recording = opened(b"t,a\n0,1\n1,1\n", "x.csv", &stated);
    assert_eq!(recording.info().rate, Some(5.0));
    assert!(recording.take_notices()[0].contains("--rate 5 is used"));
}

#[test]
fn pipes_and_long_files_agree() {
    let text: Vec<String> = (0..40_000).map(|i| format!("{i},{}\n", i % 7)).collect();
    let text = text.concat();
    let whole = read(&text);
    assert_eq!(whole[0].len(), 40_000);
    assert_eq!(all(&mut trickled(text.as_bytes(), 997, &options()).unwrap()), whole);
}

/// What a column holds is judged by its first lines, however many more are there already.
#[test]
fn counts_are_judged_alike_in_files_and_pipes() {
    // The 16 lines of a header and 15 samples.
    let text = |head: &str, quiet: usize, value: &str| {
        format!("{head}\n{}{}", "0\n".repeat(quiet), format!("{value}\n").repeat(4000))
    };
    let guess = Some(1);
    for (text, wanted) in [
        (text("a", 14, "2048"), (true, guess)),
        (text("a", 15, "2048"), (false, None)),
        (text("0", 15, "2048"), (false, None)),
        (text("0", 14, "-2048"), (true, guess)),
        (text("a", 14, "24"), (false, None)),
        (text("a", 14, "2048.5"), (false, None)),
        (text("a (V)", 0, "325"), (false, None)),
        (text("a (counts)", 15, "3"), (true, None)),
        (text("a_Count", 15, "2048.5"), (true, None)),
        (text("a [ct]", 0, "2048"), (true, None)),
        ("a\n1\n2000".to_owned(), (true, guess)),
    ] {
        for rate in [None, Some(1e3)] {
            let options = OpenOptions { rate, ..options() };
            let file = opened(text.as_bytes(), "x.csv", &options);
            for found in
                [file, trickled(text.as_bytes(), 3, &options).unwrap()].map(|r| r.info().clone())
            {
                let channel = &found.channels[0];
                assert_eq!((channel.counts, channel.guessed), wanted, "{text:.60}");
            }
        }
    }
}

/// However much comes before the first line that says something.
#[test]
fn a_preface_of_any_length_is_passed_over() {
    let text = "# of a board\n\n".repeat(6000) + "a,b\n1,2\n3,4\n";
    assert_eq!(read(&text), [[1.0, 3.0], [2.0, 4.0]]);
    assert_eq!(all(&mut trickled(text.as_bytes(), 997, &options()).unwrap()), read(&text));
    assert!(fault(&(text + "5\n")).contains("line 12004: there is 1 column here and 2 before"));
    // Comments about as long as a look ahead, and far longer.
    for length in (65_500..65_560).chain([200_000]) {
        let long = format!("# short\n#{}\na,b\n1,2\n3,4\n", "c".repeat(length));
        assert_eq!(read(&long), [[1.0, 3.0], [2.0, 4.0]], "{length}");
        let piped = all(&mut trickled(long.as_bytes(), 997, &options()).unwrap());
        assert_eq!(piped, read(&long), "{length}");
        assert!(fault(&(long + "5\n")).contains("line 6: there is 1 column here"), "{length}");
    }
    assert!(fault(&"#".repeat(200_000)).contains("there are no samples in it"));
    let behind = format!("a,b\n{}1,2\n", "# of a board\n\n".repeat(6000));
    assert!(fault(&behind).contains("no line of its first 64 KiB has samples"));
}

/// Comments between the lines that say something.
#[test]
fn pipes_with_a_long_preface_agree() {
    let comments = "# of a board\n\n".repeat(40);
    for text in [format!("{comments}1,2\n3,4\n"), format!("a,b\n{comments}1,2\n{comments}3,4\n")] {
        let piped = all(&mut trickled(text.as_bytes(), 5, &options()).expect(&text));
        assert_eq!(piped, read(&text), "{text:?}");
    }
}

/// The last line counts where only that has samples.
#[test]
fn short_pipes_without_a_last_break_agree() {
    for text in ["1,2", "\n1,2", "# of a board\n1,2", "a,b\n0,1"] {
        let piped = all(&mut trickled(text.as_bytes(), 2, &options()).expect(text));
        assert_eq!(piped, read(text), "{text:?}");
    }
}

#[test]
fn long_files_are_joined_where_they_were_parted() {
    // Times that jump at one line: told with its number wherever the parts end.
    let line = |i: u64| format!("{},{}\n", if i < 70_001 { i } else { i + 5 }, i % 7);
    let text: String = std::iter::once("t,a\n".to_owned()).chain((0..100_000).map(line)).collect();
    let mut recording = opened(text.as_bytes(), "x.csv", &options());
    assert_eq!(all(&mut recording)[0].len(), 100_000);
    let notices = recording.take_notices();
    assert_eq!(notices.len(), 1);
    assert!(notices[0].contains("first at line 70003"), "{notices:?}");

    let faulty = text.replacen("99000,", "99000,x", 1);
    assert!(fault(&faulty).contains("line 98997, column 2: \"x"), "{}", fault(&faulty));
}

proptest::proptest! {
    #[test]
    fn any_text_is_survived(text in "[-0-9.,;# \"\r\n\ta-ce(]{0,80}") {
        if let Ok(mut recording) = trickled(text.as_bytes(), 7, &options()) {
            let _ = try_all(&mut recording);
        }
    }
}
