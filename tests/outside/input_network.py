"""x.f32 through the RC networks, to y.f64. Arguments: sample rate, high-pass, low-pass (Hz)."""
import sys
import numpy as np
import reference

rate_hz, high_pass_hz, low_pass_hz = map(float, sys.argv[1:])
x = np.fromfile("x.f32", "<f4").astype(float)
reference.rc(x, rate_hz, high_pass_hz, low_pass_hz).astype("<f8").tofile("y.f64")
