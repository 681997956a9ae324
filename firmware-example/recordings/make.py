#!/usr/bin/env python3
"""Makes pulses.u16le, the recording that the firmware carries in flash.

No board recorded it; it is of our own making: 12-bit samples, little-endian u16,
as a converter at 100 kS/s might see a logic line through a slow probe. Integers
alone, so that it comes out the same everywhere:
    recordings/make.py > recordings/pulses.u16le
"""

import struct
import sys

LENGTH = 8000
LOW, HIGH = 350, 3600

# (first sample, width, top): a clock, one short pulse, one runt, one long pulse.
pulses = [(100 + 250 * n, 110 + n % 7, HIGH) for n in range(30)]
pulses[9] = (100 + 250 * 9, 11, HIGH)
pulses[17] = (100 + 250 * 17, 90, 1700)
pulses[24] = (100 + 250 * 24, 205, HIGH)

samples = []
noise = 1
value = LOW << 8
for i in range(LENGTH):
    goal = max([top for first, width, top in pulses if first <= i < first + width], default=LOW)
    # The probe: a fifth of the way to the goal in each sample.
    value += ((goal << 8) - value) // 5
    noise = (1664525 * noise + 1013904223) % (1 << 32)
    samples.append(min(max((value >> 8) + (noise >> 28) - 8, 0), 4095))

sys.stdout.buffer.write(struct.pack(f"<{LENGTH}H", *samples))
