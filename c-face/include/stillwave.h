/* Stillwave for C and C++: triggers, records and measurements of sampled voltages.
 *
 * Made by cbindgen from c-face/src; c-face/README.md says how to link it. There is no heap: the
 * caller gives all memory. One caller at a time for each acquisition, interrupts included.
 *
 * The ground of a probe, and of a board on a USB cable, may be connected to mains earth: connect it
 * to ground only, never to a live node, and keep to the ratings of probe and input. */

#ifndef STILLWAVE_H
#define STILLWAVE_H

#include <stddef.h>
#include <stdint.h>

#if UINTPTR_MAX > 0xFFFFFFFFu
#define STILLWAVE_64_BIT
#elif defined(__i386__) || defined(_M_IX86)
#define STILLWAVE_X86
#elif defined(__wasm__)
#define STILLWAVE_WASM
#endif

#if (defined(STILLWAVE_64_BIT) || defined(STILLWAVE_X86) || defined(STILLWAVE_WASM))
// The 64-bit words of an acquisition: vectors take some.
#define STILLWAVE_WORDS 704
#endif

#if !(defined(STILLWAVE_64_BIT) || defined(STILLWAVE_X86) || defined(STILLWAVE_WASM))
// The 64-bit words of an acquisition.
#define STILLWAVE_WORDS 96
#endif

// The value is there.
#define STILLWAVE_MEASURED 0

// There is no sample.
#define STILLWAVE_EMPTY 1

// Samples lie at an end code of the converter, or beyond.
#define STILLWAVE_CLIPPED 2

// The samples do not show two levels that stand apart.
#define STILLWAVE_ONE_LEVEL 3

// No complete transition of the kind asked for.
#define STILLWAVE_NO_TRANSITION 4

// Transitions, but no complete cycle or pulse.
#define STILLWAVE_NOT_ENOUGH_CYCLES 5

// A transition is faster than the samples can show.
#define STILLWAVE_TOO_FAST 6

// Too few samples.
#define STILLWAVE_TOO_SHORT 7

// Another reason.
#define STILLWAVE_OTHER_REASON 8

// The signal passes the level.
#define STILLWAVE_EDGE 0

// A pulse through the level ends whose width compares as asked.
#define STILLWAVE_PULSE 1

// The time from an edge to the next of the same slope compares as asked.
#define STILLWAVE_INTERVAL 2

// There was no edge for `after` samples.
#define STILLWAVE_DROPOUT 3

// The time from one level to the other compares as asked.
#define STILLWAVE_TRANSITION 4

// A pulse passes the first level and does not reach the second.
#define STILLWAVE_RUNT 5

// The signal enters or leaves the window between the levels, or stays inside or outside.
#define STILLWAVE_WINDOW 6

// Upwards; of a pulse or runt: positive.
#define STILLWAVE_RISING 0

// Downwards; of a pulse or runt: negative.
#define STILLWAVE_FALLING 1

// Both.
#define STILLWAVE_EITHER 2

// The window is entered.
#define STILLWAVE_ENTERS 0

// The window is left.
#define STILLWAVE_LEAVES 1

// The signal is inside for longer than `after` samples, or for shorter than `time`.
#define STILLWAVE_STAYS_INSIDE 2

// The signal is outside for longer than `after` samples, or for shorter than `time`.
#define STILLWAVE_STAYS_OUTSIDE 3

// Any time at all.
#define STILLWAVE_ANY_TIME 0

// Shorter than `time` (<).
#define STILLWAVE_SHORTER 1

// Longer than `time` (>); of a stay in a window: than `after`.
#define STILLWAVE_LONGER 2

// From `time` to `time_to`, both included.
#define STILLWAVE_WITHIN 3

// Shorter than `time` or longer than `time_to`.
#define STILLWAVE_OUTSIDE 4

// A record an event.
#define STILLWAVE_NORMAL 0

// As normal; where no event starts a record for `auto_after` samples, one is forced.
#define STILLWAVE_AUTO 1

