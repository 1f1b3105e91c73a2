"""Spectrum of x.f32 to levels.f64, in decibels relative to a sine of 1 V peak.

Argument: sample rate (Hz). Segments of up to 8192 samples, half overlapped, Hann window.
"""
import sys
import numpy as np
from scipy import signal

rate_hz = float(sys.argv[1])
x = np.fromfile("x.f32", "<f4").astype(float)
segment = min(8192, len(x))
_, power = signal.welch(
    x, rate_hz, "hann", segment, segment // 2, detrend=False, scaling="spectrum"
)
# A sine of 1 V peak has a mean square of 1/2 V^2.
(10 * np.log10(np.maximum(power / 0.5, 1e-20))).astype("<f8").tofile("levels.f64")
