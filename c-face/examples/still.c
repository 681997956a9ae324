/* Stands a waveform still: records of a rising edge, and what they measure.
 *
 * A board would hand over the halves of its DMA buffer; here a computed triangle stands for them.
 */
#include "stillwave.h"

#include <stdio.h>

static StillwaveAcquisition acquisition;
static uint16_t memory[512]; /* where records are kept: a record at least */

static void on_record(const StillwaveRecord *record, void *context)
{
    StillwaveMeasurements found;
    (void)context;
    /* The end codes of a 12-bit converter. */
    if (stillwave_measure(record->samples, record->count, 0, 4095, &found) != STILLWAVE_STATUS_OK)
        return;
    printf("record %d at sample %d: period %.3f samples, %.0f counts from peak to peak\n",
           (int)record->number, (int)record->event.position, found.period.number,
           found.peak_to_peak.number);
}

int main(void)
{
    StillwaveSettings settings;
    StillwaveFault fault;
    uint16_t half[256];
    int block, i, position = 0;

    stillwave_defaults(&settings);
    settings.level = 2048;     /* counts of a 12-bit converter */
    settings.hysteresis = 100;
    settings.holdoff = 500;    /* samples */
    settings.pre = 50;
    settings.post = 350;
    if (stillwave_start(&acquisition, sizeof acquisition, &settings, memory, 512, &fault)) {
        printf("%s is %g: it must be %s\n", fault.parameter, fault.value, fault.range);
        return 1;
    }
    for (block = 0; block < 8; block++) {
        for (i = 0; i < 256; i++, position++) {
            int phase = position % 125;
            half[i] = (uint16_t)(phase < 50 ? 40 + 80 * phase : 4040 - 160 * (phase - 50) / 3);
        }
        stillwave_push(&acquisition, half, 256, NULL, on_record, NULL);
    }
    return 0;
}