// One record, then stop.
#define STILLWAVE_SINGLE 2

// What a call came to; 0 is success.
enum StillwaveStatus
#if defined(__cplusplus) || __STDC_VERSION__ >= 202311L
  : uint32_t
#endif // defined(__cplusplus) || __STDC_VERSION__ >= 202311L
 {
    // Done.
    STILLWAVE_STATUS_OK = 0,
    // A pointer that must not be null is null.
    STILLWAVE_STATUS_NULL_POINTER = 1,
    // A pointer is not aligned for what it points to.
    STILLWAVE_STATUS_MISALIGNED = 2,
    // A size is not that of this library's structure, or no memory is that large.
    STILLWAVE_STATUS_WRONG_SIZE = 3,
    // The acquisition was never started, or was copied or overwritten since.
    STILLWAVE_STATUS_NOT_STARTED = 4,
    // A setting is out of its range: where there is a fault, it says which.
    STILLWAVE_STATUS_BAD_SETTING = 5,
    // Called from within a callback of the same acquisition.
    STILLWAVE_STATUS_BUSY = 6,
    // The samples lie in the memory of the records.
    STILLWAVE_STATUS_OVERLAP = 7,
};
#ifndef __cplusplus
#if __STDC_VERSION__ >= 202311L
typedef enum StillwaveStatus StillwaveStatus;
#else
typedef uint32_t StillwaveStatus;
#endif // __STDC_VERSION__ >= 202311L
#endif // __cplusplus

// What to wait for, and what to record. Levels are in counts, where samples are 0 to 65535; `time`
// and `time_to` are in 1/65536 of a sample, all other lengths of time in samples.
typedef struct StillwaveSettings {
    // The time to compare with, in 1/65536 of a sample.
    uint64_t time;
    // The end of a range of times, in 1/65536 of a sample: at least `time`.
    uint64_t time_to;
    // For a dropout, and for a stay in a window that is to be longer: samples; for a dropout 1 or
    // more.
    uint64_t after;
    // An event at least so many samples after the last accepted one is accepted; 0: every one.
    uint64_t holdoff;
    // STILLWAVE_AUTO: samples since the last record, without an event that starts another, before
    // one is forced; 1 or more.
    uint64_t auto_after;
    // Accept every n-th event; 0 and 1: every one. Not together with `holdoff`.
    uint32_t every;
    // STILLWAVE_EDGE to STILLWAVE_WINDOW.
    uint32_t condition;
    // STILLWAVE_RISING, STILLWAVE_FALLING or STILLWAVE_EITHER; for a window STILLWAVE_ENTERS to
    // STILLWAVE_STAYS_OUTSIDE.
    uint32_t way;
    // STILLWAVE_ANY_TIME to STILLWAVE_OUTSIDE; for a stay in a window STILLWAVE_SHORTER or
    // STILLWAVE_LONGER.
    uint32_t comparison;
    // The level, or the lower of two: any, also where no sample gets to.
    int32_t level;
    // The upper of two levels (transition, runt, window): over `level`.
    int32_t upper_level;
    // How far the signal must go back beyond a level before it can cross it again: 0 or more, for a
    // window at most half of it.
    int32_t hysteresis;
    // STILLWAVE_NORMAL, STILLWAVE_AUTO or STILLWAVE_SINGLE.
    uint32_t mode;
    // Samples of a record before the event.
    uint32_t pre;
    // Samples of a record from the event on; with `pre` 1 or more, and at most as many as there is
    // memory for.
    uint32_t post;
} StillwaveSettings;

// An acquisition: the caller's memory, this library's content. Begin with stillwave_start. It has
// its place in memory: a copy of it is not one.
typedef struct StillwaveAcquisition {
    // For this library alone.
    uint64_t content[STILLWAVE_WORDS];
} StillwaveAcquisition;

