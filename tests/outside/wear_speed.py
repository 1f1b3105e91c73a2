"""Speed and its variation from a tone in x.f32, to measured.f64.

Arguments: sample rate (Hz), frequency as recorded (Hz), band of the variation (Hz). The tone is
demodulated as a flutter meter does it; the reading is the plain peak of the deviation, without the
meter's weighting and without its two-sigma rule. Writes mean speed (ratio), half of the peak to
peak deviation and the greatest deviation from the tone's mean (both as parts of it), the frequency
of the strongest variation (Hz), and the part of the variation's power below the band.
"""
import sys
import numpy as np
from scipy import signal

rate_hz, tone_hz, band_hz = map(float, sys.argv[1:4])
x = np.fromfile("x.f32", "<f4").astype(float)
cycles = np.unwrap(np.angle(signal.hilbert(x))) / (2 * np.pi)
edge = int(0.1 * rate_hz)
hz = np.diff(cycles)[edge:-edge] * rate_hz
mean_hz = (cycles[-edge] - cycles[edge]) / (len(x) - 2 * edge) * rate_hz
smooth = signal.butter(4, min(12 * band_hz, tone_hz / 4), fs=rate_hz, output="sos")
deviation = signal.sosfiltfilt(smooth, hz - mean_hz)[edge:-edge] / mean_hz
power = np.abs(np.fft.rfft(deviation * np.hanning(len(deviation)))) ** 2
lines_hz = np.fft.rfftfreq(len(deviation), 1 / rate_hz)
np.array([
    mean_hz / tone_hz,
    np.ptp(deviation) / 2,
    np.abs(deviation).max(),
    lines_hz[power.argmax()],
    power[lines_hz <= band_hz].sum() / power.sum(),
], "<f8").tofile("measured.f64")
