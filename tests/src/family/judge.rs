//! How far measurements are from the truth.

use super::{Case, Class, Seeds};
use stillwave::measure::{Measurements, Value};

/// What is wrong with the measurements of a case.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[allow(clippy::struct_excessive_bools)] // each on its own
pub struct Verdict {
    /// More than 3 % off.
    pub amplitude: bool,
    /// More than 2 points off.
    pub duty: bool,
    /// More than 10 % off.
    pub rise: bool,
    /// More than 1 % off.
    pub frequency: bool,
    /// One that has a truth has no value.
    pub missing: bool,
}

/// Judges the measurements of a case.
pub fn judge(case: &Case, found: &Measurements) -> Verdict {
    let truth = &case.truth;
    let timing = &found.timing;
    let mut missing = false;
    let mut wrong = |value: Value, truth: Option<(f64, f64)>| match (value, truth) {
        (Ok(value), Some((least, most))) => !(least..=most).contains(&value),
        (Err(_), Some(_)) => {
            missing = true;
            false
        }
        (_, None) => false,
    };
    let within = |part: f64| move |truth: f64| (truth * (1.0 - part), truth * (1.0 + part));
    let amplitude = truth.amplitude.map(|(least, most)| (least * 0.97, most * 1.03));
    Verdict {
        amplitude: wrong(found.amplitude, amplitude),
        duty: wrong(timing.duty, truth.duty.map(|duty| (duty - 0.02, duty + 0.02))),
        rise: wrong(timing.rise_time, truth.rise.map(within(0.1))),
        frequency: wrong(timing.frequency, truth.frequency.map(within(0.01))),
        missing,
    }
}

/// How many cases of a class are wrong.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Score {
    /// Cases.
    pub cases: u64,
    /// Cases that have a true amplitude, duty, rise and frequency.
    pub known: [u64; 4],
    /// Wrong in amplitude, duty, rise and frequency.
    pub wrong: [u64; 4],
    /// Without a value.
    pub missing: u64,
}

impl Score {
    /// Takes one case more.
    pub fn add(&mut self, case: &Case, verdict: Verdict) {
        let Verdict { amplitude, duty, rise, frequency, missing } = verdict;
        let truth = &case.truth;
        let known = [
            truth.amplitude.is_some(),
            truth.duty.is_some(),
            truth.rise.is_some(),
            truth.frequency.is_some(),
        ];
        self.cases += 1;
        self.missing += u64::from(missing);
        for (sum, is) in self.known.iter_mut().zip(known) {
            *sum += u64::from(is);
        }
        for (sum, is) in self.wrong.iter_mut().zip([amplitude, duty, rise, frequency]) {
            *sum += u64::from(is);
        }
    }

    /// Wrong in amplitude, duty, rise, frequency, and without a value: in % of cases.
    pub fn percent(&self) -> [f64; 5] {
        let [a, b, c, d] = self.wrong;
        [a, b, c, d, self.missing].map(|count| 100.0 * count as f64 / self.cases.max(1) as f64)
    }

    /// Two together.
    #[must_use]
    pub fn and(mut self, other: &Self) -> Self {
        self.cases += other.cases;
        self.missing += other.missing;
        for i in 0..4 {
            self.known[i] += other.known[i];
            self.wrong[i] += other.wrong[i];
        }
        self
    }
}

/// The score of each class over that many cases of it; `look` sees every case.
pub fn table(
    seeds: Seeds,
    each: u64,
    measure: impl Fn(&[u16]) -> Measurements,
    mut look: impl FnMut(&Case, &Measurements, Verdict),
) -> Vec<(Class, Score)> {
    let mut scores = Vec::new();
    for class in Class::ALL {
        let mut score = Score::default();
        for number in 0..each {
            let case = Case::new(seeds, class, number);
            let found = measure(&case.samples);
            let verdict = judge(&case, &found);
            score.add(&case, verdict);
            look(&case, &found, verdict);
        }
        scores.push((class, score));
    }
    scores
}