// A setting out of its range.
typedef struct StillwaveFault {
    // Its value.
    double value;
    // Its name, ended by a 0: that of a field of StillwaveSettings, `pre + post` for the two
    // together, or `length` for that of the memory.
    char parameter[32];
    // What it must be, ended by a 0.
    char range[96];
} StillwaveFault;

// Something that the signal did.
typedef struct StillwaveEvent {
    // The first sample at or past the level, counted from the start of the stream.
    uint64_t position;
    // How long it took, in 1/65536 of a sample; 0 for what takes no time.
    uint64_t time;
    // How far before that sample the level was crossed, in 1/65536 of a sample: 0 to 65536.
    uint32_t lead;
    // What it was: STILLWAVE_EDGE to STILLWAVE_WINDOW.
    uint32_t condition;
    // Which way: STILLWAVE_RISING or STILLWAVE_FALLING (a pulse's or a runt's: positive or
    // negative); of a window: STILLWAVE_ENTERS to STILLWAVE_STAYS_OUTSIDE; of a dropout: 0, which
    // says nothing.
    uint32_t way;
} StillwaveEvent;

// Called with an accepted event and the context given to stillwave_push.
typedef void (*StillwaveOnEvent)(const struct StillwaveEvent *event, void *context);

// The samples around an event. It and its samples are lent until the callback returns.
typedef struct StillwaveRecord {
    // The number of this record, from 0.
    uint64_t number;
    // The position of its first sample.
    uint64_t start;
    // The event that started it. Where `triggered` is 0 there was none: its position is where the
    // record was forced, and all else is 0, which would read as a rising edge.
    struct StillwaveEvent event;
    // Its samples.
    const uint16_t *samples;
    // How many there are.
    size_t count;
    // The index of the first sample at or past the event.
    size_t trigger_index;
    // 1 where an event started it, 0 where it was forced.
    uint32_t triggered;
} StillwaveRecord;

// Called with a finished record and the context given to stillwave_push.
typedef void (*StillwaveOnRecord)(const struct StillwaveRecord *record, void *context);

// What an acquisition has seen and done.
typedef struct StillwaveCounters {
    // Events of the condition, accepted or not.
    uint64_t events;
    // Events that the holdoff refused.
    uint64_t held_off;
    // Accepted events that started no record: one was filling, or the pre-trigger was not full.
    // While stopped, none is counted.
    uint64_t unrecorded;
    // Records finished, forced ones included.
    uint64_t records;
    // Records started without an event.
    uint64_t forced;
    // Records given up by a gap, a stop or a run.
    uint64_t abandoned;
    // Gaps in the stream.
    uint64_t gaps;
    // Samples lost in them, as far as known.
    uint64_t lost;
} StillwaveCounters;

// A measured value, or the reason why the record does not give one.
typedef struct StillwaveValue {
    // The value; not a number where there is none.
    double number;
    // STILLWAVE_MEASURED, or why there is none.
    uint32_t reason;
} StillwaveValue;

// What a record measures: levels in counts, times in samples.
typedef struct StillwaveMeasurements {
    // The number of samples.
    uint64_t samples;
    // Complete cycles.
    uint64_t cycles;
    // The smallest sample.
    struct StillwaveValue minimum;
    // The largest sample.
    struct StillwaveValue maximum;
    // Maximum less minimum.
    struct StillwaveValue peak_to_peak;
    // The mean of all samples.
    struct StillwaveValue mean;
    // The root of the mean square about the count 0.
    struct StillwaveValue rms;
    // The root of the mean square about the mean.
    struct StillwaveValue ac_rms;
    // The level of the low state.
    struct StillwaveValue low;
    // The level of the high state.
    struct StillwaveValue high;
    // High less low.
    struct StillwaveValue amplitude;
    // The mean period, in samples.
    struct StillwaveValue period;
    // 1 over the period, in cycles a sample.
    struct StillwaveValue frequency;
    // The share of a period that is high: 0 to 1.
    struct StillwaveValue duty;
    // The mean width of positive pulses, in samples.
    struct StillwaveValue positive_width;
    // The mean width of negative pulses, in samples.
    struct StillwaveValue negative_width;
    // The mean time from 10 to 90 % upwards, in samples.
    struct StillwaveValue rise_time;
    // The mean time from 90 to 10 % downwards, in samples.
    struct StillwaveValue fall_time;
} StillwaveMeasurements;

