//! Random signals against events found by `NumPy` on whole arrays (`data/vectors.py`).

use serde::Deserialize;
use stillwave_tests::cases::{Asked, Case};
use stillwave_tests::engine::{AnyCondition, found};
use stillwave_tests::kind::Kind;
use stillwave_tests::oracle::{Hold, What, Width};

/// A signal with its events: position, lead, and the width of pulses.
#[derive(Deserialize)]
struct Vector {
    #[serde(rename = "type")]
    kind: String,
    level: f64,
    hysteresis: f64,
    samples: Vec<i64>,
    rising: Vec<Vec<u64>>,
    falling: Vec<Vec<u64>>,
    positive: Vec<Vec<u64>>,
    negative: Vec<Vec<u64>>,
}

impl Vector {
    /// Gives how many events were compared.
    fn check<T: Kind>(&self, sample: impl Fn(i64) -> T) -> usize {
        let samples: Vec<T> = self.samples.iter().map(|&x| sample(x)).collect();
        let width = Width::Within(0, u64::MAX);
        let asked = [
            (Asked::Edge { rising: true }, &self.rising),
            (Asked::Edge { rising: false }, &self.falling),
            (Asked::Pulse { positive: true, width }, &self.positive),
            (Asked::Pulse { positive: false, width }, &self.negative),
        ];
        for (asked, expected) in asked {
            let case = Case {
                asked,
                hold: Hold::None,
                level: T::wide_from_f64(self.level).unwrap(),
                hysteresis: T::wide_from_f64(self.hysteresis).unwrap(),
                start: 0,
                samples: samples.clone(),
                lengths: vec![1],
            };
            assert_eq!(&events(case.condition(0), &samples), expected, "{} {asked:?}", self.kind);
        }
        asked.iter().map(|(_, expected)| expected.len()).sum()
    }
}

fn events<T: Kind>(condition: AnyCondition<T>, samples: &[T]) -> Vec<Vec<u64>> {
    let mut trigger = stillwave::Trigger::new(condition, stillwave::Holdoff::None).unwrap();
    let mut events = Vec::new();
    for block in samples.chunks(7) {
        trigger.push(block, |event| {
            let event = found(event);
            let mut numbers = vec![event.position, u64::from(event.lead)];
            if let What::Positive(width) | What::Negative(width) = event.what {
                numbers.push(width);
            }
            events.push(numbers);
        });
    }
    events
}

#[test]
fn numpy_finds_the_same_events() {
    let vectors: Vec<Vector> = serde_json::from_str(include_str!("../data/vectors.json")).unwrap();
    assert_eq!(vectors.len(), 21);
    let mut events = 0;
    for vector in &vectors {
        events += match vector.kind.as_str() {
            "u1" => vector.check(|x| u8::try_from(x).unwrap()),
            "i1" => vector.check(|x| i8::try_from(x).unwrap()),
            "u2" => vector.check(|x| u16::try_from(x).unwrap()),
            "i2" => vector.check(|x| i16::try_from(x).unwrap()),
            "u4" => vector.check(|x| u32::try_from(x).unwrap()),
            "i4" => vector.check(|x| i32::try_from(x).unwrap()),
            "f4" => vector.check(|x| f32::from_bits(u32::try_from(x).unwrap())),
            other => panic!("samples of type {other}"),
        };
    }
    assert!(events > 1500, "{events} events");
}
