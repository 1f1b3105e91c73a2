"""The noise that x.f32 has over clean.f32, to measured.f64.

Arguments: sample rate (Hz), bit rate (Bd). Writes signal-to-noise ratio (dB), slope of the noise's
density (dB a decade), its greatest departure from that straight line (dB), Eb/N0 (dB) and the
probability of its distribution being normal (Kolmogorov and Smirnov).
"""
import sys
import numpy as np
from scipy import signal, stats

rate_hz, rate_bd = map(float, sys.argv[1:3])
clean = np.fromfile("clean.f32", "<f4").astype(float)
noise = np.fromfile("x.f32", "<f4").astype(float) - clean
power = np.mean(clean**2)
snr_db = 10 * np.log10(power / np.mean(noise**2))

# Thirds of octaves from 50 Hz to nearly half the sample rate: the middle line of each.
lines_hz, density = signal.welch(noise, rate_hz, nperseg=16384)
edges_hz = np.geomspace(50, 0.499 * rate_hz, int(3 * np.log2(0.01 * rate_hz)))
bands = [(lines_hz >= low) & (lines_hz < high) for low, high in zip(edges_hz, edges_hz[1:])]
bands = [band for band in bands if band.any()]
middle = np.array([np.log10(lines_hz[band]).mean() for band in bands])
level_db = np.array([10 * np.log10(density[band]).mean() for band in bands])
slope, start = np.polyfit(middle, level_db, 1)
off_db = np.abs(level_db - slope * middle - start).max()

eb_n0_db = 10 * np.log10(power / rate_bd / density[1:-1].mean())
normal = stats.kstest(noise[::97] / noise.std(), "norm").pvalue
np.array([snr_db, slope, off_db, eb_n0_db, normal], "<f8").tofile("measured.f64")
