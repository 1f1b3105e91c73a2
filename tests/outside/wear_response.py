"""Loss of azimuth and of a first-order low-pass at some frequencies, to measured.f64.

Arguments: sample rate (Hz), tilt (degrees) or 0, corner (Hz) or 0, then frequencies (Hz). The
azimuth's loss is abs(sin x / x), x = pi w tan(a) f / v, with 1.5 mm of track and 4.76 cm/s.
"""
import sys
import numpy as np
from scipy import signal

tilt_deg, corner_hz = map(float, sys.argv[2:4])
hz = np.array(sys.argv[4:], float)
gain = np.abs(np.sinc(1.5e-3 * np.tan(np.radians(tilt_deg)) * hz / 4.76e-2))
if corner_hz:
    low_pass = signal.butter(1, 2 * np.pi * corner_hz, analog=True)
    gain = gain * np.abs(signal.freqs(*low_pass, worN=2 * np.pi * hz)[1])
gain.tofile("measured.f64")
