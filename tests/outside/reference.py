"""The circuit once more, in numpy and scipy: what the other scripts share."""
import numpy as np
from scipy import signal


def rc(samples, rate_hz, high_pass_hz, low_pass_hz):
    """First-order RC networks on an input that runs straight from sample to sample."""
    for corner_hz, coupling in ((high_pass_hz, True), (low_pass_hz, False)):
        if corner_hz > 0:
            w = 2 * np.pi * corner_hz
            transfer = ([1, 0], [1, w]) if coupling else ([w], [1, w])
            num, den, _ = signal.cont2discrete(transfer, 1 / rate_hz, method="foh")
            samples = signal.lfilter(num.ravel(), den, samples)
    return samples


def crossings(samples, rate_hz, upper_v, lower_v):
    """Times at which a comparator with hysteresis that starts low changes its output."""
    side = np.where(samples > upper_v, 1, np.where(samples < lower_v, -1, 0))
    beyond = np.flatnonzero(side)
    levels = np.concatenate(([-1], side[beyond]))
    at = beyond[np.diff(levels) != 0]
    level = np.where(side[at] > 0, upper_v, lower_v)
    before = samples[np.maximum(at - 1, 0)]
    with np.errstate(divide="ignore", invalid="ignore"):
        part = (level - before) / (samples[at] - before)
    return np.where(at == 0, 0.0, (at - 1 + part) / rate_hz)


def one_shot(triggers_s, width_s, end_s):
    """Start and end of each timing of a retriggerable one-shot; a timing that outlasts the
    recording has no end."""
    first = np.concatenate(([True], np.diff(triggers_s) > width_s))
    starts_s = triggers_s[first]
    ends_s = triggers_s[np.concatenate((first[1:], [True]))] + width_s
    return starts_s, ends_s[ends_s < end_s]


def characters(falls_s, rises_s, rate_bd):
    """Bytes of a line that rests high: eight data bits, one stop bit, 16 ticks a bit."""
    tick_s = 1 / rate_bd / 16
    edges_s = np.sort(np.concatenate((falls_s, rises_s)))
    values, free_s = [], -1.0
    for fall_s in falls_s:
        if fall_s < free_s:
            continue
        noticed = np.ceil(fall_s / tick_s)
        at_s = (noticed + 8 + 16 * np.arange(10)) * tick_s
        # The line rests high, so behind an odd count of edges it is low.
        mark = np.searchsorted(edges_s, at_s) % 2 == 0
        if mark[0]:
            continue
        values.append(int(np.packbits(mark[1:9], bitorder="little")[0]))
        free_s = at_s[9]
    return bytes(values)
