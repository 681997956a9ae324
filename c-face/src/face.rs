//! The calls, and all that C programs must be trusted with.

use core::ffi::c_void;
use core::mem::{align_of, size_of};
use core::slice;

use stillwave::measure::{Config, Meter};
use stillwave::{Acquisition, AnyCondition};

use crate::{
    StillwaveCounters, StillwaveEvent, StillwaveFault, StillwaveMeasurements, StillwaveRecord,
    StillwaveSettings, StillwaveStatus,
};

/// The 64-bit words of an acquisition: vectors take some.
#[cfg(any(target_pointer_width = "64", target_arch = "x86", target_arch = "wasm32"))]
pub const STILLWAVE_WORDS: usize = 704;
/// The 64-bit words of an acquisition.
#[cfg(not(any(target_pointer_width = "64", target_arch = "x86", target_arch = "wasm32")))]
pub const STILLWAVE_WORDS: usize = 96;

/// An acquisition: the caller's memory, this library's content. Begin with stillwave_start. It has
/// its place in memory: a copy of it is not one.
#[derive(Debug)]
#[repr(C)]
pub struct StillwaveAcquisition {
    /// For this library alone.
    pub content: [u64; STILLWAVE_WORDS],
}

/// Called with an accepted event and the context given to stillwave_push.
pub type StillwaveOnEvent =
    Option<unsafe extern "C" fn(event: *const StillwaveEvent, context: *mut c_void)>;

/// Called with a finished record and the context given to stillwave_push.
pub type StillwaveOnRecord =
    Option<unsafe extern "C" fn(record: *const StillwaveRecord, context: *mut c_void)>;

/// What an acquisition is inside.
#[repr(C)]
struct Inside {
    /// Its own address and whether it is at work, so that nothing else is taken for one.
    mark: usize,
    state: State,
}

/// What it works with.
struct State {
    /// Where its records are, in addresses.
    memory: (usize, usize),
    acquisition: Acquisition<AnyCondition<u16>, &'static mut [u16]>,
}

const _: () = assert!(size_of::<Inside>() <= size_of::<StillwaveAcquisition>());
const _: () = assert!(align_of::<Inside>() <= align_of::<StillwaveAcquisition>());

/// Marks, once mixed with an address.
const READY: usize = 0x5711_3A7E;
const AT_WORK: usize = 0x2B15_7C03;

/// Everything that is done with a pointer: it is not null and it is aligned.
fn checked<T>(pointer: *const T) -> Result<(), StillwaveStatus> {
    if pointer.is_null() {
        Err(StillwaveStatus::NullPointer)
    } else if pointer.is_aligned() {
        Ok(())
    } else {
        Err(StillwaveStatus::Misaligned)
    }
}

/// The addresses of so many samples from a pointer on.
fn range(samples: *const u16, count: usize) -> Result<(usize, usize), StillwaveStatus> {
    checked(samples)?;
    let from = samples.addr();
    let bytes = count.checked_mul(size_of::<u16>()).filter(|&bytes| isize::try_from(bytes).is_ok());
    let to = bytes.and_then(|bytes| from.checked_add(bytes));
    to.map(|to| (from, to)).ok_or(StillwaveStatus::WrongSize)
}

/// The samples from a pointer on; none from a null pointer with a count of 0.
///
/// # Safety
/// So many samples must be there, and must not change while the slice is in use.
unsafe fn samples<'a>(pointer: *const u16, count: usize) -> Result<&'a [u16], StillwaveStatus> {
    if count == 0 {
        return Ok(&[]);
    }
    range(pointer, count)?;
    // SAFETY: not null, aligned, of a size that is possible; the rest is the caller's promise.
    Ok(unsafe { slice::from_raw_parts(pointer, count) })
}

/// The mark that stands where an acquisition's would, whatever else is there.
///
/// # Safety
/// The pointer must be null, or to memory for an acquisition.
unsafe fn mark(this: *mut StillwaveAcquisition) -> Result<usize, StillwaveStatus> {
    checked(this)?;
    // SAFETY: not null, aligned for more than this, and the caller's to read. `Inside` begins with
    // it; what nobody has written yet is read as it is.
    Ok(unsafe { this.cast::<usize>().read_volatile() })
}

/// The inside of an acquisition that was started and is not at work. Its mark is no part of what is
/// lent: a callback may look at it.
///
/// # Safety
/// The pointer must be null, or to an acquisition that nobody else uses at the same time.
unsafe fn inside<'a>(this: *mut StillwaveAcquisition) -> Result<&'a mut State, StillwaveStatus> {
    // SAFETY: as promised by the caller.
    let mark = unsafe { mark(this) }?;
    if mark == this.addr() ^ READY {
        // SAFETY: only `stillwave_start` writes this mark for this address, after all the rest; size
        // and alignment are asserted above; nobody else uses it.
        Ok(unsafe { &mut (*this.cast::<Inside>()).state })
    } else if mark == this.addr() ^ AT_WORK {
        Err(StillwaveStatus::Busy)
    } else {
        Err(StillwaveStatus::NotStarted)
    }
}

