//! How busy the processor is.

/// The share of time that it does not sleep, over about half a second.
#[derive(Clone, Copy, Debug, Default)]
pub struct Load {
    since: u64,
    asleep: u64,
    percent: u8,
}

/// µs.
const WINDOW: u64 = 500_000;

impl Load {
    /// It slept from one time to another, in µs.
    pub fn slept(&mut self, from: u64, to: u64) {
        self.asleep += to.saturating_sub(from);
        let window = to.saturating_sub(self.since);
        if window >= WINDOW {
            let busy = window.saturating_sub(self.asleep);
            self.percent = (busy * 100).div_ceil(window) as u8;
            (self.since, self.asleep) = (to, 0);
        }
    }

    /// 0 to 100, rounded up.
    pub fn percent(&self) -> u8 {
        self.percent
    }
}

#[cfg(test)]
mod tests {
    use super::Load;

    #[test]
    fn half_asleep_is_half_loaded() {
        let mut load = Load::default();
        for i in 0..2_000 {
            load.slept(i * 1_000 + 500, i * 1_000 + 1_000);
        }
        assert_eq!(load.percent(), 50);
        load.slept(2_000_000, 4_000_000);
        assert!(load.percent() <= 2);
    }
}
