/* What the tests run on a PC and on a chip: `program FILE [NAME=VALUE...]` prints the events and
 * the measured records of a file of 16-bit samples, `program misuse` does all that must be refused.
 * Names are those of the settings; `block` is how many samples are handed over at once.
 */
#include "stillwave.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define BLOCK 1024
/* A number as printf takes it, whatever uint64_t is. */
#define LONG(number) ((unsigned long long)(number))

static StillwaveAcquisition acquisition;
static uint16_t memory[8192];
static uint16_t block[BLOCK];

static void on_event(const StillwaveEvent *event, void *context)
{
    double position = (double)event->position - (double)event->lead / 65536.0;
    (void)context;
    printf("{\"position\":%llu,\"crossing\":%.17g,\"condition\":%u,\"way\":%u,"
           "\"time_samples\":%.17g}\n",
           LONG(event->position), position, (unsigned)event->condition, (unsigned)event->way,
           (double)event->time / 65536.0);
}

static void value(const char *name, StillwaveValue value)
{
    if (value.reason == STILLWAVE_MEASURED)
        printf(",\"%s\":%.17g", name, value.number);
    else
        printf(",\"%s\":null", name);
}

static void on_record(const StillwaveRecord *record, void *context)
{
    StillwaveMeasurements found;
    (void)context;
    if (stillwave_measure(record->samples, record->count, 0, 65535, &found) != STILLWAVE_STATUS_OK)
        exit(3);
    /* The tool counts from 1. */
    printf("{\"record\":%llu,\"triggered\":%s,\"samples\":%llu", LONG(record->number + 1),
           record->triggered ? "true" : "false", LONG(found.samples));
    value("minimum", found.minimum);
    value("maximum", found.maximum);
    value("peak_to_peak", found.peak_to_peak);
    value("mean", found.mean);
    value("rms", found.rms);
    value("ac_rms", found.ac_rms);
    value("low", found.low);
    value("high", found.high);
    value("amplitude", found.amplitude);
    value("period", found.period);
    value("frequency", found.frequency);
    value("duty", found.duty);
    value("positive_width", found.positive_width);
    value("negative_width", found.negative_width);
    value("rise_time", found.rise_time);
    value("fall_time", found.fall_time);
    printf(",\"cycles\":%llu}\n", LONG(found.cycles));
}

static int set(StillwaveSettings *settings, size_t *size, const char *word)
{
    const char *equals = strchr(word, '=');
    size_t length = equals ? (size_t)(equals - word) : 0;
    long long number = equals ? strtoll(equals + 1, NULL, 10) : 0;
#define NAMED(name) (length == sizeof name - 1 && memcmp(word, name, length) == 0)
    if (NAMED("condition")) settings->condition = (uint32_t)number;
    else if (NAMED("way")) settings->way = (uint32_t)number;
    else if (NAMED("comparison")) settings->comparison = (uint32_t)number;
    else if (NAMED("time")) settings->time = (uint64_t)number;
    else if (NAMED("time_to")) settings->time_to = (uint64_t)number;
    else if (NAMED("after")) settings->after = (uint64_t)number;
    else if (NAMED("level")) settings->level = (int32_t)number;
    else if (NAMED("upper_level")) settings->upper_level = (int32_t)number;
    else if (NAMED("hysteresis")) settings->hysteresis = (int32_t)number;
    else if (NAMED("holdoff")) settings->holdoff = (uint64_t)number;
    else if (NAMED("every")) settings->every = (uint32_t)number;
    else if (NAMED("pre")) settings->pre = (uint32_t)number;
    else if (NAMED("post")) settings->post = (uint32_t)number;
    else if (NAMED("mode")) settings->mode = (uint32_t)number;
    else if (NAMED("auto_after")) settings->auto_after = (uint64_t)number;
    else if (NAMED("block")) *size = (size_t)number;
    else return 0;
    return 1;
}

