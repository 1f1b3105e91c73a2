"""The circuit once more, in numpy and scipy: what the other scripts share."""
import numpy as np
from scipy import signal, special


def rc(samples, rate_hz, high_pass_hz, low_pass_hz):
    """First-order RC networks on the curve through the samples."""
    for corner_hz, coupling in ((high_pass_hz, True), (low_pass_hz, False)):
        if corner_hz > 0:
            k = 2 * np.pi * corner_hz / rate_hz
            straight = coupling and k <= 0.008
            charge = charge_straight(samples, k) if straight else charge_curved(samples, k)
            samples = samples - charge if coupling else charge
    return samples


def charge_straight(samples, k):
    """The voltage on the capacitor where the input runs straight from sample to sample; k time
    constants last one sample."""
    num, den, _ = signal.cont2discrete(([k], [1, k]), 1, method="foh")
    return signal.lfilter(num.ravel(), den, samples)


def charge_curved(samples, k, half=8, beta=5.5):
    """The same where the input is a sum of sincs under a Kaiser window: the response of the
    network over one sample interval, integrated for each sample by Gauss and Legendre's rule of
    40 points on each of 40 parts."""
    nodes, shares = np.polynomial.legendre.leggauss(40)
    parts = np.arange(40)[:, None] + (nodes + 1) / 2
    length = min(1, 60 / k)
    u = (parts * length / 40).ravel()
    response = np.exp(-k * u) * np.tile(shares, 40)
    distance = u - np.arange(1 - half, half + 1)[:, None]
    window = special.i0(beta * np.sqrt(np.maximum(1 - (distance / half) ** 2, 0)))
    weights = (np.sinc(distance) * (np.abs(distance) < half) * window) @ response
    weights *= -np.expm1(-k) / weights.sum()
    came = np.convolve(samples, weights)[half - 1 :][: len(samples)]
    return signal.lfilter([1], [1, -np.exp(-k)], came)


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
