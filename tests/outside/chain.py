"""x.f32 through the whole circuit: falls.f64 and rises.f64 of the line, values.bin.

Arguments: sample rate, high-pass, low-pass (Hz), hysteresis (V), widths of the short and the
long one-shot (s), rate (Bd).
"""
import sys
import numpy as np
import reference

rate_hz, high_hz, low_hz, hysteresis_v, short_s, long_s, rate_bd = map(float, sys.argv[1:])
x = np.fromfile("x.f32", "<f4").astype(float)
end_s = len(x) / rate_hz
y = reference.rc(x, rate_hz, high_hz, low_hz)
edges_s = reference.crossings(y, rate_hz, hysteresis_v / 2, -hysteresis_v / 2)
_, time_outs_s = reference.one_shot(edges_s[::2], short_s, end_s)
falls_s, rises_s = reference.one_shot(time_outs_s, long_s, end_s)
falls_s.astype("<f8").tofile("falls.f64")
rises_s.astype("<f8").tofile("rises.f64")
with open("values.bin", "wb") as file:
    file.write(reference.characters(falls_s, rises_s, rate_bd))
