//! Small systems of linear equations.

/// The least pivot, as a part of the diagonal it came from, that still says something.
const LEAST_PIVOT: f64 = 1e-13;

/// Solves `matrix` · x = `right` for a symmetric positive definite matrix, as normal equations
/// are; `None` where it is singular.
pub(super) fn solve<const N: usize>(
    mut matrix: [[f64; N]; N],
    mut right: [f64; N],
) -> Option<[f64; N]> {
    let diagonal = matrix;
    for k in 0..N {
        let row = *matrix.get(k)?;
        let (pivot, value) = (*row.get(k)?, *right.get(k)?);
        // Written so that a pivot that is not a number fails too.
        let is_regular = pivot > LEAST_PIVOT * *diagonal.get(k)?.get(k)?;
        if !is_regular {
            return None;
        }
        for (below, right) in matrix.iter_mut().zip(&mut right).skip(k + 1) {
            let factor = *below.get(k)? / pivot;
            for (x, above) in below.iter_mut().zip(&row) {
                *x -= factor * above;
            }
            *right -= factor * value;
        }
    }
    for k in (0..N).rev() {
        let row = matrix.get(k)?;
        let known: f64 = row.iter().zip(&right).skip(k + 1).map(|(a, x)| a * x).sum();
        let x = (right.get(k)? - known) / row.get(k)?;
        *right.get_mut(k)? = x;
    }
    Some(right)
}