fn status(done: Result<(), StillwaveStatus>) -> StillwaveStatus {
    match done {
        Ok(()) => StillwaveStatus::Ok,
        Err(status) => status,
    }
}

/// Writes the default settings: a rising edge through 2048, records of 128 samples before it and
/// 128 from it on.
///
/// # Safety
/// `settings` must be null or point to memory for settings.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn stillwave_defaults(settings: *mut StillwaveSettings) -> StillwaveStatus {
    if let Err(status) = checked(settings) {
        return status;
    }
    // SAFETY: not null, aligned, and the caller's to write.
    unsafe { settings.write(StillwaveSettings::default()) };
    StillwaveStatus::Ok
}

/// Starts an acquisition, or starts it anew: what it was before is forgotten. Where a callback never
/// returned (longjmp, an exception), fill the acquisition with zeros first.
///
/// `size` is sizeof(StillwaveAcquisition): that header and library are of one version. Records are
/// kept in `memory`, which has room for `length` samples: a record at least. Where a setting is
/// refused, and `fault` is not null, it says which.
///
/// # Safety
/// Each pointer must be null or point to what its type says, `memory` to `length` samples that
/// nobody else uses until the acquisition is no longer used.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn stillwave_start(
    acquisition: *mut StillwaveAcquisition,
    size: usize,
    settings: *const StillwaveSettings,
    memory: *mut u16,
    length: usize,
    fault: *mut StillwaveFault,
) -> StillwaveStatus {
    if size != size_of::<StillwaveAcquisition>() {
        return StillwaveStatus::WrongSize;
    }
    // SAFETY: as promised by the caller.
    let before = unsafe { mark(acquisition) };
    let pointers = before.and_then(|before| {
        checked(settings)?;
        Ok((before, range(memory, length)?))
    });
    let (before, memory_at) = match pointers {
        Ok(both) => both,
        Err(status) => return status,
    };
    if !fault.is_null() && !fault.is_aligned() {
        return StillwaveStatus::Misaligned;
    }
    if before == acquisition.addr() ^ AT_WORK {
        return StillwaveStatus::Busy;
    }
    // SAFETY: not null, aligned, the caller's to read, and any bits are settings.
    let settings = unsafe { settings.read() };
    // SAFETY: not null, aligned, of a size that is possible, and nobody else's from here on.
    let memory = unsafe { slice::from_raw_parts_mut(memory, length) };
    let made = (|| {
        let (trigger, shape, mode) = (settings.trigger()?, settings.shape()?, settings.mode()?);
        Ok(Acquisition::new(trigger, shape, mode, memory)?)
    })();
    match made {
        Ok(made) => {
            let mark = acquisition.addr() ^ READY;
            let state = State { memory: memory_at, acquisition: made };
            let inside = Inside { mark, state };
            // SAFETY: not null, aligned and large enough, as is asserted above.
            unsafe { acquisition.cast::<Inside>().write(inside) };
            StillwaveStatus::Ok
        }
        Err(wrong) => {
            if !fault.is_null() {
                // SAFETY: neither null nor misaligned, and the caller's to write.
                unsafe { fault.write(wrong) };
            }
            StillwaveStatus::BadSetting
        }
    }
}

/// Takes the next `count` samples, and calls `on_event` for every accepted event and `on_record` for
/// every record that they finish, in order; either may be null. Within a callback, calls with this
/// acquisition are refused. Blocks may be of any length; the results do not depend on it.
///
/// # Safety
/// `acquisition` must be null or the caller's alone, `samples` null or to `count` samples, the
/// callbacks null or functions of their type.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn stillwave_push(
    acquisition: *mut StillwaveAcquisition,
    samples: *const u16,
    count: usize,
    on_event: StillwaveOnEvent,
    on_record: StillwaveOnRecord,
    context: *mut c_void,
) -> StillwaveStatus {
    // SAFETY: as promised by the caller.
    let inside = match unsafe { inside(acquisition) } {
        Ok(inside) => inside,
        Err(status) => return status,
    };
    if let Ok((from, to)) = range(samples, count)
        && from < inside.memory.1
        && inside.memory.0 < to
    {
        return StillwaveStatus::Overlap;
    }
    // SAFETY: as promised by the caller.
    let samples = match unsafe { self::samples(samples, count) } {
        Ok(samples) => samples,
        Err(status) => return status,
    };
    let mark = acquisition.cast::<usize>();
    // So that a callback cannot come in here again. SAFETY: checked by `inside`; nothing of what it
    // lent lies there.
    unsafe { mark.write(acquisition.addr() ^ AT_WORK) };
    inside.acquisition.push_channels(
        &[samples],
        |event| {
            if let Some(on_event) = on_event {
                let event = StillwaveEvent::from(event);
                // SAFETY: the caller gave a function of this type; the event lives through the call.
                unsafe { on_event(&raw const event, context) };
            }
        },
        |record| {
            if let Some(on_record) = on_record {
                let record = StillwaveRecord::from(record);
                // SAFETY: as above; the samples it points to are lent for as long.
                unsafe { on_record(&raw const record, context) };
            }
        },
    );
    // SAFETY: as before.
    unsafe { mark.write(acquisition.addr() ^ READY) };
    StillwaveStatus::Ok
}