#ifdef __cplusplus
extern "C" {
#endif // __cplusplus

// Writes the default settings: a rising edge through 2048, records of 128 samples before it and
// 128 from it on.
//
// # Safety
// `settings` must be null or point to memory for settings.
StillwaveStatus stillwave_defaults(struct StillwaveSettings *settings);

// Starts an acquisition, or starts it anew: what it was before is forgotten. Where a callback never
// returned (longjmp, an exception), fill the acquisition with zeros first.
//
// `size` is sizeof(StillwaveAcquisition): that header and library are of one version. Records are
// kept in `memory`, which has room for `length` samples: a record at least. Where a setting is
// refused, and `fault` is not null, it says which.
//
// # Safety
// Each pointer must be null or point to what its type says, `memory` to `length` samples that
// nobody else uses until the acquisition is no longer used.
StillwaveStatus stillwave_start(struct StillwaveAcquisition *acquisition,
                                size_t size,
                                const struct StillwaveSettings *settings,
                                uint16_t *memory,
                                size_t length,
                                struct StillwaveFault *fault);

// Takes the next `count` samples, and calls `on_event` for every accepted event and `on_record` for
// every record that they finish, in order; either may be null. Within a callback, calls with this
// acquisition are refused. Blocks may be of any length; the results do not depend on it.
//
// # Safety
// `acquisition` must be null or the caller's alone, `samples` null or to `count` samples, the
// callbacks null or functions of their type.
StillwaveStatus stillwave_push(struct StillwaveAcquisition *acquisition,
                               const uint16_t *samples,
                               size_t count,
                               StillwaveOnEvent on_event,
                               StillwaveOnRecord on_record,
                               void *context);

// Tells of `lost` samples before the next (an overrun): the condition disarms, a record under way
// is abandoned, positions go on. 0 where their number is not known.
//
// # Safety
// `acquisition` must be null or the caller's alone.
StillwaveStatus stillwave_gap(struct StillwaveAcquisition *acquisition, uint64_t lost);

// Waits for an event from now on: after a stop or a single record, or to re-arm at any time. A
// record under way is abandoned.
//
// # Safety
// `acquisition` must be null or the caller's alone.
StillwaveStatus stillwave_run(struct StillwaveAcquisition *acquisition);

// Starts no record until run again. A record under way is abandoned.
//
// # Safety
// `acquisition` must be null or the caller's alone.
StillwaveStatus stillwave_stop(struct StillwaveAcquisition *acquisition);

// Writes what the acquisition has seen and done.
//
// # Safety
// `acquisition` must be null or the caller's alone, `counters` null or to memory for counters.
StillwaveStatus stillwave_counters(struct StillwaveAcquisition *acquisition,
                                   struct StillwaveCounters *counters);

// Measures `count` samples, such as those of a record. Values that they do not give say why.
//
// `lowest` and `highest` are the converter's end codes, such as 0 and 4095: samples there or beyond
// are clipped. -1 and 65536 where nothing clips. STILLWAVE_STATUS_BAD_SETTING where `highest` is not
// over `lowest`.
//
// # Safety
// `samples` must be null or to `count` samples, `measurements` null or to memory for them.
StillwaveStatus stillwave_measure(const uint16_t *samples,
                                  size_t count,
                                  int32_t lowest,
                                  int32_t highest,
                                  struct StillwaveMeasurements *measurements);

// A status in a few words, for messages; of numbers that are none, "unknown".
const char *stillwave_status_text(uint32_t status);

#ifdef __cplusplus
}  // extern "C"
#endif  // __cplusplus

#endif  /* STILLWAVE_H */
