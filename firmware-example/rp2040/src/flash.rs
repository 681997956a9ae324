//! The flash that the program lies in, for settings: its last four sectors.

use core::{mem, ops::Range};

use embedded_storage::nor_flash::{
    ErrorType, MultiwriteNorFlash, NorFlash, NorFlashErrorKind, ReadNorFlash, check_erase,
    check_read, check_write,
};
use rp2040_hal::rom_data;

const CAPACITY: usize = 2 * 1024 * 1024;
const SECTOR: u32 = 4_096;
/// What the flash is programmed by.
const PAGE: u32 = 256;
/// Where it is read.
const ADDRESS: usize = 0x1000_0000;

/// The sectors that memory/rp2040.x leaves.
pub(crate) const SETTINGS: Range<u32> = CAPACITY as u32 - 4 * SECTOR..CAPACITY as u32;

/// The board's flash. Nothing runs while it is written: an erasure takes some 50 ms, in which the
/// converter overruns, as is then counted.
pub(crate) struct BoardFlash;

impl ErrorType for BoardFlash {
    type Error = NorFlashErrorKind;
}

impl ReadNorFlash for BoardFlash {
    const READ_SIZE: usize = 1;

    fn read(&mut self, offset: u32, bytes: &mut [u8]) -> Result<(), NorFlashErrorKind> {
        check_read(self, offset, bytes.len())?;
        let from = (ADDRESS + offset as usize) as *const u8;
        // SAFETY: within the flash, as checked.
        unsafe { from.copy_to_nonoverlapping(bytes.as_mut_ptr(), bytes.len()) };
        Ok(())
    }

    fn capacity(&self) -> usize {
        CAPACITY
    }
}

impl NorFlash for BoardFlash {
    const WRITE_SIZE: usize = 1;
    const ERASE_SIZE: usize = SECTOR as usize;

    fn erase(&mut self, from: u32, to: u32) -> Result<(), NorFlashErrorKind> {
        check_erase(self, from, to)?;
        // SAFETY: whole sectors within the flash.
        unsafe { carry_out(Job::Erase { from, len: (to - from) as usize }) };
        Ok(())
    }

    fn write(&mut self, offset: u32, mut bytes: &[u8]) -> Result<(), NorFlashErrorKind> {
        check_write(self, offset, bytes.len())?;
        let mut at = offset;
        while !bytes.is_empty() {
            let within = at % PAGE;
            let count = bytes.len().min((PAGE - within) as usize);
            let (now, rest) = bytes.split_at(count);
            // A 1 leaves a bit as it is.
            let mut page = [0xFF; PAGE as usize];
            page[within as usize..within as usize + count].copy_from_slice(now);
            // SAFETY: a whole page within the flash.
            unsafe { carry_out(Job::Program { from: at - within, page: page.as_ptr() }) };
            at += count as u32;
            bytes = rest;
        }
        Ok(())
    }
}

impl MultiwriteNorFlash for BoardFlash {}

/// What is done to the flash.
#[derive(Clone, Copy)]
enum Job {
    Erase { from: u32, len: usize },
    Program { from: u32, page: *const u8 },
}

/// The ROM's functions (RP2040 datasheet, 2.8.3.1.3), and the boot's second stage, by which the
/// flash can be read again.
struct Rom {
    connect: unsafe extern "C" fn(),
    exit_xip: unsafe extern "C" fn(),
    erase: unsafe extern "C" fn(u32, usize, u32, u8),
    program: unsafe extern "C" fn(u32, *const u8, usize),
    flush_cache: unsafe extern "C" fn(),
    enter_xip: unsafe extern "C" fn(),
}

/// Does it, while nothing runs from the flash.
///
/// # Safety
/// Whole sectors or pages within the flash.
unsafe fn carry_out(job: Job) {
    const STAGE: usize = 64;
    // SAFETY: the second stage lies at the flash's beginning.
    let stage: [u32; STAGE] = unsafe { (ADDRESS as *const [u32; STAGE]).read_volatile() };
    let rom = Rom {
        connect: rom_data::connect_internal_flash::ptr(),
        exit_xip: rom_data::flash_exit_xip::ptr(),
        erase: rom_data::flash_range_erase::ptr(),
        program: rom_data::flash_range_program::ptr(),
        flush_cache: rom_data::flash_flush_cache::ptr(),
        // SAFETY: it is code that returns to its caller; odd for Thumb.
        enter_xip: unsafe {
            mem::transmute::<usize, unsafe extern "C" fn()>(stage.as_ptr() as usize + 1)
        },
    };
    // SAFETY: no interrupt can run from the flash meanwhile, and there is no second core at work.
    cortex_m::interrupt::free(|_| unsafe { from_ram(&rom, job) });
}

/// The part that must not lie in the flash: calls by pointer alone.
#[inline(never)]
#[unsafe(link_section = ".data.ram_func")]
unsafe fn from_ram(rom: &Rom, job: Job) {
    /// The flash's command to erase 64 KB, for what is as long; there is nothing as long here.
    const BLOCK_ERASE: u8 = 0xD8;
    // SAFETY: in the order of the datasheet.
    unsafe {
        (rom.connect)();
        (rom.exit_xip)();
        match job {
            Job::Erase { from, len } => (rom.erase)(from, len, 1 << 16, BLOCK_ERASE),
            Job::Program { from, page } => (rom.program)(from, page, PAGE as usize),
        }
        (rom.flush_cache)();
        (rom.enter_xip)();
    }
}
