//! Decimators: what an output is made of, and what it comes to.

/// A stream as it came: samples at their positions, and the positions before which some were lost.
#[derive(Clone, Debug, Default)]
pub struct Stream<T> {
    /// Runs of samples that follow each other, and the position of the first of each.
    pub runs: Vec<(u64, Vec<T>)>,
}

impl<T: Copy> Stream<T> {
    /// More samples of the run under way.
    pub fn push(&mut self, samples: &[T]) {
        match self.runs.last_mut() {
            Some((_, run)) => run.extend_from_slice(samples),
            None => self.runs.push((0, samples.to_vec())),
        }
    }

    /// A run begins, so many positions on.
    pub fn gap(&mut self, lost: u64) {
        let (start, run) = self.runs.last().cloned().unwrap_or((0, vec![]));
        self.runs.push((start + run.len() as u64 + lost, vec![]));
    }

    /// Every output that has all its samples in one run: output k is of `span` samples from
    /// k · `step` on.
    pub fn whole(&self, step: u64, span: u64) -> Vec<(u64, Vec<T>)> {
        let mut outputs = vec![];
        for (start, run) in &self.runs {
            for k in start.div_ceil(step).. {
                let from = k * step - start;
                match run.get(from as usize..(from + span) as usize) {
                    Some(samples) => outputs.push((k, samples.to_vec())),
                    None => break,
                }
            }
        }
        outputs
    }

    /// Every output of which a sample came.
    pub fn any(&self, step: u64) -> Vec<(u64, Vec<T>)> {
        let mut outputs: Vec<(u64, Vec<T>)> = vec![];
        for (start, run) in &self.runs {
            for (i, &x) in run.iter().enumerate() {
                let k = (start + i as u64) / step;
                match outputs.last_mut() {
                    Some((last, samples)) if *last == k => samples.push(x),
                    _ => outputs.push((k, vec![x])),
                }
            }
        }
        outputs
    }
}

/// The weights of `order` moving sums of `step` samples behind each other.
pub fn sums_of_sums(order: u32, step: u64) -> Vec<i128> {
    let mut weights = vec![1];
    for _ in 0..order {
        let mut wider = vec![0; weights.len() + step as usize - 1];
        for (i, weight) in weights.iter().enumerate() {
            for sum in &mut wider[i..i + step as usize] {
                *sum += weight;
            }
        }
        weights = wider;
    }
    weights
}

/// A weighted sum.
pub fn weighted(samples: &[i128], weights: &[i128]) -> i128 {
    samples.iter().zip(weights).map(|(x, weight)| x * weight).sum()
}

/// The nearest whole number to a / b, the upper one of two.
pub fn nearest(a: i128, b: i128) -> i128 {
    (2 * a + b).div_euclid(2 * b)
}

/// The sum of products, in strands: number j in strand j mod `strands`, then the upper half of the
/// strands upon the lower until one is left.
pub fn in_strands(products: &[f32], strands: usize) -> f32 {
    let mut sums: Vec<f32> = vec![0.0; strands];
    for (j, product) in products.iter().enumerate() {
        sums[j % strands] += product;
    }
    while sums.len() > 1 {
        let upper = sums.split_off(sums.len() / 2);
        sums.iter_mut().zip(upper).for_each(|(sum, x)| *sum += x);
    }
    sums[0]
}
