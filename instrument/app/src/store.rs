//! Settings that last over power-off.

use core::ops::Range;

use embassy_futures::block_on;
use embedded_storage::nor_flash as sync;
use embedded_storage_async::nor_flash::{ErrorType, MultiwriteNorFlash, NorFlash, ReadNorFlash};
use sequential_storage::cache::{Cache, Uncached};
use sequential_storage::map::{MapConfig, MapStorage};

use crate::Settings;

/// Memory that lasts.
pub trait Keep {
    /// Why it cannot.
    type Error;

    /// What was kept last; `None` where nothing was, or what was is of another version.
    ///
    /// # Errors
    /// The memory's.
    fn load(&mut self) -> Result<Option<Settings>, Self::Error>;

    /// Keeps these.
    ///
    /// # Errors
    /// The memory's.
    fn save(&mut self, settings: &Settings) -> Result<(), Self::Error>;
}

/// No memory that lasts: of a board that starts with the same settings every time.
pub struct Nothing;

impl Keep for Nothing {
    type Error = core::convert::Infallible;

    fn load(&mut self) -> Result<Option<Settings>, Self::Error> {
        Ok(None)
    }

    fn save(&mut self, _: &Settings) -> Result<(), Self::Error> {
        Ok(())
    }
}

/// Flash, of which no sector wears out before the others: each change is written behind the last,
/// and a sector is erased only once all are full.
pub struct Flash<F> {
    flash: F,
    range: Range<u32>,
}

/// What the settings are kept under: another number with every change of their meaning.
const KEY: u8 = 1;
/// Bytes that hold a key and settings, whatever the flash's word.
const BUFFER: usize = 64;

/// Why flash cannot keep settings.
#[derive(Debug)]
pub enum FlashError<E> {
    /// Not two whole sectors or more, or words too long.
    Range,
    /// The flash, or what is in it.
    Storage(sequential_storage::Error<E>),
}

impl<F: sync::MultiwriteNorFlash> Flash<F> {
    /// The sectors in `range` (bytes from the flash's beginning), of which two are the least.
    pub fn new(flash: F, range: Range<u32>) -> Self {
        Self { flash, range }
    }

    /// The flash itself.
    pub fn release(self) -> F {
        self.flash
    }

    fn map(&mut self) -> Result<Map<'_, F>, FlashError<F::Error>> {
        let config = MapConfig::try_new(self.range.clone()).map_err(|_| FlashError::Range)?;
        Ok(MapStorage::new(Ready(&mut self.flash), config, Cache::new_uncached()))
    }
}

type Map<'a, F> = MapStorage<u8, Ready<&'a mut F>, Cache<Uncached, Uncached, Uncached, u8>>;

impl<F: sync::MultiwriteNorFlash> Keep for Flash<F> {
    type Error = FlashError<F::Error>;

    fn load(&mut self) -> Result<Option<Settings>, Self::Error> {
        let mut buffer = [0; BUFFER];
        let found = block_on(self.map()?.fetch_item::<&[u8]>(&mut buffer, &KEY));
        let found = found.map_err(FlashError::Storage)?;
        Ok(found.and_then(|bytes| postcard::from_bytes(bytes).ok()))
    }

    fn save(&mut self, settings: &Settings) -> Result<(), Self::Error> {
        let mut bytes = [0; BUFFER / 2];
        let Ok(bytes) = postcard::to_slice(settings, &mut bytes) else {
            return Ok(()); // 32 bytes hold the longest settings: tested below.
        };
        let bytes: &[u8] = bytes;
        let mut buffer = [0; BUFFER];
        block_on(self.map()?.store_item(&mut buffer, &KEY, &bytes)).map_err(FlashError::Storage)
    }
}

/// Flash that answers at once, for a library that can wait.
struct Ready<F>(F);

impl<F: sync::ErrorType> ErrorType for Ready<&mut F> {
    type Error = F::Error;
}

impl<F: sync::ReadNorFlash> ReadNorFlash for Ready<&mut F> {
    const READ_SIZE: usize = F::READ_SIZE;

    async fn read(&mut self, offset: u32, bytes: &mut [u8]) -> Result<(), Self::Error> {
        self.0.read(offset, bytes)
    }

    fn capacity(&self) -> usize {
        self.0.capacity()
    }
}

impl<F: sync::NorFlash> NorFlash for Ready<&mut F> {
    const WRITE_SIZE: usize = F::WRITE_SIZE;
    const ERASE_SIZE: usize = F::ERASE_SIZE;

    async fn erase(&mut self, from: u32, to: u32) -> Result<(), Self::Error> {
        self.0.erase(from, to)
    }

    async fn write(&mut self, offset: u32, bytes: &[u8]) -> Result<(), Self::Error> {
        self.0.write(offset, bytes)
    }
}

impl<F: sync::MultiwriteNorFlash> MultiwriteNorFlash for Ready<&mut F> {}

/// When to keep settings: once a hand has left them alone for a while, and only those that differ.
#[derive(Debug)]
pub struct Patience {
    kept: Settings,
    last: Settings,
    since: u64,
}

/// How long a hand leaves settings alone before they are kept, ms.
const WHILE: u64 = 3_000;

impl Patience {
    /// With what is kept already.
    pub fn new(kept: Settings) -> Self {
        Self { kept, last: kept, since: 0 }
    }

