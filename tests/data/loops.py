"""The trigger rules as plain loops over whole numbers: what the recordings hold."""

PARTS = 65536


def answers(samples, level, hysteresis, hold):
    """Events of a recording by condition; an event is [position, lead, width if it has one]."""
    rising = edges(samples, level, hysteresis)
    mirrored = [-x for x in samples]
    return {
        "level": level,
        "hysteresis": hysteresis,
        "hold": hold,
        "samples": len(samples),
        "min": min(samples),
        "max": max(samples),
        "sum": sum(samples),
        "squares": sum(x * x for x in samples),
        "rising": rising,
        "rising held": held(rising, hold),
        "falling": edges(mirrored, -level, hysteresis),
        "positive": pulses(samples, level, hysteresis),
        "negative": pulses(mirrored, -level, hysteresis),
    }


def lead(previous, this, level):
    """How far before this sample the straight line passes the level, rounded down."""
    return abs(this - level) * PARTS // abs(this - previous)


def edges(samples, level, hysteresis):
    found, armed = [], False
    for i, x in enumerate(samples):
        if x < level - hysteresis:
            armed = True
        elif armed and x >= level:
            armed = False
            found.append([i, lead(samples[i - 1], x, level)])
    return found


def pulses(samples, level, hysteresis):
    found, end = [], level - hysteresis
    for i, begin_lead in edges(samples, level, hysteresis):
        for j in range(i + 1, len(samples)):
            if samples[j] < end:
                end_lead = lead(samples[j - 1], samples[j], end)
                found.append([j, end_lead, (j - i) * PARTS - end_lead + begin_lead])
                break
    return found


def held(events, hold):
    """Fewer than `hold` samples after the last one kept, an event is dropped."""
    kept = []
    for event in events:
        if not kept or event[0] - kept[-1][0] >= hold:
            kept.append(event)
    return kept
