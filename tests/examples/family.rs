//! Scores the default measurements on the signal family's tuning cases, a line a class:
//!
//! ```text
//! cargo run --release -p stillwave-tests --example family [CASES A CLASS [CLASS QUANTITY]]
//! ```
//!
//! With a class and a quantity (`Sine amplitude`) it lists the wrong cases too.

use stillwave::measure::measure;
use stillwave_tests::family::{QUANTITIES, Score, Seeds, table, within_one_sigma};

fn main() {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let each = words.first().map_or(400, |word| word.parse().unwrap());
    let started = std::time::Instant::now();
    let scores = table(Seeds::Tuning, each, measure::<u16>, |case, found, verdict| {
        let [_, class, quantity] = &words[..] else { return };
        if format!("{:?}", case.class) != *class {
            return;
        }
        let is_wrong = match quantity.as_str() {
            "amplitude" => verdict.amplitude,
            "duty" => verdict.duty,
            "rise" => verdict.rise,
            "frequency" => verdict.frequency,
            "missing" => verdict.missing,
            other => panic!("no quantity is called {other}"),
        };
        if is_wrong {
            let t = &found.timing;
            println!(
                "#{} n={} noise {:.4} period {:.2} bits {} truth {:?}\n    amplitude {:?} low {:?} high {:?} min {:?} max {:?} duty {:?} rise {:?} f {:?}",
                case.number,
                case.samples.len(),
                case.noise,
                case.period,
                case.bits,
                case.truth,
                found.amplitude,
                found.low,
                found.high,
                found.minimum,
                found.maximum,
                t.duty,
                t.rise_time,
                t.frequency
            );
        }
    });
    let mut all = Score::default();
    let line = |name: &str, score: &Score| {
        let p = score.percent();
        println!(
            "{name:36} {:6.2} {:6.2} {:6.2} {:6.2} {:6.2}   known {:?} of {}",
            p[0], p[1], p[2], p[3], p[4], score.known, score.cases
        );
    };
    for (class, score) in &scores {
        line(class.name(), score);
        all = all.and(score);
    }
    line("all", &all);
    println!("{:?}", started.elapsed());
    println!("% within one uncertainty: {QUANTITIES:?}");
    let (classes, all) = within_one_sigma(Seeds::Tuning, each);
    let line = |name: &str, p: [f64; 6]| {
        println!(
            "{name:36} {:5.0} {:5.0} {:5.0} {:5.0} {:5.0} {:5.0}",
            p[0], p[1], p[2], p[3], p[4], p[5]
        );
    };
    for (class, percent) in classes {
        line(class.name(), percent);
    }
    line("all", all);
}