    /// Whether these are to be kept now, at a time in ms. It is then taken that they are.
    pub fn is_over(&mut self, settings: &Settings, milliseconds: u64) -> bool {
        if *settings != self.last {
            (self.last, self.since) = (*settings, milliseconds);
        }
        let over = self.last != self.kept && milliseconds.saturating_sub(self.since) >= WHILE;
        if over {
            self.kept = self.last;
        }
        over
    }
}

#[cfg(test)]
mod tests {
    use super::{Flash, Keep, Patience, sync};
    use crate::Settings;
    use sync::{ErrorType, MultiwriteNorFlash, NorFlash, NorFlashErrorKind, ReadNorFlash};

    const SECTOR: usize = 4_096;
    const RANGE: core::ops::Range<u32> = 0x2000..0x6000;

    /// As the flash of most boards: bits go from 1 to 0, and back by whole sectors.
    struct Chip {
        bytes: Vec<u8>,
        erased: [u32; 8],
        writes_left: usize,
    }

    impl Chip {
        fn new() -> Self {
            Self { bytes: vec![0xFF; 8 * SECTOR], erased: [0; 8], writes_left: usize::MAX }
        }
    }

    impl ErrorType for Chip {
        type Error = NorFlashErrorKind;
    }

    impl ReadNorFlash for Chip {
        const READ_SIZE: usize = 1;
        fn read(&mut self, offset: u32, bytes: &mut [u8]) -> Result<(), NorFlashErrorKind> {
            assert!(RANGE.contains(&offset), "outside its own sectors");
            bytes.copy_from_slice(&self.bytes[offset as usize..][..bytes.len()]);
            Ok(())
        }
        fn capacity(&self) -> usize {
            self.bytes.len()
        }
    }

    impl NorFlash for Chip {
        const WRITE_SIZE: usize = 1;
        const ERASE_SIZE: usize = SECTOR;
        fn erase(&mut self, from: u32, to: u32) -> Result<(), NorFlashErrorKind> {
            assert!(RANGE.start <= from && to <= RANGE.end);
            self.bytes[from as usize..to as usize].fill(0xFF);
            for sector in from as usize / SECTOR..to as usize / SECTOR {
                self.erased[sector] += 1;
            }
            Ok(())
        }
        fn write(&mut self, offset: u32, bytes: &[u8]) -> Result<(), NorFlashErrorKind> {
            assert!(RANGE.contains(&offset));
            for (index, &byte) in bytes.iter().enumerate() {
                if self.writes_left == 0 {
                    return Err(NorFlashErrorKind::Other);
                }
                self.writes_left -= 1;
                self.bytes[offset as usize + index] &= byte;
            }
            Ok(())
        }
    }

    impl MultiwriteNorFlash for Chip {}

    fn settings(level_mv: i32) -> Settings {
        Settings { level_mv, hysteresis_mv: u32::MAX, holdoff_us: u32::MAX, ..Settings::default() }
    }

    #[test]
    fn settings_last_and_wear_is_spread() {
        let mut flash = Flash::new(Chip::new(), RANGE);
        assert!(flash.load().unwrap().is_none());
        for level in 0..5_000 {
            flash.save(&settings(i32::MAX - level)).unwrap();
        }
        // Power off, and on.
        let mut flash = Flash::new(flash.release(), RANGE);
        assert_eq!(flash.load().unwrap(), Some(settings(i32::MAX - 4_999)));
        let Chip { erased, .. } = flash.release();
        let (least, most) =
            (erased[2..6].iter().min().unwrap(), erased[2..6].iter().max().unwrap());
        assert!(*most < 30 && most - least <= 2, "{erased:?}");
        assert_eq!((erased[1], erased[6]), (0, 0));
    }

    #[test]
    fn power_lost_while_saving_leaves_the_old_or_the_new() {
        let mut chip = Chip::new();
        chip.writes_left = usize::MAX;
        let mut flash = Flash::new(chip, RANGE);
        flash.save(&settings(0)).unwrap();
        let mut last = 0;
        for cut in 0..2_000_usize {
            let now = cut as i32 + 1;
            let mut chip = flash.release();
            chip.writes_left = cut % 67;
            flash = Flash::new(chip, RANGE);
            let saved = flash.save(&settings(now)).is_ok();
            let mut chip = flash.release();
            chip.writes_left = usize::MAX;
            flash = Flash::new(chip, RANGE);
            let found = flash.load().unwrap().expect("settings").level_mv;
            assert!(found == now || (!saved && found == last), "{cut}: {found} after {last}");
            last = found;
        }
    }

    #[test]
    fn settings_of_another_kind_are_not_taken() {
        let mut flash = Flash::new(Chip::new(), RANGE);
        let (mut buffer, junk): (_, &[u8]) = ([0; 64], &[0xFF; 20]);
        embassy_futures::block_on(flash.map().unwrap().store_item(&mut buffer, &super::KEY, &junk))
            .unwrap();
        assert!(flash.load().unwrap().is_none());
    }

    #[test]
    fn a_turning_hand_is_waited_for() {
        let mut patience = Patience::new(settings(0));
        assert!(!patience.is_over(&settings(0), 10_000));
        for now in 0..10 {
            assert!(!patience.is_over(&settings(now as i32), 20_000 + now * 1_000));
        }
        assert!(!patience.is_over(&settings(9), 31_999));
        assert!(patience.is_over(&settings(9), 32_000));
        assert!(!patience.is_over(&settings(9), 50_000));
        // Back to what is kept: nothing to do.
        patience.is_over(&settings(3), 51_000);
        patience.is_over(&settings(9), 52_000);
        assert!(!patience.is_over(&settings(9), 60_000));
    }
}