/// Tells of `lost` samples before the next (an overrun): the condition disarms, a record under way
/// is abandoned, positions go on. 0 where their number is not known.
///
/// # Safety
/// `acquisition` must be null or the caller's alone.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn stillwave_gap(
    acquisition: *mut StillwaveAcquisition,
    lost: u64,
) -> StillwaveStatus {
    // SAFETY: as promised by the caller.
    status(unsafe { inside(acquisition) }.map(|inside| inside.acquisition.gap(lost)))
}

/// Waits for an event from now on: after a stop or a single record, or to re-arm at any time. A
/// record under way is abandoned.
///
/// # Safety
/// `acquisition` must be null or the caller's alone.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn stillwave_run(acquisition: *mut StillwaveAcquisition) -> StillwaveStatus {
    // SAFETY: as promised by the caller.
    status(unsafe { inside(acquisition) }.map(|inside| inside.acquisition.run()))
}

/// Starts no record until run again. A record under way is abandoned.
///
/// # Safety
/// `acquisition` must be null or the caller's alone.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn stillwave_stop(acquisition: *mut StillwaveAcquisition) -> StillwaveStatus {
    // SAFETY: as promised by the caller.
    status(unsafe { inside(acquisition) }.map(|inside| inside.acquisition.stop()))
}

/// Writes what the acquisition has seen and done.
///
/// # Safety
/// `acquisition` must be null or the caller's alone, `counters` null or to memory for counters.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn stillwave_counters(
    acquisition: *mut StillwaveAcquisition,
    counters: *mut StillwaveCounters,
) -> StillwaveStatus {
    if let Err(status) = checked(counters) {
        return status;
    }
    // SAFETY: as promised by the caller.
    let inside = match unsafe { inside(acquisition) } {
        Ok(inside) => inside,
        Err(status) => return status,
    };
    // SAFETY: not null, aligned, and the caller's to write.
    unsafe { counters.write(inside.acquisition.counters().into()) };
    StillwaveStatus::Ok
}

/// Measures `count` samples, such as those of a record. Values that they do not give say why.
///
/// `lowest` and `highest` are the converter's end codes, such as 0 and 4095: samples there or beyond
/// are clipped. -1 and 65536 where nothing clips. STILLWAVE_STATUS_BAD_SETTING where `highest` is not
/// over `lowest`.
///
/// # Safety
/// `samples` must be null or to `count` samples, `measurements` null or to memory for them.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn stillwave_measure(
    samples: *const u16,
    count: usize,
    lowest: i32,
    highest: i32,
    measurements: *mut StillwaveMeasurements,
) -> StillwaveStatus {
    if let Err(status) = checked(measurements) {
        return status;
    }
    // SAFETY: as promised by the caller.
    let samples = match unsafe { self::samples(samples, count) } {
        Ok(samples) => samples,
        Err(status) => return status,
    };
    let end_codes = Some((f64::from(lowest), f64::from(highest)));
    let Ok(meter) = Meter::new(Config { end_codes, ..Config::default() }) else {
        return StillwaveStatus::BadSetting;
    };
    // SAFETY: not null, aligned, and the caller's to write.
    unsafe { measurements.write(meter.measure(samples).into()) };
    StillwaveStatus::Ok
}

/// A status in a few words, for messages; of numbers that are none, "unknown".
#[unsafe(no_mangle)]
pub extern "C" fn stillwave_status_text(status: u32) -> *const core::ffi::c_char {
    let text = match status {
        0 => c"done",
        1 => c"a pointer is null",
        2 => c"a pointer is not aligned",
        3 => c"a size is wrong",
        4 => c"not started, or copied",
        5 => c"a setting is out of its range",
        6 => c"called from its own callback",
        7 => c"samples in the memory of records",
        _ => c"unknown",
    };
    text.as_ptr()
}
