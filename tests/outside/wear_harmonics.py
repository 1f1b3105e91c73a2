"""Harmonics 1, 3 and 5 of a bent sine by `scipy.integrate.quad`, to measured.f64.

Arguments: sample rate (Hz), drive as a ratio, level. The curve is level tanh(drive v / level) /
tanh(drive).
"""
import sys
import numpy as np
from scipy import integrate

drive, level = map(float, sys.argv[2:4])


def harmonic(n):
    bent = lambda t: level * np.tanh(drive * np.sin(t)) / np.tanh(drive) * np.sin(n * t)
    return abs(integrate.quad(bent, 0, 2 * np.pi, epsabs=1e-12)[0] / np.pi)


np.array([harmonic(n) for n in (1, 3, 5)], "<f8").tofile("measured.f64")
