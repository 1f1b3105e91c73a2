"""The stages after the squarer with any settings, once more in numpy.

Reads settings.txt, a row a case: index, short width, short trigger, long width, long trigger, rate,
data bits, parity, stop bits, sense, clock (ticks a bit, or 0), end; and INDEX.f64, the squarer's
edges, which rests low. Writes INDEX.line.f64, the edges of a line that rests high, and
INDEX.read.f64, a row a character (start on the line, value, framing error, parity error, break,
margin in per cent of a bit), a row of six NaN, and the false starts.

The clock with ticks is stepped from tick to tick, as a receiver's logic is.
"""
import numpy as np
import reference


def triggers(edges_s, rests_high, kind):
    """Edges of one direction, or all of them."""
    first_rises = not rests_high
    if kind == "both":
        return edges_s
    return edges_s[0 if (kind == "rising") == first_rises else 1 :: 2]


def timed(triggers_s, width_s, end_s):
    """The edges of a one-shot that rests high."""
    if len(triggers_s) == 0:
        return triggers_s
    starts_s, ends_s = reference.one_shot(triggers_s, width_s, end_s)
    return np.sort(np.concatenate((starts_s, ends_s)))


class Line:
    """The line, seen as mark or space."""

    def __init__(self, edges_s, inverted):
        self.edges_s, self.inverted = edges_s, inverted

    def is_mark(self, at_s):
        high = np.searchsorted(self.edges_s, at_s, side="right") % 2 == 0
        return high != self.inverted

    def next_to(self, mark, after_s):
        """The next change to mark or to space after an instant."""
        for i in range(np.searchsorted(self.edges_s, after_s, side="right"), len(self.edges_s)):
            if ((i % 2 == 1) != self.inverted) == mark:
                return self.edges_s[i]
        return np.inf

    def last_to_space(self, until_s):
        i = np.searchsorted(self.edges_s, until_s, side="right") - 1
        while ((i % 2 == 1) != self.inverted):
            i -= 1
        return self.edges_s[i]


def offsets(data_bits, parity, stop_bits):
    """Instants in bits from the middle of the start bit on."""
    whole = 1 + data_bits + (parity != "none") + int(float(stop_bits))
    at = list(range(whole))
    return np.array(at + ([whole - 0.25] if stop_bits == "1.5" else []))


def character(line, start_s, at_s, rate_bd, data_bits, parity):
    mark = line.is_mark(at_s)
    value = int(sum(int(b) << i for i, b in enumerate(mark[1 : 1 + data_bits])))
    ones = bin(value).count("1")
    expected = {"even": ones % 2, "odd": 1 - ones % 2, "mark": 1, "space": 0}
    wrong = parity != "none" and mark[1 + data_bits] != bool(expected[parity])
    stops = mark[1 + data_bits + (parity != "none") :]
    apart = np.abs(at_s[:, None] - line.edges_s[None, :]).min()
    return [start_s, value, not stops.all(), wrong, not mark.any(), 100 * apart * rate_bd]


def exact(line, rate_bd, frame, end_s):
    """Instants measured from the edge itself."""
    read, false_starts, at_s = [], [], -1.0
    if not line.is_mark(-1.0):
        at_s = line.next_to(True, at_s)
    while True:
        start_s = line.next_to(False, at_s)
        instants_s = start_s + (0.5 + offsets(*frame)) / rate_bd
        if not instants_s[0] < end_s:
            return read, false_starts
        if line.is_mark(instants_s[0]):
            false_starts.append(start_s)
            at_s = instants_s[0]
            continue
        if not instants_s[-1] < end_s:
            return read, false_starts
        read.append(character(line, start_s, instants_s, rate_bd, frame[0], frame[1]))
        at_s = instants_s[-1]
        if not line.is_mark(at_s):
            at_s = line.next_to(True, at_s)


def ticking(line, rate_bd, frame, ticks, end_s):
    """A receiver that sees the line at its ticks and at no other time."""
    tick_s = 1 / (rate_bd * ticks)
    count = int(np.ceil(end_s / tick_s))
    seen = line.is_mark(np.arange(count) * tick_s)
    at_ticks = ticks // 2 + np.round(offsets(*frame) * ticks).astype(int)
    read, false_starts = [], []
    tick = 0
    # Before time 0 the line rests.
    ready = bool(line.is_mark(-1.0))
    while tick < count:
        if not ready:
            ready = seen[tick]
            tick += 1
            continue
        if seen[tick]:
            tick += 1
            continue
        start_s = line.last_to_space(tick * tick_s)
        instants = tick + at_ticks
        if not instants[0] * tick_s < end_s:
            break
        if line.is_mark(instants[0] * tick_s):
            false_starts.append(start_s)
            tick = instants[0]
            continue
        if not instants[-1] * tick_s < end_s:
            break
        read.append(character(line, start_s, instants * tick_s, rate_bd, frame[0], frame[1]))
        tick = instants[-1]
        ready = bool(seen[tick])
    return read, false_starts


for row in open("settings.txt"):
    words = row.split()
    index, short_trigger, long_trigger = words[0], words[2], words[4]
    short_s, long_s, rate_bd, end_s = (float(words[i]) for i in (1, 3, 5, 11))
    frame, sense, ticks = (int(words[6]), words[7], words[8]), words[9], int(words[10])
    squarer_s = np.fromfile(index + ".f64", "<f8")
    short = timed(triggers(squarer_s, False, short_trigger), short_s, end_s)
    # The short one rises at its time-out and falls at the next trigger.
    long_kind = "rising" if long_trigger == "time-out" else "falling"
    edges_s = timed(triggers(short, True, long_kind), long_s, end_s)
    edges_s.astype("<f8").tofile(index + ".line.f64")
    line = Line(edges_s, sense == "inverted")
    if ticks:
        read, false_starts = ticking(line, rate_bd, frame, ticks, end_s)
    else:
        read, false_starts = exact(line, rate_bd, frame, end_s)
    rows = np.array(read + [[np.nan] * 6], float).ravel()
    np.concatenate((rows, false_starts)).astype("<f8").tofile(index + ".read.f64")
