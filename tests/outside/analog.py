"""Noise up to 0.38 of the sample rate, to x.f32, and what analog RC networks make of it, to y.f64.

Arguments: sample rate, high-pass, low-pass (Hz). Every frequency of the noise is turned as the
analog circuit turns it (scipy.signal.freqs).
"""
import sys
import numpy as np
from scipy import signal

rate_hz, high_pass_hz, low_pass_hz = map(float, sys.argv[1:])
count, silence = 20000, int(rate_hz)
noise = np.random.default_rng(1).standard_normal(count) * signal.windows.tukey(count, 0.1)
noise = np.concatenate((np.zeros(100), noise, np.zeros(silence)))
hz = np.fft.rfftfreq(len(noise), 1 / rate_hz)
spectrum = np.fft.rfft(noise) * (hz < 0.38 * rate_hz)
x = np.fft.irfft(spectrum, len(noise)) / 4
y = np.fft.rfft(x)
for corner_hz, kind in ((high_pass_hz, "highpass"), (low_pass_hz, "lowpass")):
    if corner_hz > 0:
        network = signal.butter(1, 2 * np.pi * corner_hz, kind, analog=True)
        y = y * signal.freqs(*network, worN=2 * np.pi * hz)[1]
x.astype("<f4").tofile("x.f32")
np.fft.irfft(y, len(x)).astype("<f8").tofile("y.f64")
