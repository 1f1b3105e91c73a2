"""Levels of tones, offset, drop-outs and clicks in x.f32, to measured.f64.

Arguments: sample rate (Hz), then frequencies (Hz). Writes the mean, the greatest distance of the
envelope's dips from its median as a ratio, how many dips there are, their mean length at half
depth (s), and the peak of each frequency (least squares).
"""
import sys
import numpy as np
from scipy import signal

rate_hz = float(sys.argv[1])
x = np.fromfile("x.f32", "<f4").astype(float)
time_s = np.arange(len(x)) / rate_hz
envelope = np.abs(signal.hilbert(x - x.mean()))
usual = np.median(envelope)
edge = int(0.01 * rate_hz)
inner = envelope[edge:-edge] / usual
half = (1 + inner.min()) / 2
low = np.concatenate(([0], inner < half, [0]))
falls, rises = np.flatnonzero(np.diff(low) > 0), np.flatnonzero(np.diff(low) < 0)
long = rises - falls > 1e-3 * rate_hz
length_s = np.mean((rises - falls)[long]) / rate_hz if long.any() else 0.0
found = [x.mean(), inner.min(), long.sum(), length_s]
for hz in map(float, sys.argv[2:]):
    waves = np.stack([f(2 * np.pi * hz * time_s) for f in (np.sin, np.cos)], axis=1)
    found.append(np.hypot(*np.linalg.lstsq(waves, x, rcond=None)[0]))
np.array(found, "<f8").tofile("measured.f64")
