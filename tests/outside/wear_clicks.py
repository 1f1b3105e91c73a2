"""The clicks that x.f32 has over clean.f32, to measured.f64: their times (s), then their peaks.

Argument: sample rate (Hz).
"""
import sys
import numpy as np
from scipy import signal

rate_hz = float(sys.argv[1])
clicks = np.fromfile("x.f32", "<f4").astype(float) - np.fromfile("clean.f32", "<f4")
size = np.abs(clicks)
at, _ = signal.find_peaks(size, height=0.5 * size.max(), distance=1e-3 * rate_hz)
np.concatenate((at / rate_hz, size[at])).tofile("measured.f64")
