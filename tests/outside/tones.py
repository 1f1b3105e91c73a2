"""Frequency of the tone in x.f32, and what else there is beside it, to tone.f64.

Argument: sample rate (Hz). Writes the frequency (Hz) and the power outside the tone relative to
the tone (dB).
"""
import sys
import numpy as np
from scipy import signal

rate_hz = float(sys.argv[1])
x = np.fromfile("x.f32", "<f4").astype(float)
# A window whose side lobes lie far below 16-bit noise, and its main lobe within 5 lines.
power = np.abs(np.fft.rfft(x * signal.windows.blackmanharris(len(x), sym=False))) ** 2
peak = int(np.argmax(power))
left, mid, right = np.log(power[peak - 1 : peak + 2])
line = peak + 0.5 * (left - right) / (left - 2 * mid + right)
around = np.abs(np.arange(len(power)) - peak) <= 5
beside_db = 10 * np.log10(power[~around].sum() / power[around].sum())
np.array([line * rate_hz / len(x), beside_db], "<f8").tofile("tone.f64")