static int show(int count, char **words)
{
    StillwaveSettings settings;
    StillwaveFault fault;
    StillwaveCounters counters;
    size_t size = BLOCK, read;
    FILE *file = fopen(words[1], "rb");
    int i;

    if (!file) return 4;
    stillwave_defaults(&settings);
    for (i = 2; i < count; i++)
        if (!set(&settings, &size, words[i])) return 5;
    if (size < 1 || size > BLOCK) return 5;
    if (stillwave_start(&acquisition, sizeof acquisition, &settings, memory, 8192, &fault)) {
        printf("%s is %.17g: it must be %s\n", fault.parameter, fault.value, fault.range);
        return 2;
    }
    while ((read = fread(block, sizeof *block, size, file)) > 0)
        if (stillwave_push(&acquisition, block, read, on_event, on_record, NULL)) return 6;
    fclose(file);
    if (stillwave_counters(&acquisition, &counters)) return 6;
    printf("{\"events\":%llu,\"held_off\":%llu,\"records\":%llu}\n", LONG(counters.events),
           LONG(counters.held_off), LONG(counters.records));
    return 0;
}

static int wrong;

static void expect(const char *what, uint32_t status, uint32_t expected)
{
    printf("%s: %s\n", what, stillwave_status_text(status));
    if (status != expected) {
        printf("  expected: %s\n", stillwave_status_text(expected));
        wrong = 1;
    }
}

/* What has a field out of its range, or too little memory, names it and its value. */
static void refused(const StillwaveSettings *settings, size_t length, const char *name,
                    double number)
{
    StillwaveFault fault;
    const size_t size = sizeof acquisition;
    expect(name, stillwave_start(&acquisition, size, settings, memory, length, &fault),
           STILLWAVE_STATUS_BAD_SETTING);
    printf("%s is %g: it must be %s\n", fault.parameter, fault.value, fault.range);
    if (strcmp(fault.parameter, name) != 0 || fault.value != number) {
        printf("  expected: %s is %g\n", name, number);
        wrong = 1;
    }
}

static void refused_by_name(void)
{
    StillwaveSettings good, settings;
    stillwave_defaults(&good);
    refused(&good, 255, "length", 255);
    settings = good, settings.pre = 0, settings.post = 0;
    refused(&settings, 8192, "pre + post", 0);
    settings = good, settings.mode = STILLWAVE_AUTO;
    refused(&settings, 8192, "auto_after", 0);
    settings = good, settings.hysteresis = -1;
    refused(&settings, 8192, "hysteresis", -1);
    settings = good, settings.condition = STILLWAVE_RUNT, settings.upper_level = settings.level;
    refused(&settings, 8192, "upper_level", good.level);
    settings = good, settings.condition = STILLWAVE_DROPOUT;
    refused(&settings, 8192, "after", 0);
    settings = good, settings.condition = STILLWAVE_PULSE, settings.comparison = STILLWAVE_WITHIN;
    settings.time = 2 * 65536;
    settings.time_to = 65536;
    refused(&settings, 8192, "time_to", 65536);
    settings = good, settings.every = 2, settings.holdoff = 1;
    refused(&settings, 8192, "every", 2);
    settings = good, settings.condition = 77;
    refused(&settings, 8192, "condition", 77);
}

static void again(const StillwaveEvent *event, void *context)
{
    StillwaveSettings settings;
    (void)event;
    (void)context;
    expect("from a callback", stillwave_run(&acquisition), STILLWAVE_STATUS_BUSY);
    stillwave_defaults(&settings);
    expect("a start from a callback",
           stillwave_start(&acquisition, sizeof acquisition, &settings, memory, 8192, NULL),
           STILLWAVE_STATUS_BUSY);
}

