//! What is measured: [`ALL`], a table, so that whatever is in it is counted and has its size taken.

mod conditions;
mod decimators;
mod records;
mod single;

use crate::signal::LENGTH;

/// Something that the engine does, as a board would call it.
pub struct Kernel {
    /// As it is printed.
    pub name: &'static str,
    /// What it does.
    pub run: Run,
    /// How many samples of a block it reads.
    pub samples: usize,
    /// The bytes that it keeps from block to block, without a memory for records.
    pub state: usize,
}

/// A block of samples to something that depends on all of them. It is set up anew for each block.
pub enum Run {
    /// Samples of 12 bits.
    Counts(fn(&[u16]) -> u64),
    /// Samples of 8 bits.
    Bytes(fn(&[u8]) -> u64),
}

impl Kernel {
    const fn new(name: &'static str, run: fn(&[u16]) -> u64, state: usize) -> Self {
        Self { name, run: Run::Counts(run), samples: LENGTH, state }
    }

    const fn of_bytes(name: &'static str, run: fn(&[u8]) -> u64, state: usize) -> Self {
        Self { name, run: Run::Bytes(run), samples: LENGTH, state }
    }
}

/// Every kernel, by subject.
pub const ALL: &[&[Kernel]] =
    &[single::ALL, conditions::ALL, records::ALL, decimators::ALL, single::OF_RECORDS];

/// The kernel of that name. In a constant, so that a program has no other.
pub const fn named(name: &str) -> Option<&'static Kernel> {
    let mut i = 0;
    while i < ALL.len() {
        let mut k = 0;
        while k < ALL[i].len() {
            if same(ALL[i][k].name, name) {
                return Some(&ALL[i][k]);
            }
            k += 1;
        }
        i += 1;
    }
    None
}

/// `==`, which constants have not.
const fn same(a: &str, b: &str) -> bool {
    let (a, b) = (a.as_bytes(), b.as_bytes());
    let mut i = 0;
    while i < a.len() && i < b.len() && a[i] == b[i] {
        i += 1;
    }
    i == a.len() && i == b.len()
}