static int misuse(void)
{
    static StillwaveAcquisition other;
    StillwaveAcquisition *none = NULL;
    StillwaveSettings settings;
    StillwaveFault fault;
    StillwaveCounters counters;
    StillwaveMeasurements found;
    const size_t size = sizeof acquisition;
    const size_t too_many = (size_t)-1;
    uint16_t *odd = (uint16_t *)(void *)((unsigned char *)memory + 1);
    int i;

    expect("no settings", stillwave_defaults(NULL), STILLWAVE_STATUS_NULL_POINTER);
    expect("settings", stillwave_defaults(&settings), STILLWAVE_STATUS_OK);
    expect("not started", stillwave_push(&acquisition, block, 1, NULL, NULL, NULL),
           STILLWAVE_STATUS_NOT_STARTED);
    expect("no acquisition", stillwave_start(none, size, &settings, memory, 8192, &fault),
           STILLWAVE_STATUS_NULL_POINTER);
    expect("another size", stillwave_start(&acquisition, size - 8, &settings, memory, 8192, &fault),
           STILLWAVE_STATUS_WRONG_SIZE);
    expect("no settings", stillwave_start(&acquisition, size, NULL, memory, 8192, &fault),
           STILLWAVE_STATUS_NULL_POINTER);
    expect("no memory", stillwave_start(&acquisition, size, &settings, NULL, 8192, &fault),
           STILLWAVE_STATUS_NULL_POINTER);
    expect("odd memory", stillwave_start(&acquisition, size, &settings, odd, 8000, &fault),
           STILLWAVE_STATUS_MISALIGNED);
    expect("endless memory", stillwave_start(&acquisition, size, &settings, memory, too_many, &fault),
           STILLWAVE_STATUS_WRONG_SIZE);
    refused_by_name();
    settings.condition = 77;
    expect("no fault wanted", stillwave_start(&acquisition, size, &settings, memory, 8192, NULL),
           STILLWAVE_STATUS_BAD_SETTING);
    stillwave_defaults(&settings);
    expect("start", stillwave_start(&acquisition, size, &settings, memory, 8192, &fault),
           STILLWAVE_STATUS_OK);
    expect("no samples", stillwave_push(&acquisition, NULL, 1, NULL, NULL, NULL),
           STILLWAVE_STATUS_NULL_POINTER);
    expect("none at all", stillwave_push(&acquisition, NULL, 0, NULL, NULL, NULL),
           STILLWAVE_STATUS_OK);
    expect("endless samples", stillwave_push(&acquisition, block, too_many, NULL, NULL, NULL),
           STILLWAVE_STATUS_WRONG_SIZE);
    expect("odd samples", stillwave_push(&acquisition, odd, 8, NULL, NULL, NULL),
           STILLWAVE_STATUS_MISALIGNED);
    expect("samples of records", stillwave_push(&acquisition, memory + 9, 8, NULL, NULL, NULL),
           STILLWAVE_STATUS_OVERLAP);
    for (i = 0; i < BLOCK; i++) block[i] = i % 1000 < 500 ? 10 : 4000;
    expect("a callback that calls", stillwave_push(&acquisition, block, BLOCK, again, NULL, NULL),
           STILLWAVE_STATUS_OK);
    expect("afterwards", stillwave_gap(&acquisition, 3), STILLWAVE_STATUS_OK);
    memcpy(&other, &acquisition, sizeof other);
    expect("a copy", stillwave_gap(&other, 3), STILLWAVE_STATUS_NOT_STARTED);
    expect("no counters", stillwave_counters(&acquisition, NULL), STILLWAVE_STATUS_NULL_POINTER);
    expect("counters of none", stillwave_counters(none, &counters), STILLWAVE_STATUS_NULL_POINTER);
    expect("stop", stillwave_stop(&acquisition), STILLWAVE_STATUS_OK);
    expect("no measurements", stillwave_measure(block, 9, 0, 4095, NULL),
           STILLWAVE_STATUS_NULL_POINTER);
    expect("end codes the wrong way round", stillwave_measure(block, 9, 4095, 0, &found),
           STILLWAVE_STATUS_BAD_SETTING);
    expect("measure nothing", stillwave_measure(NULL, 0, 0, 4095, &found), STILLWAVE_STATUS_OK);
    if (found.mean.reason != STILLWAVE_EMPTY || !isnan(found.mean.number)) wrong = 1;
    expect("clipped", stillwave_measure(block, BLOCK, 10, 4095, &found), STILLWAVE_STATUS_OK);
    if (found.minimum.reason != STILLWAVE_CLIPPED || found.maximum.number != 4000) wrong = 1;
    expect("not clipped", stillwave_measure(block, BLOCK, -1, 65536, &found), STILLWAVE_STATUS_OK);
    if (found.minimum.number != 10 || found.maximum.number != 4000) wrong = 1;
    printf("%s\n", stillwave_status_text(99));
    return wrong;
}

int main(int count, char **words)
{
    if (count == 2 && strcmp(words[1], "misuse") == 0) return misuse();
    return count < 2 ? 5 : show(count, words);
}
